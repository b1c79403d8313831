"""Words to meanings: names, kinds, types, units. A fault is noted and the piece it spoils is left; the rest of the card is still read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from linter.base import bounds
from linter.base.diagnostic import Diagnostic, Mark
from linter.base.near import nearest
from linter.base.text import listed
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.layout import printed
from linter.language.wording import Spoiled, article, choices_of, number_of
from linter.units import dimension as d
from linter.units.dimension import Dimension, said
from linter.units.table import Unreadable
from linter.vocabulary import Vocabulary, Word

_SIZES = ("thinner than", "thicker than", "same size as")
@dataclass
class Notes:
    """Complaints about the items of one pack."""

    found: list[Diagnostic] = field(default_factory=list)

    def say(self, kind: str, headline: str, source: s.Source, at: int, remedy: str | None = None, fatal: bool = True,
            because: tuple[Mark, ...] = ()) -> None:
        """Notes one complaint."""
        self.found.append(Diagnostic(kind, headline, source.span(at), because, remedy, fatal))


@dataclass(eq=False, repr=False)
class Resolver:
    """Resolves one card.

    Attributes:
        limits: Names that may be used, with their dimension (None for a protection code).
        readings: Pack readings that may be used, already checked.
        scope: Tag to what it stands for; the state tag to None.
    """

    vocabulary: Vocabulary
    limits: Mapping[str, Dimension | None]
    readings: Mapping[str, t.PackReading]
    source: s.Source
    notes: Notes
    scope: dict[str, t.Held | None] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)
    seen: dict[str, int] = field(default_factory=dict)
    used_limits: set[str] = field(default_factory=set)
    slots: int = 1
    state: str = ""
    opens_state: bool = False
    depth: int = 0
    deepest: int = 0
    reading_depth: int = 0

    def fail(self, kind: str, headline: str, at: int, remedy: str | None = None, because: tuple[Mark, ...] = ()) -> Spoiled:
        """Notes a complaint; raise what comes back."""
        self.notes.say(kind, headline, self.source, at, remedy, because=because)
        return Spoiled()

    # ---- tags and kinds ----------------------------------------------------------------------------------------------------------------

    def kind(self, word: str, at: int) -> str:
        """A kind of the vocabulary."""
        if word in self.vocabulary.kinds:
            return word
        near = nearest(word, self.vocabulary.kinds)
        raise self.fail("pack-unknown-word", f'"{word}" is not a thing the language knows', at, f'Did you mean "{near}"?' if near else None)

    def introduce(self, tag: str, kind: str, at: int) -> int:
        """A new tag for a thing of a kind; its slot."""
        if tag in self.seen:
            raise self.fail("pack-tag", f"tag {tag} is already taken in this card", at, "Use another letter.")
        self.seen[tag] = at
        if kind == "state":
            if self.state:
                raise self.fail("pack-state", "only one state can be spoken of at a time", at, f"The state {self.state} is still open here.")
            self.state = tag
            self.opens_state = True
            self.scope[tag] = None
            return 0
        slot = self.slots
        self.slots += 1
        self.scope[tag] = t.Held(slot, tag, kind)
        return slot

    def leave(self, tag: str) -> None:
        """The tag's brackets are closed."""
        self.scope.pop(tag, None)
        if tag == self.state:
            self.state = ""

    def group(self, each: s.Each, *, states: bool = True) -> t.Group:
        """Opens a group; the caller closes it with `leave`. Its condition is resolved with the tag in scope."""
        kind = self.kind(each.kind, each.kind_at)
        if kind == "state" and not states:
            raise self.fail("pack-state", "states are not counted, added or joined by ways", each.kind_at)
        slot = self.introduce(each.tag, kind, each.tag_at)
        self.depth += 1
        self.deepest = max(self.deepest, self.depth)
        if self.depth > bounds.QUANTIFIERS.most:
            raise self.fail("pack-too-large", f"more than {bounds.QUANTIFIERS.most} of {bounds.QUANTIFIERS.meaning} inside one another", each.at,
                            "Give the inner part a reading of its own.")
        condition = self.formula(each.condition) if each.condition is not None else None
        return t.Group(kind, each.tag, slot, condition, each.at)

    def close(self, group: t.Group) -> None:
        """Ends the reach of a group's tag."""
        self.depth -= 1
        self.leave(group.tag)

    # ---- things and phrases ------------------------------------------------------------------------------------------------------------

    def thing(self, node: s.Phrase, what: str = "a thing") -> t.Thing:
        """A phrase that names a thing."""
        found = self.phrase(node)
        if isinstance(found, t.Held | t.PartOf | t.Whole):
            return found
        raise self.fail("pack-word-on-thing", f'"{self.words(node)}" is not {what}', node.at)

    def words(self, node: s.Phrase) -> str:
        """The author's words of a phrase."""
        if isinstance(node, s.Tag):
            return node.name
        if isinstance(node, s.Part):
            return f"{node.word} of {self.words(node.of)}"
        return " ".join([self.words(node.place), *(f"{prep} {self.words(place)}" for prep, place in node.companions)])

    def phrase(self, node: s.Phrase) -> t.Thing | t.Point | t.WordOf | t.Called:
        """What a phrase means: a thing, a terminal or a reading."""
        if isinstance(node, s.Tag):
            return self.tag(node)
        if isinstance(node, s.Placed):
            return self.reading(node.place, node.companions, node.at)
        return self.reading(node, (), node.at)

    def tag(self, node: s.Tag) -> t.Held:
        """A tag that stands for a thing."""
        if node.name not in self.scope:
            if node.name in self.seen:
                raise self.fail("pack-tag", f"tag {node.name} has no meaning here: it was introduced inside brackets that are closed", node.at)
            near = nearest(node.name, self.scope)
            raise self.fail("pack-tag", f"tag {node.name} was never introduced", node.at, f"Did you mean {near}?" if near else None)
        self.used.add(node.name)
        held = self.scope[node.name]
        if held is None:
            raise self.fail("pack-state", f"{node.name} is a state; it only follows \"under\" or \"in\"", node.at)
        return held

    def state_tag(self, node: s.Place, at: int) -> bool:
        """A companion that must be the open state."""
        if isinstance(node, s.Tag) and node.name == self.state and self.state:
            self.used.add(node.name)
            return True
        if isinstance(node, s.Tag) and node.name not in self.scope:
            self.tag(node)
        raise self.fail("pack-companion", f'"{self.words(node)}" is not a state', at)

    def reading(self, node: s.Place, companions: tuple[tuple[str, s.Place], ...], at: int) -> t.Thing | t.Point | t.WordOf | t.Called:
        """`WORD of PLACE` with its companions."""
        if isinstance(node, s.Tag):
            raise self.fail("pack-companion", f'"{node.name} {companions[0][0]} …" is not a reading', at)
        base = self.phrase(node.of)
        if isinstance(base, t.Point):
            raise self.fail("pack-word-on-thing", f'a terminal has no "{node.word}"', node.at)
        if isinstance(base, t.WordOf | t.Called):
            raise self.fail("pack-word-on-thing", f'"{self.words(node.of)}" is a reading and has no "{node.word}"', node.at)
        kind = base.kind
        row = self.vocabulary.said_of(node.word, kind)
        if row is None:
            called = self.readings.get(node.word)
            if called is not None:
                return self.called(called, base, node, companions, at)
            if node.word.replace("-", " ") in self.terminals(kind):
                self.no_companions(node.word, companions, at)
                return t.Point(node.word.replace("-", " "), base)
            raise self.no_such(node, kind)
        if row.gives in self.vocabulary.kinds:
            self.no_companions(node.word, companions, at)
            return t.PartOf(row.word, base, row.gives)
        if row.gives == "point":
            self.no_companions(node.word, companions, at)
            return t.Point(node.word.replace("-", " "), base)
        if row.sort == "relation" or row.gives in ("yes-no", "fitting"):
            how = "has" if row.gives == "fitting" else "is"
            raise self.fail("pack-said-otherwise", f'"{node.word}" is said with "{how}"', node.at, f"{self.words(node.of)} {how} {node.word}")
        if row.gives == "text":
            raise self.fail("pack-said-otherwise", f'"{node.word}" is only written in descriptions; a practice cannot compare it', node.at)
        under = self.companions(row.word, kind, row.state, companions, at)
        return t.WordOf(row, base, under, d.AREA if row.gives == "size" else row.dimension, node.at)

    def called(self, called: t.PackReading, base: t.Thing, node: s.Part, companions: tuple[tuple[str, s.Place], ...], at: int) -> t.Called:
        """A reading of a pack."""
        if not self.vocabulary.is_a(base.kind, called.kind):
            raise self.fail("pack-word-on-thing", f'{article(base.kind)} has no "{node.word}" (it belongs to {article(called.kind)})', node.at)
        things: list[t.Thing] = [base]
        rest = list(companions)
        for (prep, kind, _), want in zip([g for g in called.card.given if g[1] != "state"], called.kinds[1:], strict=True):
            if not rest or rest[0][0] != prep:
                raise self.fail("pack-companion", f'"{node.word} of …" also needs "{prep}" {article(kind)}', at)
            thing = self.thing(rest.pop(0)[1])
            if not self.vocabulary.is_a(thing.kind, want):
                raise self.fail("pack-companion", f'"{node.word}" needs "{prep}" {article(want)}, not {article(thing.kind)}', at)
            things.append(thing)
        under = self.companions(node.word, base.kind, called.under, tuple(rest), at)
        if called.opens_state and self.state:
            raise self.fail("pack-state", f'"{node.word}" already looks at every state; it cannot be used inside state {self.state}', at)
        self.reading_depth = max(self.reading_depth, called.depth)
        return t.Called(called, tuple(things), under, node.at)

    def no_companions(self, word: str, companions: tuple[tuple[str, s.Place], ...], at: int) -> None:
        """A word that takes nothing after it."""
        if companions:
            raise self.fail("pack-companion", f'"{word}" takes no "{companions[0][0]}"', at)

    def companions(self, word: str, kind: str, state: bool, companions: tuple[tuple[str, s.Place], ...], at: int) -> bool:
        """Checks `under S` where it is due, and only there."""
        if not state:
            self.no_companions(word, companions, at)
            return False
        if not companions:
            raise self.fail("pack-companion", f'"{word} of" {article(kind)} also needs "under" a state', at)
        if len(companions) > 1 or companions[0][0] not in ("under", "in"):
            raise self.fail("pack-companion", f'"{word}" takes "under" and a state, nothing more', at)
        return self.state_tag(companions[0][1], at)

    def terminals(self, kind: str) -> tuple[str, ...]:
        """Terminals a thing of a kind may be asked for. A general kind has those its kinds of kind have."""
        own = self.vocabulary.kinds[kind].terminals
        if own:
            return own
        if kind == "coupling-half":
            return ("positive", "negative")
        below = [k.terminals for name, k in self.vocabulary.kinds.items() if self.vocabulary.is_a(name, kind) and k.terminals]
        found = list(dict.fromkeys(word for terminals in below for word in terminals))
        return tuple(found) if kind in ("source", "part", "switchgear", "element") else ()

    def no_such(self, node: s.Part, kind: str) -> Spoiled:
        """A word that is not said of a kind."""
        rows = self.vocabulary.words.get(node.word)
        if rows:
            owners = list(dict.fromkeys(of for row in rows for of in row.of))
            return self.fail("pack-word-on-thing",
                             f'{article(kind)} has no "{node.word}" (it belongs to {listed([article(o) for o in owners], "or")})', node.at)
        known = [*(row.word for row in self.vocabulary.words_of(kind)), *(r.name for r in self.readings.values()),
                 *(word.replace(" ", "-") for word in self.terminals(kind))]
        near = nearest(node.word, known)
        return self.fail("pack-unknown-word", f'no reading or part of {article(kind)} is called "{node.word}"', node.at,
                         f'Did you mean "{near}"?' if near else None)

    # ---- terms -------------------------------------------------------------------------------------------------------------------------

    def value(self, node: s.Value) -> t.Fixed | t.FixedWords:
        """A written amount."""
        if node.sort == "ipcode":
            return t.FixedWords(frozenset({node.text}), node.text, node.at)
        try:
            value, dimension = number_of(node)
        except Unreadable as fault:
            raise self.fail("pack-unit", str(fault), node.at, fault.remedy) from None
        return t.Fixed(value, dimension, node.text, node.at)

    def named(self, node: s.Named) -> t.Term:
        """A word alone."""
        if node.word in self.limits:
            self.used_limits.add(node.word)
            return t.LimitOf(node.word, self.limits[node.word], node.at)
        row = self.vocabulary.said_of(node.word, t.INSTALLATION)
        if row is not None and row.dimension is not None:
            return t.WordOf(row, t.Whole(), False, row.dimension, node.at)
        known: Iterable[str] = [*self.limits, *(r.word for r in self.vocabulary.words_of(t.INSTALLATION))]
        near = nearest(node.word, known)
        raise self.fail("pack-unknown-word", f'"{node.word}" is not a limit of this pack, nor a word of the installation', node.at,
                        f'Did you mean "{near}"?' if near else None)

    def term(self, node: s.Term) -> t.Term:
        """A term; comparisons look at what comes back to see what it is."""
        if isinstance(node, s.Value):
            return self.value(node)
        if isinstance(node, s.Named):
            return self.named(node)
        if isinstance(node, s.BracketedTerm):
            return self.term(node.term)
        if isinstance(node, s.Arithmetic):
            return self.calc(node)
        if isinstance(node, s.Pick):
            return self.pick(node)
        if isinstance(node, s.Count):
            group = self.group(node.each, states=False)
            self.close(group)
            return t.Number(group, node.at)
        found = self.phrase(node)
        if isinstance(found, t.WordOf | t.Called):
            return found
        raise self.fail("pack-word-on-thing", f'"{self.words(node)}" is a thing, not a reading', node.at)

    def amount(self, node: s.Term) -> tuple[t.Term, Dimension]:
        """A term that is a quantity one can reckon with."""
        term = self.term(node)
        dimension = self.dimension(term)
        if dimension is None:
            raise self.fail("pack-dimension", "words and codes cannot be reckoned with", node.at)
        if self.is_size(term):
            raise self.fail("pack-dimension", "sizes are compared, not reckoned with", node.at, 'The copper cross-section is "area of C".')
        return term, dimension

    def dimension(self, term: t.Term) -> Dimension | None:
        """Dimension of a quantity, None for words and codes."""
        if isinstance(term, t.Called):
            return term.reading.dimension
        if isinstance(term, t.Number):
            return d.NUMBER
        if isinstance(term, t.FixedWords):
            return None
        return term.dimension

    def is_size(self, term: t.Term) -> bool:
        """Said in wire sizes."""
        if isinstance(term, t.WordOf):
            return term.row.gives == "size"
        return isinstance(term, t.Fixed) and term.dimension == d.AREA and not term.text.endswith("mm2")

    def calc(self, node: s.Arithmetic) -> t.Calc:
        """Dimension algebra."""
        left, a = self.amount(node.left)
        right, b = self.amount(node.right)
        if node.op == "times":
            result = a.times(b)
        elif node.op == "divided by":
            result = a.over(b)
        elif a.level or b.level:
            result = self.temperatures(node, a, b)
        elif a != b:
            raise self.fail("pack-dimension", f"{said(a)} and {said(b)} cannot be {'added' if node.op == 'plus' else 'taken from one another'}", node.at)
        else:
            result = a
        if node.op in ("times", "divided by") and (a.level or b.level):
            raise self.fail("pack-dimension", "a temperature cannot be multiplied or divided", node.at, "A difference of two temperatures can.")
        return t.Calc(node.op, left, right, result, node.at)

    def temperatures(self, node: s.Arithmetic, a: Dimension, b: Dimension) -> Dimension:
        """A temperature takes differences; two temperatures give one."""
        if a.level and b.level:
            if node.op == "minus":
                return d.RISE
            raise self.fail("pack-dimension", "two temperatures cannot be added", node.at, "A difference is written in degC-rise.")
        if (a.level and b == d.RISE) or (b.level and a == d.RISE and node.op == "plus"):
            return d.TEMPERATURE
        raise self.fail("pack-dimension", f"{said(a)} and {said(b)} cannot be {'added' if node.op == 'plus' else 'taken from one another'}", node.at)

    def pick(self, node: s.Pick) -> t.Best | t.Over:
        """largest, smallest, total."""
        if node.over is not None:
            if len(node.terms) > 1:
                raise self.fail("pack-said-otherwise", f'"{node.which} of" takes several terms, or one term over a group, not both', node.at)
            group = self.group(node.over, states=node.which != "total")
            term, dimension = self.amount(node.terms[0])
            self.close(group)
            self.no_total(node, dimension)
            return t.Over(node.which, term, group, dimension, node.at)
        if len(node.terms) == 1:
            raise self.fail("pack-said-otherwise", f'"{node.which} of" one term needs "over each …" or a second term', node.at)
        terms, dimensions = zip(*(self.amount(term) for term in node.terms), strict=True)
        for dimension in dimensions[1:]:
            if dimension != dimensions[0]:
                raise self.fail("pack-dimension", f"{said(dimensions[0])} and {said(dimension)} cannot be compared", node.at)
        self.no_total(node, dimensions[0])
        return t.Best(node.which, terms, dimensions[0], node.at)

    def no_total(self, node: s.Pick, dimension: Dimension) -> None:
        """Temperatures do not add up."""
        if node.which == "total" and dimension.level:
            raise self.fail("pack-dimension", "temperatures cannot be added up", node.at)

    # ---- comparisons -------------------------------------------------------------------------------------------------------------------

    def compare(self, node: s.Compare) -> t.Formula:
        """The nine comparisons and what each is for."""
        if node.how == "equal to":
            same = self.same(node)
            if same is not None:
                return same
        left, right = self.side(node.left, node.right), self.side(node.right, node.left)
        a, b = self.sort(left), self.sort(right)
        if "choice" in (a, b):
            return self.choice(node, left, right, a, b)
        if "ingress" in (a, b):
            if a != b:
                raise self.unlike(node, left, right)
            if node.how != "covers":
                raise self.fail("pack-said-otherwise", 'protection codes are compared with "covers"', node.how_at,
                                "Their water digits are not one ladder: IPX7 does not stand in for IPX6.")
            return t.Cmp(left, node.how, right, "ingress", node.at)
        if node.how == "covers":
            raise self.fail("pack-said-otherwise", '"covers" compares protection codes only', node.how_at)
        first, second = self.dimension(left), self.dimension(right)
        assert first is not None and second is not None
        sizes = self.is_size(left) or self.is_size(right)
        if first != second:
            raise self.unlike(node, left, right)
        if sizes and node.how not in _SIZES:
            raise self.fail("pack-said-otherwise", 'sizes are compared with "thinner than", "thicker than" or "same size as"', node.how_at,
                            "A bigger AWG number is a thinner wire.")
        if node.how in _SIZES and first != d.AREA:
            raise self.fail("pack-said-otherwise", f'"{node.how}" compares sizes only', node.how_at)
        return t.Cmp(left, node.how, right, "quantity", node.at)

    def side(self, node: s.Term, other: s.Term) -> t.Term:
        """One side; a lone word may be a choice of the other side."""
        if isinstance(node, s.Named) and node.word not in self.limits and isinstance(other, s.Part | s.Placed):
            reading = self.phrase(other)
            if isinstance(reading, t.WordOf) and reading.row.gives == "choice":
                return self.choice_word(reading.row, node.word, node.at)
        return self.term(node)

    def choice_word(self, row: Word, word: str, at: int) -> t.FixedWords:
        """A word of a choice."""
        known = choices_of(row)
        if word not in known:
            near = nearest(word, known)
            raise self.fail("pack-choice", f'"{word}" is not one of the words of "{row.word}"', at,
                            f'Did you mean "{near}"?' if near else f"It is one of {listed(list(known), 'or')}.")
        return t.FixedWords(frozenset({known[word]}), word, at)

    def same(self, node: s.Compare) -> t.Same | None:
        """`B equal to D`, when both sides are things."""
        sides = []
        for side in (node.left, node.right):
            if isinstance(side, s.Tag):
                sides.append(self.tag(side))
            elif isinstance(side, s.Part):
                found = self.phrase(side)
                if isinstance(found, t.PartOf | t.Whole):
                    sides.append(found)  # type: ignore[arg-type]
        if len(sides) < 2:
            return None
        first, second = sides
        if not (self.vocabulary.is_a(first.kind, second.kind) or self.vocabulary.is_a(second.kind, first.kind)):
            raise self.fail("pack-word-on-thing", f"{article(first.kind)} is never {article(second.kind)}", node.how_at)
        return t.Same(first, second, node.at)

    def sort(self, term: t.Term) -> str:
        """quantity, choice or ingress."""
        if isinstance(term, t.WordOf):
            return term.row.gives if term.row.gives in ("choice", "ingress") else "quantity"
        if isinstance(term, t.FixedWords):
            return "ingress" if term.text.startswith("IP") else "choice"
        return "ingress" if isinstance(term, t.LimitOf) and term.dimension is None else "quantity"

    def described(self, term: t.Term) -> str:
        """A term's type in words."""
        dimension = self.dimension(term)
        if dimension is not None:
            return said(dimension)
        return "a protection code" if self.sort(term) == "ingress" else "a choice of words"

    def unlike(self, node: s.Compare, left: t.Term, right: t.Term) -> Spoiled:
        """Two sides of different sorts: a short headline, and what each side is."""
        sides = [self.described(left), self.described(right)]
        a, b = (side.split(",")[0] for side in sides)
        return self.fail("pack-dimension", f"{a} cannot be compared with {b}", node.how_at, because=(
            Mark("written", printed(node)), *(Mark(printed(term), side) for term, side in zip((node.left, node.right), sides, strict=True))))

    def choice(self, node: s.Compare, left: t.Term, right: t.Term, a: str, b: str) -> t.Cmp:
        """Two choices."""
        if node.how != "equal to":
            raise self.fail("pack-said-otherwise", 'words are compared with "is", "is one of" or "equal to"', node.how_at)
        if a != b:
            raise self.unlike(node, left, right)
        words = [set(term.row.choices) if isinstance(term, t.WordOf) else set(term.words) for term in (left, right)]  # type: ignore[union-attr]
        if not words[0] & words[1]:
            raise self.fail("pack-choice", "these two have no word in common", node.how_at)
        return t.Cmp(left, "equal to", right, "choice", node.at)

    # ---- formulas: see `sentences` -------------------------------------------------------------------------------------------------------

    def formula(self, node: s.Formula) -> t.Formula:
        """A formula. Every part is looked at even if an earlier one is spoiled."""
        from linter.language.sentences import formula
        return formula(self, node)
