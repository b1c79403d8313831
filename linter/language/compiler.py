"""Formulas and terms as closures: one Truth outside any state quantifier, a pair of state sets inside one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.language import typed as t
from linter.language.asking import WayQuestion
from linter.language.compare import among
from linter.language.strict import span_of
from linter.language.tally import NO, OPERATIONS, UNKNOWN, YES, Env, Tally, asked_word, best, comparison, meet, surely_has, unknown_of
from linter.language.wording import FEEDING
from linter.language.world import States, World

Lump = Callable[[Env], Truth]
Spread = Callable[[Env], tuple[States, States]]
Amount = Callable[[Env], Any]
Pieces = Callable[[Env], list[tuple[States, Any]]]
Element = Callable[[Env], str | None]


def speaks_of_state(node: object) -> bool:
    """Whether a node says something that differs with the open state. A group over the states closes over its own."""
    if isinstance(node, t.WordOf | t.Called | t.Said) and node.under:
        return True
    if isinstance(node, t.Meets) and node.in_state:
        return True
    if isinstance(node, t.Over | t.Number | t.Exists | t.Keeps) and node.group.state:
        return False
    if isinstance(node, t.Called):
        return False
    if isinstance(node, t.All | t.Any_):
        return any(speaks_of_state(part) for part in node.parts)
    if isinstance(node, t.Not):
        return speaks_of_state(node.formula)
    if isinstance(node, t.Cmp | t.Calc):
        return speaks_of_state(node.left) or speaks_of_state(node.right)
    if isinstance(node, t.Best):
        return any(speaks_of_state(term) for term in node.terms)
    if isinstance(node, t.Among):
        return speaks_of_state(node.term)
    if isinstance(node, t.Over):
        return speaks_of_state(node.term) or speaks_of_state(node.group)
    if isinstance(node, t.Keeps):
        return speaks_of_state(node.formula) or speaks_of_state(node.group)
    if isinstance(node, t.Number | t.Exists):
        return speaks_of_state(node.group)
    if isinstance(node, t.Group):
        return node.condition is not None and speaks_of_state(node.condition)
    if isinstance(node, t.Meets):
        groups = [e.group for e in (node.start, node.end, node.avoiding) if e is not None and e.group is not None]
        return any(speaks_of_state(group) for group in groups) or (node.within is not None and speaks_of_state(node.within))
    return False


class Compiler:
    """Makes the closures. One for each practice; pack readings are compiled where they are called."""

    def __init__(self, checked: t.Checked) -> None:
        self.limits = checked.limits
        self.kinds = checked.vocabulary.kinds

    # ---- things -----------------------------------------------------------------------------------------------------------------------

    def thing(self, node: t.Thing) -> Element:
        """The element a thing is in this env, None when it is not known which."""
        if isinstance(node, t.Held):
            slot = node.slot
            return lambda env: env[slot]
        if isinstance(node, t.Whole):
            return lambda env: ""
        of, word = self.thing(node.of), node.word

        def part(env: Env) -> str | None:
            element = of(env)
            return None if element is None else env[0].part(word, element)[0]
        return part

    def terminal(self, world: World, element: str, word: str) -> str | None:
        """A terminal's name: the asked one, or what takes its place on this kind; None when the kind has none such."""
        kind = self.kinds.get(world.kind_of(element))
        terminals = kind.terminals if kind is not None else ()
        if terminals == ("stud",):
            return f"{element} stud"
        if not word:
            found = next((w for w in FEEDING if w in terminals), None)
            return f"{element} {found}" if found else None
        if word in terminals or not terminals:
            return f"{element} {word}"
        if word in ("positive", "negative") and f"out {word}" in terminals:
            return f"{element} out {word}"
        return None

    # ---- formulas as one truth -----------------------------------------------------------------------------------------------------------

    def lump(self, node: t.Formula) -> Lump:
        """A formula that does not speak of an open state."""
        if isinstance(node, t.All):
            return _all([self.lump(part) for part in node.parts])
        if isinstance(node, t.Any_):
            return _any([self.lump(part) for part in node.parts])
        if isinstance(node, t.Not):
            inner = self.lump(node.formula)
            return lambda env: ~inner(env)
        if isinstance(node, t.Cmp):
            left, right, compare = self.amount(node.left), self.amount(node.right), comparison(node)
            return lambda env: compare(left(env), right(env))
        if isinstance(node, t.Among):
            value, words = self.amount(node.term), node.words
            return lambda env: among(value(env), words)
        if isinstance(node, t.Same):
            return _same(self.thing(node.left), self.thing(node.right))
        if isinstance(node, t.Said):
            return self.said(node)
        if isinstance(node, t.HasPart):
            return _has(self.thing(node.thing), node.word)
        if isinstance(node, t.Exists):
            return self.exists_state(node) if node.group.state else self.exists(node.group)
        if isinstance(node, t.Keeps):
            return self.keeps_state(node) if node.group.state else self.keeps(node)
        return self.meets(node)

    def said(self, node: t.Said) -> Lump:
        """A yes-no word, or a relation that holds or not whatever the state."""
        thing, word = self.thing(node.thing), node.row.word
        if node.row.sort != "relation":
            def plain(env: Env) -> Truth:
                element = thing(env)
                if element is None:
                    return UNKNOWN
                value = env[0].reading(word, element).value
                return value if isinstance(value, Truth) else UNKNOWN
            return plain
        other = self.thing(node.other) if node.other is not None else None

        def relation(env: Env) -> Truth:
            element = thing(env)
            second = other(env) if other is not None else None
            if element is None or (other is not None and second is None):
                return UNKNOWN
            world = env[0]
            answer = world.relation(word, element, second)
            everything = world.everything
            return YES if answer.yes == everything else NO if answer.no == everything else UNKNOWN
        return relation

    def exists(self, group: t.Group) -> Lump:
        """there is a …"""
        members = self.members(group)
        kind = group.kind

        def there_is(env: Env) -> Truth:
            result = NO if env[0].complete(kind) else UNKNOWN
            for certain in members(env):
                if certain is YES:
                    return YES
                result = UNKNOWN
            return result
        return there_is

    def keeps(self, node: t.Keeps) -> Lump:
        """each … keeps"""
        members, kept, kind = self.members(node.group), self.lump(node.formula), node.group.kind

        def each(env: Env) -> Truth:
            result = YES if env[0].complete(kind) else UNKNOWN
            for certain in members(env):
                holds = kept(env)
                if holds is NO and certain is YES:
                    return NO
                if holds is not YES:
                    result = UNKNOWN
            return result
        return each

    def members(self, group: t.Group) -> Callable[[Env], Iterator[Truth]]:
        """Sets the group's slot to each member that is not surely out, and says how surely it is in."""
        kind, slot = group.kind, group.slot
        condition = self.lump(group.condition) if group.condition is not None else None

        def run(env: Env) -> Iterator[Truth]:
            world = env[0]
            found = world.members(kind)
            world.spend(len(found) + 1)
            for member in found:
                env[slot] = member
                certain = condition(env) if condition is not None else YES
                if certain is not NO:
                    yield certain
        return run

    def exists_state(self, node: t.Exists) -> Lump:
        """there is a state …"""
        if node.group.condition is None:
            return lambda env: YES
        inner = self.spread(node.group.condition)

        def there_is(env: Env) -> Truth:
            yes, no = inner(env)
            world = env[0]
            return YES if yes != world.nothing else NO if no == world.everything else UNKNOWN
        return there_is

    def keeps_state(self, node: t.Keeps) -> Lump:
        """each state … keeps"""
        condition = self.spread(node.group.condition) if node.group.condition is not None else None
        kept = self.spread(node.formula)

        def each(env: Env) -> Truth:
            world = env[0]
            yes, no = kept(env)
            if condition is not None:
                within, outside = condition(env)
                yes, no = yes | outside, no & within
            return NO if no != world.nothing else YES if yes == world.everything else UNKNOWN
        return each

    def meets(self, node: t.Meets) -> Lump:
        """every way …, over all states."""
        ask = self.way(node)

        def way(env: Env) -> Truth:
            yes, no = ask(env)
            world = env[0]
            return NO if no != world.nothing else YES if yes == world.everything else UNKNOWN
        return way

    def way(self, node: t.Meets) -> Spread:
        """The question put to the World, in all states."""
        question = WayQuestion(self, node)

        def ask(env: Env) -> tuple[States, States]:
            world = env[0]
            made, whole = question.put(env)
            if made is None:
                return world.nothing, world.nothing
            answer = world.ways(made)
            return (answer.yes if whole else world.nothing), answer.no
        return ask

    # ---- formulas as state sets --------------------------------------------------------------------------------------------------------------

    def spread(self, node: t.Formula) -> Spread:
        """A formula inside a state quantifier."""
        if not speaks_of_state(node):
            lump = self.lump(node)

            def lifted(env: Env) -> tuple[States, States]:
                world = env[0]
                value = lump(env)
                return (world.everything if value is YES else world.nothing), (world.everything if value is NO else world.nothing)
            return lifted
        if isinstance(node, t.All | t.Any_):
            return _joined([self.spread(part) for part in node.parts], isinstance(node, t.All))
        if isinstance(node, t.Not):
            inner = self.spread(node.formula)

            def turned(env: Env) -> tuple[States, States]:
                yes, no = inner(env)
                return no, yes
            return turned
        if isinstance(node, t.Cmp):
            return _compared(self.pieces(node.left), self.pieces(node.right), comparison(node))
        if isinstance(node, t.Said):
            return self.said_in(node)
        if isinstance(node, t.Exists | t.Keeps):
            return self.members_in(node)
        if isinstance(node, t.Among):
            value, words = self.pieces(node.term), node.words
            return _compared(value, lambda env: [(env[0].everything, words)], among)
        assert isinstance(node, t.Meets)
        return self.way(node)

    def said_in(self, node: t.Said) -> Spread:
        """A relation in each state."""
        thing, word = self.thing(node.thing), node.row.word
        other = self.thing(node.other) if node.other is not None else None

        def relation(env: Env) -> tuple[States, States]:
            element = thing(env)
            second = other(env) if other is not None else None
            world = env[0]
            if element is None or (other is not None and second is None):
                return world.nothing, world.nothing
            answer = world.relation(word, element, second)
            return answer.yes, answer.no
        return relation

    def members_in(self, node: t.Exists | t.Keeps) -> Spread:
        """each, there is: over elements, state by state."""
        group = node.group
        condition = self.spread(group.condition) if group.condition is not None else None
        kept = self.spread(node.formula) if isinstance(node, t.Keeps) else None
        kind, slot = group.kind, group.slot

        def run(env: Env) -> tuple[States, States]:
            world = env[0]
            found = world.members(kind)
            world.spend(len(found) + 1)
            # Reckoned as "there is one that breaks it": `broken` where surely one does, `clean` where surely none does.
            broken, clean = world.nothing, world.everything if world.complete(kind) else world.nothing
            for member in found:
                env[slot] = member
                yes, no = condition(env) if condition is not None else (world.everything, world.nothing)
                if kept is not None:
                    good, bad = kept(env)
                    yes, no = yes & bad, no | good
                broken, clean = broken | yes, clean & no
            return (broken, clean) if kept is None else (clean, broken)
        return run

    # ---- terms as one value --------------------------------------------------------------------------------------------------------------

    def amount(self, node: t.Term) -> Amount:
        """A term that does not speak of an open state."""
        if isinstance(node, t.Fixed | t.FixedWords):
            fixed: Any = node.value if isinstance(node, t.Fixed) else node.words
            return lambda env: fixed
        if isinstance(node, t.LimitOf):
            value = self.limits[node.name].value
            return lambda env: value
        if isinstance(node, t.WordOf):
            return self.word(node)
        if isinstance(node, t.Called):
            return self.called(node, self.amount(node.reading.term))
        if isinstance(node, t.Calc):
            left, right, operation = self.amount(node.left), self.amount(node.right), OPERATIONS[node.op]
            return lambda env: operation(left(env), right(env))
        if isinstance(node, t.Best):
            terms, which = [self.amount(term) for term in node.terms], node.which
            return lambda env: best(which, [term(env) for term in terms])
        if isinstance(node, t.Over):
            return self.over_states(node) if node.group.state else self.over(node)
        members, kind = self.members(node.group), node.group.kind

        def count(env: Env) -> Range:
            low = high = 0
            for certain in members(env):
                high += 1
                low += certain is YES
            return Range(low, high if env[0].complete(kind) else INF)
        return count

    def word(self, node: t.WordOf) -> Amount:
        """A reading of the vocabulary."""
        thing, word, unknown = self.thing(node.thing), asked_word(node), unknown_of(node)

        def read(env: Env) -> Any:
            element = thing(env)
            if element is None:
                return unknown
            value = env[0].reading(word, element).value
            return unknown if isinstance(value, Truth) or (isinstance(value, frozenset) != isinstance(unknown, frozenset)) else value
        return read

    def called(self, node: t.Called, inner: Callable[[Env], Any]) -> Callable[[Env], Any]:
        """A pack reading: its own slots, its things put in."""
        things, slots = [self.thing(thing) for thing in node.things], node.reading.slots

        def call(env: Env) -> Any:
            own: Env = [None] * slots
            own[0] = env[0]
            for slot, thing in enumerate(things, 1):
                own[slot] = thing(env)
            env[0].spend(1)
            return inner(own)
        return call

    def over(self, node: t.Over) -> Amount:
        """largest, smallest, total over elements."""
        members, term, which, kind = self.members(node.group), self.amount(node.term), node.which, node.group.kind
        floor = span_of(node.term, self.limits).low

        def run(env: Env) -> Range:
            held = Tally.start(which)
            for certain in members(env):
                held = held.add(which, term(env), certain is YES)
            return held.range(which, env[0].complete(kind), floor)
        return run

    def over_states(self, node: t.Over) -> Amount:
        """largest, smallest over the operating states."""
        condition = self.spread(node.group.condition) if node.group.condition is not None else None
        term, which = self.pieces(node.term), node.which

        def run(env: Env) -> Range:
            world = env[0]
            inside, outside = condition(env) if condition is not None else (world.everything, world.nothing)
            held = Tally.start(which)
            for states, value in term(env):
                possible = world.without(states, outside)
                if possible != world.nothing:
                    held = held.add(which, value, states & inside != world.nothing)
            return held.range(which, True, -INF)
        return run

    # ---- terms in each state --------------------------------------------------------------------------------------------------------------

    def pieces(self, node: t.Term) -> Pieces:
        """A term inside a state quantifier: pieces that cover all states."""
        if not speaks_of_state(node):
            value = self.amount(node)
            return lambda env: [(env[0].everything, value(env))]
        if isinstance(node, t.WordOf):
            thing, word, unknown = self.thing(node.thing), asked_word(node), unknown_of(node)

            def read(env: Env) -> list[tuple[States, Any]]:
                element = thing(env)
                world = env[0]
                if element is None:
                    return [(world.everything, unknown)]
                return [(states, reading.value) for states, reading in world.readings(word, element)]
            return read
        if isinstance(node, t.Called):
            return self.called(node, self.pieces(node.reading.term))
        if isinstance(node, t.Calc):
            return _combined([self.pieces(node.left), self.pieces(node.right)], lambda values: OPERATIONS[node.op](*values))
        if isinstance(node, t.Best):
            return _combined([self.pieces(term) for term in node.terms], lambda values: best(node.which, values))
        assert isinstance(node, t.Over | t.Number)
        return self.over_in(node)

    def over_in(self, node: t.Over | t.Number) -> Pieces:
        """A group over elements, state by state."""
        group = node.group
        condition = self.spread(group.condition) if group.condition is not None else None
        which = node.which if isinstance(node, t.Over) else "total"
        term = self.pieces(node.term) if isinstance(node, t.Over) else lambda env: [(env[0].everything, Range(1.0, 1.0))]
        floor = span_of(node.term, self.limits).low if isinstance(node, t.Over) else 0.0
        kind, slot = group.kind, group.slot

        def run(env: Env) -> list[tuple[States, Any]]:
            world = env[0]
            found = world.members(kind)
            world.spend(len(found) + 1)
            held: list[tuple[States, Tally]] = [(world.everything, Tally.start(which))]
            for member in found:
                env[slot] = member
                yes, no = condition(env) if condition is not None else (world.everything, world.nothing)
                adds: list[tuple[States, tuple[Range, bool] | None]] = [(no, None)]
                maybe = world.without(world.without(world.everything, yes), no)
                for states, value in term(env):
                    adds += [(states & yes, (value, True)), (states & maybe, (value, False))]
                held = meet(world, held, adds, lambda tally, add: tally if add is None else tally.add(which, add[0], add[1]))
            complete = world.complete(kind)
            return [(states, tally.range(which, complete, floor)) for states, tally in held]
        return run


