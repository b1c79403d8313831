"""What holds a battery, what holds a start, and which device holds which load: facts of the packs on protection and batteries."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.protection import doubtful
from linter.facts.registry import fact, relation
from linter.facts.relations import awake_in
from linter.facts.saying import amps, known_inputs, number, ohms
from linter.facts.selectivity import upstream
from linter.facts.strands import Strand, strands
from linter.facts.supply import shares
from linter.facts.trunks import mates
from linter.facts.worked import uses_of, wants_of, worked
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book

GRAVITY = 9.80665
# A start nobody measured: a motor with its rotor held or a cold filament takes up to about ten times its steady current, an inverter up to three.
START = Range(1.0, 10.0)
INVERTER_START = Range(1.0, 3.0)
COPPER_AT = Range(20.0, 20.0)


@fact("own-weight", "battery")
def own_weight(book: Book, battery: str) -> Reading:
    """Force of its mass at rest: m·g, g 9.80665 m/s² (standard gravity). [N]"""
    mass = book.reading("mass", battery)
    if mass.gap is not None or not isinstance(mass.value, Range):
        return book.open("own-weight", battery, "its mass is not stated", wants={FactRef(battery, "mass")})
    low, high = mass.value.low * GRAVITY, mass.value.high * GRAVITY
    return worked(Range(low, high), wants=mass.wants, uses=mass.uses)


# ---- who takes from whom, and which device guards which load ------------------------------------------------------------------------

@relation("drawing-on", "charger")
def drawing_on(book: Book, charger: str, battery: str | None) -> Answer:
    """Is awake, and its input is joined with that battery's positive."""
    entry = book.network.terminal(charger, "in positive")
    post = book.network.output(battery) if battery is not None else None
    awake = awake_in(book, charger, None)
    if entry is None or post is None:
        sure = maybe = book.nothing
    else:
        sure = awake.yes & book.reach.between(entry, post, sure=True)
        maybe = book.without(book.everything, awake.no) & book.reach.between(entry, post, sure=False)
    no = book.surely_not(maybe) | awake.no
    return Answer(sure, no, frozenset() if (sure | no) == book.everything else book.open_wiring | doubtful(book))


@relation("last-before", "protection")
def last_before(book: Book, device: str, load: str | None) -> Answer:
    """In some state a way from a battery to the load's positive, that comes to no point twice, meets this device last."""
    network = book.network
    entry = network.terminal(load, "positive") if load is not None else None
    found = {sure: entry is not None and _last(book, device, entry, sure=sure) for sure in (True, False)}
    if found[True]:
        return Answer(book.everything, book.nothing)
    if not found[False] and book.wiring_complete:
        return Answer(book.nothing, book.everything)
    return Answer(book.nothing, book.nothing, book.open_wiring | doubtful(book))


def _last(book: Book, device: str, entry: str, *, sure: bool) -> bool:
    """Whether such a way surely is there, or may be."""
    network = book.network
    posts = network.outputs(network.batteries)
    zone = book.reach.spread((entry,), sure=False, barring=frozenset(book.members("protection")))
    for n in network.of.get(device, ()):
        edge = network.edges[n]
        if edge.kind == "joint":
            continue
        for near, far in ((edge.a, edge.b), (edge.b, edge.a)):
            if near not in zone:
                continue
            # A way comes to no point twice. Surely: one stretch from device to load is followed, and shut for what lies before the device. Perhaps:
            # only its two ends are shut.
            points, states = _stretch(book, entry).get(near, ((), book.nothing)) if sure else ((near, entry), zone[near] & network.maybe(n))
            if not points or far in points:
                continue
            states = states & network.sure(n) if sure else states
            beyond = book.reach.spread((far,), sure=sure, without=frozenset({device}), blocked=frozenset(points))
            if any(not book.space.empty(states & beyond[post]) for post in posts if post in beyond):
                return True
    return False


def _stretch(book: Book, entry: str) -> dict[str, tuple[tuple[str, ...], Any]]:
    """Terminal to a stretch from it to the load's positive that meets no device, and the states in which it surely is there."""

    def make() -> dict[str, tuple[tuple[str, ...], Any]]:
        network = book.network
        found: dict[str, tuple[tuple[str, ...], Any]] = {entry: ((entry,), book.everything)}
        queue = deque((entry,))
        while queue:
            here = queue.popleft()
            points, states = found[here]
            for n, other in network.at.get(here, ()):
                joined = states & network.sure(n)
                if other in found or book.space.empty(joined) or (network.taken_by[n] and book.is_a(network.taken_by[n], "protection")):
                    continue
                found[other] = ((*points, other), joined)
                queue.append(other)
        book.spend(len(found))
        return found

    return book.memo(("stretch", entry), make)


