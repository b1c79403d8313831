"""A card with its values filled in for one element, and the values at which the verdict would turn. Slow, and only for `--explain`."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.language import saying
from linter.language import typed as t
from linter.language.compiler import Compiler
from linter.language.explain import Explanation, explain
from linter.language.plainly import Speaker, units
from linter.language.sink import Sink, Told, blames
from linter.language.syntax import children
from linter.language.tally import Env
from linter.language.tipping import leaves, tipping
from linter.language.walk import Walker
from linter.language.world import States, TooMuchWork, World

YES, NO, OPEN, BY_STATE = "yes", "no", "cannot tell", "in some states"


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause of a card, for one element.

    Attributes:
        depth: How far in it stands.
        text: In plain words, the element named.
        values: What both sides of a comparison come to: "225 A against 145.6 A"; "" where there is nothing to fill in.
        outcome: yes, no, cannot tell, in some states; "" where it depends on which of several things is meant.
    """

    depth: int
    text: str
    values: str
    outcome: str


@dataclass(frozen=True, slots=True)
class Filled:
    """A card filled in.

    Attributes:
        applies: What it looks at and passes over, each with how that came out.
        demand: What must hold.
        tips: Fact to the value at which the verdict turns: ("rating of F4", "145.6 A or less is met, more is not").
        way: Elements of the way that decides, in order.
    """

    applies: tuple[Clause, ...]
    demand: tuple[Clause, ...]
    tips: tuple[tuple[FactRef, str], ...]
    way: tuple[str, ...]


def fill(practice: t.Practice, checked: t.Checked, world: World, element: str) -> tuple[Explanation, Filled]:
    """The verdict on one element again, with the card filled in."""
    walker = _Tipping(world, Compiler(checked), checked)
    told = explain(practice, checked, world, element, walker)
    filler = _Filler(practice, checked, world, element)
    look = practice.look
    applies: list[Clause] = []
    if look.condition is not None:
        applies += filler.clauses_of(look.condition, "looked at when ")
    if practice.passing is not None:
        applies += filler.clauses_of(practice.passing, "passed over when ")
    demand = filler.clauses_of(practice.demand, "")
    way = told.through if any(isinstance(node, t.Meets) for node in _nodes(practice.demand)) else ()
    return told, Filled(tuple(applies), tuple(demand), tuple(walker.tips.items()), way)


def _nodes(node: object) -> list[object]:
    """A checked formula and all inside it."""
    found, waiting = [], [node]
    while waiting:
        one = waiting.pop()
        if isinstance(one, tuple):
            waiting += one
        elif type(one).__module__ == t.__name__ and not isinstance(one, t.PackReading):
            found.append(one)
            waiting += children(one)
    return found


def _bound(node: object, slot: int) -> bool:
    """Speaks of nothing but the thing in one slot, the installation, and things it brings in itself."""
    nodes = _nodes(node)
    own = {one.slot for one in nodes if isinstance(one, t.Group)}
    return all(one.slot == slot or one.slot in own for one in nodes if isinstance(one, t.Held))


