"""A value of one fact, with how it is known and what is still open about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from linter.base.gap import FactRef, Gap
from linter.base.span import Span
from linter.base.truth import Truth
from linter.base.values import Range

# A value is a Range (quantities, SI), a Truth (yes-no), a frozenset of words (choices: one word is known, several are "one of"),
# or a tuple of ingress codes written as a str inside a frozenset.
Value = Range | Truth | frozenset[str]


@dataclass(frozen=True, slots=True)
class Step:
    """One line of working.

    Attributes:
        name: The quantity worked out, in words.
        formula: In words and symbols.
        numbers: The formula with numbers and units put in.
        source: Author, title, clause, or "physics".
        known: How each input is known: ("length of W17", "4.2 m", "stated, line 96").
    """

    name: str
    formula: str
    numbers: str
    source: str
    known: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """What is known of one fact.

    Attributes:
        value: Range in SI, Truth, or the set of words it may be. Unknown quantities are "floor to inf", unknown words the empty set.
        how: stated, measured, marked, maker's sheet, assumed, worked out, unknown.
        at: Where it was written, if it was.
        gap: Set when the value is missing altogether (and for every missing input: see wants).
        wants: Facts whose lack or width leaves this value open; empty when it is known exactly.
        uses: Facts it was worked out from (stated ones; not transitively repeated).
        states: State set that causes this value (the worst), or None if it does not depend on state.
        through: Elements to name with it: the way, the load that causes it, the device nearest.
        working: Makes the working when asked; never called on the fast path.
    """

    value: Value
    how: str = "stated"
    at: Span | None = None
    gap: Gap | None = None
    wants: frozenset[FactRef] = frozenset()
    uses: frozenset[FactRef] = frozenset()
    states: Any = None
    through: tuple[str, ...] = ()
    working: Callable[[], tuple[Step, ...]] | None = field(default=None, compare=False)
