"""Findings explained to the end: the card with its values filled in, who set each limit and why, and where the verdict would turn."""

from __future__ import annotations

from dataclasses import dataclass, replace

from linter.base.gap import FactRef
from linter.facts.book import Book
from linter.language.filled import Clause, fill
from linter.language.plainly import units
from linter.language.typed import Checked, LimitInEffect
from linter.language.world import TooMuchWork
from linter.packs.effect import Packs
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, Finding, Question, Survey
from linter.survey.turning import Turning, worth_trying

_WORTH_IT = (NOT_MET, CANNOT_TELL, DEPARTED)
_VERB = {"tighten": "tightened to", "loosen": "loosened to", "adopt": "adopted at"}


@dataclass(frozen=True, slots=True)
class SetBy:
    """One pack that set a limit, with its reason."""

    pack: str
    how: str
    text: str
    because: str
    agreed_by: str
    until: str

    def __str__(self) -> str:
        """ "tightened to 150 mm by our-yard: a reason"."""
        signed = f" (agreed by {self.agreed_by}, until {self.until})" if self.agreed_by else ""
        return f"{self.how} {self.text} by {self.pack}: {self.because}{signed}"


@dataclass(frozen=True, slots=True)
class LimitTold:
    """A limit the verdict rests on, with all who set it, first to last."""

    name: str
    value: str
    chain: tuple[SetBy, ...]


@dataclass(frozen=True, slots=True)
class Turn:
    """A fact, and the value at which the comparison that decides would turn, with all else as it is."""

    fact: str
    element: str
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class Explained:
    """Why, and what would turn it.

    Attributes:
        applies: What the card looks at and passes over, filled in.
        demand: What it asks, filled in.
        limits: With their history.
        turns: Tipping values.
        way: Elements of the way that decides, in order; empty where no way is judged.
    """

    applies: tuple[Clause, ...]
    demand: tuple[Clause, ...]
    limits: tuple[LimitTold, ...]
    turns: tuple[Turn, ...]
    way: tuple[str, ...]


def explained(survey: Survey, packs: Packs, book: Book) -> Survey:
    """The survey, with every finding on an element explained to the end.

    Args:
        survey: Of this book, held against these packs.
        packs: In effect.
        book: Of the installation.
    """
    turning = Turning(book.circuit, packs.checked, assume=book.assume)
    return replace(survey, findings=tuple(_one(finding, packs.checked, book, turning) for finding in survey.findings))


def _one(finding: Finding, checked: Checked, book: Book, turning: Turning) -> Finding:
    practice = checked.practice(finding.practice)
    if practice is None or finding.outcome not in _WORTH_IT or (not finding.element and practice.look.kind != "installation"):
        return finding
    book.begin()
    try:
        told, filled = fill(practice, checked, book, finding.element)
    except TooMuchWork:
        return finding
    tips = {ref: text for ref, text in filled.tips if text}
    # What is asked was tried before, for the questions.
    tips |= {FactRef(question.element, question.word): question.tips for question in finding.questions if question.tips}
    for ref, row in worth_trying(book, finding.element, (used.ref for used in told.facts)) if finding.outcome != CANNOT_TELL else ():
        if ref not in tips and (text := turning.tip(practice, finding.element, ref, row)):
            tips[ref] = text
    # What is stated can be changed with a spanner; what is worked out only follows from it.
    stated = {ref: text for ref, text in tips.items() if (row_of := book.row(ref.word, ref.element)) is not None and row_of.stated}
    tips = stated or tips
    turns = tuple(Turn(Question(ref.element, ref.word, "", "").name, ref.element, ref.word, text) for ref, text in tips.items())
    limits = tuple(_limit(checked.limits[limit.name]) for limit in told.limits)
    return replace(finding, explained=Explained(filled.applies, filled.demand, limits, turns, filled.way))


def _limit(limit: LimitInEffect) -> LimitTold:
    chain = tuple(SetBy(step.pack, _VERB.get(step.verb, "set to"), units(step.text), step.because or limit.card.because, step.agreed_by, step.until)
                  for step in limit.chain)
    return LimitTold(limit.name, units(limit.text), chain)
