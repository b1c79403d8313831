"""Terms walked: each value in each state, with the facts, limits and elements it rests on. The formulas are `walk`'s business."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.language import saying
from linter.language import typed as t
from linter.language.compiler import Compiler, Spread
from linter.language.sink import Measured, Pieces, Sink, Told, every, together
from linter.language.strict import span_of
from linter.language.tally import ANYTHING, OPERATIONS, Env, Tally, asked_word, best, meet, unknown_of
from linter.language.world import States, World
from linter.units.dimension import NUMBER, Dimension

# What a node of the explaining walk costs, in steps of the compiled judge: it keeps all it meets, and one budget counts for both.
NODE_STEPS = 20


class TermWalker(ABC):
    """Walks terms; conditions inside them are walked by whoever extends it."""

    def __init__(self, world: World, compiler: Compiler, checked: t.Checked | None) -> None:
        self.world = world
        self.compiler = compiler
        self.checked = checked
        self.all = world.everything
        self.none = world.nothing
        self.seen: dict[t.Formula, set[Truth]] = {}
        # For coverage: also walk the conditions inside ways, which otherwise only the compiled question looks at.
        self.thorough = False
        # For a survey: what a member of a group comes out with is asked of the compiled form, and only those that decide something are walked.
        self.brisk = False
        self.compiled: dict[t.Formula, Spread] = {}

    def open_in(self, told: Told, states: States) -> States:
        """Those of some states in which it cannot be told."""
        return self.world.without(self.world.without(states, told.yes), told.no)

    @abstractmethod
    def formula(self, node: t.Formula, env: Env) -> Told:
        """The walk of a formula."""

    # ---- things -------------------------------------------------------------------------------------------------------------------------

    def thing(self, node: t.Thing, env: Env) -> tuple[str | None, frozenset[FactRef]]:
        """The element, or None and what would say which it is."""
        if isinstance(node, t.Held):
            return env[node.slot], frozenset()
        if isinstance(node, t.Whole):
            return "", frozenset()
        element, wants = self.thing(node.of, env)
        if element is None:
            return None, wants
        name, reading = self.world.part(node.word, element)
        return name, reading.wants or frozenset({FactRef(element, node.word)}) if name is None else frozenset()

    # ---- terms ----------------------------------------------------------------------------------------------------------------------------------

    def dimension(self, node: t.Term) -> Dimension | None:
        """Dimension of a term, None for words and codes."""
        if isinstance(node, t.Called):
            return node.reading.dimension
        if isinstance(node, t.Number):
            return NUMBER
        return None if isinstance(node, t.FixedWords) else node.dimension

    def term(self, node: t.Term, env: Env) -> Pieces:
        """A term in all states, as pieces that cover them."""
        self.world.spend(NODE_STEPS)
        if isinstance(node, t.Fixed):
            return [(self.all, Measured(node.value))]
        if isinstance(node, t.FixedWords):
            return [(self.all, Measured(node.words))]
        if isinstance(node, t.LimitOf):
            return [(self.all, Measured(self.compiler.limits[node.name].value, limits=(node.name,)))]
        if isinstance(node, t.WordOf):
            return self.word(node, env)
        if isinstance(node, t.Called):
            own: Env = [None] * node.reading.slots
            own[0] = self.world
            wants: frozenset[FactRef] = frozenset()
            for slot, thing in enumerate(node.things, 1):
                own[slot], more = self.thing(thing, env)
                wants |= more
            self.world.spend(1)
            return [(states, replace(m, wants=m.wants | wants)) for states, m in self.term(node.reading.term, own)]
        if isinstance(node, t.Calc):
            operation = OPERATIONS[node.op]
            return self.combined([self.term(node.left, env), self.term(node.right, env)], lambda values: operation(*values))
        if isinstance(node, t.Best):
            return self.combined([self.term(term, env) for term in node.terms], lambda values: best(node.which, values))
        return self.over_states(node, env) if isinstance(node, t.Over) and node.group.state else self.over(node, env)

    def combined(self, parts: list[Pieces], operation: Callable[[list[Any]], Any]) -> Pieces:
        """Terms joined, state by state."""
        held: list[tuple[States, tuple[Measured, ...]]] = [(self.all, ())]
        for part in parts:
            held = [(states & more, (*have, measured)) for states, have in held for more, measured in part if states & more != self.none]
            self.world.spend(len(held))
        return [(states, together(operation([m.value for m in have]), list(have))) for states, have in held]

    def word(self, node: t.WordOf, env: Env) -> Pieces:
        """A reading."""
        element, wants = self.thing(node.thing, env)
        if element is None:
            return [(self.all, Measured(unknown_of(node), wants))]
        asked = asked_word(node)
        pieces = self.world.readings(asked, element) if node.under else ((self.all, self.world.reading(asked, element)),)
        return [(states, self.measured(node, element, reading)) for states, reading in pieces]

    def measured(self, node: t.WordOf, element: str, reading: Reading) -> Measured:
        """A reading with its reference."""
        ref = FactRef(element, node.row.word)
        value: Any = reading.value
        unknown = unknown_of(node)
        if isinstance(value, Truth) or isinstance(value, frozenset) != isinstance(unknown, frozenset):
            value = unknown
        is_open = not value.known if isinstance(value, Range) else len(value) != 1
        wants = reading.wants or (frozenset({ref}) if is_open else frozenset())
        text = saying.value(value, node.dimension, node.row.gives == "share")
        return Measured(value, wants, ((ref, reading, text),), tuple(sorted(reading.uses)), reading.through, reading.states)

    def over(self, node: t.Over | t.Number, env: Env) -> Pieces:
        """largest, smallest, total, number over elements, state by state."""
        group = node.group
        which = node.which if isinstance(node, t.Over) else "total"
        complete = self.world.complete(group.kind)
        floor = span_of(node.term, self.compiler.limits).low if isinstance(node, t.Over) else 0.0
        found = self.world.members(group.kind)
        self.world.spend(len(found) + 1)
        held: list[tuple[States, tuple[Tally, tuple[tuple[str, Measured, bool, frozenset[FactRef]], ...]]]] = [(self.all, (Tally.start(which), ()))]
        for member in found:
            own = list(env)
            own[group.slot] = member
            told = self.formula(group.condition, own) if group.condition is not None else None
            yes, no = (told.yes, told.no) if told is not None else (self.all, self.none)
            maybe = self.world.without(self.world.without(self.all, yes), no)
            adds: list[tuple[States, tuple[str, Measured, bool, frozenset[FactRef]] | None]] = [(no, None)]
            doubt: frozenset[FactRef] = frozenset()
            if told is not None and maybe != self.none:
                inner = Sink()
                told.decide(maybe, "open", inner, True)
                doubt = frozenset(inner.questions)
            pieces = self.term(node.term, own) if isinstance(node, t.Over) else [(self.all, Measured(Range(1.0, 1.0)))]
            for states, measured in pieces:
                adds += [(states & yes, (member, measured, True, frozenset())), (states & maybe, (member, measured, False, doubt))]
            held = meet(self.world, held, adds, lambda have, add: have if add is None else (
                have[0].add(which, add[1].value, add[2]), (*have[1], add)))
        out: Pieces = []
        for states, (tally, counted) in held:
            value = tally.range(which, complete, floor)
            ones = [measured for _, measured, _, _ in counted]
            whole = together(value, ones)
            wants = whole.wants.union(*(w for _, _, _, w in counted)) if counted else whole.wants
            if not complete:
                wants = wants | {every(group.kind)}
            through = tuple(member for member, measured, sure, _ in counted if sure and self.carries(which, value, measured.value))
            notes = whole.notes
            if not counted and complete and isinstance(node, t.Over) and which != "total":
                notes = (*notes, "nothing to look at")
            out.append((states, replace(whole, wants=wants if not value.known else frozenset(), through=(*through, *whole.through), notes=notes)))
        return out

    def carries(self, which: str, value: Range, one: Any) -> bool:
        """Whether a member is worth naming with the outcome."""
        if which == "total":
            return bool(isinstance(one, Range) and one.high != 0)
        return bool(isinstance(one, Range) and (one.low == value.low or one.high == value.high))

    def over_states(self, node: t.Over, env: Env) -> Pieces:
        """largest, smallest over the states: the states that give it are remembered."""
        told = self.formula(node.group.condition, env) if node.group.condition is not None else None
        yes, no = (told.yes, told.no) if told is not None else (self.all, self.none)
        which = node.which
        tally = Tally.start(which)
        counted: list[tuple[States, Measured]] = []
        for states, measured in self.term(node.term, env):
            possible = self.world.without(states, no)
            if possible != self.none:
                tally = tally.add(which, measured.value, states & yes != self.none)
                counted.append((possible, measured))
        value = tally.range(which, True, -INF)
        if value == ANYTHING or not counted:
            wants: frozenset[FactRef] = frozenset().union(*(m.wants for _, m in counted))
            if told is not None and self.open_in(told, self.all) != self.none:
                inner = Sink()
                told.decide(self.open_in(told, self.all), "open", inner, True)
                wants |= frozenset(inner.questions)
            return [(self.all, Measured(value, wants, notes=() if counted else ("nothing to look at",)))]
        top = [(s, m) for s, m in counted if (m.value.high == value.high if which == "largest" else m.value.low == value.low)]
        cause = top[0][0]
        for states, _ in top[1:]:
            cause = cause | states
        whole = together(value, [top[0][1]])
        wants = frozenset().union(*(m.wants for _, m in counted)) if not value.known else frozenset()
        return [(self.all, replace(whole, wants=wants, states=None if cause == self.all else cause))]
