"""What the papers and the test sheet of an installation are held against: whether mains is aboard, and what a reading along a way may show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.drop import ways_to_bars
from linter.facts.formulas import copper
from linter.facts.protection import doubtful
from linter.facts.registry import fact
from linter.facts.saying import ohms
from linter.facts.trunks import batteries_by, share_of
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Bands of the test sheet (our notes, commissioning): copper while it is measured, error of a measured length either way, copper area missing,
# joints up to four times a good one, a worn device, a worn contact. A device better than its figure shows half of it.
COOL, WARM = 10.0, 55.0
SLIP = 0.3
LEAN = 0.95
JOINT = 4.0
WORN_DEVICE = 2.5
WORN_CONTACT = 5.0
NEW_DEVICE = 0.5
NOTHING = Range(0.0, 0.0)
# The least and the greatest a reading may show; each a range where something about the way is not known exactly.
Band = tuple[Range, Range]


@fact("mains-fitted", "installation")
def mains_fitted(book: Book, _: str) -> Reading:
    """Whether an inverter or mains charger is listed, or mains is said to be aboard."""
    if book.members("inverter") or book.members("shore-charger"):
        return worked(Truth.YES)
    said = book.reading("mains-aboard", "")
    wants = set(said.wants)
    value = said.value if isinstance(said.value, Truth) else Truth.UNKNOWN
    for kind in ("inverter", "shore-charger"):
        if value is not Truth.YES and not book.complete(kind):
            value = Truth.UNKNOWN
            wants.add(FactRef("", f"every {kind}"))
    return worked(value, wants=wants, uses=said.uses)


@fact("least-loop-resistance", "load")
def least_loop(book: Book, load: str) -> Reading:
    """Least resistance a reading over its longest way can show, out and back: copper at 10 °C, 0.3 m less of each wire, joints that cost nothing. [Ω]"""
    return _loop(book, load, 0)


@fact("greatest-loop-resistance", "load")
def greatest_loop(book: Book, load: str) -> Reading:
    """Greatest resistance a sound way shows, out and back: copper at 55 °C and 5% thin, 0.3 m more, joints at 0.2 mΩ, worn contacts. [Ω]"""
    return _loop(book, load, 1)


def _loop(book: Book, load: str, end: int) -> Reading:
    word = ("least-loop-resistance", "greatest-loop-resistance")[end]
    doubts = book.open_wiring | doubtful(book)
    if doubts:
        # One more wire or contact may be a way beside this one, or a longer one.
        return book.open(word, load, "not all ways to it are known", wants=doubts)
    near = batteries_by(book, book.network.terminal(load, "positive"))
    feeders = [b for b in near if ways_to_bars(book, load, b, "positive")] or [c for c in book.members("converter") if ways_to_bars(book, load, c, "positive")]
    total, wants, names = NOTHING, frozenset[FactRef](), dict[str, None]()
    for pole in ("positive", "negative"):
        ways = [way[2] for feeder in feeders for way in ways_to_bars(book, load, feeder, pole)]
        if not ways:
            return book.open(word, load, "its way out and back is not drawn", wants=frozenset())
        low = high = 0.0
        for edges in ways:
            one, asks = _way(book, edges, end)
            wants |= asks
            low, high = max(low, one.low), max(high, one.high)
            names.update((book.network.edges[n].element, None) for n in edges)
        total = Range(total.low + low, total.high + high)
    wires = tuple(name for name in names if book.is_a(name, "conductor"))
    found = total

    def working() -> tuple[Step, ...]:
        how = ("sum of ideal copper at 10 °C, each wire 0.3 m shorter, and half of each device",
               "sum of copper at 55 °C and 5% thin, each wire 0.3 m longer, joints of 0.2 mΩ, devices 2.5 times and contacts 5 times as new")[end]
        what = ("least", "greatest")[end]
        return (Step(f"{what} resistance along the way to {load} and back", how, f"by {', '.join(wires)}: {ohms(found)}", "our notes, commissioning"),)

    return worked(total, wants=wants, uses=frozenset(FactRef(name, "length") for name in wires), through=wires, working=working)


def _way(book: Book, edges: tuple[int, ...], end: int) -> tuple[Range, frozenset[FactRef]]:
    """One end of the band along one way; cables that always lie side by side share the current."""
    low = high = 0.0
    wants: set[FactRef] = set()
    for number in edges:
        band, asks = _edge(book, number)
        share, more = share_of(book, number)
        wants |= asks | more
        one = band[end]
        low += one.low * share.low
        high += 0.0 if 0.0 in (one.high, share.high) else one.high * share.high
    return Range(low, high), frozenset(wants)


def _edge(book: Book, number: int) -> tuple[Band, frozenset[FactRef]]:
    """Least and greatest resistance of one wire with its joints, or of one device."""
    edge = book.network.edges[number]
    element = edge.element
    if edge.kind == "joint":
        return (NOTHING, NOTHING), frozenset()
    if not book.is_a(element, "conductor"):
        found, wants = resistance.device_resistance(book, element)
        worn = WORN_CONTACT if book.is_a(element, "coupling") else WORN_DEVICE
        return (Range(found.low * NEW_DEVICE, found.high * NEW_DEVICE), Range(found.low * worn, found.high * worn)), wants
    # Its own resistance only tells what to ask; the band needs the length apart.
    wants = resistance.conductor_resistance(book, element, Range(20.0, 20.0))[1]
    length = book.quantity("length", element)
    reading = book.reading("area", element)
    area = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
    metal = resistance.metal_factor(book, element)
    ideal = Range(0.0 if area.high == INF else copper.RHO_COPPER_20 / area.high, INF if area.low <= 0 else copper.RHO_COPPER_20 / area.low)
    cool, warm = copper.warmed(COOL), resistance.per_metre(area, Range(WARM, WARM))
    joints = resistance.lugs(book, element) * JOINT
    least = Range(_product(max(0.0, length.low - SLIP), ideal.low * cool * metal.low), _product(max(0.0, length.high - SLIP), ideal.high * cool * metal.high))
    greatest = Range(_product(max(0.0, length.low) + SLIP, warm.low / LEAN * metal.low) + joints,
                     _product(length.high + SLIP, warm.high / LEAN * metal.high) + joints)
    return (least, greatest), wants


def _product(metres: float, each: float) -> float:
    return 0.0 if metres == 0 or each == 0 else metres * each