class _Filler:
    """Says the clauses of one card, with the values the World knows."""

    def __init__(self, practice: t.Practice, checked: t.Checked, world: World, element: str) -> None:
        self.speaker = Speaker(checked.limits, checked.vocabulary, practice.slots)
        self.speaker.name(practice.look.slot, practice.look.kind, practice.look.tag)
        self.speaker.env[practice.look.slot] = element
        self.walker = Walker(world, Compiler(checked), checked)
        self.world = world
        self.slot = practice.look.slot
        self.env: Env = [None] * practice.slots
        self.env[0], self.env[self.slot] = world, element

    def clauses_of(self, node: t.Formula, front: str) -> list[Clause]:
        """A formula, clause by clause."""
        return self._clauses(node, 0, front, True)

    def _clauses(self, node: t.Formula, depth: int, front: str, positive: bool) -> list[Clause]:
        if isinstance(node, t.Not) and isinstance(node.formula, t.All | t.Any_ | t.Not):
            return self._clauses(node.formula, depth, front, not positive)
        if isinstance(node, t.All | t.Any_):
            every = isinstance(node, t.All) is positive
            text = f"{front}{'all of these' if every else 'at least one of these'}"
            inner = [clause for part in node.parts for clause in self._clauses(part, depth + 1, "", positive)]
            return [Clause(depth, text, "", self._outcome(node, positive)), *inner]
        said = self.speaker.formula(node, positive)
        lines = list(said.lines())
        head = Clause(depth, front + lines[0][1].removesuffix(":"), self._values(node), self._outcome(node, positive))
        return [head, *(Clause(depth + deeper, text, "", "") for deeper, text in lines[1:])]

    def _outcome(self, node: t.Formula, positive: bool) -> str:
        """How a clause came out, if that does not hang on which of several things is meant."""
        if not _bound(node, self.slot):
            return ""
        try:
            told = self.walker.formula(node, list(self.env))
        except TooMuchWork:
            return OPEN
        yes, no = (told.yes, told.no) if positive else (told.no, told.yes)
        if yes == self.world.everything:
            return YES
        if no == self.world.everything:
            return NO
        return BY_STATE if yes != self.world.nothing and no != self.world.nothing else OPEN

    def _values(self, node: t.Formula) -> str:
        """What the sides of a comparison come to."""
        inner = node.formula if isinstance(node, t.Not) else node
        if not _bound(inner, self.slot):
            return ""
        sides: list[t.Term] = []
        if isinstance(inner, t.Cmp):
            sides = [side for side in (inner.left, inner.right) if not isinstance(side, t.Fixed | t.FixedWords | t.LimitOf)]
        elif isinstance(inner, t.Among):
            sides = [inner.term]
        texts: list[str] = []
        for side in sides:
            with suppress(TooMuchWork):
                texts.append(self._value(side))
        return " against ".join(text for text in texts if text)

    def _value(self, term: t.Term) -> str:
        """A term's value, from the least to the greatest over all states."""
        values = [measured.value for _, measured in self.walker.term(term, list(self.env))]
        dimension, share = self.walker.dimension(term), saying.percent(term)
        if isinstance(term, t.WordOf) and term.row.gives == "size":
            return ""
        if len(values) > 1 and all(isinstance(value, Range) for value in values):
            return units(saying.value(Range(min(value.low for value in values), max(value.high for value in values)), dimension, share))
        return units(saying.value(values[0], dimension, share)) if values else ""


class _Tipping(Walker):
    """The explaining walk, which also notes at which value of each fact a deciding comparison would turn."""

    def __init__(self, world: World, compiler: Compiler, checked: t.Checked) -> None:
        super().__init__(world, compiler, checked)
        self.tips: dict[FactRef, str] = {}

    def compare(self, node: t.Cmp, env: Env) -> Told:
        """As the walk; when this comparison decides, its tipping values are kept."""
        told = super().compare(node, env)
        here = list(env)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            told.decide(states, sign, sink, positive)
            if sign != "open" and not blames(sign, positive):
                return
            for left_states, left in self.term(node.left, here):
                for right_states, right in self.term(node.right, here):
                    if left_states & right_states & states == self.none:
                        continue
                    for ref in self.refs(node, here):
                        said = tipping(self, node, ref, left, right, here, positive)
                        if said and self.tips.setdefault(ref, said) != said:
                            self.tips[ref] = ""  # it turns at one value here and at another there: none can be named

        return Told(told.yes, told.no, decide)

    def refs(self, node: t.Cmp, env: Env) -> list[FactRef]:
        """Facts that stand in a comparison, with the element each is of."""
        found = []
        for row, thing in leaves(node.left) + leaves(node.right):
            element, _ = self.thing(thing, env)
            if element is not None:
                found.append(FactRef(element, row.word))
        return list(dict.fromkeys(found))

