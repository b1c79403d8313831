"""Whether a conductor is protected from every source at every end (N2 of our notes).

A conductor is unprotected against a hard source in a state if the source still reaches it there once the conductor itself and every
device rated no higher than what the conductor carries are taken out. Adequacy is a property of the pair, never of the device alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range, at_most
from linter.facts.registry import fact
from linter.facts.worked import in_some_state, wants_of, worked
from linter.language.world import States

if TYPE_CHECKING:
    from linter.facts.book import Book

# Different sums of limited sources told apart over the states before only the widest bounds are given.
_SUMS = 512


@dataclass(frozen=True, slots=True)
class Adequate:
    """Devices by how surely they are rated no higher than what one conductor carries.

    Attributes:
        surely, possibly: The second holds the first.
        wants: Facts that would settle the doubtful ones, per device.
    """

    surely: frozenset[str]
    possibly: frozenset[str]
    wants: dict[str, frozenset[FactRef]]


def adequate(book: Book, conductor: str) -> Adequate:
    """Which devices protect this conductor, wherever they sit."""

    def make() -> Adequate:
        carries = book.reading("corrected-capacity", conductor)
        limit = carries.value if isinstance(carries.value, Range) else Range(0.0, float("inf"))
        # Wires of one make carry alike, so what protects one protects them all.
        return book.memo(("adequate at", limit, carries.wants), lambda: _adequate_at(book, limit, carries))

    return book.memo(("adequate", conductor), make)


def _adequate_at(book: Book, limit: Range, carries: Reading) -> Adequate:
    surely, possibly, wants = set(), set(), {}
    fits: dict[Range, Truth] = {}
    for device, rating in book.memo("ratings", lambda: [(d, book.reading("rating", d)) for d in book.members("protection")]):
        if not isinstance(rating.value, Range):
            continue
        if rating.value not in fits:
            fits[rating.value] = at_most(rating.value, limit)
        fit = fits[rating.value]
        if fit is Truth.YES:
            surely.add(device)
        if fit is not Truth.NO:
            possibly.add(device)
        if fit is Truth.UNKNOWN:
            wants[device] = wants_of(rating, carries)
    # Wires of many limits are protected by the same devices: one set, so that searches past them are shared.
    same: dict[frozenset[str], frozenset[str]] = book.memo("sets of devices", dict)
    sets = [same.setdefault(one, one) for one in (frozenset(surely), frozenset(possibly))]
    return Adequate(sets[0], sets[1], wants)


@dataclass(frozen=True, slots=True)
class Exposed:
    """Where a conductor is reached past every device that would protect it.

    Attributes:
        end: Terminal at which it is reached.
        sure, maybe: States.
    """

    end: str
    sure: States
    maybe: States


def exposed(book: Book, conductor: str) -> tuple[Exposed, ...]:
    """For each end of a conductor: the states in which a hard source reaches it unprotected."""

    def make() -> tuple[Exposed, ...]:
        devices = adequate(book, conductor)
        own = frozenset({conductor})
        return tuple(Exposed(end, _hard_at(book, end, own, sure=True, barring=devices.possibly), _hard_at(book, end, own, sure=False, barring=devices.surely))
                     for end in ends_of(book, conductor))

    return book.memo(("exposed", conductor), make)


def ends_of(book: Book, conductor: str) -> tuple[str, ...]:
    """The terminals a conductor joins."""
    own = book.network.of.get(conductor, ())
    return tuple(dict.fromkeys(t for number in own for t in (book.network.edges[number].a, book.network.edges[number].b)))


def _hard_at(book: Book, terminal: str, without: frozenset[str], *, sure: bool, barring: frozenset[str] = frozenset()) -> States:
    """States in which a battery or a running alternator reaches a terminal. The search starts here: what protects a wire is near it.

    A wire that leads on to no battery needs no search of its own: what reaches its near end does so without it.
    """
    (one,) = without
    here, beyond = book.network.hard_beside(one, terminal)
    if not here:
        return book.nothing
    if not beyond and book.network.bridge(one) is not None:
        return book.memo(("hard", sure, barring), lambda: book.reach.hard(sure=sure, barring=barring)).get(terminal, book.nothing)
    found = _pushing(book, terminal, one, sure=sure, barring=barring)
    states = book.nothing
    for output, source in _met(book.network.hard_outputs, found):
        states = states | (found[output] & book.reach.awake(source, sure=sure))
    return states


def _pushing(book: Book, terminal: str, conductor: str, *, sure: bool, barring: frozenset[str]) -> Mapping[str, States]:
    """Terminals that sources push from, reached from one end of a conductor without it and past some devices, to the states in which they are."""
    network = book.network
    if network.bridge(conductor) is None:
        found = book.reach.spread((terminal,), sure=sure, without=frozenset({conductor}), barring=barring)
        return {output: found[output] for output, _ in _met(network.pushing, found)}
    # Nothing that lies on its own side is reached by way of the conductor, and nothing beyond is reached without it.
    whole = book.reach.pushing(terminal, sure=sure, barring=barring)
    return {output: whole[output] for output in network.beside(conductor, terminal, whole)}


def _meets_hard(book: Book, terminal: str, without: frozenset[str], *, sure: bool) -> bool:
    """Whether a battery or a running alternator reaches a terminal in some state; the nearest that does is enough."""
    (one,) = without
    if not book.network.hard_beside(one, terminal)[0]:
        return False
    awake = book.memo(("hard awake", sure), lambda: {t: book.reach.awake(s, sure=sure) for t, s in book.network.hard_outputs.items()})
    return book.reach.meets(terminal, awake, sure=sure, without=without)


def _met(outputs: Mapping[str, str], found: Mapping[str, States]) -> list[tuple[str, str]]:
    """Outputs and their sources among the terminals found; whichever are fewer are looked through."""
    if len(outputs) <= len(found):
        return [(output, source) for output, source in outputs.items() if output in found]
    return [(terminal, outputs[terminal]) for terminal in found if terminal in outputs]


def unprotected(book: Book, conductor: str) -> tuple[States, States]:
    """States in which some hard source surely reaches the conductor unprotected, and those in which it may."""
    sure, maybe = book.nothing, book.nothing
    for one in exposed(book, conductor):
        sure, maybe = sure | one.sure, maybe | one.maybe
    return sure, maybe


def unprotected_from(book: Book, conductor: str) -> dict[str, States]:
    """Hard source to the states in which it surely reaches the conductor unprotected."""
    devices = adequate(book, conductor)
    found: dict[str, States] = {}
    reached = [book.reach.spread((end,), sure=True, without=frozenset({conductor}) | devices.possibly) for end in ends_of(book, conductor)]
    for source in book.network.hard_sources:
        output = book.network.output(source)
        states = book.nothing
        for one in reached:
            if output is not None and output in one:
                states = states | (one[output] & book.reach.awake(source, sure=True))
        if states != book.nothing:
            found[source] = states
    return found


@fact("fed-from-both-ends", "conductor")
def fed_from_both_ends(book: Book, conductor: str) -> Reading:
    """Whether a battery or alternator reaches each end without passing through the conductor, each in some state."""
    ends = ends_of(book, conductor)
    if len(ends) < 2:
        return worked(Truth.NO if book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)
    own = frozenset({conductor})
    # Most wires end on a load.
    if book.wiring_complete and any(not book.network.hard_beside(conductor, end)[0] for end in ends):
        return worked(Truth.NO)
    if all(_meets_hard(book, end, own, sure=True) for end in ends):
        value = Truth.YES
    elif book.wiring_complete and not all(_meets_hard(book, end, own, sure=False) for end in ends):
        value = Truth.NO
    else:
        value = Truth.UNKNOWN
    return worked(value, wants=book.open_wiring | doubtful(book))


def doubtful(book: Book) -> frozenset[FactRef]:
    """Facts about contacts that may or may not join."""
    from linter.facts.ways import doubt

    return book.memo("doubtful contacts", lambda: frozenset(doubt(book, edge.element) for edge in book.network.edges if edge.guards != edge.maybe))


@fact("limited-sum", "conductor")
def limited_sum(book: Book, conductor: str) -> Reading:
    """Sum of the greatest currents of the sources that give no more than their rating and reach the conductor past every adequate device, in the
    worst state. An alternator is one of them: beside a charger the two can push together what neither pushes alone. [A]"""
    devices = adequate(book, conductor)
    ends = ends_of(book, conductor)
    loose = [_pushing(book, end, conductor, sure=False, barring=devices.surely) for end in ends]
    tight = [_pushing(book, end, conductor, sure=True, barring=devices.possibly) for end in ends]
    high: list[tuple[States, float]] = []
    low: list[tuple[States, float]] = []
    wants: set[FactRef] = set(book.open_wiring)
    named: list[str] = []
    met = dict.fromkeys(pair for one in loose for pair in _met(book.network.rated_outputs, one))
    order = {source: n for n, source in enumerate(book.network.rated_outputs.values())} if len(met) > 1 else {}
    for output, source in sorted(met, key=lambda pair: order.get(pair[1], 0)):
        most = book.reading("greatest-output", source)
        amps = most.value if isinstance(most.value, Range) else Range(0.0, float("inf"))
        for found, sure, pieces in ((loose, False, high), (tight, True, low)):
            states = book.nothing
            for one in found:
                states = states | one.get(output, book.nothing)
            states = states & book.reach.awake(source, sure=sure)
            if states != book.nothing:
                pieces.append((states, amps.low if sure else amps.high))
                if not sure:
                    wants |= most.wants
                    named.append(source)
    top = worst_sum(book, high)
    bottom = worst_sum(book, low)
    value = Range(bottom[0] if bottom is not None else max((amps for _, amps in low), default=0.0),
                  top[0] if top is not None else sum(amps for _, amps in high))
    if not book.wiring_complete:
        value = Range(value.low, float("inf"))
    wants |= doubtful(book)
    for facts in devices.wants.values():
        wants |= facts
    return worked(value, wants=wants, through=tuple(dict.fromkeys(named)), states=top[1] if top is not None else None)


def worst_sum(book: Book, parts: list[tuple[States, float]]) -> tuple[float, States] | None:
    """The largest sum of parts that stand together in one state, and those states; None if there are too many mixtures to tell apart."""
    sums: list[tuple[States, float]] = [(book.everything, 0.0)]
    for states, amount in parts:
        split: list[tuple[States, float]] = []
        for piece, total in sums:
            inside, outside = piece & states, book.without(piece, states)
            if inside != book.nothing:
                split.append((inside, total + amount))
            if outside != book.nothing:
                split.append((outside, total))
        merged: dict[float, States] = {}
        for piece, total in split:
            merged[total] = merged[total] | piece if total in merged else piece
        sums = [(piece, total) for total, piece in merged.items()]
        if len(sums) > _SUMS:
            return None
    states, total = max(sums, key=lambda pair: pair[1])
    return total, states


@fact("two-way-duty", "protection")
def two_way_duty(book: Book, device: str) -> Reading:
    """Whether current can flow through a device in both directions, each in some state."""
    line, load = book.network.terminal(device, "line"), book.network.terminal(device, "load")
    if line is None or load is None:
        return book.open("two-way-duty", device, "its two sides are not drawn")
    own = frozenset({device})
    sure: list[States] = []
    maybe: list[States] = []
    for source_side, sink_side in ((line, load), (load, line)):
        for is_sure, kept in ((True, sure), (False, maybe)):
            pushed = book.nothing
            taken = book.nothing
            ahead = book.reach.spread((source_side,), sure=is_sure, without=own)
            behind = book.reach.spread((sink_side,), sure=is_sure, without=own)
            for source in book.network.sources:
                output = book.network.output(source)
                if output is not None and output in ahead:
                    pushed = pushed | (ahead[output] & book.reach.awake(source, sure=is_sure))
            for sink in book.network.sinks:
                if sink in behind:
                    taken = taken | behind[sink]
            kept.append(pushed & taken)
    if all(states != book.nothing for states in sure):
        value = Truth.YES
    elif any(states == book.nothing for states in maybe) and book.wiring_complete:
        value = Truth.NO
    else:
        value = Truth.UNKNOWN
    return worked(value, wants=book.open_wiring | doubtful(book))


@fact("live-unfused", "part")
def live_unfused(book: Book, part: str) -> Reading:
    """Whether a battery reaches the part in some state with no fuse or breaker between."""
    without = frozenset(book.members("protection")) - {part}
    starts = book.network.outputs(book.network.batteries)
    mine = [t for t in book.network.ends(part) if book.network.pole.get(t, 1) > 0]
    sure, maybe = book.nothing, book.nothing
    tight = book.reach.spread(starts, sure=True, without=without)
    loose = book.reach.spread(starts, sure=False, without=without)
    for terminal in mine:
        sure = sure | tight.get(terminal, book.nothing)
        maybe = maybe | loose.get(terminal, book.nothing)
    return in_some_state(book, sure, maybe, wants=doubtful(book))
