"""A checked card in plain words, for people who read no formulas: what is looked at, what is passed over, what must hold.

The words are the vocabulary's own (`saying`). Where findings name elements, here stand "the wire" and "the other battery".
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from linter.base.text import listed
from linter.language import saying
from linter.language import typed as t
from linter.language.syntax import children
from linter.language.tally import Env
from linter.vocabulary import Vocabulary, Word

_COMPARED = {"at most": "at most", "below": "less than", "at least": "at least", "above": "more than", "equal to": "exactly", "thinner than": "thinner than",
             "thicker than": "thicker than", "same size as": "as thick as", "covers": "a code that covers"}
# Where a handbook says it more shortly than the vocabulary.
_NOUNS = {"conductor": "wire", "coupling-half": "coupling half"}
_ALL = "all of these:"
# Units as packs type them, and as people read them.
_UNITS = {"mm2": "mm²", "degC": "°C", "degC-rise": "K", "mOhm": "mΩ", "Ohm": "Ω", "%/degC": "%/K"}
_AFTER_NUMBER = re.compile(r"(?<=\d )(mm2|degC-rise|degC|mOhm|Ohm|%/degC)(?![\w-])")
_TURNED = {"at most": "above", "below": "at least", "at least": "below", "above": "at most", "thinner than": "at least as thick as",
           "thicker than": "at most as thick as"}


@dataclass(frozen=True, slots=True)
class Plain:
    """A clause, and clauses below it."""

    text: str
    inner: tuple[Plain, ...] = ()

    def lines(self, depth: int = 0) -> Iterator[tuple[int, str]]:
        """Depth and text, in reading order."""
        yield depth, self.text
        for one in self.inner:
            yield from one.lines(depth + 1)


@dataclass(frozen=True, slots=True)
class Card:
    """A practice in plain words.

    Attributes:
        looks: "each wire that is on the positive side".
        passing: What is passed over, None if nothing is.
        demand: What must hold.
        figures: Label and how it is worked out.
    """

    looks: str
    passing: Plain | None
    demand: Plain
    figures: tuple[tuple[str, str], ...]


def units(text: str) -> str:
    """ "35 mm2" as "35 mm²"."""
    return _AFTER_NUMBER.sub(lambda match: _UNITS[match[1]], text)


def card(practice: t.Practice, checked: t.Checked) -> Card:
    """A practice in plain words."""
    speaker = Speaker(checked.limits, checked.vocabulary, practice.slots)
    looks = speaker.group(practice.look)
    passing = speaker.formula(practice.passing) if practice.passing is not None else None
    demand = speaker.formula(practice.demand)
    return Card(looks, passing, demand, tuple((figure.label, speaker.term(figure.term)) for figure in practice.figures))


def reading(made: t.PackReading, checked: t.Checked) -> str:
    """How a pack's own reading is worked out."""
    speaker = Speaker(checked.limits, checked.vocabulary, made.slots)
    for number, kind in enumerate(made.kinds, 1):
        speaker.name(number, kind, "")
    return speaker.term(made.term)


def noun(vocabulary: Vocabulary, kind: str) -> str:
    """A kind's everyday name."""
    return _NOUNS.get(kind) or saying.kind(vocabulary.kinds.get(kind), kind)


@dataclass(frozen=True, slots=True)
class Rests:
    """What a card speaks of, each once, in the order it is spoken of.

    Attributes:
        words: Rows of the vocabulary.
        kinds: Kinds of things.
        limits: Names of limits.
        readings: Readings of packs.
    """

    words: tuple[Word, ...]
    kinds: tuple[str, ...]
    limits: tuple[str, ...]
    readings: tuple[t.PackReading, ...]


