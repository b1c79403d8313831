"""Comparisons of known, ranged and unknown values: one function for each of the nine, all inclusion-monotone."""

from __future__ import annotations

import re
from collections.abc import Callable

from linter.base.truth import Truth
from linter.base.values import Range, at_most, below, equal

_CODE = re.compile(r"IP([0-9X])([0-9X])K?\Z")
_IMMERSION = (7, 8)


def _parts(code: str) -> list[tuple[str, str]]:
    found = [_CODE.match(part) for part in code.split("/")]
    return [(match[1], match[2]) for match in found if match]


def _water(have: str, want: str) -> Truth:
    """One water digit against another. Jets (5, 6, 9) and immersion (7, 8) are two ladders; 0 to 4 lie under both."""
    if want == "0":
        return Truth.YES
    if want == "X":
        return Truth.UNKNOWN
    if have == "X":
        return Truth.UNKNOWN
    a, b = int(have), int(want)
    if b in _IMMERSION:
        return Truth.YES if a in _IMMERSION and a >= b else Truth.NO
    if b in (5, 6, 9):
        if a in _IMMERSION:
            return Truth.NO
        return Truth.YES if a >= b else Truth.NO
    return Truth.YES if a >= b else Truth.NO


def _covers_one(have: list[tuple[str, str]], want: tuple[str, str]) -> Truth:
    solids = [Truth.UNKNOWN if "X" in (solid, want[0]) else Truth.YES if int(solid) >= int(want[0]) else Truth.NO for solid, _ in have]
    waters = [_water(water, want[1]) for _, water in have]
    if want[0] == "0":
        solids = [Truth.YES]
    if want[1] == "X" and want[0] != "X":
        # Asking for IP4X says nothing about water.
        waters = [Truth.YES]
    if want[0] == "X":
        solids = [Truth.YES]
    best_solid = _best(solids)
    best_water = _best(waters)
    if Truth.NO in (best_solid, best_water):
        return Truth.NO
    return Truth.YES if best_solid is best_water is Truth.YES else Truth.UNKNOWN


def _best(parts: list[Truth]) -> Truth:
    if Truth.YES in parts:
        return Truth.YES
    return Truth.UNKNOWN if Truth.UNKNOWN in parts else Truth.NO


def covers_code(have: str, want: str) -> bool:
    """Whether one protection code surely covers another."""
    return covers(frozenset({have}), frozenset({want})) is Truth.YES


def covers(left: frozenset[str], right: frozenset[str]) -> Truth:
    """Protection codes: every digit covered. The empty set is an unknown code; several codes mean "one of these"."""
    if not left or not right:
        return Truth.UNKNOWN
    results = set()
    for want in right:
        for have in left:
            a, b = _parts(have), _parts(want)
            if not a or not b:
                return Truth.UNKNOWN
            parts = [_covers_one(a, one) for one in b]
            results.add(Truth.NO if Truth.NO in parts else Truth.UNKNOWN if Truth.UNKNOWN in parts else Truth.YES)
    return results.pop() if len(results) == 1 else Truth.UNKNOWN


def same_words(left: frozenset[str], right: frozenset[str]) -> Truth:
    """Two choices: surely the same, surely different, or not known. The empty set is unknown."""
    if not left or not right:
        return Truth.UNKNOWN
    if not left & right:
        return Truth.NO
    return Truth.YES if len(left) == 1 and left == right else Truth.UNKNOWN


def among(value: frozenset[str], words: frozenset[str]) -> Truth:
    """A choice is one of some words."""
    if not value:
        return Truth.UNKNOWN
    if value <= words:
        return Truth.YES
    return Truth.UNKNOWN if value & words else Truth.NO


def _at_least(a: Range, b: Range) -> Truth:
    return at_most(b, a)


def _above(a: Range, b: Range) -> Truth:
    return below(b, a)


QUANTITY: dict[str, Callable[[Range, Range], Truth]] = {
    "at most": at_most, "below": below, "at least": _at_least, "above": _above, "equal to": equal,
    "thinner than": below, "thicker than": _above, "same size as": equal,
}
