"""The records the worst-current reckoning works with."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.states import TooManyStates

Key = tuple[str, Any]
Coefficients = dict[Any, float]


@dataclass(slots=True)
class Flow:
    """What is found of one strand, battery or bus.

    Attributes:
        low, high: Bounds on the worst current. [A]
        states: States that cause the high one.
        through: What draws or pushes it, largest first.
        wants, uses: Facts.
        last: Result whose facts were taken over last.
        beyond: Why it is not told, where telling it would cost more than a stated bound.
    """

    low: float = 0.0
    high: float = 0.0
    states: Any = None
    through: tuple[str, ...] = ()
    wants: set[FactRef] = field(default_factory=set)
    uses: set[FactRef] = field(default_factory=set)
    last: Any = None
    beyond: TooManyStates | None = None


@dataclass(frozen=True, slots=True)
class Injection:
    """Something that draws or pushes between two points.

    Attributes:
        name: Element.
        plus, minus: Points; positive current enters the network at `plus`.
        size: Its current. [A]
        forced: Pushes all of it whenever awake.
        load: Draws rather than pushes.
        emergency: A breakaway brake: counted on its own leads only.
        sure, maybe: States in which it runs.
        wants, uses: Facts its size rests on.
    """

    name: str
    plus: str
    minus: str
    size: Range
    forced: bool
    load: bool
    emergency: Truth
    sure: Any
    maybe: Any
    wants: frozenset[FactRef]
    uses: frozenset[FactRef]


@dataclass(frozen=True, slots=True)
class Cell:
    """A battery as the reckoning sees it: its points, the group it stands alike with, and the resistance it shares with its likes."""

    name: str
    minus: str
    plus: str
    group: int
    alike: int


@dataclass(slots=True)
class Solution:
    """Transfer coefficients with one set of contacts closed.

    Attributes:
        corners: Per tried corner of the resistances: key to column to coefficient.
        loose: Key to crude bound (sum of all sizes, volts apart over least resistance), for loops with too much unknown.
        names: Key to the columns that matter to it.
        open_wants: Key to the facts that would narrow its resistances.
        judged: Results already worked out, by key and what of its columns runs.
        caps: Column-independent cap on each key: (low, high), for parts fed by limited sources only.
    """

    corners: list[dict[Key, Coefficients]]
    names: dict[Key, frozenset[Any]]
    open_wants: dict[Key, frozenset[FactRef]]
    loose: dict[Key, tuple[tuple[Any, ...], float]]
    caps: dict[Key, tuple[tuple[str, ...], float, float]]
    judged: dict[Any, Any] = field(default_factory=dict)
