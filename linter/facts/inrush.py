"""N11: the rush into empty capacitors, and what a pre-charge resistor takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.drop import ways_to_bars
from linter.facts.formulas import faults
from linter.facts.loop import loop_to_bank
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, melting, ohms, times_said, volts, watt_hours
from linter.facts.trunks import mates
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

COLD = Range(20.0, 20.0)


def _loop(book: Book, load: str) -> tuple[Range, Range, frozenset[FactRef], dict[FactRef, Range]] | None:
    """Least resistance of any bank, fresh, and back, and its volts when full; the bank that rushes hardest. [Ω, V]"""

    def make() -> tuple[Range, Range, frozenset[FactRef], dict[FactRef, Range]] | None:
        network = book.network
        best: tuple[Range, Range, frozenset[FactRef], dict[FactRef, Range]] | None = None
        for group in dict.fromkeys(mates(book, b) for b in network.batteries):
            inner: dict[str, Range] = {}
            refs: dict[FactRef, Range] = {}
            wants: set[FactRef] = set()
            least, most = INF, -INF
            for battery in group:
                inner[battery], more = resistance.lowest_resistance(book, battery)
                rest = resistance.rest_voltage(book, battery)
                refs[FactRef(battery, "rest-voltage")] = rest
                wants |= more | ({FactRef(battery, "rest-voltage")} if not rest.known else set())
                least, most = min(least, rest.low), max(most, rest.high)
            # By way of another bank's bars it is behind that bank, which rushes harder.
            if not any(ways_to_bars(book, load, b, "positive") for b in group):
                continue
            found = loop_to_bank(book, load, group, inner, lambda n: resistance.edge_resistance(book, n, COLD, bars=True))
            if found is None:
                continue
            loop = found[0]
            wants |= found[1]
            if best is None or most / max(loop.low, 1e-9) > best[1].high / max(best[0].low, 1e-9):
                best = loop, Range(least, most), frozenset(wants), refs
        return best

    return book.memo(("inrush loop", load), make)


def _parts(book: Book, load: str, word: str) -> tuple[Range, Range, Range, frozenset[FactRef], dict[FactRef, Range]] | Reading:
    """Whole loop with the capacitors' own resistance, volts, capacitance; or why it cannot be told."""
    farad, own = book.reading("input-capacitance", load), book.reading("capacitor-resistance", load)
    if farad.gap is not None or not isinstance(farad.value, Range):
        return book.open(word, load, "its input capacitance is not stated", wants={FactRef(load, "input-capacitance")})
    loop = _loop(book, load)
    if loop is None:
        return book.open(word, load, "no battery reaches it", wants=book.open_wiring)
    ohm, pressure, wants, refs = loop
    inside = own.value if isinstance(own.value, Range) else Range(0.0, INF)
    refs = {FactRef(load, "input-capacitance"): farad.value, FactRef(load, "capacitor-resistance"): inside, **refs}
    return Range(ohm.low + inside.low, ohm.high + inside.high), pressure, farad.value, wants | wants_of(farad, own), refs


@fact("inrush-current", "load")
def inrush_current(book: Book, load: str) -> Reading:
    """Peak current into its empty capacitors: U/R. [A]"""
    found = _parts(book, load, "inrush-current")
    if isinstance(found, Reading):
        return found
    loop, pressure, _, wants, refs = found
    value = Range(0.0 if loop.high == INF else faults.inrush_peak(pressure.low, loop.high),
                  INF if loop.low <= 0 else faults.inrush_peak(pressure.high, loop.low))

    def working() -> tuple[Step, ...]:
        return (Step(f"peak current into {load}", "U / R", f"{volts(pressure)} / {ohms(loop)} = {amps(value)}", "first-order circuit; inductance left out",
                     known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=set(refs), working=working)


@fact("inrush-melting", "load")
def inrush_melting(book: Book, load: str) -> Reading:
    """Melting energy of the rush: U²·C/(2·R). [A²s]"""
    found = _parts(book, load, "inrush-melting")
    if isinstance(found, Reading):
        return found
    loop, pressure, farad, wants, refs = found
    value = Range(0.0 if loop.high == INF else faults.inrush_energy(pressure.low, loop.high, farad.low),
                  INF if loop.low <= 0 or farad.high == INF else faults.inrush_energy(pressure.high, loop.low, farad.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"melting energy of the rush into {load}", "U² × C / (2 × R)",
                     f"{volts(pressure)}² × {farad.high * 1e3:g} mF / (2 × {ohms(loop)}) = {melting(value)}", "first-order circuit", known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=set(refs), working=working)


@fact("inrush-time", "load")
def inrush_time(book: Book, load: str) -> Reading:
    """Time constant of the rush: R·C. [s]"""
    found = _parts(book, load, "inrush-time")
    if isinstance(found, Reading):
        return found
    loop, _, farad, wants, refs = found
    value = Range(loop.low * farad.low, INF if INF in (loop.high, farad.high) else loop.high * farad.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"time constant of the rush into {load}", "R × C", f"{ohms(loop)} × {farad.high * 1e3:g} mF = {times_said(value)}", "first-order circuit",
                     known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=set(refs), working=working)


@fact("precharge-time", "load")
def precharge_time(book: Book, load: str) -> Reading:
    """Time its pre-charge takes: 5·R·C. [s]"""
    farad, resistor = book.reading("input-capacitance", load), book.reading("precharge-resistor", load)
    if farad.gap is not None or resistor.gap is not None or not isinstance(farad.value, Range) or not isinstance(resistor.value, Range):
        return book.open("precharge-time", load, "its capacitance or its pre-charge resistor is not stated", wants=wants_of(farad, resistor))
    c, r = farad.value, resistor.value
    value = Range(faults.precharge_time(r.low, c.low), INF if INF in (r.high, c.high) else faults.precharge_time(r.high, c.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"pre-charge of {load}", "5 × R × C", f"5 × {ohms(r)} × {c.high * 1e3:g} mF = {times_said(value)}", "five time constants",
                     known_inputs(book, {FactRef(load, "input-capacitance"): c, FactRef(load, "precharge-resistor"): r})),)

    return worked(value, wants=wants_of(farad, resistor), uses=uses_of(farad, resistor), working=working)


@fact("precharge-energy", "load")
def precharge_energy(book: Book, load: str) -> Reading:
    """Energy its pre-charge resistor takes: C·U²/2. [J]"""
    found = _parts(book, load, "precharge-energy")
    if isinstance(found, Reading):
        return found
    _, pressure, c, wants, refs = found
    value = Range(faults.precharge_energy(pressure.low, c.low), INF if c.high == INF else faults.precharge_energy(pressure.high, c.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"energy the pre-charge resistor of {load} takes", "C × U² / 2", f"{c.high * 1e3:g} mF × {volts(pressure)}² / 2 = {watt_hours(value)}",
                     "energy balance", known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=set(refs), working=working)
