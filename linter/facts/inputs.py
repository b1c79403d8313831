"""N6: the input of a converter: what it takes, what volts are left to it, whether it hunts. The worst current is in `demands`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.demands import ALTERNATOR_USUAL, CHARGING, feeders_of, input_loop, per_12, stated
from linter.facts.formulas import drop
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, ohms, volts, watts
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

Refs = dict[FactRef, Range]
PHYSICS = "physics (constant power behind a resistance; copper at the hottest place it passes)"


def _open(refs: Refs) -> frozenset[FactRef]:
    return frozenset(ref for ref, value in refs.items() if not value.known)


def power_of(book: Book, converter: str) -> tuple[Range, Refs]:
    """Power at the input at full output: output current times set volts over efficiency. [W]"""
    output = book.quantity("output-current-at-most", converter)
    times = per_12(book, converter)
    set_volts = stated(book, "absorption", converter)
    absorption = set_volts if set_volts is not None else Range(CHARGING.low * times.low, CHARGING.high * times.high)
    efficiency = book.quantity("efficiency", converter)
    efficiency = Range(efficiency.low, min(efficiency.high, 1.0))
    high = INF if output.high == INF or efficiency.low <= 0 else output.high * absorption.high / efficiency.low
    refs = {FactRef(converter, "output-current-at-most"): output, FactRef(converter, "absorption"): absorption, FactRef(converter, "efficiency"): efficiency}
    return Range(output.low * absorption.low / efficiency.high, high), refs


def supply_of(book: Book, converter: str) -> tuple[Range, Range, Range, Refs, frozenset[FactRef]]:
    """Volts the supply stands at when low, and usually; the loop from it and back; facts behind them; what would narrow the loop. [V, V, Ω]"""
    feeders, low, refs = feeders_of(book, converter)
    machines = [ref.element for ref in refs if book.is_a(ref.element, "alternator")]
    usual = low
    parts: list[Range] = []
    usual_refs: Refs = dict(refs)
    for one in machines:
        found = stated(book, "usual-output-voltage", one)
        times = per_12(book, one)
        parts.append(found if found is not None else Range(ALTERNATOR_USUAL * times.low, ALTERNATOR_USUAL * times.high))
        usual_refs[FactRef(one, "usual-output-voltage")] = parts[-1]
    if not machines:
        for battery in feeders:
            parts.append(resistance.rest_voltage(book, battery))
            usual_refs[FactRef(battery, "rest-voltage")] = parts[-1]
    if parts:
        usual = Range(max(low.low, min(p.low for p in parts)), max(p.high for p in parts))
    loop, wants = input_loop(book, converter, tuple(feeders))
    return low, usual, loop, usual_refs, wants


def _left(power: Range, source: Range, loop: Range) -> Range:
    """Volts left, least and most; 0 where the supply may not be able to carry it at all."""
    low = None if INF in (power.high, loop.high) else drop.converter_input(power.high, source.low, loop.high)
    high = drop.converter_input(power.low, source.high, loop.low)
    return Range(0.0 if low is None else low[0], source.high / 2 if high is None else high[0])


def _volts(book: Book, word: str, converter: str, usual: bool) -> Reading:
    power, refs = power_of(book, converter)
    low, most, loop, more, wants = supply_of(book, converter)
    source = most if usual else low
    value = _left(power, source, loop)
    refs = {**refs, **more}
    carried = drop.converter_input(power.low, source.high, loop.low) is not None

    def working() -> tuple[Step, ...]:
        said = f"U0 {volts(source)}, R {ohms(loop)}, P {watts(power)}: {volts(value)}"
        if not carried:
            said = f"U0 {volts(source)} behind R {ohms(loop)} gives {drop.greatest_power(source.high, loop.low):.0f} W at most: it cannot carry {watts(power)}"
        return (Step(f"{word.replace('-', ' ')} of {converter}", "upper root of U² − U0·U + R·P = 0", said, PHYSICS, known_inputs(book, refs)),)

    return worked(value, wants=_open(refs) | wants, uses=frozenset(refs), working=working)


@fact("input-power", "converter")
def input_power(book: Book, converter: str) -> Reading:
    """Power it takes at full output. [W]"""
    power, refs = power_of(book, converter)

    def working() -> tuple[Step, ...]:
        output, absorption, efficiency = refs.values()
        return (Step(f"power {converter} takes", "output current × set volts / efficiency",
                     f"{amps(output)} × {volts(absorption)} / {efficiency.low:g} = {watts(power)}", "physics", known_inputs(book, refs)),)

    return worked(power, wants=_open(refs), uses=frozenset(refs), working=working)


@fact("greatest-input-power", "converter")
def greatest_input_power(book: Book, converter: str) -> Reading:
    """Most power its supply can bring to it when low: U0²/(4·R). [W]"""
    low, _, loop, refs, wants = supply_of(book, converter)
    value = Range(0.0 if loop.high == INF or loop.high <= 0 else drop.greatest_power(low.low, loop.high),
                  INF if loop.low <= 0 else drop.greatest_power(low.high, loop.low))

    def working() -> tuple[Step, ...]:
        return (Step(f"most power the supply brings to {converter}", "U0² / (4 × R)", f"{volts(low)}² / (4 × {ohms(loop)}) = {watts(value)}",
                     "matched load", known_inputs(book, refs)),)

    return worked(value, wants=_open(refs) | wants, uses=frozenset(refs), working=working)


@fact("input-voltage", "converter")
def input_voltage(book: Book, converter: str) -> Reading:
    """Volts left at its input at full output with the supply low. [V]"""
    return _volts(book, "input-voltage", converter, False)


@fact("usual-input-voltage", "converter")
def usual_input_voltage(book: Book, converter: str) -> Reading:
    """Volts left at its input at full output with the supply at its usual voltage. [V]"""
    return _volts(book, "usual-input-voltage", converter, True)


@fact("usual-input-current", "converter")
def usual_input_current(book: Book, converter: str) -> Reading:
    """Current at its input at full output with the supply at its usual voltage. [A]"""
    power, refs = power_of(book, converter)
    _, source, loop, more, wants = supply_of(book, converter)
    refs = {**refs, **more}
    left = _left(power, source, loop)
    value = Range(power.low / left.high if left.high > 0 else 0.0, INF if left.low <= 0 else power.high / left.low)

    def working() -> tuple[Step, ...]:
        return (Step(f"usual current into {converter}", "power / U, with U the upper root of U² − U0·U + R·P = 0",
                     f"{watts(power)} / {volts(left)}, U0 {volts(source)}, R {ohms(loop)}: {amps(value)}", PHYSICS, known_inputs(book, refs)),)

    return worked(value, wants=_open(refs) | wants, uses=frozenset(refs), working=working)


@fact("hunts", "converter")
def hunts(book: Book, converter: str) -> Reading:
    """Whether, with some supply voltage between its low and its usual one, the unloaded input wakes it and the loaded one puts it to sleep.

    The lowest supply that wakes it leaves the fewest volts under load, so that one decides.
    """
    power, refs = power_of(book, converter)
    low, usual, loop, more, wants = supply_of(book, converter)
    starts, stops = book.reading("starts-above", converter), book.reading("stops-below", converter)
    wake = starts.value if isinstance(starts.value, Range) else Range(0.0, INF)
    sleep = stops.value if isinstance(stops.value, Range) else Range(0.0, INF)
    worst, best = max(low.low, wake.low), max(low.high, wake.high)
    # With the supply where it surely is; and where it may be.
    sure = best <= max(low.high, usual.low) and best < INF and power.low > 0
    at_best = drop.converter_input(power.low, best, loop.low) if sure else (INF, 0.0)
    at_worst = None if INF in (power.high, loop.high) else drop.converter_input(power.high, worst, loop.high)
    if worst > max(low.high, usual.high) or (at_worst is not None and at_worst[0] >= sleep.high):
        value = Truth.NO
    elif sure and sleep.low > 0 and (at_best is None or at_best[0] < sleep.low):
        value = Truth.YES
    else:
        value = Truth.UNKNOWN
    refs = {**refs, **more}

    def working() -> tuple[Step, ...]:
        left = "nothing it could run on" if at_worst is None else f"{at_worst[0]:.2f} V"
        return (Step(f"whether {converter} hunts", "wakes above the start voltage; at full output the volts fall below the stop voltage",
                     f"supply {worst:.2f} V unloaded leaves {left}; starts above {volts(wake)}, stops below {volts(sleep)}", PHYSICS,
                     known_inputs(book, refs)),)

    return worked(value, wants=_open(refs) | wants | starts.wants | stops.wants, uses=frozenset(refs) | starts.uses | stops.uses, working=working)