def _all(parts: list[Lump]) -> Lump:
    def run(env: Env) -> Truth:
        result = YES
        for part in parts:
            value = part(env)
            if value is NO:
                return NO
            if value is UNKNOWN:
                result = UNKNOWN
        return result
    return run


def _any(parts: list[Lump]) -> Lump:
    def run(env: Env) -> Truth:
        result = NO
        for part in parts:
            value = part(env)
            if value is YES:
                return YES
            if value is UNKNOWN:
                result = UNKNOWN
        return result
    return run


def _same(left: Element, right: Element) -> Lump:
    def run(env: Env) -> Truth:
        a, b = left(env), right(env)
        return UNKNOWN if a is None or b is None else YES if a == b else NO
    return run


def _has(thing: Element, word: str) -> Lump:
    def run(env: Env) -> Truth:
        element = thing(env)
        return UNKNOWN if element is None else surely_has(env[0].part(word, element))
    return run


def _joined(parts: list[Spread], conjunction: bool) -> Spread:
    def run(env: Env) -> tuple[States, States]:
        world = env[0]
        yes, no = (world.everything, world.nothing) if conjunction else (world.nothing, world.everything)
        for part in parts:
            y, n = part(env)
            yes, no = (yes & y, no | n) if conjunction else (yes | y, no & n)
        return yes, no
    return run


def _compared(left: Pieces, right: Pieces, compare: Callable[[Any, Any], Truth]) -> Spread:
    def run(env: Env) -> tuple[States, States]:
        world = env[0]
        yes = no = world.nothing
        first, second = left(env), right(env)
        world.spend(len(first) * len(second))
        for states, a in first:
            for more, b in second:
                both = states & more
                if both == world.nothing:
                    continue
                value = compare(a, b)
                if value is YES:
                    yes = yes | both
                elif value is NO:
                    no = no | both
        return yes, no
    return run


def _combined(parts: list[Pieces], operation: Callable[[list[Any]], Any]) -> Pieces:
    def run(env: Env) -> list[tuple[States, Any]]:
        world = env[0]
        held: list[tuple[States, Any]] = [(world.everything, ())]
        for part in parts:
            held = meet(world, held, part(env), lambda values, value: (*values, value))
        return [(states, operation(list(values))) for states, values in held]
    return run
