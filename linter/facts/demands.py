"""What each source can push and each load can draw: the injections of the worst-current reckoning."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.model import ALWAYS
from linter.facts import resistance
from linter.facts.formulas import drop, solar
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, ohms, volts

if TYPE_CHECKING:
    from linter.facts.book import Book

# Volts per 12 V of nominal voltage. Low state of an alternator whose volts vary, and the usual volts of any.
ALTERNATOR_LOW = 12.5
ALTERNATOR_USUAL = 13.9
# A charger's output when its setting is not stated.
CHARGING = Range(12.8, 14.8)
# Volts a converter's input may stand at when nobody says what feeds it.
WORKING = Range(10.0, 12.0)


def stated(book: Book, word: str, element: str) -> Range | None:
    """The range of a quantity that was stated, worked out or assumed; None where nothing is known."""
    found = book.reading(word, element)
    return found.value if found.gap is None and isinstance(found.value, Range) else None


def per_12(book: Book, element: str) -> Range:
    """Nominal voltage over 12 V; up to 4 where it is not known. [1]"""
    volts_known = resistance.nominal(book, element)
    if volts_known.low > 0 and volts_known.high < INF:
        return Range(volts_known.low / 12, volts_known.high / 12)
    return Range(max(1.0, volts_known.low / 12), 4.0)


def _wants(refs: dict[FactRef, Range]) -> frozenset[FactRef]:
    return frozenset(ref for ref, value in refs.items() if not value.known)


@fact("feed-current", "load")
def feed_current(book: Book, load: str) -> Reading:
    """Worst steady current of a load: as stated, or its power at the lowest volts at which it runs."""
    current = book.reading("current", load)
    if current.gap is None and isinstance(current.value, Range):
        drawn = current.value
        refs = {FactRef(load, "current"): drawn}

        def plain() -> tuple[Step, ...]:
            return (Step(f"worst current of {load}", "as stated", amps(drawn), "stated", known_inputs(book, refs)),)

        return Reading(current.value, "worked out", wants=_wants(refs), uses=frozenset(refs), working=plain)
    power = stated(book, "power", load)
    if power is None:
        return book.open("feed-current", load, "neither current nor power is stated", wants={FactRef(load, "current")})
    # The fewer volts, the more current: without a cut-out, stated or believed, there is no upper end.
    cut_out = book.reading("cut-out-voltage", load)
    low_volts = cut_out.value if isinstance(cut_out.value, Range) else Range(0.0, INF)
    efficiency = book.quantity("efficiency", load) if book.is_a(load, "inverter") else Range(1.0, 1.0)
    efficiency = Range(efficiency.low, min(efficiency.high, 1.0))
    value = Range(0.0 if low_volts.high == INF else drop.constant_power_current(power.low, efficiency.high, low_volts.high),
                  INF if power.high == INF or min(efficiency.low, low_volts.low) <= 0
                  else drop.constant_power_current(power.high, efficiency.low, low_volts.low))
    refs = {FactRef(load, "power"): power, FactRef(load, "cut-out-voltage"): low_volts}
    if book.is_a(load, "inverter"):
        refs[FactRef(load, "efficiency")] = efficiency

    def working() -> tuple[Step, ...]:
        return (Step(f"worst current of {load}", "power / (efficiency × lowest voltage)",
                     f"{power.high:g} W / ({efficiency.low:g} × {volts(low_volts)}) = {amps(value)}", "physics", known_inputs(book, refs)),)

    return Reading(value, "worked out", wants=_wants(refs), uses=frozenset(refs), working=working)


def greatest_push(book: Book, source: str) -> tuple[Range, frozenset[FactRef]]:
    """Greatest output of a limited source or an alternator. [A]"""
    if book.is_a(source, "solar-array"):
        short = book.quantity("short-current", source)
        strings = stated(book, "strings-in-parallel", source) or Range(1.0, 1.0)
        value = Range(solar.bright_current(short.low, strings.low),
                      INF if INF in (short.high, strings.high) else solar.bright_current(short.high, strings.high))
        return value, _wants({FactRef(source, "short-current"): short, FactRef(source, "strings-in-parallel"): strings})
    word = "rated-output" if book.is_a(source, "alternator") else "output-current-at-most"
    value = book.quantity(word, source)
    return value, _wants({FactRef(source, word): value})


def push_ref(book: Book, source: str) -> FactRef:
    """The fact that says how much a source pushes."""
    if book.is_a(source, "solar-array"):
        return FactRef(source, "short-current")
    return FactRef(source, "rated-output" if book.is_a(source, "alternator") else "output-current-at-most")


# ---- inputs of converters -----------------------------------------------------------------------------------------------------------

def copper_temperature(book: Book, conductor: str, rise: float = 0.0) -> Range:
    """Copper as hot as the hottest place it passes, plus a rise, at most what its insulation stands. [°C]"""
    ambient = book.quantity("hottest-passed", conductor)
    insulation = book.quantity("insulation", conductor)
    top = insulation.high if insulation.high < INF else 105.0
    high = top if ambient.high == INF else drop.warm_copper(ambient.high, top) if rise else ambient.high
    bottom = insulation.low if insulation.low > -INF else 60.0
    low = 20.0 if ambient.low == -INF else drop.warm_copper(ambient.low, bottom) if rise else ambient.low
    return Range(min(low, high), max(low, high))


EdgeCost = Callable[[int], "tuple[Range, frozenset[FactRef]]"]


def cheapest_way(book: Book, starts: tuple[str, ...], cost: EdgeCost, *, within: object = None) -> dict[str, tuple[Range, frozenset[FactRef], tuple[int, ...]]]:
    """Terminal to the resistance of the way of least high resistance from any start, the facts that would narrow it, and its edges.

    Args:
        book: Of facts.
        starts: Terminals.
        cost: Edge to its resistance.
        within: State set in part of which an edge must be closable; None for any.
    """
    network, space = book.network, book.space
    found: dict[str, tuple[Range, frozenset[FactRef], tuple[int, ...]]] = {}
    queue: list[tuple[float, float, str, frozenset[FactRef], tuple[int, ...]]] = [(0.0, 0.0, s, frozenset(), ()) for s in starts]
    while queue:
        high, low, here, wants, edges = heapq.heappop(queue)
        if here in found:
            continue
        found[here] = (Range(low, high), wants, edges)
        for number, other in network.at.get(here, ()):
            if other in found or not network.closable(number):
                continue
            if within is not None and space.empty(network.maybe(number) & within):
                continue
            more, asks = cost(number)
            heapq.heappush(queue, (high + more.high, low + more.low, other, wants | asks, (*edges, number)))
    book.spend(len(found))
    return found


def feeders_of(book: Book, converter: str) -> tuple[list[str], Range, dict[FactRef, Range]]:
    """Batteries that may feed a converter, the volts they hold it at when low, and the facts that say so."""
    network, space, reach = book.network, book.space, book.reach
    entry = network.terminal(converter, "in positive")
    awake = reach.awake(converter, sure=False)
    batteries: list[str] = []
    always: list[str] = []
    alternators: list[str] = []
    covered = space.nothing
    for source in network.hard_sources:
        output = network.output(source)
        if output is None or entry is None:
            continue
        states = reach.between(output, entry, sure=True) & awake
        if book.is_a(source, "alternator"):
            on = states & space.any_of(book.circuit.sources_awake.get(source, ALWAYS))
            if not space.empty(on):
                alternators.append(source)
                covered = covered | on
            continue
        if not space.empty(reach.between(output, entry, sure=False) & awake):
            batteries.append(source)
            if space.empty(space.without(awake, states)):
                always.append(source)
    refs: dict[FactRef, Range] = {}
    if alternators and space.empty(space.without(awake, covered)):
        parts = []
        for one in alternators:
            times = per_12(book, one)
            told = stated(book, "output-voltage", one)
            varies = book.truth_of("voltage-varies", one)
            if told is not None and told.low > 0:
                # A span of working volts, not a doubt: the low end is its low state.
                part = Range(told.low, told.low)
                refs[FactRef(one, "output-voltage")] = part
            elif varies is Truth.NO:
                usual = stated(book, "usual-output-voltage", one)
                part = usual if usual is not None and usual.low > 0 else Range(ALTERNATOR_USUAL * times.low, ALTERNATOR_USUAL * times.high)
                refs[FactRef(one, "voltage-varies")] = part
            else:
                part = Range(ALTERNATOR_LOW * times.low, (ALTERNATOR_LOW if varies is Truth.YES else ALTERNATOR_USUAL) * times.high)
                refs[FactRef(one, "output-voltage" if varies is Truth.YES else "voltage-varies")] = part
            parts.append(part)
        held = Range(min(p.low for p in parts), max(p.high for p in parts))
    elif batteries:
        floors = [resistance.floor_voltage(book, b) for b in batteries]
        refs.update({FactRef(b, "floor-voltage"): f for b, f in zip(batteries, floors, strict=True)})
        held = Range(min(f.low for f in floors), max(f.high for f in floors))
    else:
        times = per_12(book, converter)
        held = Range(WORKING.low * times.low, ALTERNATOR_USUAL * times.high)
    return always or batteries or alternators, held, refs


@fact("input-current", "charger")
def input_current(book: Book, converter: str) -> Reading:
    """Worst current at the input of a converter: its output power over its efficiency, at the volts left to it when the supply is low."""
    if not book.is_a(converter, "converter"):
        return book.open("input-current", converter, "what it takes follows from its array or the mains", wants=())
    output = book.quantity("output-current-at-most", converter)
    set_volts = stated(book, "absorption", converter)
    times = per_12(book, converter)
    absorption = set_volts if set_volts is not None else Range(CHARGING.low * times.low, CHARGING.high * times.high)
    efficiency = book.quantity("efficiency", converter)
    efficiency = Range(efficiency.low, min(efficiency.high, 1.0))
    feeders, held, refs = feeders_of(book, converter)
    loop, loop_wants = input_loop(book, converter, tuple(feeders))
    refs = {FactRef(converter, "output-current-at-most"): output, FactRef(converter, "absorption"): absorption,
            FactRef(converter, "efficiency"): efficiency, **refs}
    wants = _wants(refs) | loop_wants
    uses = frozenset(refs)
    if output.high == INF or held.low <= 0 or efficiency.low <= 0:
        return Reading(Range(0.0, INF), "worked out", wants=wants, uses=uses)
    power = Range(output.low * absorption.low / efficiency.high, output.high * absorption.high / efficiency.low)
    low = _input(power.low, held.high, loop.low)[0]
    high = INF if loop.high == INF else _input(power.high, held.low, loop.high)[1]
    value = Range(low, high)

    def working() -> tuple[Step, ...]:
        return (Step(f"power {converter} takes", "output current × set volts / efficiency",
                     f"{amps(output)} × {volts(absorption)} / {efficiency.low:g} = {power.high:.1f} W", "physics", known_inputs(book, refs)),
                Step(f"current into {converter}", "power / U, with U the upper root of U² − U0·U + R·P = 0",
                     f"U0 {volts(held)}, R {ohms(loop)}: {amps(value)}", "physics (constant power behind a resistance; copper at the hottest place it passes)"))

    return Reading(value, "worked out", wants=frozenset() if value.known else wants, uses=uses, through=tuple(feeders[:1]), working=working)


def _input(power: float, source: float, loop: float) -> tuple[float, float]:
    """Least and most that constant power may draw. Where the supply cannot carry it, between the current of greatest power and twice that."""
    found = drop.converter_input(power, source, loop)
    if found is not None:
        return found[1], found[1]
    return 2 * power / source, 4 * power / source


def input_wires(book: Book, converter: str) -> tuple[str, ...]:
    """Conductors on the way from the feeding post to a converter's input, and back."""
    network = book.network
    feeders, _, _ = feeders_of(book, converter)
    found: dict[str, None] = {}
    for pole in ("positive", "negative"):
        entry = network.terminal(converter, f"in {pole}")
        if entry is None:
            continue
        ways = cheapest_way(book, (entry,), lambda n: resistance.edge_resistance(book, n, Range(20.0, 20.0), bars=True))
        for feeder in feeders[:1]:
            post = network.terminal(feeder, pole)
            for edge in ways[post][2] if post in ways else ():
                if book.is_a(network.edges[edge].element, "conductor"):
                    found[network.edges[edge].element] = None
    return tuple(found)


