"""The terminals and edges of a circuit, indexed for walking."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from linter.circuit.blocks import Blocks
from linter.circuit.model import ALWAYS, Circuit, Edge
from linter.circuit.states import States, StateSpace
from linter.vocabulary import Vocabulary

# Kinds in which a way ends: things that push or use current, rather than pass it on.
_BODIES = ("source", "load")
# Kinds whose one terminal is the thing itself: taking the thing out takes the terminal out.
NODES = ("bus", "junction", "chassis")


class Network:
    """A circuit indexed by terminal and element.

    Attributes:
        circuit, space: What it is of.
        edges: As in the circuit.
        at: Terminal to (edge number, other terminal).
        of: Element to its edge numbers.
        taken_by: Edge number to the element it goes with, "" for a joint.
        pole: Terminal of a source, charger or load to +1 or -1.
    """

    def __init__(self, circuit: Circuit, space: StateSpace, words: Vocabulary) -> None:
        self.circuit = circuit
        self.space = space
        self.edges: tuple[Edge, ...] = circuit.edges
        self._is_a = words.is_a
        self.at: dict[str, list[tuple[int, str]]] = {}
        self.of: dict[str, list[int]] = {}
        for i, edge in enumerate(circuit.edges):
            self.at.setdefault(edge.a, []).append((i, edge.b))
            self.at.setdefault(edge.b, []).append((i, edge.a))
            self.of.setdefault(edge.element, []).append(i)
        # What must be taken out for an edge to go: a joint is metal on metal, and stays when the device beside it goes.
        self.taken_by: tuple[str, ...] = tuple("" if edge.kind == "joint" else edge.element for edge in circuit.edges)
        self._sure: dict[int, States] = {}
        self._maybe: dict[int, States] = {}
        self._own: dict[str, list[str]] = {}
        for terminal, (element, _) in circuit.terminals.items():
            self._own.setdefault(element, []).append(terminal)
        self.pole: dict[str, int] = {}
        for terminal, (element, word) in circuit.terminals.items():
            if self.is_a(element, *_BODIES) and word.endswith(("positive", "negative")):
                self.pole[terminal] = 1 if word.endswith("positive") else -1

    def is_a(self, element: str, *kinds: str) -> bool:
        """Whether an element is of one of the kinds."""
        found = self.circuit.elements.get(element)
        return found is not None and any(self._is_a(found.kind, kind) for kind in kinds)

    def sure(self, edge: int) -> States:
        """When an edge is surely closed."""
        found = self._sure.get(edge)
        if found is None:
            guards = self.edges[edge].guards
            found = self._sure[edge] = self.space.everything if guards == ALWAYS else self.space.any_of(guards)
        return found

    def maybe(self, edge: int) -> States:
        """When an edge may be closed."""
        found = self._maybe.get(edge)
        if found is None:
            one = self.edges[edge]
            found = self._maybe[edge] = self.sure(edge) if one.maybe == one.guards else self.space.any_of(one.maybe) | self.sure(edge)
            if found == self.space.everything:
                found = self._maybe[edge] = self.space.everything
        return found

    def closable(self, edge: int) -> bool:
        """Whether it may be closed in some state."""
        return not self.space.empty(self.maybe(edge))

    def closes(self, edge: int, *, sure: bool) -> bool:
        """Whether it surely closes in some state, or may."""
        return not self.space.empty(self.sure(edge)) if sure else self.closable(edge)

    def ends(self, element: str) -> tuple[str, ...]:
        """Terminals an element's edges run between, then its own; each once."""
        found: dict[str, None] = {}
        for i in self.of.get(element, ()):
            found[self.edges[i].a] = None
            found[self.edges[i].b] = None
        for terminal in self._own.get(element, ()):
            found[terminal] = None
        return tuple(found)

    def own(self, element: str) -> tuple[str, ...]:
        """The element's own terminals."""
        return tuple(self._own.get(element, ()))

    def owner(self, terminal: str) -> str:
        """The element a terminal belongs to."""
        found = self.circuit.terminals.get(terminal)
        return found[0] if found else ""

    def owner_is(self, terminal: str, *kinds: str) -> bool:
        """Whether a terminal belongs to one of the kinds."""
        return self.is_a(self.owner(terminal), *kinds)

    def terminal(self, element: str, word: str) -> str | None:
        """The terminal `word` of an element; start and finish of a conductor are the terminals it joins."""
        if word in ("start", "finish") and self.is_a(element, "conductor"):
            own = self.of.get(element)
            return None if not own else self.edges[own[0]].a if word == "start" else self.edges[own[-1]].b
        said = word.replace("-", " ")
        name = f"{element} {said}"
        if name in self.circuit.terminals:
            return name
        return next((t for t in self._own.get(element, ()) if self.circuit.terminals[t][1] == said), None)

    def canonical(self, terminal: str) -> str:
        """A terminal with "W12 start" put as the terminal it is."""
        if terminal in self.at or terminal in self.circuit.terminals:
            return terminal
        element, _, word = terminal.rpartition(" ")
        return self.terminal(element, word) or terminal

    def output(self, source: str) -> str | None:
        """The positive terminal a source pushes from."""
        return self.terminal(source, "out positive") if self.is_a(source, "charger") else self.terminal(source, "positive")

    def removed(self, elements: Iterable[str]) -> frozenset[str]:
        """Terminals that vanish with these elements: those of buses, junctions and chassis."""
        return frozenset(t for element in elements if element in self._nodes for t in self._own.get(element, ()))

    @cached_property
    def _nodes(self) -> frozenset[str]:
        """Buses, junctions and chassis."""
        return frozenset(name for name in self.circuit.elements if self.is_a(name, *NODES))

    @cached_property
    def hard_outputs(self) -> dict[str, str]:
        """Positive terminal of each battery and alternator to its name."""
        return {t: s for s in self.hard_sources if (t := self.output(s)) is not None}

    @cached_property
    def rated_outputs(self) -> dict[str, str]:
        """Positive terminal of each source that gives its rating and no more, to its name: all but batteries, alternators too."""
        return {t: s for s in self.sources if not self.is_a(s, "battery") and (t := self.output(s)) is not None}

    @cached_property
    def _part_of(self) -> dict[str, int]:
        """Terminal to the number of its part: what could be joined with it if every contact closed."""
        found: dict[str, int] = {}
        for start in self.at:
            if start in found:
                continue
            number = len(found)
            found[start] = number
            stack = [start]
            while stack:
                for edge, other in self.at.get(stack.pop(), ()):
                    if other not in found and self.closable(edge):
                        found[other] = number
                        stack.append(other)
        return found

    @cached_property
    def _edges_in(self) -> dict[int, tuple[int, ...]]:
        found: dict[int, list[int]] = {}
        for number, edge in enumerate(self.edges):
            found.setdefault(self._part_of[edge.a], []).append(number)
        return {part: tuple(numbers) for part, numbers in found.items()}

    def around(self, terminal: str) -> tuple[int, ...]:
        """Edges of the part a terminal lies in, in order."""
        return self._edges_in.get(self._part_of.get(terminal, -1), ())

    @cached_property
    def hard_in(self) -> dict[int, tuple[str, ...]]:
        """Part to the positive terminals of its batteries and alternators."""
        return self._sorted_in(self.outputs(self.hard_sources))

    @cached_property
    def sinks_in(self) -> dict[int, tuple[str, ...]]:
        """Part to the positive terminals current can flow into."""
        return self._sorted_in(self.sinks)

    def _sorted_in(self, terminals: Iterable[str]) -> dict[int, tuple[str, ...]]:
        found: dict[int, list[str]] = {}
        for terminal in terminals:
            found.setdefault(self._part_of.get(terminal, -1), []).append(terminal)
        return {part: tuple(some) for part, some in found.items()}

    @cached_property
    def blocks(self) -> Blocks:
        """How the wiring hangs together if every contact that may close did."""
        return Blocks(self.edges, self.at, self.closable, self.at)

    def bridge(self, element: str) -> int | None:
        """The one edge of an element, if nothing leads round it whatever is closed; else None."""
        own = self.of.get(element, ())
        return own[0] if len(own) == 1 and own[0] in self.blocks.bridges else None

    @cached_property
    def pushing(self) -> dict[str, str]:
        """Positive terminal of every source to its name."""
        return {t: s for s in self.sources if (t := self.output(s)) is not None}

    @cached_property
    def _hard_places(self) -> list[int]:
        return self.blocks.places(self.hard_outputs)

    def beside(self, element: str, terminal: str, others: Iterable[str]) -> list[str]:
        """Those of some terminals that lie on the same side of an element as one of its ends, if nothing leads round it."""
        edge = self.bridge(element)
        if edge is None:
            return list(others)
        side = self.blocks.beyond(edge, terminal)
        return [t for t in others if self.blocks.beyond(edge, t) is side]

    def hard_beside(self, element: str, terminal: str) -> tuple[int, int]:
        """How many batteries and alternators could reach one end of an element without it, and how many only through it. Where there may be a way
        round it, all of the part count among the first."""
        edge = self.bridge(element)
        if edge is None:
            return len(self.hard_in.get(self.part_of(terminal), ())), 0
        beyond, rest = self.blocks.count(edge, self._hard_places)
        return (beyond, rest) if self.blocks.beyond(edge, terminal) else (rest, beyond)

    def part_of(self, terminal: str) -> int:
        """Number of the part a terminal lies in; -1 for one nothing is joined to."""
        return self._part_of.get(terminal, -1)

    def is_end(self, terminal: str) -> bool:
        """Whether a way ends here: at a thing that pushes or uses current, or where nothing else is joined."""
        return terminal in self.pole or len(self.at.get(terminal, ())) <= 1

    @cached_property
    def sinks(self) -> tuple[str, ...]:
        """Positive terminals current can flow into: batteries, loads, inputs of chargers."""
        return tuple(t for t, sign in self.pole.items() if sign > 0 and (self.owner_is(t, "battery", "load")
                                                                         or (self.owner_is(t, "charger") and self.circuit.terminals[t][1] == "in positive")))

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """Elements that push."""
        return tuple(name for name in self.circuit.elements if self.is_a(name, "source"))

    @cached_property
    def hard_sources(self) -> tuple[str, ...]:
        """Batteries and alternators."""
        return tuple(name for name in self.sources if self.is_a(name, "battery", "alternator"))

    @cached_property
    def batteries(self) -> tuple[str, ...]:
        """Batteries."""
        return tuple(name for name in self.sources if self.is_a(name, "battery"))

    def outputs(self, sources: Iterable[str]) -> tuple[str, ...]:
        """Their positive terminals."""
        return tuple(t for t in (self.output(s) for s in sources) if t is not None)
