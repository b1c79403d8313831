"""What moved between two surveys of one installation: the same practice and element, two outcomes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linter.survey.record import CANNOT_TELL, DEPARTED, DOES_NOT_APPLY, MET, NOT_MET, NOTHING, WEIGHTS, Survey

GONE = "not in the pack"
# How much each outcome stands in the way; a rise is tighter, a fall looser. "Does not apply" asks least: nothing is looked at.
_HEIGHT = {GONE: 0, DOES_NOT_APPLY: 1, NOTHING: 1, MET: 2, CANNOT_TELL: 3, DEPARTED: 4, NOT_MET: 4}


@dataclass(frozen=True, slots=True)
class Move:
    """One practice on one element that came out otherwise.

    Attributes:
        practice: By its name after.
        weight: After, or before if the practice is gone.
        element: "" for the installation itself.
        was, now: Outcomes; `GONE` where one side has no such practice.
    """

    practice: str
    weight: str
    element: str
    was: str
    now: str

    @property
    def way(self) -> str:
        """tighter, looser, or "" when neither."""
        before, after = _HEIGHT[self.was], _HEIGHT[self.now]
        return "tighter" if after > before else "looser" if after < before else ""


def moves(before: Survey, after: Survey, renamed: Mapping[str, str] | None = None) -> tuple[Move, ...]:
    """What moved, the heaviest first, then by practice and in file order.

    Args:
        before, after: Of one installation.
        renamed: Earlier name of a practice to its name after.
    """
    old = _pairs(before, renamed or {})
    new = _pairs(after, {})
    weights = {judged.practice: judged.weight for survey in (after, before) for judged in survey.judged}
    weights |= {judged.practice: judged.weight for judged in after.judged}
    found = []
    for practice, element in dict.fromkeys((*old, *new)):
        was, now = old.get((practice, element), GONE), new.get((practice, element), GONE)
        if was != now:
            found.append(Move(practice, weights.get(practice, "notice"), element, was, now))
    return tuple(sorted(found, key=lambda move: (WEIGHTS.index(move.weight), move.practice)))


def _pairs(survey: Survey, renamed: Mapping[str, str]) -> dict[tuple[str, str], str]:
    return {(renamed.get(judged.practice, judged.practice), element): outcome
            for judged in survey.judged for outcome, elements in judged.outcomes for element in elements}
