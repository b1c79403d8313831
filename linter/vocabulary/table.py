"""Reading the vocabulary table, and the questions the other rooms ask of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

from linter import shelf
from linter.units.dimension import NAMED, Dimension

COLUMNS = ("word", "sort", "of", "gives", "under", "other", "floor", "meaning", "question", "how", "assume", "said")


@dataclass(frozen=True, slots=True)
class Word:
    """One word.

    Attributes:
        word: With hyphens, as a practice says it.
        sort: kind, property (stated), attested (stated by a record somebody signed), fact (worked out) or relation.
        of: Kinds it is said of; for a kind, its parents.
        gives: A dimension's name, size, ingress, text, yes-no, fitting, choice, point, or a kind (then it names another thing).
        choices: For a choice, the words it may be.
        state: Said under or in one operating state.
        lasting: A check that no work on a circuit undoes.
        signers: For a check, words of which the role of whoever signs must hold one; empty if anybody may.
        span: A stated range is what it works over: both ends are facts, and a wider one is another machine, not a vaguer word.
        other: For a relation, the kind named after it; "" if only a state follows.
        floor: Least sensible value, SI; None if there is none.
        meaning, question, how: For people.
        assume: Range or choices believed to hold the truth when nothing is said, as written; "" if nothing may be assumed.
        terminals: For a kind, its terminals.
        said: How people say it, in pieces; see the table. Empty where the word itself will do.
    """

    word: str
    sort: str
    of: tuple[str, ...]
    gives: str
    choices: tuple[str, ...]
    state: bool
    other: str
    floor: float | None
    meaning: str
    question: str
    how: str
    assume: str
    terminals: tuple[str, ...]
    said: tuple[str, ...] = ()
    span: bool = False
    lasting: bool = False
    signers: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """As a description writes it."""
        return self.word.replace("-", " ")

    @property
    def dimension(self) -> Dimension | None:
        """The dimension of a quantity, else None. A size is compared as an area."""
        return NAMED.get(self.gives)

    @property
    def stated(self) -> bool:
        """Written in a description rather than worked out: at the thing itself, or as a record of a check."""
        return self.sort in ("property", "attested")


@dataclass(frozen=True)
class Vocabulary:
    """All words, indexed.

    Attributes:
        kinds: Kind name to its row.
        words: Word to its rows: a word may be said of several kinds with different results.
    """

    kinds: dict[str, Word]
    words: dict[str, tuple[Word, ...]]
    _ancestors: dict[str, frozenset[str]] = field(default_factory=dict)

    def is_a(self, kind: str, ancestor: str) -> bool:
        """Whether every thing of `kind` is also of `ancestor`."""
        return ancestor in self._ancestors.get(kind, ())

    def ancestors(self, kind: str) -> frozenset[str]:
        """The kind itself and everything it is one of."""
        return self._ancestors.get(kind, frozenset())

    def said_of(self, word: str, kind: str) -> Word | None:
        """The row of `word` that fits `kind`, or None."""
        for row in self.words.get(word, ()):
            if any(self.is_a(kind, of) for of in row.of):
                return row
        return None

    def words_of(self, kind: str) -> list[Word]:
        """Every word that may be said of `kind`."""
        return [row for rows in self.words.values() for row in rows if any(self.is_a(kind, of) for of in row.of)]

    def properties_of(self, kind: str) -> dict[str, Word]:
        """What a description may state of a thing of `kind`: YAML key to word."""
        return {row.key: row for row in self.words_of(kind) if row.sort == "property"}

    def checks(self) -> dict[str, tuple[Word, ...]]:
        """What somebody may sign for: as a description writes it, to its rows."""
        return {rows[0].key: attested for rows in self.words.values() if (attested := tuple(row for row in rows if row.sort == "attested"))}


def _split(cell: str, by: str = ",") -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(by) if part.strip())


def read_table(text: str) -> Vocabulary:
    """The vocabulary from the text of its table.

    Raises:
        ValueError: the table is broken; a mistake of ours, found by the tests.
    """
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    rows = [line.split("|") for line in lines]
    if tuple(rows[0]) != COLUMNS:
        raise ValueError(f"vocabulary.table: the columns are {rows[0]}")
    kinds: dict[str, Word] = {}
    words: dict[str, list[Word]] = {}
    for row in rows[1:]:
        if len(row) == len(COLUMNS) - 1:
            row.append("")  # the last cell may be left out
        if len(row) != len(COLUMNS):
            raise ValueError(f"vocabulary.table: {row[0]} has {len(row)} columns, not {len(COLUMNS)}")
        name, sort, of, gives, under, other, floor, meaning, question, how, assume, said_cell = row
        gives, _, choices = gives.partition(":")
        word = Word(name, sort, _split(of), "" if sort == "kind" else gives, _split(choices, "/"), under == "state",
                    "" if sort == "attested" else other,
                    float(floor) if floor else None, meaning, question, how, assume, _split(gives) if sort == "kind" else (),
                    _split(said_cell, ";"), under == "span",
                    under == "lasting", _split(other, "/") if sort == "attested" else ())
        if sort == "kind":
            kinds[name] = word
        else:
            words.setdefault(name, []).append(word)
    ancestors: dict[str, frozenset[str]] = {}

    def climb(kind: str) -> frozenset[str]:
        if kind not in ancestors:
            ancestors[kind] = frozenset({kind}).union(*(climb(parent) for parent in kinds[kind].of))
        return ancestors[kind]

    for kind in kinds:
        climb(kind)
    for name, said in words.items():
        for word in said:
            for kind in (*word.of, *((word.other,) if word.other else ())):
                if kind not in kinds:
                    raise ValueError(f"vocabulary.table: {name} is said of {kind}, which is no kind")
    return Vocabulary(kinds, {name: tuple(said) for name, said in words.items()}, ancestors)


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary this engine speaks."""
    return read_table(shelf.text("vocabulary.table"))
