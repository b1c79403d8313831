"""The frozen graph of an installation: elements, terminals, edges, operating states. Built by `circuit.builder`, read by `facts`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from linter.base.gap import Gap
from linter.base.reading import Reading
from linter.base.span import Span

NOWHERE = Span("?")

# A literal: one variable of the state and the values in which it is true. A guard is a conjunction of literals; an edge with several
# guards is closed when any of them holds. The empty conjunction is "always".
Literal = tuple[str, frozenset[str]]
Guard = tuple[Literal, ...]
ALWAYS: tuple[Guard, ...] = ((),)


@dataclass(frozen=True, slots=True)
class Element:
    """A part, conductor, hole, place or vehicle.

    Attributes:
        name: As written in the description, unique.
        kind: A kind of the vocabulary.
        title: For people; "" if none.
        properties: Word of the vocabulary to what was stated (a Reading). A word that was not stated is absent: the book makes the Gap.
        at: Where it is described.
        asked: Words said to be unknown ("?"): looked for and not found out.
    """

    name: str
    kind: str
    title: str = ""
    properties: Mapping[str, Reading] = field(default_factory=dict)
    at: Span = NOWHERE
    asked: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Edge:
    """Something that joins two terminals inside or between elements.

    Attributes:
        element: The conductor, fuse, breaker, switch, relay, selector, coupling or shunt it belongs to; a part's own inner link otherwise.
        a, b: Terminals, "B1 positive".
        guards: When it is surely closed.
        maybe: When it may be closed (a superset of guards); differs where a position or trigger is not known.
        kind: Kind of the element.
    """

    element: str
    a: str
    b: str
    kind: str
    guards: tuple[Guard, ...] = ALWAYS
    maybe: tuple[Guard, ...] = ALWAYS


@dataclass(frozen=True, slots=True)
class Variable:
    """One thing that can stand in several ways.

    Attributes:
        name: "K1", "engine", "sun", "shore", "X1".
        values: In dial order for a selector.
        ring: Turns round and round, so first and last are neighbours.
        breaks: make before break / break before make / None where there is nothing between.
    """

    name: str
    values: tuple[str, ...]
    ring: bool = False
    breaks: str | None = None


@dataclass(frozen=True, slots=True)
class Constraint:
    """`together`: all literals true or all false. `apart`: not all true at once."""

    kind: str
    literals: tuple[Literal, ...]


@dataclass(frozen=True)
class Circuit:
    """One installation.

    Attributes:
        title: Of the description.
        elements: In file order.
        edges: In file order.
        variables, constraints: What makes the operating states.
        terminals: Terminal to (element, terminal word): "B1 positive" -> ("B1", "positive").
        complete: Kind to whether the list is everything ("element" holds the general answer).
        runs: Name of run to the chain of (element or terminal) in order, for reports.
        settings: Choices of the description: "capacity by", "listed"...
        stated: Properties of the installation itself (coldest, hottest, system-voltage).
        sources_awake: Source element to guards beyond being fed: engine runs, sun shines, shore connected, runs when ...
        inputs: For a charger with an input: its input terminal; its output is a source only in states where this is live.
        barred: Load element to guards in which it cannot run (an interlock that is wired).
        asked: Words of the installation said to be unknown.
    """

    title: str
    elements: Mapping[str, Element]
    edges: tuple[Edge, ...]
    variables: tuple[Variable, ...]
    constraints: tuple[Constraint, ...]
    terminals: Mapping[str, tuple[str, str]]
    complete: Mapping[str, bool]
    runs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)
    stated: Mapping[str, Reading] = field(default_factory=dict)
    sources_awake: Mapping[str, tuple[Guard, ...]] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)
    barred: Mapping[str, tuple[Guard, ...]] = field(default_factory=dict)
    gaps: tuple[Gap, ...] = ()
    asked: frozenset[str] = frozenset()


def with_stated(circuit: Circuit, readings: Mapping[str, Mapping[str, Reading]]) -> Circuit:
    """The circuit with more stated, or stated otherwise.

    Args:
        circuit: Left as it is.
        readings: Element to word to reading; "" for the installation itself.
    """
    elements = {name: replace(element, properties={**element.properties, **readings[name]}) if name in readings else element
                for name, element in circuit.elements.items()}
    return replace(circuit, elements=elements, stated={**circuit.stated, **readings.get("", {})})
