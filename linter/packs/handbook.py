"""A handbook of packs, gathered from their cards: plain values that `reports.handbook_html` and `reports.handbook_markdown` lay out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from linter.language import example_syntax as x
from linter.language import plainly
from linter.language import syntax as s
from linter.language.judge import CANNOT_TELL, DOES_NOT_APPLY, MET, NOT_MET
from linter.language.layout import card as written_card
from linter.language.typed import LimitInEffect, PackReading, Practice, Setting
from linter.language.wording import choices_of
from linter.packs.effect import Packs, aside, moved
from linter.packs.load import Loaded
from linter.vocabulary import Vocabulary, Word, vocabulary


@dataclass(frozen=True, slots=True)
class Shown:
    """One example, for a small table.

    Attributes:
        name, says: As written.
        like: The example it starts from, "" if none; then `rows` hold only what differs.
        rows: (thing, what is told of it).
        comes: (elements, outcome, what is found or asked for).
    """

    name: str
    says: str
    like: str
    rows: tuple[tuple[str, str], ...]
    comes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class LimitShown:
    """A limit with its value in effect and who set it, first to last."""

    name: str
    value: str
    band: str
    stricter: str
    because: str
    chain: tuple[Setting, ...]
    used_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """A stated word a practice rests on: how a person finds it out."""

    key: str
    question: str
    how: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One practice.

    Attributes:
        name, pack, says, weight, because, follows, remedy: Of the card.
        moved: What house packs changed about it.
        formerly: Earlier names.
        plain: What it looks at and asks, in plain words.
        card: The card as written.
        limits: Names of those it uses.
        readings: (name, how it is worked out) for the packs' own readings in it.
        asked: Stated words it rests on, and those its examples ask for.
        worked: (word, meaning) of what the engine works out for it.
        rests: (source, certainty).
        examples: In order.
    """

    name: str
    pack: str
    says: str
    weight: str
    because: str
    follows: str
    remedy: str
    moved: tuple[Setting, ...]
    formerly: tuple[str, ...]
    plain: plainly.Card
    card: str
    limits: tuple[str, ...]
    readings: tuple[tuple[str, str], ...]
    asked: tuple[Asked, ...]
    worked: tuple[tuple[str, str], ...]
    rests: tuple[tuple[str, str], ...]
    examples: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """Practices that stand in one file of a pack."""

    title: str
    pack: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class About:
    """One pack: what its pack.yaml says."""

    name: str
    title: str
    edition: str
    content: str
    says: str
    licence: str
    note: str
    builds_on: tuple[tuple[str, str], ...]
    sources: tuple[tuple[tuple[str, str], ...], ...]


@dataclass(frozen=True, slots=True)
class Covered:
    """One practice and its examples, counted.

    Attributes:
        practice, pack, weight: Of the card.
        formerly: Earlier names.
        examples: How many there are.
        outcomes: Outcome to how many elements are expected to come out so, in the order reports use.
    """

    practice: str
    pack: str
    weight: str
    formerly: tuple[str, ...]
    examples: int
    outcomes: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Handbook:
    """The whole.

    Attributes:
        packs: Those asked for, in order.
        changes: What house packs changed, as sentences.
        chapters, limits: In order.
        glossary: (word, meaning) of kinds and words spoken of, by the alphabet.
        covered: Every practice with its examples counted, by the alphabet.
        left_out: (practice, pack, reason) of what belongs to the topic of a pack and cannot yet be said.
    """

    packs: tuple[About, ...]
    changes: tuple[str, ...]
    chapters: tuple[Chapter, ...]
    limits: tuple[LimitShown, ...]
    glossary: tuple[tuple[str, str], ...]
    covered: tuple[Covered, ...] = ()
    left_out: tuple[tuple[str, str, str], ...] = ()


