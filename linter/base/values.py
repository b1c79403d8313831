"""Ranges of numbers, and the one rounding grace in which they are compared.

A known number is a range with equal ends. An unknown one is a range from its floor to no upper end. Every operation here returns a
range at least as wide as the truth, and a wider operand never gives a narrower result: promise 1 of the design rests on that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from linter.base.truth import Truth

# One part in 10^9: two numbers nearer than this count as equal, so that "at most 200 mm" holds at exactly 200 mm.
GRACE = 1e-9
INF = math.inf


@dataclass(frozen=True, slots=True)
class Range:
    """All the values a quantity may have, in SI units.

    Attributes:
        low: Smallest, -inf if there is no lower end.
        high: Largest, inf if there is no upper end.
    """

    low: float
    high: float

    @property
    def known(self) -> bool:
        """One value only."""
        return self.low == self.high

    @property
    def bounded(self) -> bool:
        """Both ends are numbers."""
        return math.isfinite(self.low) and math.isfinite(self.high)


def exactly(value: float) -> Range:
    """A known number."""
    return Range(value, value)


def hull(parts: list[Range]) -> Range:
    """The smallest range that holds all of them; parts must not be empty."""
    return Range(min(p.low for p in parts), max(p.high for p in parts))


def _grace(a: float, b: float) -> float:
    if math.isinf(a) or math.isinf(b):
        return 0.0
    return GRACE * max(abs(a), abs(b))


def less_or_equal(a: float, b: float) -> bool:
    """a ≤ b within the grace."""
    return a <= b + _grace(a, b)


def at_most(left: Range, right: Range) -> Truth:
    """left ≤ right."""
    if less_or_equal(left.high, right.low):
        return Truth.YES
    if not less_or_equal(left.low, right.high):
        return Truth.NO
    return Truth.UNKNOWN


def below(left: Range, right: Range) -> Truth:
    """left < right. Equal within the grace is not below."""
    return ~at_most(right, left)


def equal(left: Range, right: Range) -> Truth:
    """left = right."""
    if left.known and right.known and less_or_equal(left.low, right.low) and less_or_equal(right.low, left.low):
        return Truth.YES
    if not less_or_equal(left.low, right.high) or not less_or_equal(right.low, left.high):
        return Truth.NO
    return Truth.UNKNOWN


def plus(a: Range, b: Range) -> Range:
    """Sum of two independent ranges."""
    return Range(a.low + b.low, a.high + b.high)


def minus(a: Range, b: Range) -> Range:
    """Difference of two independent ranges."""
    return Range(a.low - b.high, a.high - b.low)


def _product(x: float, y: float) -> float:
    # 0 × inf: the bound is never reached, the product of the ends is 0.
    return 0.0 if x == 0 or y == 0 else x * y


def times(a: Range, b: Range) -> Range:
    """Product of two independent ranges."""
    ends = [_product(a.low, b.low), _product(a.low, b.high), _product(a.high, b.low), _product(a.high, b.high)]
    return Range(min(ends), max(ends))


def divided_by(a: Range, b: Range) -> Range:
    """Quotient. Without ends if the divisor may be 0 inside its range; a divisor that only touches 0 gives an open end."""
    if b.low <= 0 <= b.high:
        if a.low >= 0 and b.low == 0:
            return Range(0.0 if b.high == 0 else _quotient(a.low, b.high), INF)
        return Range(-INF, INF)
    ends = [_quotient(x, y) for x in (a.low, a.high) for y in (b.low, b.high)]
    return Range(min(ends), max(ends))


def _quotient(x: float, y: float) -> float:
    if math.isinf(y):
        return 0.0 if not math.isinf(x) else math.copysign(INF, x) * math.copysign(1.0, y)
    return x / y
