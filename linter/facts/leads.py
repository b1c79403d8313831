"""Leads of chargers and runs of panels: what they lose, how long they are; and the volts that what charges puts on a load."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.demands import CHARGING, copper_temperature, per_12, stated
from linter.facts.drop import warm_cost
from linter.facts.loop import loop_to_bank, split_ways
from linter.facts.registry import fact
from linter.facts.saying import known_inputs, number, volts
from linter.facts.trunks import lone_edges, mates, post_of, share_of, ways_out
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# ---- leads of chargers ----------------------------------------------------------------------------------------------------------------

def _leads(book: Book, charger: str) -> list[tuple[tuple[str, ...], bool, Range, Range, frozenset[FactRef]]]:
    """Banks a charger may fill: their batteries, whether it surely does in some state, resistance out and back [Ω], length of its plus lead [m], and
    what would narrow them."""

    def make() -> list[tuple[tuple[str, ...], bool, Range, Range, frozenset[FactRef]]]:
        found = []
        for group in dict.fromkeys(mates(book, b) for b in book.network.batteries):
            answers = [book.relation("charging", charger, b) for b in group]
            loop = None if all(a.no == book.everything for a in answers) else loop_to_bank(
                book, charger, group, {b: Range(0.0, 0.0) for b in group}, lambda n: warm_cost(book, n))
            if loop is None:
                continue
            shared, own = split_ways(book, post_of(book, charger, "positive"), group, "positive")
            ways = [[e for e in (*shared, *more) if book.is_a(book.network.edges[e].element, "conductor")] for more in own.values()]
            each = [[book.quantity("length", book.network.edges[e].element) for e in way] for way in ways]
            length = Range(min(sum(r.low for r in way) for way in each), min(sum(r.high for r in way) for way in each))
            asks = {w for way in ways for e in way for w in book.reading("length", book.network.edges[e].element).wants}
            found.append((group, any(a.yes != book.nothing for a in answers), loop[0], length, loop[1] | asks | {w for a in answers for w in a.wants}))
        return found

    return book.memo(("leads", charger), make)


def _nearest(book: Book, word: str, charger: str, banks: list[tuple[tuple[str, ...], bool, Range]], wants: set[FactRef], said: str) -> Reading:
    """The least of what was found for each bank; a bank it may not fill at all can only lower it."""
    if not banks:
        return book.open(word, charger, "it reaches no battery", wants=book.open_wiring)
    high = min((v.high for _, sure, v in banks if sure), default=INF)
    low = min(v.low for _, _, v in banks)
    value = Range(min(low, high), high) if book.wiring_complete else Range(0.0, INF)
    group = min(banks, key=lambda bank: bank[2].high)[0]

    def working() -> tuple[Step, ...]:
        row = book.row(word, charger)
        shown = volts(value) if row is not None and row.gives == "voltage" else f"{number(value)} m"
        return (Step(f"{word.replace('-', ' ')} of {charger}", said, f"to {', '.join(group)}: {shown}", "Ohm's law; copper at ambient + 30 °C"),)

    return worked(value, wants=wants | book.open_wiring, uses={FactRef(charger, "output-current-at-most")}, through=group, working=working)


@fact("charge-lead-drop", "charger")
def charge_lead_drop(book: Book, charger: str) -> Reading:
    """Volts its full output loses between its terminals and the nearest bank it fills, out and back, copper warm: rated output × loop of wires, lugs and
    devices. [V] Hand-worked in tests/facts/test_leads.py."""
    rated = book.reading("output-current-at-most", charger)
    most = rated.value if isinstance(rated.value, Range) else Range(0.0, INF)
    leads = _leads(book, charger)
    banks = [(group, sure, Range(most.low * loop.low, 0.0 if 0.0 in (most.high, loop.high) else most.high * loop.high)) for group, sure, loop, _, _ in leads]
    return _nearest(book, "charge-lead-drop", charger, banks, set(rated.wants).union(*(w for *_, w in leads)), "full output × (wires and devices out and back)")


@fact("charge-lead-length", "charger")
def charge_lead_length(book: Book, charger: str) -> Reading:
    """Length of wire from its plus output to the nearest battery it fills. [m]"""
    leads = _leads(book, charger)
    banks = [(group, sure, length) for group, sure, _, length, _ in leads]
    return _nearest(book, "charge-lead-length", charger, banks, set().union(*(w for *_, w in leads)), "sum of its plus leads")


def _sun_cost(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """An edge with copper as hot as the hottest place it passes: wires of panels are lightly loaded and add little heat of their own. [Ω]"""
    element = book.network.edges[edge].element
    warm = copper_temperature(book, element) if book.is_a(element, "conductor") else Range(20.0, 20.0)
    return resistance.edge_resistance(book, edge, warm, bars=True)


def _panel_way(book: Book, array: str, pole: str) -> tuple[int, ...] | None:
    """Edges from an array's pole to the input of the charger it feeds, fewest steps. Its plus side tells which charger that is: negatives meet."""

    def make() -> tuple[int, ...] | None:
        for charger in book.members("charger"):
            ends = [(book.network.terminal(array, one), book.network.terminal(charger, f"in {one}")) for one in ("positive", pole)]
            joined = [book.nothing if post is None or entry is None else book.reach.between(post, entry, sure=False) for post, entry in ends]
            post, entry = ends[1]
            if post is not None and entry is not None and book.nothing not in joined:
                found = ways_out(book, post, frozenset({entry}), lambda n: _sun_cost(book, n), joined[1])
                if found:
                    return found[0][2]
        return None

    return book.memo(("panel way", array, pole), make)


