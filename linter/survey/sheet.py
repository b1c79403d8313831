"""Facts of one element, or of all, each with its working: for `tugtest facts` and for whoever doubts a number."""

from __future__ import annotations

from dataclasses import dataclass

from linter.base.reading import Reading, Step, Value
from linter.base.span import Span
from linter.base.text import listed
from linter.base.truth import Truth
from linter.base.values import Range
from linter.facts.book import Book
from linter.facts.saying import whole_working
from linter.language.world import TooMuchWork
from linter.units.table import write_range
from linter.vocabulary import Word


@dataclass(frozen=True, slots=True)
class FactLine:
    """One word said of one element.

    Attributes:
        word: Of the vocabulary.
        meaning: One line.
        value: In words, with its unit.
        how: stated, measured, assumed, worked out, unknown ...
        at: Where it was written.
        when: States it holds in, "" for all.
        why_not: Why it is not known, "" if it is.
        wants: Facts that would settle it.
        through: Elements to name with it.
        working: Lines of working, in order.
    """

    word: str
    meaning: str
    value: str
    how: str
    at: Span | None
    when: str
    why_not: str
    wants: tuple[str, ...]
    through: tuple[str, ...]
    working: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """All facts of one element."""

    element: str
    kind: str
    title: str
    at: Span
    stated: tuple[FactLine, ...]
    computed: tuple[FactLine, ...]


def said_value(row: Word | None, value: Value) -> str:
    """A value in words."""
    if isinstance(value, Truth):
        return {Truth.YES: "yes", Truth.NO: "no", Truth.UNKNOWN: "not known"}[value]
    if isinstance(value, frozenset):
        # Of a text (places passed) all hold; of a choice, one of them does.
        return listed(sorted(value), "and" if row is not None and row.gives == "text" else "or", most=20) if value else "not known"
    if row is None or row.dimension is None:
        return _plain_range(value)
    return write_range(value, row.dimension, percent=row.gives == "share")


def _plain_range(value: Range) -> str:
    return f"{value.low:g}" if value.known else f"{value.low:g} to {value.high:g}"


def sheet_of(book: Book, name: str) -> Sheet | None:
    """Facts of one element, None if there is no such element. Facts nobody has described how to work out are left out."""
    element = book.element(name)
    if element is None:
        return None
    stated: list[FactLine] = []
    computed: list[FactLine] = []
    for row in sorted(book.words_known.words_of(element.kind), key=lambda row: row.word):
        if row.sort == "relation" or (row.stated and row.word not in element.properties and not row.assume):
            continue
        (stated if row.stated else computed).extend(_lines(book, name, row))
    return Sheet(name, element.kind, element.title, element.at, tuple(stated), tuple(computed))


def _lines(book: Book, name: str, row: Word) -> list[FactLine]:
    book.begin()
    try:
        pieces = book.readings(row.word, name)
    except TooMuchWork as much:
        return [FactLine(row.word, row.meaning, "not known", "unknown", None, "", f"too much work: {much}", (), (), ())]
    lines = []
    for states, reading in pieces:
        when = "" if len(pieces) == 1 or states == book.everything else book.describe_states(states)
        lines.append(_line(book, name, row, reading, when or (book.describe_states(reading.states) if reading.states is not None else "")))
    return lines


def _line(book: Book, name: str, row: Word, reading: Reading, when: str) -> FactLine:
    return FactLine(row.word, row.meaning, said_value(row, reading.value), reading.how, reading.at, when, reading.gap.reason if reading.gap else "",
                    tuple(sorted(str(want) for want in reading.wants)), reading.through,
                    whole_working(book, row.word, name, reading))
