"""What an explaining walk gathers: measured values with all they rest on, and the sink the deciding parts fill."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.language.world import States, World
from linter.units.dimension import Dimension

Decide = Callable[[States, str, "Sink", bool], None]


@dataclass(frozen=True, slots=True)
class Line:
    """One deciding part: what was found, what was asked, and for a comparison its two numbers and which way is worse.

    Attributes:
        found, asked: In words.
        value, against: Numbers found and asked, SI; None where none are compared.
        dimension: Of both.
        worse: "higher" or "lower" for what is found; "" if neither.
    """

    found: str
    asked: str
    value: Any = None
    dimension: Dimension | None = None
    against: Any = None
    worse: str = ""


@dataclass
class Sink:
    """What the deciding parts leave behind."""

    lines: list[Line] = field(default_factory=list)
    used: dict[FactRef, tuple[Reading, str]] = field(default_factory=dict)
    rests_on: dict[FactRef, None] = field(default_factory=dict)
    questions: dict[FactRef, str] = field(default_factory=dict)
    through: list[str] = field(default_factory=list)
    limits: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    states: States = None
    whole: bool = False
    applies_open: bool = False

    def spoil(self, states: States, world: World) -> None:
        """These states are to blame; all of them or none named means every state."""
        if states is None or states == world.everything:
            self.whole = True
        elif states != world.nothing:
            self.states = states if self.states is None else self.states | states

    def spoiled(self, world: World) -> States:
        """The states to blame, None for every state."""
        return None if self.whole or self.states == world.everything else self.states

    def ask(self, ref: FactRef, tip: str = "") -> None:
        """A question; two different tipping values for one fact cancel out to none."""
        if ref in self.questions and self.questions[ref] and tip and self.questions[ref] != tip:
            tip = ""
        elif ref in self.questions:
            tip = tip or self.questions[ref]
        self.questions[ref] = tip

    def take(self, measured: Measured) -> None:
        """Facts and limits a value rests on."""
        for ref, reading, text in measured.used:
            self.used.setdefault(ref, (reading, text))
        for ref in measured.rests_on:
            self.rests_on.setdefault(ref, None)
        self.limits.extend(measured.limits)
        self.through.extend(measured.through)
        self.notes.extend(measured.notes)


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with all it rests on.

    Attributes:
        value: Range, or a set of words.
        wants: What leaves it open.
        used: Facts read: reference, reading, value in words.
        rests_on: Facts those were worked out from.
        through: Elements to name with it.
        states: States that cause it, None if it is the same in all.
        limits: Names of limits in it.
        notes: Remarks for the report.
    """

    value: Any
    wants: frozenset[FactRef] = frozenset()
    used: tuple[tuple[FactRef, Reading, str], ...] = ()
    rests_on: tuple[FactRef, ...] = ()
    through: tuple[str, ...] = ()
    states: States = None
    limits: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


Pieces = list[tuple[States, Measured]]


def together(value: Any, parts: list[Measured]) -> Measured:
    states = None
    for part in parts:
        if part.states is not None:
            states = part.states if states is None else states & part.states
    return Measured(value, frozenset().union(*(p.wants for p in parts)), tuple(u for p in parts for u in p.used),
                    tuple(r for p in parts for r in p.rests_on), tuple(x for p in parts for x in p.through), states,
                    tuple(x for p in parts for x in p.limits), tuple(x for p in parts for x in p.notes))


@dataclass(frozen=True, slots=True)
class Told:
    """A walked formula."""

    yes: States
    no: States
    decide: Decide


def blames(sign: str, positive: bool) -> bool:
    """Whether a part that came out so speaks against the practice: false where it is asked, or true under a "not"."""
    return sign != "open" and (sign == "no") == positive


def every(kind: str) -> FactRef:
    """The question whether a list is whole."""
    return FactRef("", f"every {kind}")