def _at_work(book: Book, array: str) -> tuple[Range, frozenset[FactRef]]:
    """Current of an array at its greatest power, all its strings. [A]"""
    each, strings = book.reading("working-current", array), book.reading("strings-in-parallel", array)
    one = each.value if isinstance(each.value, Range) else Range(0.0, INF)
    count = strings.value if strings.gap is None and isinstance(strings.value, Range) else Range(1.0, INF)
    return Range(one.low * count.low, INF if INF in (one.high, count.high) else one.high * count.high), wants_of(each, strings)


@fact("panel-run-loss", "solar-array")
def panel_run_loss(book: Book, array: str) -> Reading:
    """Share of its power lost on the way to its controller: sum of current × resistance out and back, copper as hot as the place, over its working volts.

    Every string that shares a stretch counts there with its working current. Wires alone: what a string's fuse takes is seldom known and small.
    Hand-worked in tests/facts/test_leads.py.
    """
    each, series = book.reading("working-voltage", array), book.reading("modules-in-series", array)
    own, wants_own = _at_work(book, array)
    ways = {pole: _panel_way(book, array, pole) for pole in ("positive", "negative")}
    if ways["positive"] is None:
        return book.open("panel-run-loss", array, "it reaches no controller", wants=book.open_wiring)
    wants: set[FactRef] = set(wants_own) | wants_of(each, series) | book.open_wiring
    alone = lone_edges(book)
    others = {other: _at_work(book, other) for other in book.members("solar-array") if other != array}
    low = high = 0.0
    for pole, way in ways.items():
        for edge in (e for e in way or () if book.is_a(book.network.edges[e].element, "conductor")):
            ohm, asks = _sun_cost(book, edge)
            share, more = share_of(book, edge)
            beside = [o for o in others if edge in (_panel_way(book, o, pole) or ())]
            wants |= asks | more | {w for o in beside for w in others[o][1]}
            most = own.high + sum(others[o][0].high for o in beside)
            least = own.low + sum(others[o][0].low for o in beside if _always_on(book, o))
            low += ohm.low * least * share.low if edge in alone else 0.0
            high += 0.0 if ohm.high == 0 or most == 0 else ohm.high * most * share.high
    if ways["negative"] is None:
        # No return drawn: between nothing and as much again.
        high, wants = 2 * high, wants | {FactRef("", "every conductor")}
    one = each.value if isinstance(each.value, Range) else Range(0.0, INF)
    count = series.value if isinstance(series.value, Range) else Range(1.0, INF)
    bottom, top = one.low * count.low, INF if INF in (one.high, count.high) else one.high * count.high
    lost = Range(low, high if book.wiring_complete else INF)
    value = Range(0.0 if top == INF or top <= 0 else lost.low / top, 0.0 if lost.high == 0 else INF if bottom <= 0 else lost.high / bottom)

    def working() -> tuple[Step, ...]:
        return (Step(f"share of its power {array} loses on the way", "sum of current × (wire out and back) / (working volts × modules in series)",
                     f"{volts(lost)} of {volts(Range(bottom, top))}: {number(value)}", "Ohm's law; copper as hot as the place",
                     known_inputs(book, {FactRef(array, "working-current"): own})),)

    return worked(value, wants=wants, uses=uses_of(each, series), working=working)


