"""The vocabulary as text: what may be said, with its meaning and how it is found out."""

from __future__ import annotations

from collections.abc import Iterable

from linter.base.text import listed
from linter.reports import one_ending
from linter.reports.page import WIDTH, labelled, paragraph, wrap
from linter.units.dimension import said
from linter.vocabulary import Vocabulary, Word

_SORTS = (("property", "A description states"), ("attested", "Somebody signs for, under attested"), ("fact", "Worked out"),
          ("relation", "Said of it in a state, or of it and another thing"))


def _gives(row: Word) -> str:
    if row.dimension is not None:
        return said(row.dimension)
    if row.gives == "choice":
        return "one of " + listed(list(row.choices), "or", most=20)
    return {"yes-no": "yes or no, said with \"is\"", "fitting": "fitted or none, said with \"has\"", "size": "a conductor size", "ingress": "a protection code",
            "text": "names", "": ""}.get(row.gives, f"a {row.gives}")


def _written(row: Word) -> str:
    return f"{row.key}: …" if row.sort == "property" else f"attested: - {{what: {row.key}, on: …, by: …, how: …}}" if row.stated else ""


def overview(vocabulary: Vocabulary, width: int = WIDTH) -> str:
    """Every kind with its meaning."""
    lines = ["Things that may be described:", ""]
    for kind, row in vocabulary.kinds.items():
        lines += labelled(kind.replace("-", " "), row.meaning, width, gap=20)
    lines += ["", *paragraph("`tugtest pack words KIND` lists what may be said of one; `tugtest pack words WORD` explains a word.", width)]
    return one_ending(lines)


def of_kind(vocabulary: Vocabulary, kind: str, width: int = WIDTH) -> str:
    """What may be said of a kind."""
    row = vocabulary.kinds[kind]
    lines = paragraph(f"{kind}: {row.meaning}", width, hang=2)
    more = sorted(vocabulary.ancestors(kind) - {kind})
    lines += labelled("Is also", listed(more, most=20), width)
    lines += labelled("Ends", ", ".join(row.terminals), width)
    for sort, heading in _SORTS:
        rows = sorted((r for r in vocabulary.words_of(kind) if r.sort == sort), key=lambda r: r.word)
        if rows:
            lines += ["", heading + ":"]
            for r in rows:
                lines += _beside(r.key if r.stated else r.word, f"{r.meaning}" + (f" ({_gives(r)})" if _gives(r) else ""), width)
    return one_ending(lines)


def found(vocabulary: Vocabulary, sought: str, width: int = WIDTH) -> str:
    """Kinds and words with these letters in their name, meaning, question or the way they are said; "" if there are none."""
    pieces = sought.lower().replace("-", " ").split()

    def fits(row: Word) -> bool:
        text = " ".join((row.key, row.meaning, row.question, row.how, *row.choices, *row.said)).lower()
        return bool(pieces) and all(piece in text for piece in pieces)
    lines: list[str] = []
    for kind, row in vocabulary.kinds.items():
        if fits(row):
            lines += _beside(kind, row.meaning, width)
    for name, rows in sorted(vocabulary.words.items()):
        for row in rows:
            if fits(row):
                lines += _beside(name, f"{row.meaning}; of {listed([of.replace('-', ' ') for of in row.of], most=4)}", width)
    return one_ending([*paragraph(f'Words that speak of "{" ".join(pieces)}":', width), "", *lines]) if lines else ""


def _beside(name: str, text: str, width: int) -> list[str]:
    left = 26
    if len(name) >= left - 1:
        return [f"  {name}", *(" " * (left + 2) + line for line in wrap(text, width - left - 2))]
    return labelled(name, text, width, gap=left)


def of_word(rows: Iterable[Word], width: int = WIDTH) -> str:
    """One word, in each of its senses."""
    lines: list[str] = []
    for row in rows:
        if lines:
            lines.append("")
        lines += paragraph(f"{row.word}: {row.meaning}", width, hang=2)
        for label, text in (
            ("Said of", listed(list(row.of), most=20)), ("Gives", _gives(row)),
            ("Needs", f"a {row.other} after it" if row.other else ""),
            ("Signed by", listed(list(row.signers), "or")), ("In", "one operating state" if row.state else ""),
            ("Written as", _written(row)), ("Asked as", row.question), ("Found by", row.how),
            ("Taken as", f"{row.assume}, if nothing is said" if row.assume else ""),
        ):
            lines += labelled(label, text, width, gap=12)
    return one_ending(lines)
