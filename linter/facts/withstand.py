"""N10: whether a wire outlives the fault until the device that guards it has opened."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from linter.base.gap import FactRef, Gap
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.faults import FLOOR_PER_12, Smallest, smallest_of
from linter.facts.formulas import faults
from linter.facts.formulas.tables import slow_edge
from linter.facts.registry import fact
from linter.facts.saying import amps, area, known_inputs, melting, number, times_said
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Families of the vocabulary to the rows of the table; the others take the slowest of all.
ROWS = {"standard blade": "blade_standard", "mini blade": "blade_mini", "large blade": "blade_maxi", "terminal cube": "strip_large",
        "large strip": "strip_large",
        "small strip": "strip_small", "flat limiter": "strip_large", "class T": "class_t", "glass tube": "glass_6x32"}
# For longer than this a wire sheds its heat, and its capacity judges it.
ADIABATIC = 5.0


def opening(book: Book, device: str, multiple: float) -> float:
    """Longest time a device may take at a multiple of its rating, by the slow edge of its family. [s]

    Between two rows of the table the lower one counts. Past the last row the melting energy stays what it is there.
    """
    families = book.words("family", device)
    rows = [slow_edge(ROWS.get(f, "")) for f in families] or [slow_edge("")]
    worst = 0.0
    for row in rows:
        known = [(m, t) for m, t in row if m <= multiple * (1 + 1e-9)]
        if not known:
            return INF
        m, t = known[-1]
        worst = max(worst, t * (m / multiple) ** 2 if m == row[-1][0] else t)
    return worst


def _fastest(book: Book, device: str, multiple: float) -> float:
    """Slow-edge time at the next row above: it takes at least as long by its curve. [s]"""
    families = book.words("family", device)
    if not families or any(f not in ROWS for f in families):
        # No curve of its own: it may be as quick as any.
        return 0.0
    rows = [slow_edge(ROWS[f]) for f in families]
    return min(next((t for m, t in row if m >= multiple * (1 - 1e-9)), row[-1][1] * (row[-1][0] / multiple) ** 2) for row in rows)


def _untabled(book: Book, device: str) -> str:
    """Why no opening times are known of a device whose family, or whose being a breaker, is known: none are tabled. Nothing where they are, or may be."""
    if not book.is_a(device, "fuse"):
        return f"no opening times are tabled for a {book.kind_of(device)}"
    families = book.words("family", device)
    return "" if not families or families & set(ROWS) else f"no opening times are tabled for the family {' or '.join(sorted(families))}"


def _family_asked(book: Book, device: str) -> frozenset[FactRef]:
    """The family of a device, where it is a fuse and its family is not known: what is known is not asked again."""
    return book.reading("family", device).wants if book.is_a(device, "fuse") else frozenset()


def _with_reason(reading: Reading, reason: str) -> Reading:
    return replace(reading, gap=Gap(reason)) if reading.gap is not None and reason else reading


@fact("withstand", "conductor")
def withstand(book: Book, conductor: str) -> Reading:
    """Melting energy it stands: (k·A)², k by its insulation. [A²s]"""
    size, insulation, metal = (book.reading(w, conductor) for w in ("area", "insulation", "material"))
    if size.gap is not None or not isinstance(size.value, Range):
        return book.open("withstand", conductor, "its size is not stated", wants={FactRef(conductor, "size")})
    heat = insulation.value if isinstance(insulation.value, Range) else Range(60.0, INF)
    copper = resistance.metal_factor(book, conductor)
    ends = Range(faults.withstand_constant(heat.low), faults.withstand_constant(heat.high))
    # Other metals heat sooner by as much as they resist more.
    value = Range(faults.withstand(size.value.low, ends.low) / copper.high,
                  INF if size.value.high == INF else faults.withstand(size.value.high, ends.high) / copper.low)
    inputs = {FactRef(conductor, "area"): size.value, FactRef(conductor, "insulation"): heat}

    def working() -> tuple[Step, ...]:
        assert isinstance(size.value, Range)
        return (Step(f"melting energy {conductor} stands", "(k × A)²", f"({number(ends)} × {area(size.value)})² = {melting(value)}",
                     "adiabatic law, IEC 60364-4-43 table 43A", known_inputs(book, inputs)),)

    return worked(value, wants=wants_of(size, insulation, metal), uses=uses_of(size, insulation, metal), working=working)


def _weakest(book: Book, conductor: str) -> tuple[Smallest, str, Range, Range] | None:
    """The weakest short at its far end: the way, the device that is driven hardest, the current through it, and the current in the wire."""
    best: tuple[Smallest, str, Range, Range] | None = None
    for one in smallest_of(book, conductor):
        device, current = max(one.passing, key=lambda pair: pair[1].low / max(1e-9, book.quantity("rating", pair[0]).high))
        pressure = [FLOOR_PER_12 * resistance.blocs(book, b).low for b in one.group] or [FLOOR_PER_12]
        wire = Range(0.0 if one.loop.high == INF else min(pressure) / one.loop.high, INF if one.loop.low <= 0 else min(pressure) / one.loop.low)
        if best is None or current.low < best[2].low:
            best = (one, device, current, wire)
    return best


@fact("withstand-time", "conductor")
def withstand_time(book: Book, conductor: str) -> Reading:
    """How long it stands the smallest fault at its far end. [s]"""
    stands, weakest = book.reading("withstand", conductor), _weakest(book, conductor)
    if weakest is None or stands.gap is not None or not isinstance(stands.value, Range):
        return book.open("withstand-time", conductor, "no battery reaches it past a device" if weakest is None else "its size is not stated",
                         wants=stands.wants | book.open_wiring)
    one, device, _, wire = weakest
    energy = stands.value
    value = Range(0.0 if wire.high == INF else faults.withstand_time(energy.low, wire.high),
                  INF if wire.low <= 0 else faults.withstand_time(energy.high, wire.low))

    def working() -> tuple[Step, ...]:
        return (*(stands.working() if stands.working else ()),
                Step(f"time {conductor} stands the smallest fault at its far end", "(k × A)² / I²",
                     f"{melting(energy)} / ({amps(wire)})² = {times_said(value)}",
                     "adiabatic law; below 5 s"))

    return worked(value, wants=stands.wants | one.wants | book.open_wiring, uses=stands.uses, through=(device,), working=working)


@fact("opening-time", "conductor")
def opening_time(book: Book, conductor: str) -> Reading:
    """How long the device that must open may take at the smallest fault at its far end, by the slow edge of its family. [s]"""
    weakest = _weakest(book, conductor)
    if weakest is None:
        return book.open("opening-time", conductor, "no battery reaches it past a device", wants=book.open_wiring)
    one, device, current, _ = weakest
    rating = book.reading("rating", device)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    low = 0.0 if rated.low <= 0 or current.high == INF else _fastest(book, device, current.high / rated.low)
    high = INF if rated.high == INF else opening(book, device, current.low / rated.high)
    value = Range(min(low, high), high)

    def working() -> tuple[Step, ...]:
        return (Step(f"time {device} may take to open for {conductor}", "slow edge of its family at current / rating",
                     f"{amps(current)} / {amps(rated)}: {times_said(value)}", "opening times of fuse families (table fuse_time_current)",
                     known_inputs(book, {FactRef(device, "rating"): rated})),)

    return worked(value, wants=one.wants | rating.wants | _family_asked(book, device) | book.open_wiring, uses=rating.uses, through=(device,),
                  working=working)


@fact("outlasts-its-fuse", "conductor")
def outlasts_its_fuse(book: Book, conductor: str) -> Reading:
    """Whether it stands every short at its far end, from the weakest on, until the device has opened.

    At each row of the device's table, and at the weakest short: the current is within its capacity, or its energy within what the wire stands.
    """
    stands, carries, weakest = book.reading("withstand", conductor), book.reading("corrected-capacity", conductor), _weakest(book, conductor)
    if weakest is None:
        return book.open("outlasts-its-fuse", conductor, "no battery reaches it past a device", wants=book.open_wiring)
    one, device, current, wire = weakest
    rating = book.reading("rating", device)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    energy = stands.value if isinstance(stands.value, Range) else Range(0.0, INF)
    limit = carries.value if isinstance(carries.value, Range) else Range(0.0, INF)
    value = Truth.YES
    if rated.low <= 0 or rated.high == INF:
        value = Truth.UNKNOWN
    else:
        # The wire may carry more than one of several devices side by side: both currents are swept with their ratio.
        ratio = max(1.0, wire.high / current.high if current.high not in (0.0, INF) else 1.0)
        start = current.low / rated.high
        points = sorted({start, *(m for m in (1.35, 2.0, 3.5, 6.0, 20.0) if m > start)})
        for k, m in enumerate(points):
            upto = points[k + 1] if k + 1 < len(points) else m
            time = opening(book, device, m)
            amps_there = min(upto, 6.0 if upto > 6 else upto) * rated.high * ratio
            if m * rated.high * ratio <= limit.low * (1 + 1e-9) and upto * rated.high * ratio <= limit.low * (1 + 1e-9):
                continue
            at = m * rated.high * ratio if m >= 6 else amps_there
            if time * at * at > energy.low * (1 + 1e-9):
                value = Truth.UNKNOWN
                break
        if value is Truth.UNKNOWN and wire.high < INF and current.high < INF:
            quick = _fastest(book, device, current.high / rated.low)
            if wire.low > limit.high and quick * wire.low * wire.low > energy.high * (1 + 1e-9):
                value = Truth.NO
    if value is Truth.YES and not book.wiring_complete:
        value = Truth.UNKNOWN

    def working() -> tuple[Step, ...]:
        return (*(stands.working() if stands.working else ()),
                Step(f"whether {conductor} outlasts {device}", "I² × t up to opening at most (k × A)², t from the slow edge; or I within its capacity",
                     f"weakest short {amps(wire)}, {number(Range(current.low / max(rated.high, 1e-9), current.high / max(rated.low, 1e-9)))} times {device};"
                     f" stands {melting(energy)}", "adiabatic law; opening times of fuse families (table fuse_time_current)"))

    found = worked(value, wants=stands.wants | carries.wants | one.wants | rating.wants | _family_asked(book, device) | book.open_wiring,
                   uses=stands.uses | carries.uses | rating.uses, through=(device,), working=working)
    return _with_reason(found, _untabled(book, device))


__all__ = ["ADIABATIC", "opening", "opening_time", "outlasts_its_fuse", "withstand", "withstand_time"]