def rests_on(practice: t.Practice, vocabulary: Vocabulary) -> Rests:
    """Words, kinds, limits and readings of a card, those inside readings included."""
    words: dict[tuple[str, tuple[str, ...]], Word] = {}
    kinds: dict[str, None] = {}
    limits: dict[str, None] = {}
    readings: dict[str, t.PackReading] = {}
    waiting: list[object] = [practice.look, practice.passing, practice.demand, *(figure.term for figure in practice.figures)]
    while waiting:
        node = waiting.pop(0)
        row: Word | None = None
        if isinstance(node, t.WordOf | t.Said):
            row = node.row
        elif isinstance(node, t.PartOf):
            row = next((known for known in vocabulary.words.get(node.word, ()) if known.gives == node.kind), None)
        elif isinstance(node, t.HasPart):
            row = next(iter(vocabulary.words.get(node.word, ())), None)
        elif isinstance(node, t.LimitOf):
            limits.setdefault(node.name)
        elif isinstance(node, t.Group):
            kinds.setdefault(node.kind)
        if row is not None:
            words.setdefault((row.word, row.of), row)
        if isinstance(node, t.Called) and node.reading.name not in readings:
            readings[node.reading.name] = node.reading
            waiting.append(node.reading.term)
        waiting[:0] = [one for child in _inside(node) for one in (child if isinstance(child, tuple) else (child,)) if type(one).__module__ == t.__name__]
    return Rests(tuple(words.values()), tuple(kinds), tuple(limits), tuple(readings.values()))


def _inside(node: object) -> list[object]:
    return [] if node is None or isinstance(node, t.PackReading) else children(node)


