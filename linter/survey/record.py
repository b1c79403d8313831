"""What a survey says: plain frozen values that every report is a pure function of."""

from __future__ import annotations

import datetime
import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linter.base.span import Span

if TYPE_CHECKING:
    from linter.language.explain import FoundValue
    from linter.survey.also import Also
    from linter.survey.explained import Explained

WEIGHTS = ("danger", "warning", "caution", "notice")

MET, NOT_MET, CANNOT_TELL, DOES_NOT_APPLY = "met", "not met", "cannot tell", "does not apply"
DEPARTED, NOTHING = "departed from", "nothing to look at"
OUTCOMES = (NOT_MET, CANNOT_TELL, DEPARTED, NOTHING, MET, DOES_NOT_APPLY)

# Said in every report: silence about these would read as approval.
NOT_LOOKED_AT = ("mains side", "gas", "weight and axle load", "structure and fixings", "radio interference")
DISCLAIMER = ("These are generic practices, not your local code. Live batteries can burn and blind: cover posts, take rings off, "
              "and have a qualified installer check the work.")


def heavy_enough(weight: str, threshold: str) -> bool:
    """Whether `weight` is at or above `threshold`."""
    return WEIGHTS.index(weight) <= WEIGHTS.index(threshold)


def fingerprint(practice: str, *elements: str) -> str:
    """Stable name of a finding: practice and element names only, so that moved lines reopen nothing."""
    return hashlib.sha256("\0".join((practice, *elements)).encode("utf-8", "surrogatepass")).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact or limit that a verdict rests on, in words.

    Attributes:
        name: "length of W17", "limit fuse-reach".
        value: "4.2 m".
        how: stated, measured, marked, assumed, worked out; for a limit, who set it.
        at: Where it was written, if it was.
    """

    name: str
    value: str
    how: str
    at: Span | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """A fact that would settle a "cannot tell".

    Attributes:
        element: Name; "" for the installation itself.
        word: Word of the vocabulary.
        asks: "How long is it?"
        how: "string along the way, then a tape".
        tips: Value at which the verdict turns, in words; "" if none is known.
    """

    element: str
    word: str
    asks: str
    how: str
    tips: str = ""

    @property
    def name(self) -> str:
        """"length of W17"."""
        words = self.word.replace("-", " ")
        return f"{words} of {self.element}" if self.element else words


@dataclass(frozen=True, slots=True)
class When:
    """The operating states that decide a finding.

    Attributes:
        said: In words, "K2 on"; "" if the verdict does not hang on the state.
        count: How many they are, None if not counted.
        of: How many there are in all, None if not counted.
    """

    said: str = ""
    count: int | None = None
    of: int | None = None

    def __str__(self) -> str:
        if not self.said:
            return ""
        return f"{self.said}: {self.count} of {self.of} states" if self.count is not None and self.of is not None else self.said


@dataclass(frozen=True, slots=True)
class Agreed:
    """An agreed departure that stands against a finding."""

    because: str
    agreed_by: str
    until: str
    at: Span


@dataclass(frozen=True, slots=True)
class Finding:
    """One practice that is not plainly met on one element.

    Attributes:
        practice: Its name.
        pack: Pack it comes from.
        weight: In force, after house packs.
        outcome: not met, cannot tell, departed from, or nothing to look at.
        element, kind, title, place: What it is about; element is "" for the installation itself.
        at: Where the element is described.
        headline: Stands alone in a narrow window.
        deciding: What was found and what is asked, side by side, one pair for each deciding part, with numbers and units.
        why, mend, follows: The pack's own sentences (pack text).
        figures: Numbers worked out for the mend: "Largest fuse for this wire: 18.8 A".
        when: Deciding states.
        facts: What the verdict rests on.
        questions: What would settle it.
        through: Elements on the way, or causing it.
        remarks: Short remarks: "no way between them", "too much work".
        agreed: The departure, if one stands.
        fingerprint: See `fingerprint`.
        values: Numbers of the deciding comparisons, for departures that hold only while they get no worse.
        explained: The card filled in, when `--explain` asked for it (`survey.explained`).
    """

    practice: str
    pack: str
    weight: str
    outcome: str
    element: str
    kind: str
    title: str
    place: str
    at: Span
    headline: str
    deciding: tuple[tuple[str, str], ...]
    why: str
    mend: str
    follows: str
    figures: tuple[str, ...] = ()
    when: When = When()
    facts: tuple[Fact, ...] = ()
    questions: tuple[Question, ...] = ()
    through: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    agreed: Agreed | None = None
    fingerprint: str = ""
    explained: Explained | None = None
    values: tuple[FoundValue, ...] = ()

    @property
    def found(self) -> str:
        """All that was found, on one line."""
        return "; ".join(dict.fromkeys(found for found, _ in self.deciding if found))

    @property
    def asked(self) -> str:
        """All that is asked, on one line."""
        return "; ".join(dict.fromkeys(asked for _, asked in self.deciding if asked))

    @property
    def mending(self) -> str:
        """What to do, with its figures."""
        return " ".join(part for part in (self.mend, *(f"{figure}." for figure in self.figures)) if part)


@dataclass(frozen=True, slots=True)
class Judged:
    """What one practice said of every element it looked at, by outcome."""

    practice: str
    pack: str
    weight: str
    says: str
    outcomes: tuple[tuple[str, tuple[str, ...]], ...]

    def of(self, outcome: str) -> tuple[str, ...]:
        """Elements with this outcome, in file order."""
        for name, elements in self.outcomes:
            if name == outcome:
                return elements
        return ()


@dataclass(frozen=True, slots=True)
class PackUsed:
    """A pack the survey was held against, pinned by its content."""

    name: str
    title: str
    edition: str
    content: str
    house: bool = False


@dataclass(frozen=True, slots=True)
class Taken:
    """An assumption the survey rests on: what was taken for a fact that was not stated."""

    elements: tuple[str, ...]
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about departures or house packs that the reader must hear.

    Attributes:
        sort: "departure lapsed", "departure unmatched", "departure soon lapsing", "departure not honoured", "loosened", "retired", "lowered" ...
        text: A whole sentence.
        at: Where it is written.
    """

    sort: str
    text: str
    at: Span | None = None


