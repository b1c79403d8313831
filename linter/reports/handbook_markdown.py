"""The handbook as Markdown, for a wiki or a repository."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from linter.language.plainly import Plain
from linter.packs.handbook import Entry, Handbook, Shown
from linter.reports import handbook as parts
from linter.reports import one_ending
from linter.reports.markdown import escaped


def markdown(book: Handbook) -> str:
    """The whole handbook."""
    return one_ending(_lines(book))


def _lines(book: Handbook) -> Iterator[str]:
    yield f"# {escaped(parts.title(book))}"
    for about in book.packs:
        yield ""
        if about.says:
            yield escaped(about.says)
            yield ""
        yield f"*{escaped(parts.edition(about))}*"
    if book.changes:
        yield from ("", "**What is changed of the packs below**", "", *(f"- {escaped(change)}" for change in book.changes))
    yield from ("", escaped(parts.CARE), "", escaped(parts.STATES), "")
    yield from _table(("Weight, if it is not met", "Means"), parts.WEIGHTS)
    yield from _table(("Outcome", "Means"), parts.OUTCOMES)
    for chapter in book.chapters:
        yield from (f"## {escaped(parts.heading(chapter, book))}", "")
        for entry in chapter.entries:
            yield from _entry(entry, book)
    if book.limits:
        yield from ("## Limits", "")
        yield from _table(("Limit", "Value", "May be moved", "Set by", "Why"),
                          ((one.name, one.value, f"{one.band}; {parts.stricter(one)}" if one.band else parts.stricter(one), "; ".join(parts.set_by(one)),
                            " ".join(parts.reasons(one))) for one in book.limits))
    yield from ("## Sources", "")
    yield from _table(("Certainty", "Means"), parts.CERTAINTY)
    for about in book.packs:
        yield from (f"- {escaped(', '.join(text for _, text in fields))}" for fields in about.sources)
        yield from ("", *(line for text in (about.licence, about.note) if text for line in (escaped(text), "")))
    yield from ("## Coverage", "", parts.COVERAGE, "")
    yield from _table(("Practice", "Pack", "Weight", "Examples", *(outcome for outcome, _ in parts.OUTCOMES)),
                      ((parts.named(one), one.pack, one.weight, str(one.examples), *(str(count) for _, count in one.outcomes)) for one in book.covered))
    if book.left_out:
        yield from ("Left out, with the reason:", "")
        yield from _table(("Practice", "Pack", "Because"), book.left_out)
    yield from ("## Words", "")
    yield from _table(("Word", "Meaning"), book.glossary)


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    yield f"| {' | '.join(head)} |"
    yield f"|{' --- |' * len(head)}"
    for row in rows:
        yield f"| {' | '.join(escaped(cell) for cell in row)} |"
    yield ""


def _entry(entry: Entry, book: Handbook) -> Iterator[str]:
    yield from (f"### {escaped(entry.name)}", "", f"**{escaped(entry.says)}** ({entry.weight})", "", f"- **Looks at:** {escaped(entry.plain.looks)}")
    if entry.plain.passing is not None:
        yield from _clauses("Passed over", entry.plain.passing)
    yield from _clauses("Met when", entry.plain.demand)
    for label, text in (("Why", entry.because), ("Practice", entry.follows), ("If not met", entry.remedy)):
        yield f"- **{label}:** {escaped(text)}"
    for label, how in entry.plain.figures:
        yield f"- **Also told:** {escaped(label)}: {escaped(how)}"
    for name, how in entry.readings:
        yield f"- **Worked out:** {escaped(name)}: {escaped(how)}"
    for step in entry.moved:
        yield f"- **Changed:** {escaped(f'{step.pack} made it {step.text}: {step.because}')}"
    if entry.formerly:
        yield f"- **Formerly:** {escaped(', '.join(entry.formerly))}"
    for text, certainty in entry.rests:
        yield f"- **Rests on:** {escaped(text)} ({escaped(certainty)})"
    yield ""
    limits = [limit for limit in book.limits if limit.name in entry.limits]
    if limits:
        yield from _table(("Limit", "Value", "Band", "Set by"), ((one.name, one.value, one.band, "; ".join(parts.set_by(one))) for one in limits))
    if entry.asked:
        yield from _table(("Write", "Question", "How to find out"), ((one.key, one.question, one.how) for one in entry.asked))
    for example in entry.examples:
        yield from _example(example)


def _clauses(label: str, plain: Plain) -> Iterator[str]:
    for depth, text in plain.lines():
        yield f"- **{label}:** {escaped(text)}" if depth == 0 else f"{'  ' * depth}- {escaped(text)}"


def _example(example: Shown) -> Iterator[str]:
    yield f"Example: {escaped(example.says)}" + (f" As {escaped(example.like)}, but:" if example.like else "")
    yield ""
    comes = ((f"comes out: {names}", outcome + (f"; {more}" if more else "")) for names, outcome, more in example.comes)
    yield from _table(("Thing", "Told"), (*example.rows, *comes))