def handbook(packs: Packs, names: tuple[str, ...]) -> Handbook:
    """The handbook of some of the packs in effect.

    Args:
        packs: Loaded with their examples.
        names: Of the packs whose practices it holds; limits they set or use come with them.
    """
    checked = packs.checked
    loaded = {one.name: one for one in packs.loaded}
    examples: dict[str, list[x.Example]] = {}
    wanted: dict[str, set[str]] = {}
    for one in packs.loaded:
        for example in one.pack.examples:
            examples.setdefault(example.tries, []).append(example)
            wanted.setdefault(example.tries, set()).update(w.word for expected in example.expected for w in expected.wanting or () if w.sort != "every")
    chapters: dict[tuple[str, str], list[Entry]] = {}
    kinds: dict[str, None] = {}
    words: dict[str, Word] = {}
    used: dict[str, list[str]] = {}
    for practice in checked.practices:
        if practice.pack not in names:
            continue
        rests = plainly.rests_on(practice, checked.vocabulary)
        kinds |= dict.fromkeys(rests.kinds)
        words |= {row.word: row for row in rests.words}
        for name in rests.limits:
            used.setdefault(name, []).append(practice.name)
        asked = _asked(rests.words, wanted.get(practice.name, set()), checked.vocabulary)
        entry = _entry(practice, packs, rests, asked, tuple(_shown(example, checked.vocabulary) for example in examples.get(practice.name, ())))
        chapters.setdefault((practice.pack, _chapter(practice.card.source.file)), []).append(entry)
    limits = tuple(_limit(limit, tuple(used.get(name, ()))) for name, limit in checked.limits.items()
                   if name in used or limit.pack in names or any(step.pack in names for step in limit.chain))
    glossary = {kind.replace("-", " "): checked.vocabulary.kinds[kind].meaning for kind in kinds if kind in checked.vocabulary.kinds}
    glossary |= {row.key: row.meaning for row in words.values()}
    return Handbook(tuple(_about(loaded[name]) for name in names if name in loaded),
                    tuple(one.text for one in (*moved(checked), *aside(packs)) if any(name in one.text for name in names)),
                    tuple(Chapter(title, pack, tuple(entries)) for (pack, title), entries in chapters.items()), limits, tuple(sorted(glossary.items())),
                    tuple(sorted((_covered(entry) for entries in chapters.values() for entry in entries), key=lambda one: one.practice)),
                    tuple(sorted((out.practice, name, out.because) for name in names if name in loaded for out in loaded[name].manifest.left_out)))


def _covered(entry: Entry) -> Covered:
    counts = dict.fromkeys((MET, NOT_MET, CANNOT_TELL, DOES_NOT_APPLY), 0)
    for example in entry.examples:
        for _, outcome, _ in example.comes:
            counts[outcome] = counts.get(outcome, 0) + 1
    return Covered(entry.name, entry.pack, entry.weight, entry.formerly, len(entry.examples), tuple(counts.items()))


def _about(one: Loaded) -> About:
    made = one.manifest
    return About(made.name, made.title, made.edition, one.folder.content, made.says, made.licence, made.note, made.builds_on,
                 tuple(source.fields for source in made.sources))


def _chapter(file: str) -> str:
    """ "rules/low-voltage-basics/negative-side.practice" as "Negative side"."""
    words = file.replace("\\", "/").rpartition("/")[2].removesuffix(".practice").replace("-", " ").replace("_", " ")
    return words[:1].upper() + words[1:]


def _entry(practice: Practice, packs: Packs, rests: plainly.Rests, asked: tuple[Asked, ...], examples: tuple[Shown, ...]) -> Entry:
    card = practice.card
    return Entry(
        practice.name, practice.pack, card.says, practice.weight, card.because, card.follows, card.remedy, practice.moved, card.formerly,
        plainly.card(practice, packs.checked), written_card(card), rests.limits, tuple(_reading(made, packs) for made in rests.readings), asked,
        tuple((row.key, row.meaning) for row in rests.words if not row.stated), tuple((rest.text, rest.certainty) for rest in card.rests), examples)


def _reading(made: PackReading, packs: Packs) -> tuple[str, str]:
    return made.name.replace("-", " "), plainly.reading(made, packs.checked)


def _asked(rows: tuple[Word, ...], wanted: set[str], known: Vocabulary) -> tuple[Asked, ...]:
    """Words a person is asked for: those the card says, then those its examples show it can hang on."""
    found = {row.word: row for row in rows if row.stated}
    for word in sorted(wanted):
        row = next((row for row in known.words.get(word, ()) if row.stated), None)
        if row is not None:
            found.setdefault(word, row)
    return tuple(Asked(row.key, row.question, row.how) for row in found.values() if row.question)