@dataclass(frozen=True, slots=True)
class Summary:
    """The numbers of a survey.

    Attributes:
        counts: (outcome, weight) to how many practice-element pairs.
        packs: In the order they build on one another.
        taken_as: Assumptions used.
        assumed: False if assumptions were switched off.
        listed: "everything", or what is still open.
        parts, wires, runs: How many are described.
        states: How many operating states are reachable, None if they were not counted.
        not_looked_at: Always said.
        house: What house packs adopt, loosen, retire, lower, raise or tighten.
        departures: Departures that need attention.
        supposed: What was supposed for this run and stands in no description.
    """

    counts: tuple[tuple[str, str, int], ...]
    packs: tuple[PackUsed, ...] = ()
    taken_as: tuple[Taken, ...] = ()
    assumed: bool = True
    listed: str = "everything"
    parts: int = 0
    wires: int = 0
    runs: int = 0
    states: int | None = None
    not_looked_at: tuple[str, ...] = NOT_LOOKED_AT
    house: tuple[Remark, ...] = ()
    departures: tuple[Remark, ...] = ()
    supposed: tuple[Remark, ...] = ()

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """All that the reader must hear before the findings."""
        return (*self.supposed, *self.house, *self.departures)

    def count(self, outcome: str, weight: str | None = None) -> int:
        """How many pairs came out so, of one weight or of all."""
        return sum(n for o, w, n in self.counts if o == outcome and weight in (None, w))


@dataclass(frozen=True, slots=True)
class Survey:
    """One installation held against its packs.

    Attributes:
        file, title: Of the description.
        on: Date of the run: departures lapse by it.
        findings: Worst first.
        judged: Every practice, with every element.
        summary: The numbers.
        also: How it stands against variants, where any were asked for (`survey.also`); they change nothing above.
    """

    file: str
    title: str
    on: datetime.date
    findings: tuple[Finding, ...]
    judged: tuple[Judged, ...]
    summary: Summary
    also: tuple[Also, ...] = ()


def in_order(findings: list[Finding], element_order: dict[str, int]) -> tuple[Finding, ...]:
    """Worst first: danger not met; then warning not met and what cannot be told at danger or warning; then the rest by weight.

    A "cannot tell" at danger stands before a "not met" at caution: not knowing whether somebody can be killed is worse than knowing of a burn.
    Within a weight, what is wrong in more of the operating states comes first. Findings of one practice stay together; inside it, file order.
    """
    share: dict[tuple[str, str], float] = {}
    for one in findings:
        part = one.when.count / one.when.of if one.when.count is not None and one.when.of else 1.0
        share[one.practice, one.outcome] = max(part, share.get((one.practice, one.outcome), 0.0))

    def key(finding: Finding) -> tuple[int, int, float, str, int, str]:
        heavy = heavy_enough(finding.weight, "warning")
        if finding.outcome == NOT_MET:
            rank = 0 if finding.weight == "danger" else 1 if heavy else 3
        elif finding.outcome == CANNOT_TELL:
            rank = 2 if heavy else 4
        else:
            rank = 5 if finding.outcome == DEPARTED else 6
        seldom = -share[finding.practice, finding.outcome] if finding.outcome == NOT_MET else 0.0
        return (rank, WEIGHTS.index(finding.weight), seldom, finding.practice, element_order.get(finding.element, -1), finding.element)

    return tuple(sorted(findings, key=key))


def exit_status(surveys: tuple[Survey, ...], fail_at: str = "warning", fail_on_unknown: str | None = "warning") -> int:
    """0 nothing to stop for, 1 something at or above `fail_at` is not met, 3 only "cannot tell" at or above `fail_on_unknown` (None: never)."""
    findings = [finding for survey in surveys for finding in survey.findings]
    if any(f.outcome == NOT_MET and heavy_enough(f.weight, fail_at) for f in findings):
        return 1
    if fail_on_unknown is not None and any(f.outcome == CANNOT_TELL and heavy_enough(f.weight, fail_on_unknown) for f in findings):
        return 3
    return 0
