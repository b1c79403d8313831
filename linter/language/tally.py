"""What the compiled judge and the explaining walk reckon with alike: tallies over groups, pieces of states, what is asked of the World."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range, divided_by, minus, plus, times
from linter.language import typed as t
from linter.language.compare import QUANTITY, covers, same_words
from linter.language.world import States, TooMuchWork, World

MOST_PIECES = 4096
YES, NO, UNKNOWN = Truth.YES, Truth.NO, Truth.UNKNOWN
ANYTHING = Range(-INF, INF)
# The slots of a card: 0 holds the World, the others the elements its tags stand for just now.
Env = list[Any]
OPERATIONS = {"plus": plus, "minus": minus, "times": times, "divided by": divided_by}


def asked_word(node: t.WordOf) -> str:
    """The word the World is asked: a size is compared by its copper area."""
    return "area" if node.row.gives == "size" else node.row.word


def unknown_of(node: t.WordOf) -> Range | frozenset[str]:
    """What is known of a reading when even its thing is not known."""
    if node.dimension is None:
        return frozenset()
    return Range(node.row.floor if node.row.floor is not None else 0.0 if node.row.gives == "size" else -INF, INF)


def comparison(node: t.Cmp) -> Callable[[Any, Any], Truth]:
    """The function of a comparison."""
    return covers if node.sort == "ingress" else same_words if node.sort == "choice" else QUANTITY[node.how]


def best(which: str, values: list[Range]) -> Range:
    """largest, smallest or total of several ranges."""
    if which == "total":
        return Range(sum(v.low for v in values), sum(v.high for v in values))
    pick = max if which == "largest" else min
    return Range(pick(v.low for v in values), pick(v.high for v in values))


@dataclass(frozen=True, slots=True)
class Tally:
    """largest, smallest or total so far. `sure`: at least one member surely counts; `seen`: at least one may."""

    low: float
    high: float
    sure: bool = False
    seen: bool = False

    @staticmethod
    def start(which: str) -> Tally:
        """Nothing counted yet."""
        return Tally(0.0, 0.0) if which == "total" else Tally(-INF, -INF) if which == "largest" else Tally(INF, INF)

    def add(self, which: str, value: Range, certain: bool) -> Tally:
        """One more member."""
        if which == "total":
            if certain:
                return Tally(self.low + value.low, self.high + value.high, True, True)
            return Tally(self.low + min(0.0, value.low), self.high + max(0.0, value.high), self.sure, True)
        if which == "largest":
            return Tally(max(self.low, value.low) if certain else self.low, max(self.high, value.high), self.sure or certain, True)
        return Tally(min(self.low, value.low), min(self.high, value.high) if certain else self.high, self.sure or certain, True)

    def range(self, which: str, complete: bool, floor: float) -> Range:
        """The outcome. Without one sure member largest and smallest say nothing: an empty list never passes by accident."""
        if which == "total":
            if complete:
                return Range(self.low, self.high)
            return Range(self.low if floor >= 0 else -INF, INF)
        if not self.sure:
            return ANYTHING
        if complete:
            return Range(self.low, self.high)
        return Range(self.low, INF) if which == "largest" else Range(min(floor, self.low), self.high)


def meet(world: World, held: list[tuple[States, Any]], adds: Iterable[tuple[States, Any]], join: Callable[[Any, Any], Any]) -> list[tuple[States, Any]]:
    """Two partitions of the states laid over one another; pieces with the same outcome are joined again."""
    nothing = world.nothing
    out: dict[Any, States] = {}
    adds = list(adds)
    world.spend(len(held) * len(adds))
    for states, value in held:
        for more, other in adds:
            both = states & more
            if both != nothing:
                joined = join(value, other)
                out[joined] = out[joined] | both if joined in out else both
    if len(out) > MOST_PIECES:
        raise TooMuchWork("too many pieces of states")
    return [(states, value) for value, states in out.items()]


def surely_has(found: tuple[str | None, Reading]) -> Truth:
    """Whether a part exists: named, said to be none, or not known."""
    name, reading = found
    if name is not None:
        return YES
    if reading.value is NO or (reading.value == frozenset() and reading.gap is None and not reading.wants):
        return NO
    # "One of these" is still one.
    return YES if isinstance(reading.value, frozenset) and len(reading.value) > 1 else UNKNOWN