def _spans(book: Book) -> dict[str, frozenset[frozenset[str]]]:
    """Element to the points between which its strands run."""

    def make() -> dict[str, frozenset[frozenset[str]]]:
        found: dict[str, set[frozenset[str]]] = {}
        for strand in strands(book):
            for e in strand.edges:
                found.setdefault(book.network.edges[e].element, set()).add(frozenset((strand.a, strand.b)))
        return {name: frozenset(some) for name, some in found.items()}

    return book.memo("spans of elements", make)


@fact("waits-multiple", "protection")
def waits_multiple(book: Book, device: str) -> Reading:
    """Rating of the next device towards a battery, parallel ones together, over its own; the least of all ways. [1]

    A device with nothing branching off between the two, or in a chain beside its own, guards the same thing: which of them opens is all one, and
    it is not counted.
    """
    own = book.reading("rating", device)
    mine = own.value if isinstance(own.value, Range) else Range(0.0, INF)
    where = _spans(book)
    low = high = INF
    names: tuple[str, ...] = ()
    wants, uses = set(own.wants) | book.open_wiring, set(own.uses)
    for _, firsts in upstream(book, device):
        if all(where.get(one, frozenset()) & where.get(device, frozenset()) for one in firsts):
            continue
        found = [book.reading("rating", one) for one in firsts]
        ranges = [r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in found]
        wants |= wants_of(*found)
        uses |= uses_of(*found)
        total = Range(sum(r.low for r in ranges), sum(r.high for r in ranges))
        least = 0.0 if mine.high == INF else total.low / mine.high if mine.high > 0 else INF
        if least < low:
            low, names = least, firsts
        high = min(high, INF if mine.low <= 0 or total.high == INF else total.high / mine.low)
    if not book.wiring_complete:
        low = 0.0
    if doubtful(book):
        # A contact that turns out never to close may leave two devices with nothing between them.
        high = INF
        wants |= doubtful(book)

    def working() -> tuple[Step, ...]:
        return (Step(f"who opens before {device}", "sum of the ratings of the next devices that feed something besides / its own rating",
                     f"{' + '.join(names) or 'none'} over {amps(mine)}: {number(Range(low, high))}", "rule of thumb without curves"),)

    return worked(Range(low, high), wants=wants, uses=uses, through=names, working=working)


# ---- currents -----------------------------------------------------------------------------------------------------------------------

@fact("worst-current", "junction")
def junction_current(book: Book, junction: str) -> Reading:
    """Worst steady current through a splice or block: at least the largest of the wires on it, at most half the sum of all (Kirchhoff). [A]"""
    network = book.network
    joined = dict.fromkeys(network.edges[n].element for t in network.own(junction) for n, _ in network.at.get(t, ()))
    # What is bolted on without a wire brings its own current: a load what it draws, a source what it pushes.
    words = {one: next((w for w in ("worst-current", "feed-current", "greatest-output") if book.row(w, one) is not None), "worst-current") for one in joined}
    found = [book.reading(words[one], one) for one in joined]
    ranges = [r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in found]
    low = max((r.low for one, r in zip(joined, ranges, strict=True) if words[one] == "worst-current"), default=0.0)
    high = max(low, sum(r.high for r in ranges) / 2) if book.wiring_complete else INF
    if high < INF and high - low <= 1e-9 * max(1.0, high):
        low = high

    def working() -> tuple[Step, ...]:
        return (Step(f"worst current through {junction}", "between the largest of its wires and half the sum of all",
                     f"{', '.join(f'{one} {amps(r)}' for one, r in zip(joined, ranges, strict=True))}: {amps(Range(low, high))}", "Kirchhoff's law"),)

    return worked(Range(low, high), wants=wants_of(*found) | book.open_wiring, uses=uses_of(*found), through=tuple(joined), working=working)