class Speaker:
    """Names things as they are met: "the wire", "the other battery", "battery D"."""

    def __init__(self, limits: Mapping[str, t.LimitInEffect], vocabulary: Vocabulary, slots: int) -> None:
        self.limits = limits
        self.vocabulary = vocabulary
        self.env: Env = [None] * max(slots, 1)
        self.nouns: dict[str, int] = {}

    def name(self, slot: int, kind: str, tag: str) -> str:
        """Names the thing in a slot; the noun to bring it in with."""
        if kind == t.INSTALLATION:
            self.env[slot] = ""
            return "installation"
        word = noun(self.vocabulary, kind)
        count = self.nouns[word] = self.nouns.get(word, 0) + 1
        self.env[slot] = f"the {word}" if count == 1 else f"the other {word}" if count == 2 else f"{word} {tag}"
        return word if count == 1 else f"other {word}" if count == 2 else f"{word} {tag}"

    # ---- things -------------------------------------------------------------------------------------------------------------------------

    def thing(self, node: t.Thing) -> str:
        """ "the wire", "the place of the battery"."""
        if isinstance(node, t.Held) and node.kind == t.INSTALLATION:
            return saying.named("")
        return saying.element(node, self.env)

    def group(self, group: t.Group, article: str = "each") -> str:
        """ "each wire that is on the positive side"."""
        if group.state:
            such = f" in which {self.inline(group.condition)}" if group.condition is not None else ""
            return f"{'every' if article == 'each' else 'an'} operating state{such}"
        word = self.name(group.slot, group.kind, group.tag)
        if word == t.INSTALLATION:
            return "the whole installation"
        front = saying.article(word) if article == "a" else f"{article} {word}"
        condition = group.condition
        if condition is None or (word.startswith("other ") and _only_another(condition)):
            return front
        pieces = self.pieces(condition, group.slot)
        if pieces is not None:
            return saying.with_such(front, pieces)
        return f"{front} for which {self.inline(condition)}"

    def short(self, group: t.Group, article: str) -> tuple[str, Plain | None]:
        """A group, and its condition apart when it would not fit into the sentence."""
        condition = group.condition
        if condition is None or group.state or isinstance(condition, t.Not) or self.pieces(condition, group.slot) is not None:
            return self.group(group, article), None
        word = self.name(group.slot, group.kind, group.tag)
        front = saying.article(word) if article == "a" else f"{article} {word}"
        said = self.formula(condition)
        # "all of these" needs no line of its own below "for which".
        return front, Plain(f"counting only {saying.article(word)} for which", said.inner if said.text == _ALL else (said,))

    def pieces(self, node: t.Formula, slot: int) -> list[str] | None:
        """ "that is …", when all that is said is said of the thing itself."""
        if isinstance(node, t.All):
            parts = [self.pieces(part, slot) for part in node.parts]
            return None if any(part is None for part in parts) else [piece for part in parts if part is not None for piece in part]
        inner = node.formula if isinstance(node, t.Not) else node
        if isinstance(inner, t.Said) and isinstance(inner.thing, t.Held) and inner.thing.slot == slot:
            other = self.thing(inner.other) if inner.other is not None else ""
            return [f"that {saying.says(inner.row, other, not isinstance(node, t.Not))}{' in that state' if inner.under else ''}"]
        return None

    # ---- terms --------------------------------------------------------------------------------------------------------------------------

    def term(self, node: t.Term) -> str:
        """A term in words; limits with their value in effect."""
        if isinstance(node, t.Fixed | t.FixedWords):
            return units(node.text)
        if isinstance(node, t.LimitOf):
            return f"{units(self.limits[node.name].text)} (limit {node.name})"
        if isinstance(node, t.WordOf):
            return saying.reading(node.row, "" if isinstance(node.thing, t.Whole) else self.thing(node.thing))
        if isinstance(node, t.Called):
            return f"the {node.reading.name.replace('-', ' ')} of {listed([self.thing(thing) for thing in node.things])}"
        if isinstance(node, t.Calc):
            sides = []
            for side in (node.left, node.right):
                text = self.term(side)
                tight = node.op in ("times", "divided by") or (node.op == "minus" and side is node.right)
                sides.append(f"({text})" if tight and isinstance(side, t.Calc) and side.op in ("plus", "minus") else text)
            return f"{sides[0]} {node.op} {sides[1]}"
        if isinstance(node, t.Best):
            return f"the {'sum' if node.which == 'total' else node.which} of {listed([self.term(part) for part in node.terms])}"
        before = dict(self.nouns)
        over = self.group(node.group)
        if isinstance(node, t.Number):
            text = f"the number of things, counting {over},"
        else:
            text = f"the {'sum' if node.which == 'total' else node.which} of {self.term(node.term)}, over {over},"
        self.nouns = before
        return text

    # ---- formulas -----------------------------------------------------------------------------------------------------------------------

    def formula(self, node: t.Formula, positive: bool = True) -> Plain:
        """A formula as clauses. A name lasts as long as what it was given for."""
        before = dict(self.nouns)
        said = self.clauses(node, positive)
        self.nouns = before
        return said

    def clauses(self, node: t.Formula, positive: bool) -> Plain:
        """The clauses of one formula."""
        if isinstance(node, t.Not):
            return self.formula(node.formula, not positive)
        if isinstance(node, t.All | t.Any_):
            every = isinstance(node, t.All) is positive
            return Plain(_ALL if every else "at least one of these:", tuple(self.formula(part, positive) for part in node.parts))
        if isinstance(node, t.Keeps):
            if not positive:
                return Plain("this is not so:", (self.formula(node),))
            front = self.group(node.group)
            return Plain(f"{'in' if node.group.state else 'for'} {front}:", (self.formula(node.formula),))
        if isinstance(node, t.Meets) and positive:
            return self.way(node)
        return Plain(self.inline(node, positive))

    def inline(self, node: t.Formula | None, positive: bool = True) -> str:
        """A formula on one line."""
        before = dict(self.nouns)
        said = self.on_one_line(node, positive) if node is not None else ""
        self.nouns = before
        return said

    def on_one_line(self, node: t.Formula, positive: bool) -> str:
        """One formula on one line."""
        if isinstance(node, t.Not):
            return self.inline(node.formula, not positive)
        if isinstance(node, t.All | t.Any_):
            every = isinstance(node, t.All) is positive
            parts = [self.inline(part, positive) for part in node.parts]
            return " and ".join(parts) if every else f"either {' or '.join(parts)}"
        if isinstance(node, t.Keeps):
            text = f"{'in' if node.group.state else 'for'} {self.group(node.group)}, {self.inline(node.formula)}"
            return text if positive else f"it is not so that {text}"
        return self.atom(node, positive)

    def atom(self, node: t.Formula, positive: bool) -> str:
        """A formula that holds no other at its top."""
        if isinstance(node, t.Cmp):
            return self.compared(node, positive)
        if isinstance(node, t.Said):
            other = self.thing(node.other) if node.other is not None else ""
            return f"{self.thing(node.thing)} {saying.says(node.row, other, positive)}{' in that state' if node.under else ''}"
        if isinstance(node, t.Among):
            return f"{self.term(node.term)} is {'' if positive else 'none of ' if len(node.words) > 1 else 'not '}{listed(sorted(node.words), 'or', most=30)}"
        if isinstance(node, t.Same):
            return f"{self.thing(node.left)} is {'the same as' if positive else 'another than'} {self.thing(node.right)}"
        if isinstance(node, t.HasPart):
            return f"{self.thing(node.thing)} has {'a' if positive else 'no'} {node.word.replace('-', ' ')}"
        if isinstance(node, t.Exists):
            return self.exists(node.group, positive)
        if isinstance(node, t.Meets):
            text = _flat(self.way(node))
            return text if positive else f"not {text}"
        return self.inline(node, positive)

    def exists(self, group: t.Group, positive: bool) -> str:
        """ "there is a selector", and for a thing that is another of a narrower kind: "the part is a battery"."""
        parts = group.condition.parts if isinstance(group.condition, t.All) else (group.condition,) if group.condition is not None else ()
        same = next((part for part in parts if isinstance(part, t.Same)), None)
        if same is not None and isinstance(same.left, t.Held) and isinstance(same.right, t.Held) and group.slot in (same.left.slot, same.right.slot):
            other = same.right if same.left.slot == group.slot else same.left
            self.env[group.slot] = self.thing(other)
            word = noun(self.vocabulary, group.kind)
            rest = " and ".join(self.inline(part) for part in parts if part is not same)
            return f"{self.thing(other)} is {saying.article(word) if positive else f'no {word}'}" + (f" for which {rest}" if rest else "")
        return f"there is {self.group(group, 'a' if positive else 'no')}"

    def compared(self, node: t.Cmp, positive: bool) -> str:
        """ "the wire carries at least 40 A", "the rating of the fuse is at most what the wire carries"."""
        how = node.how if positive else _TURNED.get(node.how, "")
        before = _COMPARED.get(how, how) if how else f"not {_COMPARED[node.how]}"
        right = self.term(node.right)
        if node.sort == "choice":
            return f"{self.term(node.left)} is {'the same as' if positive else 'another than'} {right}"
        if isinstance(node.left, t.WordOf) and node.left.row.said and isinstance(node.right, t.Fixed | t.LimitOf) and not isinstance(node.left.thing, t.Whole):
            return node.left.row.said[0].replace("{x}", self.thing(node.left.thing)).replace("{v}", f"{before} {right}")
        return f"{self.term(node.left)} is {before} {right}"

    def way(self, node: t.Meets) -> Plain:
        """ "every way from each source into the wire meets a fuse or breaker"; what is long about the ends stands below."""
        below: list[Plain] = []
        start = self.end(node.start, below)
        text = f"every way{' in that state' if node.in_state else ''} "
        if node.form == "out of":
            text += f"out of {start}"
        else:
            assert node.end is not None
            text += f"from {start} {'into' if node.form == 'into' else 'to'} {self.end(node.end, below)}"
        if node.avoiding is not None:
            text += f", leaving out {self.end(node.avoiding, below)},"
        device, condition = self.short(node.device, "a")
        below += [condition] if condition is not None else []
        within = f" within {self.term(node.within)}" if node.within is not None else ""
        return Plain(f"{text} meets {device}{within}" + (":" if below else ""), tuple(below))

    def end(self, ends: t.Ends, below: list[Plain]) -> str:
        """Where a way starts or ends."""
        if ends.group is not None:
            text, condition = self.short(ends.group, "each")
            below += [condition] if condition is not None else []
            return f"the {ends.terminal} of {text}" if ends.terminal else text
        assert ends.thing is not None
        thing = self.thing(ends.thing)
        return f"the {ends.terminal} of {thing}" if ends.terminal and ends.terminal != "stud" else thing


def _flat(said: Plain) -> str:
    """Clauses on one line."""
    text = said.text.removesuffix(":")
    below = [_flat(one) for one in said.inner]
    return text if not below else f"{text} {' and '.join(below)}" if text.endswith("for which") else f"{text} ({', '.join(below)})"


def _only_another(condition: t.Formula) -> bool:
    """Says no more than that it is not the first: "each other battery"."""
    return isinstance(condition, t.Not) and isinstance(condition.formula, t.Same)
