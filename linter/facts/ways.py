"""Does every way meet a device? Answered exactly for all states at once, by taking devices out and seeing what still joins.

In a state it surely holds if, with every surely fitting device taken out, nothing joins even when every doubtful contact is closed; it
surely fails if, with every possibly fitting device taken out, contacts that are surely closed still join.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import INF, Range, less_or_equal
from linter.circuit.network import NODES
from linter.language.world import Answer, States, Ways

if TYPE_CHECKING:
    from linter.facts.book import Book

# Different sums of wire told apart in a stretch with loops before the answer is "cannot tell".
_SUMS = 256
NO_WAY = "no way between them"
LOOP = "loop before the first device"


def answer_ways(book: Book, question: Ways) -> Answer:
    """Yes: states in which every way meets a qualifying device. No: states with a bare way, which is named."""
    if question.form == "out of":
        return _out(book, question)
    if question.form == "into":
        targets = [(name, True) for name in question.ends] + [(name, False) for name in question.maybe_ends]
        answers = [_into(book, question, name, certain) for name, certain in targets]
    else:
        canonical = book.network.canonical
        answers = [_between(book, question, [canonical(t) for t in question.ends], [canonical(t) for t in (*question.ends, *question.maybe_ends)])]
    return _all(book, answers)


def _all(book: Book, answers: list[Answer]) -> Answer:
    if len(answers) == 1:
        return answers[0]
    yes, no = book.everything, book.nothing
    wants: frozenset[FactRef] = frozenset()
    through: tuple[str, ...] = ()
    for answer in answers:
        yes, no = yes & answer.yes, no | answer.no
        wants |= answer.wants
        through = through or answer.through
    note = NO_WAY if answers and all(a.note == NO_WAY for a in answers) else next((a.note for a in answers if a.note and a.note != NO_WAY), "")
    return Answer(yes, no, wants, through=through, note=note)


def _into(book: Book, question: Ways, target: str, certain: bool) -> Answer:
    goals = list(book.network.ends(target))
    # A bus is its terminal: it is the goal, and taking it out would take the goal out.
    own = frozenset() if book.is_a(target, "bus") or book.is_a(target, "junction") or book.is_a(target, "chassis") else frozenset({target})
    return _between(book, question, goals if certain else [], goals, own, target)


def _fitting(question: Ways, less: str = "") -> tuple[frozenset[str], frozenset[str]]:
    """Devices that surely qualify, and those that may."""
    sure = frozenset(d for d, t in question.meets.items() if t is Truth.YES and d != less)
    return sure, sure | frozenset(d for d, t in question.meets.items() if t is Truth.UNKNOWN and d != less)


def _between(book: Book, question: Ways, goals: list[str], all_goals: list[str], own: frozenset[str] = frozenset(), less: str = "") -> Answer:
    network, reach = book.network, book.reach
    sure, possible = _fitting(question, less)
    avoiding = frozenset(question.avoiding) | own
    starts = tuple(network.canonical(t) for t in question.starts)
    all_starts = (*starts, *(network.canonical(t) for t in question.maybe_starts))

    def meeting(found: Mapping[str, States], ends: list[str]) -> States:
        states = book.nothing
        for end in ends:
            states = states | found.get(end, book.nothing)
        return states

    loosest = reach.spread(all_starts, sure=False, without=avoiding | sure)
    open_to = meeting(loosest, all_goals)
    bare_without = avoiding | frozenset(question.maybe_avoiding) | possible
    bare = meeting(reach.spread(starts, sure=True, without=bare_without), goals)
    yes = book.surely_not(open_to)
    undecided = book.without(book.without(book.everything, yes), bare)
    wants: frozenset[FactRef] = frozenset()
    if undecided != book.nothing:
        back = reach.spread(all_goals, sure=False, without=avoiding | sure)
        wants = _asked(book, question, less, loosest, back)
    note = ""
    if open_to == book.nothing and meeting(reach.spread(all_starts, sure=False, without=avoiding), all_goals) == book.nothing:
        note = NO_WAY
    through: tuple[str, ...] = ()
    if bare != book.nothing:
        through = reach.trail(starts, goals, book.space.sample(bare), sure=True, without=bare_without)
    elif open_to != book.nothing:
        through = reach.trail(all_starts, all_goals, book.space.sample(open_to), sure=False, without=avoiding | sure)
    return Answer(yes, bare, wants, through=through, note=note)


def _asked(book: Book, question: Ways, less: str, ahead: Mapping[str, States], back: Mapping[str, States]) -> frozenset[FactRef]:
    """Facts that may settle it: of doubtful devices and contacts on a way that is still open."""
    asked: set[FactRef] = set(book.open_wiring)
    for device, wants in question.wanting.items():
        if device != less and question.meets.get(device) is Truth.UNKNOWN and any(t in ahead and t in back for t in book.network.ends(device)):
            asked |= wants
    for number, edge in enumerate(book.network.edges):
        if edge.guards != edge.maybe and edge.a in ahead and edge.b in back and book.network.closable(number):
            asked.add(doubt(book, edge.element))
    return frozenset(asked)


def doubt(book: Book, element: str) -> FactRef:
    """What to ask about a part that may or may not join its terminals."""
    return FactRef(element, "isolated" if book.is_a(element, "charger") else "joins" if book.is_a(element, "selector") else "closed-when")


# ---- out of a post ------------------------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Stretch:
    """What is reached from a start before any of some devices, with distances along the wire.

    Attributes:
        pieces: Terminal to (states, distance): shortest, each state once.
        reached: Terminal to all its states.
        loops: States in which the stretch has a ring.
        exits: Terminals of buses that qualify: measured, not passed.
    """

    pieces: dict[str, list[tuple[States, float]]] = field(default_factory=dict)
    reached: dict[str, States] = field(default_factory=dict)
    loops: States = None
    exits: frozenset[str] = frozenset()


def stretch_from(book: Book, start: str, *, sure: bool, high: bool, without: frozenset[str], exits: frozenset[str]) -> Stretch:
    """Walks out from a start, nearest first, in all states at once.

    Args:
        sure: Over contacts surely closed, or those that may be.
        high: With the greatest lengths, or the least.
        without: Elements taken out.
        exits: Terminals measured but not passed.
    """
    network, space = book.network, book.space
    closed = network.sure if sure else network.maybe
    gone = network.removed(without) - exits
    found = Stretch(exits=exits, loops=space.nothing)
    used: dict[int, States] = {}
    queue: list[tuple[float, int, str, States, int]] = [(0.0, 0, start, space.everything, -1)]
    pushed = 0
    while queue:
        distance, _, here, states, number = heapq.heappop(queue)
        states = space.without(states, found.reached.get(here, space.nothing))
        if states == space.nothing:
            continue
        found.reached[here] = found.reached.get(here, space.nothing) | states
        found.pieces.setdefault(here, []).append((states, distance))
        if number >= 0:
            used[number] = used.get(number, space.nothing) | states
        if here in exits and here != start:
            continue
        for other_number, other in network.at.get(here, ()):
            if other in gone or network.taken_by[other_number] in without or other_number == number:
                continue
            onward = states & closed(other_number)
            if onward != space.nothing:
                pushed += 1
                heapq.heappush(queue, (distance + wire(book, other_number, high), pushed, other, onward, other_number))
    book.spend(pushed)
    for here, states in found.reached.items():
        if here in exits and here != start:
            continue
        for number, other in network.at.get(here, ()):
            if other in gone or other in exits or network.taken_by[number] in without:
                continue
            ring = space.without(states & closed(number), used.get(number, space.nothing))
            found.loops = found.loops | ring
    return found


def wire(book: Book, edge: int, high: bool) -> float:
    """Length of wire of an edge in m: 0 within parts."""
    one = book.network.edges[edge]
    if one.kind != "conductor":
        return 0.0
    length = book.quantity("length", one.element)
    return length.high if high else max(0.0, length.low)


def _out(book: Book, question: Ways) -> Answer:
    limit = question.within.value if question.within is not None and isinstance(question.within.value, Range) else Range(INF, INF)
    answers = [_out_of(book, question, book.network.canonical(start), limit, True) for start in question.starts]
    answers += [_out_of(book, question, book.network.canonical(start), limit, False) for start in question.maybe_starts]
    return _all(book, answers)


def _out_of(book: Book, question: Ways, start: str, limit: Range, certain: bool) -> Answer:
    network, space = book.network, book.space
    sure, possible = _fitting(question)
    avoiding = frozenset(question.avoiding)
    sure_exits = _node_terminals(book, sure)
    loosest = stretch_from(book, start, sure=False, high=True, without=avoiding | sure, exits=sure_exits)
    bad = space.nothing
    asked: set[FactRef] = set(book.open_wiring)
    for terminal, pieces in loosest.pieces.items():
        if terminal == start:
            continue
        for states, distance in pieces:
            if terminal not in sure_exits and network.is_end(terminal):
                bad = bad | states
            elif not less_or_equal(distance, limit.low):
                bad = bad | space.without(states, loosest.loops)
    note = ""
    if loosest.loops != space.nothing:
        over = _over(book, loosest, avoiding | sure, limit.low)
        if over != space.nothing:
            note = LOOP
        bad = bad | over
    yes = book.surely_not(bad)
    no = space.nothing
    through: tuple[str, ...] = ()
    if certain:
        taken = avoiding | frozenset(question.maybe_avoiding) | possible
        exits = _node_terminals(book, possible)
        tight = stretch_from(book, start, sure=True, high=False, without=taken, exits=exits)
        nearest = stretch_from(book, start, sure=False, high=False, without=avoiding | sure, exits=sure_exits)
        goals: set[str] = set()
        for terminal, states in tight.reached.items():
            if terminal == start:
                continue
            failing = space.nothing
            if terminal not in exits and (terminal in network.pole or (network.is_end(terminal) and book.wiring_complete)):
                failing = states
            else:
                near = space.nothing
                for piece, distance in nearest.pieces.get(terminal, ()):
                    if less_or_equal(distance, limit.high):
                        near = near | piece
                failing = space.without(states, near)
            if failing != space.nothing:
                goals.add(terminal)
                no = no | failing
        if no != space.nothing:
            through = book.reach.trail((start,), goals, space.sample(no), sure=True, without=taken - _nodes(book, possible))
    wants: frozenset[FactRef] = frozenset()
    if space.without(space.without(book.everything, yes), no) != space.nothing:
        for device, facts in question.wanting.items():
            if question.meets.get(device) is Truth.UNKNOWN and any(t in loosest.reached for t in network.ends(device)):
                asked |= facts
        for here in loosest.reached:
            for number, _ in network.at.get(here, ()):
                edge = network.edges[number]
                if edge.kind == "conductor":
                    asked |= book.reading("length", edge.element).wants
                elif edge.guards != edge.maybe:
                    asked.add(doubt(book, edge.element))
        if question.within is not None:
            asked |= question.within.wants
        wants = frozenset(asked)
    if yes == book.everything and len(loosest.reached) <= 1 and not network.at.get(start):
        note = NO_WAY
    return Answer(yes, no, wants, through=through, note=note if no == space.nothing else "")


def _nodes(book: Book, elements: Iterable[str]) -> frozenset[str]:
    return frozenset(e for e in elements if any(book.is_a(e, kind) for kind in NODES))


def _node_terminals(book: Book, elements: Iterable[str]) -> frozenset[str]:
    return book.network.removed(elements)


def _over(book: Book, stretch: Stretch, without: frozenset[str], limit: float) -> States:
    """Among the states with a ring, those in which all wire of the stretch together is more than the limit (or too varied to say)."""
    network, space = book.network, book.space
    sums: list[tuple[States, float]] = [(stretch.loops, 0.0)]
    seen: set[int] = set()
    for here, states in stretch.reached.items():
        for number, other in network.at.get(here, ()):
            length = wire(book, number, True)
            if number in seen or length == 0 or network.taken_by[number] in without:
                continue
            seen.add(number)
            within = (states | stretch.reached.get(other, space.nothing)) & network.maybe(number)
            split: list[tuple[States, float]] = []
            for piece, total in sums:
                inside, outside = piece & within, space.without(piece, within)
                if inside != space.nothing:
                    split.append((inside, total + length))
                if outside != space.nothing:
                    split.append((outside, total))
            sums = split
            if len(sums) > _SUMS:
                return stretch.loops
    over = space.nothing
    for piece, total in sums:
        if not less_or_equal(total, limit):
            over = over | piece
    return over