@fact("surge-current", "battery")
def surge_current(book: Book, battery: str) -> Reading:
    """Its worst steady current, plus its part of what the hungriest load of its bank takes more while it starts. [A]

    A start that is not stated lies between the steady current and ten times it (locked rotor, cold filament), of an inverter three times.
    """
    steady = book.reading("worst-current", battery)
    base = steady.value if isinstance(steady.value, Range) else Range(0.0, INF)
    group = mates(book, battery)
    part, wants, uses = Range(1.0, 1.0), set(steady.wants), set(steady.uses)
    if len(group) > 1:
        found = book.memo(("shares", group), lambda: shares(book, group))
        part = found[0][battery] if found is not None else Range(0.0, 1.0)
        wants |= found[1] if found is not None else book.open_wiring
    post = book.network.output(battery)
    low = high = 0.0
    hungriest = ""
    for load in book.members("load"):
        entry = book.network.terminal(load, "positive")
        if post is None or entry is None or book.space.empty(book.reach.between(post, entry, sure=False)):
            continue
        start, asks = _start(book, load)
        running = book.quantity("feed-current", load)
        wants |= asks | book.reading("feed-current", load).wants
        uses |= book.reading("start-current", load).uses
        most = INF if INF in (start.high, running.high) else max(0.0, start.high - running.low)
        if most > high:
            high, hungriest = most, load
        if not book.space.empty(book.reach.between(post, entry, sure=True)) and running.high < INF:
            low = max(low, start.low - running.high)
    value = Range(base.low + low * max(0.0, part.low), INF if INF in (base.high, high) else base.high + high * part.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"worst start asked of {battery}", "worst steady current + its part of the bank × (start − steady current) of the hungriest load",
                     f"{amps(base)} + {number(part)} × {amps(Range(low, high))} ({hungriest or 'no load'}) = {amps(value)}", "Kirchhoff's laws",
                     known_inputs(book, {FactRef(hungriest, "start-current"): book.quantity("start-current", hungriest)} if hungriest else {})),)

    return worked(value, wants=wants | book.open_wiring, uses=uses, through=(hungriest,) if hungriest else (), working=working)


def _start(book: Book, load: str) -> tuple[Range, frozenset[FactRef]]:
    """What a load takes while it starts: stated, or between one and ten times its steady current. [A]"""
    said = book.reading("start-current", load)
    if said.gap is None and isinstance(said.value, Range):
        return said.value, said.wants
    running = book.quantity("feed-current", load)
    span = INVERTER_START if book.is_a(load, "inverter") else START
    high = INF if running.high == INF else running.high * span.high
    return Range(max(0.0, running.low) * span.low, high), frozenset({FactRef(load, "start-current")})


# ---- cables side by side --------------------------------------------------------------------------------------------------------------

def _beside(book: Book, conductor: str) -> tuple[list[Strand], list[Strand]]:
    """Chains that join the ends of the conductor's own in every state, its own first, and those that perhaps do; each with none if it is alone."""
    chains = [s for s in strands(book) if s.a != s.b]
    own = next((s for s in chains if any(book.network.edges[e].element == conductor for e in s.edges)), None)
    if own is None:
        return [], []
    ends = {own.a, own.b}
    beside = [s for s in chains if s is not own and {s.a, s.b} == ends]
    always = [s for s in beside if s.sure == book.everything and own.sure == book.everything]
    return ([own, *always] if always else []), ([own, *beside] if beside else [])


@fact("paralleled", "conductor")
def paralleled(book: Book, conductor: str) -> Reading:
    """Whether another chain of wires joins the same two points in every state."""
    always, perhaps = _beside(book, conductor)
    if always:
        names = tuple(book.network.edges[e].element for s in always[1:] for e in s.edges if book.is_a(book.network.edges[e].element, "conductor"))
        return worked(Truth.YES, through=names)
    doubt = any(s.sure != s.maybe for s in perhaps)
    return worked(Truth.NO if book.wiring_complete and not doubt else Truth.UNKNOWN, wants=book.open_wiring | doubtful(book))


@fact("parallel-spread", "conductor")
def parallel_spread(book: Book, conductor: str) -> Reading:
    """Largest over smallest resistance of the chains that always join the same two points, their wires alone, alike warm; 1 if there is one only. [1]"""
    always, perhaps = _beside(book, conductor)
    wants: set[FactRef] = set(book.open_wiring)
    each: list[Range] = []
    names: list[str] = []
    for chain in always or perhaps:
        low = high = 0.0
        for e in chain.edges:
            element = book.network.edges[e].element
            if book.is_a(element, "conductor"):
                each_ohms, asks = resistance.conductor_resistance(book, element, COPPER_AT)
                low, high = low + each_ohms.low, high + each_ohms.high
                wants |= asks
                names.append(element)
        each.append(Range(low, high))
    if len(each) < 2:
        return worked(Range(1.0, 1.0 if book.wiring_complete else INF), wants=wants)
    top, bottom = max(r.high for r in each), min(r.low for r in each)
    least = max(max(r.low for r in each) / max(1e-12, min(r.high for r in each)), 1.0)
    value = Range(least if always else 1.0, INF if bottom <= 0 or not book.wiring_complete else max(top / bottom, least))
    if value.high < INF and value.high - value.low <= 1e-9 * value.low:
        value = Range(value.high, value.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"spread of the ways beside {conductor}", "largest / smallest resistance of the chains, wires alone",
                     f"{', '.join(ohms(r) for r in each)}: {number(value)}", "Ohm's law: current divides as one over resistance"),)

    return worked(value, wants=wants, through=tuple(dict.fromkeys(names)), working=working)


__all__ = ["drawing_on", "junction_current", "last_before", "own_weight", "parallel_spread", "paralleled", "surge_current", "waits_multiple"]
