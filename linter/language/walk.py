"""The slow, explaining walk over a checked formula. Same meaning as `judge`, but every node remembers what it saw.

A walked formula is a `Told`: the states in which it surely holds and surely does not, and a way to ask "what decided it there?", which
fills a `Sink` from the deciding parts only.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range
from linter.language import saying
from linter.language import typed as t
from linter.language.asking import WayQuestion
from linter.language.compare import among
from linter.language.sink import Decide, Line, Measured, Sink, Told, blames, every
from linter.language.tally import NO, UNKNOWN, YES, Env, comparison, surely_has
from linter.language.terms import NODE_STEPS, TermWalker
from linter.language.tipping import tipping
from linter.language.ways_said import way_line
from linter.language.world import States
from linter.units.dimension import Dimension

NOTHING_TO_LOOK_AT = "nothing to look at"


class Walker(TermWalker):
    """Walks one practice on one World."""

    def lump(self, truth: Truth, decide: Decide) -> Told:
        """The same in every state."""
        return Told(self.all if truth is YES else self.none, self.all if truth is NO else self.none, decide)

    # ---- formulas -----------------------------------------------------------------------------------------------------------------------

    def formula(self, node: t.Formula, env: Env) -> Told:
        """A formula of any sort. What each came out with is kept, for coverage."""
        self.world.spend(NODE_STEPS)
        told = self.sort_of(node, env)
        seen = self.seen.setdefault(node, set())
        if told.yes != self.none:
            seen.add(YES)
        if told.no != self.none:
            seen.add(NO)
        if self.open_in(told, self.all) != self.none:
            seen.add(UNKNOWN)
        return told

    def sort_of(self, node: t.Formula, env: Env) -> Told:
        """The walk of one sort of formula."""
        if isinstance(node, t.All | t.Any_):
            return self.several([self.formula(part, env) for part in node.parts], isinstance(node, t.All))
        if isinstance(node, t.Not):
            inner = self.formula(node.formula, env)
            turned = {"yes": "no", "no": "yes", "open": "open"}
            return Told(inner.no, inner.yes, lambda states, sign, sink, positive: inner.decide(states, turned[sign], sink, not positive))
        if isinstance(node, t.Cmp):
            return self.compare(node, env)
        if isinstance(node, t.Among):
            return self.among(node, env)
        if isinstance(node, t.Same):
            return self.same(node, env)
        if isinstance(node, t.Said):
            return self.said(node, env)
        if isinstance(node, t.HasPart):
            return self.has(node, env)
        if isinstance(node, t.Exists | t.Keeps):
            return self.states(node, env) if node.group.state else self.members(node, env)
        return self.way(node, env)

    def several(self, parts: list[Told], conjunction: bool) -> Told:
        """and, or. For "or" the parts of an "and" are decided the other way round."""
        yes, no = (self.all, self.none) if conjunction else (self.none, self.all)
        for part in parts:
            yes, no = (yes & part.yes, no | part.no) if conjunction else (yes | part.yes, no & part.no)
        one = "no" if conjunction else "yes"

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            if sign == one:
                left = states
                for part in parts:
                    settles = (part.no if conjunction else part.yes) & (states if blames(sign, positive) else left)
                    if settles != self.none:
                        part.decide(settles, sign, sink, positive)
                        left = self.world.without(left, settles)
                        if left == self.none and not blames(sign, positive):
                            return
            elif sign == "open":
                for part in parts:
                    doubt = self.open_in(part, states)
                    if doubt != self.none:
                        part.decide(doubt, "open", sink, positive)
            else:
                for part in parts:
                    part.decide(states, sign, sink, positive)
        return Told(yes, no, decide)

    def compare(self, node: t.Cmp, env: Env) -> Told:
        """A comparison, piece by piece of the states."""
        left, right = self.term(node.left, env), self.term(node.right, env)
        compare = comparison(node)
        pieces: list[tuple[States, Truth, Measured, Measured]] = []
        yes = no = self.none
        for states, a in left:
            for more, b in right:
                both = states & more
                if both == self.none:
                    continue
                truth = compare(a.value, b.value)
                pieces.append((both, truth, a, b))
                yes, no = (yes | both if truth is YES else yes), (no | both if truth is NO else no)
        here = list(env)
        dimension = self.dimension(node.left) or self.dimension(node.right)
        shares = saying.percent(node.left) or saying.percent(node.right)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            wanted = {"yes": YES, "no": NO, "open": UNKNOWN}[sign]
            chosen = [p for p in pieces if p[1] is wanted and p[0] & states != self.none]
            shown = chosen[:1] if sign == "yes" else self.worst(node, chosen)
            for both, _, a, b in chosen:
                for measured in (a, b):
                    sink.take(measured)
                if sign == "open":
                    for ref in a.wants | b.wants:
                        sink.ask(ref, tipping(self, node, ref, a, b, here, positive))
                    sink.spoil(both & states, self.world)
                if blames(sign, positive):
                    self.blame(node, a, b, both & states, sink)
            for _, _, a, b in shown:
                sink.lines.append(self.line(node, a, b, here, positive, dimension, shares))
        return Told(yes, no, decide)

    def blame(self, node: t.Cmp, a: Measured, b: Measured, states: States, sink: Sink) -> None:
        """States in which a comparison fails: those it was judged in, or those that cause the values in it."""
        if states != self.all:
            sink.spoil(states, self.world)
            return
        cause = None
        for measured in (a, b):
            if measured.states is not None:
                cause = measured.states if cause is None else cause | measured.states
        sink.spoil(cause, self.world)

    def worst(self, node: t.Cmp, chosen: list[tuple[States, Truth, Measured, Measured]]) -> list[tuple[States, Truth, Measured, Measured]]:
        """Of several pieces the one furthest off."""
        if len(chosen) < 2 or node.sort != "quantity":
            return chosen[:1]

        def off(piece: tuple[States, Truth, Measured, Measured]) -> float:
            gap = abs(float(piece[2].value.low) - float(piece[3].value.high))
            return gap if gap == gap else 0.0
        return [max(chosen, key=off)]

    def line(self, node: t.Cmp, a: Measured, b: Measured, env: Env, positive: bool, dimension: Dimension | None, shares: bool) -> Line:
        """found and asked for one comparison."""
        sizes = isinstance(node.left, t.WordOf) and node.left.row.gives == "size"
        left = self.written(node.left, a, env, dimension, shares, b.value)
        right = self.written(node.right, b, env, dimension, shares, a.value)
        limits = self.compiler.limits
        found = left if isinstance(node.left, t.Fixed | t.FixedWords) else saying.gives(node.left, left, a.value, env, limits, a.through)
        asked = saying.asks(node.how, positive, node.right, right, env, limits)
        if not isinstance(a.value, Range) or sizes:
            return Line(found, asked, None, dimension)
        upward = {"at most": True, "below": True, "thinner than": True, "at least": False, "above": False, "thicker than": False}.get(node.how)
        worse = "" if upward is None else "higher" if upward is positive else "lower"
        return Line(found, asked, a.value, dimension, b.value if isinstance(b.value, Range) else None, worse)

    def written(self, node: t.Term, measured: Measured, env: Env, dimension: Dimension | None, shares: bool, apart: Any) -> str:
        """The value of one side; a size as it was written."""
        if isinstance(node, t.WordOf) and node.row.gives == "size":
            element, _ = self.thing(node.thing, env)
            if element is not None:
                as_written = self.world.reading("size", element).value
                if isinstance(as_written, frozenset) and as_written:
                    return saying.value(as_written, None, False)
        if isinstance(node, t.Fixed):
            return node.text
        return saying.value(measured.value, dimension, shares, apart)

    def among(self, node: t.Among, env: Env) -> Told:
        """A choice."""
        pieces = [(states, among(m.value, node.words), m) for states, m in self.term(node.term, env)]
        yes = no = self.none
        for states, truth, _ in pieces:
            yes, no = (yes | states if truth is YES else yes), (no | states if truth is NO else no)
        here = list(env)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            wanted = {"yes": YES, "no": NO, "open": UNKNOWN}[sign]
            for mine, truth, measured in pieces:
                if truth is wanted and mine & states != self.none:
                    sink.take(measured)
                    if sign == "open":
                        for ref in measured.wants:
                            sink.ask(ref)
                    if sign == "open" or blames(sign, positive):
                        sink.spoil(mine & states, self.world)
                    words = saying.value(node.words, None, False)
                    found = saying.gives(node.term, saying.value(measured.value, None, False), measured.value, here, self.compiler.limits)
                    sink.lines.append(Line(found, words if positive else f"anything but {words}"))
        return Told(yes, no, decide)

    def same(self, node: t.Same, env: Env) -> Told:
        """Two things are one."""
        (a, first), (b, second) = self.thing(node.left, env), self.thing(node.right, env)
        truth = UNKNOWN if a is None or b is None else YES if a == b else NO
        here = list(env)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            for ref in first | second:
                sink.ask(ref)
            left, right = saying.element(node.left, here), saying.element(node.right, here)
            if not (isinstance(node.left, t.Held) and isinstance(node.right, t.Held)):
                sink.lines.append(Line(f"{left} is {saying.named(a)}", f"{'the same as' if positive else 'other than'} {right}, {saying.named(b)}"))
            if blames(sign, positive):
                sink.spoil(states, self.world)
        return self.lump(truth, decide)

    def said(self, node: t.Said, env: Env) -> Told:
        """A yes-no word, fitting or relation."""
        element, wants = self.thing(node.thing, env)
        other, more = self.thing(node.other, env) if node.other is not None else (None, frozenset())
        subject = saying.element(node.thing, env) if element is None else saying.named(element)
        second = "" if node.other is None else saying.named(other) if other is not None else saying.element(node.other, env)
        through: tuple[str, ...] = ()
        reading: Reading | None = None
        uses: frozenset[FactRef] = frozenset()
        note = ""
        if element is None or (node.other is not None and other is None):
            yes = no = self.none
            wants = wants | more
        elif node.row.sort == "relation":
            answer = self.world.relation(node.row.word, element, other)
            yes, no, wants, through, note, uses = answer.yes, answer.no, answer.wants, answer.through, answer.note, answer.uses
            if not node.under:
                # Said without a state: all or nothing.
                yes = self.all if yes == self.all else self.none
                no = self.all if no == self.all else self.none
        else:
            reading = self.world.reading(node.row.word, element)
            value = reading.value
            yes = self.all if value is YES else self.none
            no = self.all if value is NO else self.none
            through, uses = reading.through, reading.uses
            wants = reading.wants or (frozenset({FactRef(element, node.row.word)}) if yes == no else frozenset())

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            for ref in uses:
                sink.rests_on.setdefault(ref, None)
            if reading is not None and sign != "open" and element is not None:
                sink.used.setdefault(FactRef(element, node.row.word), (reading, sign))
            sink.through.extend(through)
            if note:
                sink.notes.append(note)
            if sign == "open":
                for ref in wants:
                    sink.ask(ref)
            if sign == "open" or blames(sign, positive):
                sink.spoil(states if reading is None or reading.states is None else reading.states, self.world)
            found = f"{subject} {saying.says(node.row, second, sign == 'yes')}" if sign != "open" else \
                f"whether {subject} {saying.says(node.row, second, True)} is not known"
            sink.lines.append(Line(found, f"that {subject} {saying.says(node.row, second, positive)}"))
        return Told(yes, no, decide)

    def has(self, node: t.HasPart, env: Env) -> Told:
        """A part exists."""
        element, wants = self.thing(node.thing, env)
        truth = UNKNOWN
        if element is not None:
            found = self.world.part(node.word, element)
            truth = surely_has(found)
            wants = found[1].wants or frozenset({FactRef(element, node.word)})
        word = node.word.replace("-", " ")

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            if sign == "open":
                for ref in wants:
                    sink.ask(ref)
            if blames(sign, positive):
                sink.spoil(states, self.world)
            sink.lines.append(Line(f"{saying.named(element)} has {'a ' if sign == 'yes' else 'no '}{word}", f"{'a' if positive else 'no'} {word}"))
        return self.lump(truth, decide)

    # ---- quantifiers ------------------------------------------------------------------------------------------------------------------------

    def member(self, node: t.Formula, env: Env) -> Told:
        """A formula about one member of a group, of which there may be many and few decide."""
        if not self.brisk:
            return self.formula(node, env)
        run = self.compiled.get(node)
        if run is None:
            run = self.compiled[node] = self.compiler.spread(node)
        yes, no = run(env)
        return Told(yes, no, lambda *asked: self.formula(node, env).decide(*asked))

    def members(self, node: t.Exists | t.Keeps, env: Env) -> Told:
        """each, there is: reckoned as "there is one that breaks it"."""
        group = node.group
        complete = self.world.complete(group.kind)
        found = self.world.members(group.kind)
        self.world.spend(len(found) + 1)
        parts: list[tuple[str, Told | None, Told | None, States, States]] = []
        broken, clean = self.none, self.all if complete else self.none
        for member in found:
            own = list(env)
            own[group.slot] = member
            condition = self.member(group.condition, own) if group.condition is not None else None
            kept = self.member(node.formula, own) if isinstance(node, t.Keeps) else None
            yes, no = (condition.yes, condition.no) if condition is not None else (self.all, self.none)
            if kept is not None:
                yes, no = yes & kept.no, no | kept.yes
            parts.append((member, condition, kept, yes, no))
            broken, clean = broken | yes, clean & no
        keeps = isinstance(node, t.Keeps)
        inside = any(c is None or c.no != self.all for _, c, _, _, _ in parts)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            """`sign` speaks of the formula; a broken "each" is "no", a broken "there is" is "yes"."""
            if sign == "open":
                if not complete:
                    sink.ask(every(group.kind))
                    sink.lines.append(Line(f"whether every {group.kind.replace('-', ' ')} is described is not known", ""))
                for _, condition, kept, yes, no in parts:
                    doubt = self.world.without(self.world.without(states, yes), no)
                    if doubt != self.none:
                        for told, wanted in ((condition, positive != keeps), (kept, positive)):
                            if told is not None and self.open_in(told, doubt) != self.none:
                                told.decide(self.open_in(told, doubt), "open", sink, wanted)
                return
            if (sign == "no") == keeps:
                left = states
                for member, condition, kept, yes, _ in parts:
                    bad = yes & (states if keeps else left)
                    if bad == self.none:
                        continue
                    sink.through.append(member)
                    if kept is not None:
                        kept.decide(bad, "no", sink, positive)
                    elif condition is not None:
                        condition.decide(bad, "yes", sink, positive)
                    else:
                        sink.lines.append(Line(f"there is {member}", "" if positive else f"no {group.kind.replace('-', ' ')}"))
                        if blames(sign, positive):
                            sink.spoil(bad, self.world)
                    left = self.world.without(left, bad)
                    if not keeps and left == self.none:
                        return
                return
            if not inside:
                sink.notes.append(NOTHING_TO_LOOK_AT)
            if not keeps:
                noun = saying.kind(self.compiler.kinds.get(group.kind), group.kind)
                own = list(env)
                own[group.slot] = f"the {noun}"
                such = saying.such(group.condition, group.slot, own, self.compiler.limits, self) if group.condition is not None else []
                meant = saying.with_such(noun, such)
                sink.lines.append(Line(f"there is no {meant}", saying.article(meant)))
                if blames(sign, positive):
                    sink.spoil(states, self.world)
            for _, condition, kept, _, _ in parts[:20]:
                if kept is not None and (condition is None or condition.no != self.all):
                    good = kept.yes & states
                    if good != self.none:
                        kept.decide(good, "yes", sink, positive)
                elif condition is not None and not keeps and condition.no & states != self.none:
                    # What each of them lacks would fill a page; the facts it rests on are kept.
                    inner = Sink()
                    condition.decide(states & condition.no, "no", inner, positive)
                    sink.used.update({ref: used for ref, used in inner.used.items() if ref not in sink.used})
                    sink.rests_on.update(inner.rests_on)
        return Told(clean if keeps else broken, broken if keeps else clean, decide)

    def states(self, node: t.Exists | t.Keeps, env: Env) -> Told:
        """each state, there is a state: one answer for all of them."""
        group = node.group
        condition = self.formula(group.condition, env) if group.condition is not None else None
        kept = self.formula(node.formula, env) if isinstance(node, t.Keeps) else None
        yes, no = (condition.yes, condition.no) if condition is not None else (self.all, self.none)
        if kept is not None:
            yes, no = yes & kept.no, no | kept.yes
        # As for members: `yes` are the states that break an "each", or bear out a "there is".
        truth = YES if yes != self.none else NO if no == self.all else UNKNOWN
        keeps = isinstance(node, t.Keeps)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            if sign == "open":
                doubt = self.world.without(self.world.without(self.all, yes), no)
                for told, wanted in ((condition, positive != keeps), (kept, positive)):
                    if told is not None and self.open_in(told, doubt) != self.none:
                        told.decide(self.open_in(told, doubt), "open", sink, wanted)
                return
            if (sign == "no") == keeps:
                inner = kept if kept is not None else condition
                if inner is not None:
                    inner.decide(yes, "no" if keeps else "yes", sink, positive)
                return
            inner = kept if kept is not None else condition
            if inner is not None:
                good = (inner.yes if keeps else inner.no) & self.all
                if good != self.none:
                    inner.decide(good, "yes" if keeps else "no", sink, positive)
        return self.lump(~truth if keeps else truth, decide)

    # ---- ways -----------------------------------------------------------------------------------------------------------------------------------

    def way(self, node: t.Meets, env: Env) -> Told:
        """every way … meets …"""
        if self.thorough:
            for group in (node.device, *(ends.group for ends in (node.start, node.end, node.avoiding) if ends is not None)):
                if group is None or group.condition is None:
                    continue
                for member in self.world.members(group.kind):
                    inner = list(env)
                    inner[group.slot] = member
                    self.formula(group.condition, inner)
        question = WayQuestion(self.compiler, node)
        own = list(env)
        made, whole = question.put(own)
        wants: frozenset[FactRef] = frozenset()
        yes = no = self.none
        through: tuple[str, ...] = ()
        note = ""
        within: Measured | None = None
        if made is not None:
            if node.within is not None:
                within = self.term(node.within, env)[0][1]
                made = replace(made, within=Reading(within.value, wants=within.wants))
            answer = self.world.ways(made)
            yes, no, wants, through, note = answer.yes if whole else self.none, answer.no, answer.wants, answer.through, answer.note
        if made is None or not whole:
            wants = wants | self.missing(node, env)
        if not node.in_state:
            truth = NO if no != self.none else YES if yes == self.all else UNKNOWN
            spoils = no
            yes, no = (self.all if truth is YES else self.none), (self.all if truth is NO else self.none)
        else:
            spoils = no
        here = list(own)

        def decide(states: States, sign: str, sink: Sink, positive: bool) -> None:
            if within is not None:
                sink.take(within)
            if note:
                sink.notes.append(note)
            if sign == "open":
                for ref in wants | self.doubtful_ends(node, here):
                    sink.ask(ref)
                if node.in_state:
                    sink.spoil(states, self.world)
            if blames(sign, positive):
                # Under a "not" the ways that do meet one are what speaks against it.
                sink.spoil(states if sign == "yes" else spoils & states if node.in_state else spoils, self.world)
            if sign != "yes":
                sink.through.extend(through)
            sink.lines.append(way_line(self, node, here, through, sign, positive, within, sink, note))
        return Told(yes, no, decide)

    def missing(self, node: t.Meets, env: Env) -> frozenset[FactRef]:
        """What would make the lists of starts and ends whole, or say which thing is meant."""
        wants: set[FactRef] = set()
        for ends in (node.start, node.end, node.avoiding):
            if ends is None:
                continue
            if ends.group is not None and not self.world.complete(ends.group.kind):
                wants.add(every(ends.group.kind))
            if ends.thing is not None:
                wants |= self.thing(ends.thing, env)[1]
        return frozenset(wants)

    def doubtful_ends(self, node: t.Meets, env: Env) -> frozenset[FactRef]:
        """What would tell whether things that may be starts, ends or to be avoided are."""
        from linter.language.explain import wants_of

        wants: set[FactRef] = set()
        for ends in (node.start, node.end, node.avoiding):
            if ends is not None and ends.group is not None and ends.group.condition is not None:
                for member in self.world.members(ends.group.kind):
                    own = list(env)
                    own[ends.group.slot] = member
                    wants |= wants_of(ends.group.condition, self.compiler, own)
        return frozenset(wants)

    def compiler_is(self, element: str, kind: str) -> bool:
        """Whether an element is of a kind."""
        return element in self.world.members(kind)

    def right_side(self, node: t.Cmp, env: Env) -> str:
        """The value a device's reading is held against, in words."""
        right = self.term(node.right, env)[0][1]
        return self.written(node.right, right, env, self.dimension(node.left), saying.percent(node.left), None)