def _always_on(book: Book, array: str) -> bool:
    """Whether its positive surely reaches the charger it feeds, in every state."""
    way = _panel_way(book, array, "positive") or ()
    return all(book.network.sure(edge) == book.everything for edge in way)


# ---- volts that stand on a load -----------------------------------------------------------------------------------------------------

# Equalising of a flooded battery, per 12 V. Usual window 15.0 to 16.2 V (trade).
EQUALISING = 16.2
# An alternator of which nothing is told, per 12 V.
ALTERNATOR = Range(13.9, 15.0)


@fact("feed-voltage-at-most", "load")
def feed_voltage_at_most(book: Book, load: str) -> Reading:
    """Highest volts the chargers and alternators that reach it put on it: their set absorption, or equalising, or their highest output. [V]"""
    entry = book.network.terminal(load, "positive")
    low, high = 0.0, 0.0
    wants: set[FactRef] = set(book.open_wiring)
    uses: set[FactRef] = set()
    names: list[str] = []
    for source in (*book.members("charger"), *book.members("alternator")):
        output = book.network.output(source)
        if entry is None or output is None or book.reach.between(output, entry, sure=False) == book.nothing:
            continue
        times = per_12(book, source)
        if book.is_a(source, "alternator"):
            told = stated(book, "output-voltage", source)
            # A span of working volts, not a doubt: the high end is its high state.
            one = Range(told.high, told.high) if told is not None else Range(ALTERNATOR.low * times.low, ALTERNATOR.high * times.high)
            word = "output-voltage"
        else:
            told = stated(book, "absorption", source)
            one = told if told is not None else Range(CHARGING.low * times.low, CHARGING.high * times.high)
            word = "absorption"
            equalises = book.truth_of("equalises", source)
            if equalises is not Truth.NO:
                one = Range(one.low, max(one.high, EQUALISING * times.high))
                wants |= {FactRef(source, "equalises")} if equalises is Truth.UNKNOWN else set()
        wants |= {FactRef(source, word)} if not one.known else set()
        uses |= {FactRef(source, word)}
        awake = book.reach.between(output, entry, sure=True) & book.reach.awake(source, sure=True)
        low = max(low, one.low if awake != book.nothing else 0.0)
        high = max(high, one.high)
        names.append(source)
    # With nothing that charges, what it sees is what its battery rests at.
    rest = _resting(book, entry)
    low, high = max(low, rest.low), max(high, rest.high)
    value = Range(low, high if book.wiring_complete else INF)

    def working() -> tuple[Step, ...]:
        return (Step(f"highest volts on {load}", "highest set or output volts of what reaches it",
                     f"{', '.join(names) or 'its battery at rest'}: {volts(value)}", "settings as stated; equalising up to 16.2 V at 12 V"),)

    return worked(value, wants=wants, uses=uses, through=tuple(names), working=working)


def _resting(book: Book, entry: str | None) -> Range:
    """Highest rest volts of the batteries that can reach a terminal. [V]"""
    found = [Range(0.0, 0.0)]
    for battery in book.network.batteries:
        post = book.network.output(battery)
        if post is not None and entry is not None and book.reach.between(post, entry, sure=False) != book.nothing:
            at_rest = resistance.rest_voltage(book, battery)
            sure = book.reach.between(post, entry, sure=True) != book.nothing
            found.append(at_rest if sure else Range(0.0, at_rest.high))
    return Range(max(f.low for f in found), max(f.high for f in found))
