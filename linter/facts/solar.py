"""N12: voltage of cold modules, and what parallel strings push back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.capacity import part_heat
from linter.facts.formulas import solar
from linter.facts.registry import fact
from linter.facts.saying import amps, degrees, known_inputs, number, volts
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Typical coefficients of silicon modules, per kelvin; the steeper end is given by the formula or the table, whichever is more.
GENTLEST = -0.0023
# Power coefficient of silicon modules when none is stated, per kelvin.
STEEP_TO_GENTLE = Range(-0.0050, -0.0030)


def coldest_at(book: Book, part: str) -> tuple[Range, frozenset[FactRef]]:
    """Lowest temperature where a part sits: of its place, else of the installation; unknown: no lower end. [°C]"""
    told = book.reading("place-of", part)
    found: list[Range] = []
    wants: frozenset[FactRef] = frozenset()
    if told.gap is None and isinstance(told.value, frozenset):
        for place in told.value:
            if place in book.circuit.elements:
                reading = book.reading("coldest", place)
                if isinstance(reading.value, Range):
                    found.append(reading.value)
                    wants |= reading.wants
    site = book.reading("coldest", "")
    whole = site.value if site.gap is None and isinstance(site.value, Range) else None
    if found:
        low, high = min(f.low for f in found), min(f.high for f in found)
        if high == INF or low == -INF:
            # The place is not stated: it may be as cold as the site.
            if whole is None:
                return Range(low, 25.0), wants | {FactRef("", "coldest")}
            return (Range(whole.low, max(whole.high, whole.low)), frozenset() if whole.known else frozenset({FactRef("", "coldest")}))
        return Range(low, high), wants
    if whole is not None:
        return whole, frozenset() if whole.known else frozenset({FactRef("", "coldest")})
    return Range(-INF, 25.0), frozenset({FactRef("", "coldest")})


@fact("cold-voltage", "solar-array")
def cold_voltage(book: Book, array: str) -> Reading:
    """Open-circuit voltage on the coldest morning. Without a stated coefficient, from a gentle one to -0.40 %/K or the table, whichever is more. [V]"""
    each, series, beta = (book.reading(w, array) for w in ("open-voltage", "modules-in-series", "voltage-coefficient"))
    open_volts = each.value if isinstance(each.value, Range) else Range(0.0, INF)
    count = series.value if isinstance(series.value, Range) else Range(1.0, INF)
    cold, cold_wants = coldest_at(book, array)
    wants = wants_of(each, series) | cold_wants
    coefficient = beta.value if beta.gap is None and isinstance(beta.value, Range) else None

    def rise(temperature: float, steep: bool) -> float:
        if temperature == -INF:
            return INF
        if coefficient is not None:
            return solar.cold_voltage(1, 1, coefficient.low if steep else coefficient.high, temperature)
        if not steep:
            return solar.cold_voltage(1, 1, GENTLEST, temperature)
        table = solar.table_factor(temperature)
        return max(solar.cold_voltage(1, 1, solar.COEFFICIENT_UNKNOWN, temperature), table or 0.0)

    factor = Range(rise(cold.high, False), rise(cold.low, True))
    value = Range(count.low * open_volts.low * factor.low,
                  INF if INF in (count.high, open_volts.high, factor.high) else count.high * open_volts.high * factor.high)
    if coefficient is None or not coefficient.known:
        wants |= {FactRef(array, "voltage-coefficient")}

    def working() -> tuple[Step, ...]:
        inputs = {FactRef(array, "modules-in-series"): count, FactRef(array, "open-voltage"): open_volts}
        if coefficient is not None:
            inputs[FactRef(array, "voltage-coefficient")] = coefficient
        return (Step(f"open-circuit voltage of {array} on the coldest morning", "modules × open voltage × (1 + coefficient × (T − 25 °C))",
                     f"{number(count)} × {volts(open_volts)} × {number(factor)} at {degrees(cold)} = {volts(value)}",
                     "module data" if coefficient is not None else "NEC table 690.7(A) or -0.40 %/K, whichever is more, for want of a coefficient",
                     known_inputs(book, inputs)),)

    return worked(value, wants=wants, uses=uses_of(each, series, beta) | {FactRef("", "coldest")}, working=working)


@fact("hot-voltage", "solar-array")
def hot_voltage(book: Book, array: str) -> Reading:
    """Working voltage with its cells as hot as its place gets: Ns·Ump·(1 + γ·(T − 25)). Without a power coefficient, -0.30 to -0.50 %/K. [V]

    The place's hottest is taken for the cells: on a roof in the sun it is the panel's own temperature that is to be stated there.
    """
    each, series, gamma = (book.reading(w, array) for w in ("working-voltage", "modules-in-series", "power-coefficient"))
    heat = part_heat(book, array)
    hot = heat.value if isinstance(heat.value, Range) else Range(25.0, 90.0)
    volts_each = each.value if isinstance(each.value, Range) else Range(0.0, INF)
    count = series.value if isinstance(series.value, Range) else Range(1.0, INF)
    told = gamma.value if gamma.gap is None and isinstance(gamma.value, Range) else STEEP_TO_GENTLE
    low = max(0.0, min(solar.hot_voltage(count.low, volts_each.low, told.low, t) for t in (hot.low, hot.high)))
    high = INF if INF in (count.high, volts_each.high) else max(solar.hot_voltage(count.high, volts_each.high, told.high, t) for t in (hot.low, hot.high))
    value = Range(low, high)
    wants = wants_of(each, series, heat) | (frozenset() if told.known else frozenset({FactRef(array, "power-coefficient")}))

    def working() -> tuple[Step, ...]:
        inputs = {FactRef(array, "modules-in-series"): count, FactRef(array, "working-voltage"): volts_each, FactRef(array, "power-coefficient"): told}
        return (Step(f"working voltage of {array} when hot", "modules × working voltage × (1 + power coefficient × (T − 25 °C))",
                     f"{number(count)} × {volts(volts_each)} at {degrees(hot)} = {volts(value)}", "module data; the power coefficient taken for the voltage",
                     known_inputs(book, inputs)),)

    return worked(value, wants=wants, uses=uses_of(each, series, gamma, heat), working=working)


@fact("string-current", "solar-array")
def string_current(book: Book, array: str) -> Reading:
    """What its wires and fuses are chosen for: 1.56·Isc·Np. [A]"""
    short, strings = book.reading("short-current", array), book.reading("strings-in-parallel", array)
    each = short.value if isinstance(short.value, Range) else Range(0.0, INF)
    count = strings.value if strings.gap is None and isinstance(strings.value, Range) else Range(1.0, INF)
    value = Range(solar.wire_current(each.low, count.low), INF if INF in (each.high, count.high) else solar.wire_current(each.high, count.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"current the wires of {array} are chosen for", "1.56 × short-circuit current × strings",
                     f"1.56 × {amps(each)} × {number(count)} = {amps(value)}",
                     "NEC 690.8(B)", known_inputs(book, {FactRef(array, "short-current"): each})),)

    return worked(value, wants=wants_of(short, strings), uses=uses_of(short, strings), working=working)


@fact("reverse-current", "solar-array")
def reverse_current(book: Book, array: str) -> Reading:
    """What the other strings joined with it push back into one string of this array: 1.25 times the sum of their short-circuit currents. [A]"""
    network = book.network
    post = network.terminal(array, "positive")
    around = set(book.reach.joined((post,))) if post is not None else set()
    low = high = 0.0
    wants: set[FactRef] = set(book.open_wiring)
    uses: set[FactRef] = set()
    names: list[str] = []
    for other in book.members("solar-array"):
        if other != array and network.terminal(other, "positive") not in around:
            continue
        short, strings = book.reading("short-current", other), book.reading("strings-in-parallel", other)
        each = short.value if isinstance(short.value, Range) else Range(0.0, INF)
        count = strings.value if strings.gap is None and isinstance(strings.value, Range) else Range(1.0, INF)
        less = 1 if other == array else 0
        least, most = max(0.0, count.low - less), max(0.0, count.high - less)
        if other != array and post is not None:
            sure = book.reach.between(post, network.terminal(other, "positive") or "", sure=True)
            least = least if sure != book.nothing else 0.0
        low += solar.BRIGHT_SKY * each.low * least
        high += 0.0 if most == 0 else solar.BRIGHT_SKY * each.high * most
        wants |= short.wants | strings.wants
        uses |= short.uses | strings.uses
        if most > 0:
            names.append(other)
    value = Range(low, high if book.wiring_complete else INF)

    def working() -> tuple[Step, ...]:
        return (Step(f"what other strings push into one of {array}", "1.25 × sum of the others' short-circuit currents",
                     f"{', '.join(names) or 'none'}: {amps(value)}", "NEC 690.9(A)"),)

    return worked(value, wants=wants, uses=uses, through=tuple(names), working=working)
