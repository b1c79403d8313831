"""Three-valued truth. A verdict is never taken for granted because something is unknown."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum


class Truth(Enum):
    """Yes, no, or not known."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"

    def __bool__(self) -> bool:
        # `if truth:` would quietly take UNKNOWN for YES.
        raise TypeError("a Truth is one of three: compare it with YES, NO or UNKNOWN")

    def __invert__(self) -> Truth:
        return _NOT[self]


_NOT = {Truth.YES: Truth.NO, Truth.NO: Truth.YES, Truth.UNKNOWN: Truth.UNKNOWN}


def truth(value: bool) -> Truth:
    """A settled truth from a plain boolean."""
    return Truth.YES if value else Truth.NO


def all_of(parts: Iterable[Truth]) -> Truth:
    """NO if any part is NO, YES if all are YES, else UNKNOWN."""
    result = Truth.YES
    for part in parts:
        if part is Truth.NO:
            return Truth.NO
        if part is Truth.UNKNOWN:
            result = Truth.UNKNOWN
    return result


def any_of(parts: Iterable[Truth]) -> Truth:
    """YES if any part is YES, NO if all are NO, else UNKNOWN."""
    result = Truth.NO
    for part in parts:
        if part is Truth.YES:
            return Truth.YES
        if part is Truth.UNKNOWN:
            result = Truth.UNKNOWN
    return result