def _limit(limit: LimitInEffect, used_by: tuple[str, ...]) -> LimitShown:
    card = limit.card
    band = plainly.units(f"{card.low.text} to {card.high.text}") if card.low is not None and card.high is not None else ""
    return LimitShown(limit.name, plainly.units(limit.text), band, limit.stricter, card.because, limit.chain, used_by)


# ---- examples --------------------------------------------------------------------------------------------------------------------------


def _shown(example: x.Example, known: Vocabulary) -> Shown:
    rows: list[tuple[str, str]] = []
    for statement in example.statements:
        if isinstance(statement, x.Fitted):
            thing = f"{plainly.noun(known, statement.kind)} {statement.tag}" if statement.tag else "the installation"
            rows.append((thing, ", ".join(_fact(fact) for fact in statement.facts)))
        elif isinstance(statement, x.Half):
            rows.append((f"{statement.name} half of {statement.of}", ", ".join(_fact(fact) for fact in statement.facts)))
        elif isinstance(statement, x.Position):
            groups = "not known" if statement.groups is None else " and ".join(", ".join(group) for group in statement.groups) or "nothing"
            rows.append((f"{statement.of} at {statement.name}", f"joins {groups}"))
        elif isinstance(statement, x.Constraint):
            said = ", ".join(f"{stand.subject} {stand.stands}" for stand in statement.stands)
            rows.append(("together" if statement.sort == "together" else "never together", said))
        else:
            rows.append(("left out", ", ".join(statement.tags)))
    if example.every:
        rows.append(("listed", "everything" if "element" in example.every else "every " + ", every ".join(kind.replace("-", " ") for kind in example.every)))
    return Shown(example.name, example.says, example.like, tuple(rows), tuple(_comes(expected) for expected in example.expected))


def _fact(fact: x.AnyFact) -> str:
    if isinstance(fact, x.Fact):
        return f"{fact.word.removesuffix('-of').replace('-', ' ')} {_value(fact.value)}"
    if isinstance(fact, x.Runs):
        return f"from {_place(fact.start)} to {_place(fact.end)}"
    if isinstance(fact, x.WhenFact):
        when = " and ".join(f"{stand.subject} {stand.stands}" for stand in fact.when) or "not known"
        return f"{fact.sort} when {when}"
    if isinstance(fact, x.Always):
        return f"always {fact.stands}"
    if isinstance(fact, x.Bolted):
        return f"{fact.terminal} bolted to {_place(fact.to)}"
    if isinstance(fact, x.Contacts):
        return f"contacts {' and '.join(fact.names)}"
    return "breaks " + (" and ".join(f"{current.text} at {voltage.text}" for current, voltage in fact.pairs) or "not known")


def _place(node: s.Place) -> str:
    """ "B1 positive", as a description says it."""
    words: list[str] = []
    while isinstance(node, s.Part):
        words.insert(0, node.word.replace("-", " "))
        node = node.of
    return " ".join([node.name, *reversed(words)])


def _value(value: x.FactValue) -> str:
    if isinstance(value, x.Amount):
        return plainly.units(value.low.text if value.high is None else f"{value.low.text} to {value.high.text}")
    if isinstance(value, x.Words):
        return " or ".join(_spelt().get(word, word) for word in value.words)
    if isinstance(value, x.Tags):
        return " and ".join(value.names)
    return "not known" if value.said == "unknown" else value.said


@cache
def _spelt() -> dict[str, str]:
    """Choices as a pack writes them, to the vocabulary's spelling."""
    return {written: choice for rows in vocabulary().words.values() for row in rows for written, choice in choices_of(row).items()}


def _comes(expected: x.Expected) -> tuple[str, str, str]:
    names = ", ".join(_subject(subject) for subject in expected.subjects)
    more = f"found {_value(expected.found)}" if expected.found is not None else ""
    if expected.wanting:
        wanting = ", ".join(f"every {w.word.replace('-', ' ')}" if w.sort == "every" else
                            f"{w.word.replace('-', ' ')} of {_place(w.of)}" if w.of is not None else w.word.replace("-", " ") for w in expected.wanting)
        more += ("; " if more else "") + f"asks for {wanting}"
    return names, expected.outcome, more


def _subject(subject: s.Place | s.Named) -> str:
    return "the installation" if isinstance(subject, s.Named) else _place(subject)