def input_loop(book: Book, converter: str, feeders: tuple[str, ...]) -> tuple[Range, frozenset[FactRef]]:
    """Resistance from the feeding post to a converter's input and back, copper as hot as the places it passes. [Ω]"""
    network = book.network
    entry, back = network.terminal(converter, "in positive"), network.terminal(converter, "in negative")
    if entry is None or not feeders:
        return Range(0.0, 0.0), frozenset()

    def cost(number: int) -> tuple[Range, frozenset[FactRef]]:
        element = network.edges[number].element
        warm = copper_temperature(book, element) if book.is_a(element, "conductor") else Range(20.0, 20.0)
        return resistance.edge_resistance(book, number, warm, bars=True)

    out = cheapest_way(book, (entry,), cost)
    home = cheapest_way(book, (back,), cost) if back is not None else {}
    ways: list[tuple[Range, frozenset[FactRef]]] = []
    for feeder in feeders:
        post, other = network.output(feeder), network.terminal(feeder, "negative")
        if post is None or post not in out:
            continue
        there, wants, _ = out[post]
        if other is not None and other in home:
            again, more, _ = home[other]
        else:
            # No return drawn: somewhere between nothing and as much again.
            again, more = Range(0.0, there.high), frozenset({FactRef("", "every conductor")})
        ways.append((Range(there.low + again.low, there.high + again.high), wants | more))
    if not ways:
        return Range(0.0, INF), frozenset()
    nearest = min(ways, key=lambda w: w[0].high)
    return nearest
