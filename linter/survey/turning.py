"""Where a verdict turns, found by trial: one stated quantity is supposed otherwise, everything is worked out anew, and the edge is closed in on.

For facts that stand in the deciding comparison itself `language.tipping` solves it; this is for those that lie deeper, such as the length
behind a drop. A tip is only given where it holds together: the verdict is the same on every trial of either side of the edge.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit, with_stated
from linter.facts.book import INSTALLATION, Book
from linter.language.judge import Judgement, compile_practice
from linter.language.typed import Checked, Practice
from linter.language.world import TooMuchWork
from linter.survey.record import CANNOT_TELL, MET, NOT_MET, WEIGHTS, Survey
from linter.units import dimension as d
from linter.units.table import write
from linter.vocabulary import Word

# What is tried at the ends where nobody says: from hardly anything to far more than any vehicle holds, SI.
_ENDS: dict[d.Dimension, tuple[float, float]] = {
    d.LENGTH: (1e-3, 100.0), d.CURRENT: (0.01, 20e3), d.VOLTAGE: (0.5, 120.0), d.RESISTANCE: (1e-6, 10.0), d.CHARGE: (3600.0, 3600e4),
    d.POWER: (0.1, 50e3), d.TEMPERATURE: (-60.0, 160.0), d.TIME: (1.0, 400 * 86400.0), d.CAPACITANCE: (1e-6, 10.0), d.AREA: (1e-7, 2e-3),
}
# Conductors that can be bought, mm².
_SIZES = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0)
# Trials of one survey: each works the facts of one practice out anew.
MOST_TRIALS = 200


class Turning:
    """Trials on one circuit. Books are kept, so that findings that hang on one fact share them.

    Args:
        circuit: As described.
        checked: Packs in effect.
        assume: As the book it is compared with.
    """

    def __init__(self, circuit: Circuit, checked: Checked, *, assume: bool) -> None:
        self.circuit, self.checked, self.assume = circuit, checked, assume
        self.left = MOST_TRIALS
        self._books: dict[tuple[FactRef, float], Book] = {}
        self._judges: dict[str, Callable[[Book, str], Judgement]] = {}

    def tip(self, practice: Practice, element: str, ref: FactRef, row: Word) -> str:
        """ "3.5 m or less is met, more is not", "" if there is no such edge or the trials are used up."""
        if row.gives == "size":
            return self._size(practice, element, ref)
        ends = _ENDS.get(row.dimension) if row.dimension is not None else None
        if ends is None or row.dimension is None:
            return ""
        grid = _grid(*ends, row.floor, row.dimension)
        at_low, at_high = (self._outcome(practice, element, ref, value) for value in (grid[0], grid[-1]))
        if (at_low == MET) == (at_high == MET) or "" in (at_low, at_high):
            return ""
        low_is_met = at_low == MET
        low, high = 0, len(grid) - 1
        while high - low > 1:
            middle = (low + high) // 2
            if (self._outcome(practice, element, ref, grid[middle]) == MET) == low_is_met:
                low = middle
            else:
                high = middle
        edge, other = (low, high) if low_is_met else (high, low)
        if not self._holds(practice, element, ref, grid, (low, high), low_is_met):
            return ""
        beyond = self._outcome(practice, element, ref, grid[other])
        text = write(grid[edge], row.dimension, percent=row.gives == "share")
        return f"{text} or {'less' if low_is_met else 'more'} is met" + (f", {'more' if low_is_met else 'less'} is not" if beyond == NOT_MET else "")

    def _size(self, practice: Practice, element: str, ref: FactRef) -> str:
        """The thinnest size of those that can be bought from which all thicker ones are met too."""
        outcomes = [self._outcome(practice, element, ref, size * 1e-6) for size in _SIZES]
        if "" in outcomes or outcomes[0] == MET or outcomes[-1] != MET:
            return ""
        first = next(n for n in range(len(outcomes)) if all(outcome == MET for outcome in outcomes[n:]))
        if MET in outcomes[:first]:
            return ""
        return f"{_SIZES[first]:g} mm² or thicker is met" + (", thinner is not" if outcomes[first - 1] == NOT_MET else "")

    def _holds(self, practice: Practice, element: str, ref: FactRef, grid: list[float], edge: tuple[int, int], low_is_met: bool) -> bool:
        """Whether a trial half way to either end agrees, so that "or less" is true; the ends themselves were tried first."""
        below, above = grid[edge[0] // 2], grid[(edge[1] + len(grid) - 1) // 2]
        return ((self._outcome(practice, element, ref, below) == MET) == low_is_met
                and (self._outcome(practice, element, ref, above) == MET) != low_is_met)

    def _outcome(self, practice: Practice, element: str, ref: FactRef, value: float) -> str:
        """The verdict with one fact supposed, "" when no trials are left."""
        if self.left <= 0:
            return ""
        self.left -= 1
        book = self._books.get((ref, value))
        if book is None:
            book = self._books[ref, value] = Book(_supposing(self.circuit, ref, value), assume=self.assume)
        judge = self._judges.get(practice.name)
        if judge is None:
            judge = self._judges[practice.name] = compile_practice(practice, self.checked)
        book.begin()
        try:
            return judge(book, element).outcome
        except TooMuchWork:
            return CANNOT_TELL


def with_tips(survey: Survey, checked: Checked, book: Book) -> Survey:
    """The survey, with tipping values on questions that have none yet, those of heavy practices first."""
    turning = Turning(book.circuit, checked, assume=book.assume)
    findings = list(survey.findings)
    for number in sorted(range(len(findings)), key=lambda n: WEIGHTS.index(findings[n].weight)):
        finding = findings[number]
        practice = checked.practice(finding.practice)
        if finding.outcome != CANNOT_TELL or practice is None or (not finding.element and practice.look.kind != "installation"):
            continue
        tried = dict(worth_trying(book, finding.element, (FactRef(q.element, q.word) for q in finding.questions if not q.tips)))
        tips = {(ref.element, ref.word): turning.tip(practice, finding.element, ref, row) for ref, row in tried.items()}
        findings[number] = replace(finding, questions=tuple(replace(q, tips=q.tips or tips.get((q.element, q.word), "")) for q in finding.questions))
    return replace(survey, findings=tuple(findings))


def _supposing(circuit: Circuit, ref: FactRef, value: float) -> Circuit:
    exact = Reading(Range(value, value), "supposed")
    new = {ref.word: exact}
    if ref.word == "size":
        new = {"size": Reading(frozenset({f"{value * 1e6:g} mm²"}), "supposed"), "area": exact, "size-system-known": Reading(Truth.YES, "supposed")}
    return with_stated(circuit, {ref.element: new})


@cache
def _grid(low: float, high: float, floor: float | None, dimension: d.Dimension) -> list[float]:
    """What can be named: numbers of three digits, or for temperatures whole degrees. The same for all findings, so that they share trials."""
    if dimension == d.TEMPERATURE:
        return [float(degree) for degree in range(int(low), int(high) + 1)]
    # In the unit people use, or three digits of m² are not three digits of mm².
    unit = 3600.0 if dimension in (d.CHARGE, d.TIME) else 1.0
    decades = range(math.floor(math.log10(low / unit)), math.ceil(math.log10(high / unit)))
    values = [float(f"{digits}e{decade - 2}") * unit for decade in decades for digits in range(100, 1000)]
    return [value for value in values if floor is None or value >= floor]


def worth_trying(book: Book, element: str, used: Iterable[FactRef]) -> list[tuple[FactRef, Word]]:
    """Stated quantities among those a verdict rests on: those of the element itself first, then in the order given; six at most."""
    found: list[tuple[FactRef, Word]] = []
    for ref in sorted(dict.fromkeys(used), key=lambda ref: ref.element != element):
        word = "size" if ref.word in ("area", "size-system-known") else ref.word
        row = book.row(word, ref.element)
        known = ref.element == INSTALLATION or ref.element in book.circuit.elements
        if known and row is not None and row.sort == "property" and (row.gives == "size" or row.dimension in _ENDS):
            pair = (FactRef(ref.element, word), row)
            if pair not in found:
                found.append(pair)
    return found[:6]
