"""N21: gas of charging lead batteries and the openings it needs, and heat of converters."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.formulas import storage
from linter.facts.inputs import power_of
from linter.facts.registry import fact
from linter.facts.resistance import blocs
from linter.facts.saying import area, known_inputs, watts
from linter.facts.worked import uses_of, wants_of, worked
from linter.units.dimension import CHARGE, VOLUME_FLOW
from linter.units.table import write_range

if TYPE_CHECKING:
    from linter.facts.book import Book

_SEALED = frozenset({"AGM lead-acid", "gel lead-acid"})


@fact("gas-flow", "battery")
def gas_flow(book: Book, battery: str) -> Reading:
    """Air flow that carries its hydrogen away: 0.05·n·Igas·Ah/100. None for lithium. [m³/s]"""
    chemistry, capacity, limited = (book.reading(w, battery) for w in ("chemistry", "capacity", "limits-charge-voltage"))
    words = chemistry.value if isinstance(chemistry.value, frozenset) and chemistry.gap is None else frozenset()
    amounts: list[float] = []
    for word in words:
        if not word.endswith("lead-acid"):
            amounts.append(0.0 if word != "other" else storage.GAS_UNLIMITED)
            continue
        usual = storage.GAS_VALVE if word in _SEALED else storage.GAS_VENTED
        # Voltage limited unless said otherwise: no charger of today runs without; said "no", six times as much gas.
        amounts += [storage.GAS_UNLIMITED] if limited.value is Truth.NO else [usual] if limited.value is Truth.YES else [usual, storage.GAS_UNLIMITED]
    gas = Range(min(amounts), max(amounts)) if amounts else Range(0.0, storage.GAS_UNLIMITED)
    size = capacity.value if isinstance(capacity.value, Range) else Range(0.0, INF)
    times = blocs(book, battery)
    value = Range(storage.hydrogen(6 * times.low, gas.low, size.low) / 3600,
                  0.0 if gas.high == 0 else INF if size.high == INF else storage.hydrogen(6 * times.high, gas.high, size.high) / 3600)

    def working() -> tuple[Step, ...]:
        return (Step(f"air flow for the hydrogen of {battery}", "0.05 × cells × gas current per 100 Ah × Ah / 100",
                     f"0.05 × {6 * times.high:g} × {gas.low:g} to {gas.high:g} A × {write_range(size, CHARGE)} / 100 = {write_range(value, VOLUME_FLOW)}",
                     "EN 62485-2",
                     known_inputs(book, {FactRef(battery, "capacity"): size})),)

    return worked(value, wants=wants_of(chemistry, capacity, limited) if gas.high > 0 else (), uses=uses_of(chemistry, capacity, limited), working=working)


@fact("vent-opening-needed", "battery")
def vent_opening_needed(book: Book, battery: str) -> Reading:
    """Area of each of two openings, low and high: 28 cm² per m³/h. [m²]"""
    flow = book.reading("gas-flow", battery)
    air = flow.value if isinstance(flow.value, Range) else Range(0.0, INF)
    value = Range(storage.vent_opening(air.low * 3600), INF if air.high == INF else storage.vent_opening(air.high * 3600))

    def working() -> tuple[Step, ...]:
        return (*(flow.working() if flow.working else ()),
                Step(f"opening for {battery}", "28 cm² per m³/h, low and high", f"{write_range(air, VOLUME_FLOW)}: {area(value)} each", "EN 62485-2"))

    return worked(value, wants=flow.wants, uses=flow.uses, working=working)


@fact("heat-made", "charger", "inverter")
def heat_made(book: Book, part: str) -> Reading:
    """Heat at full output: (1/η − 1)·P. [W]"""
    efficiency = book.reading("efficiency", part)
    eta = efficiency.value if isinstance(efficiency.value, Range) else Range(0.0, 1.0)
    eta = Range(eta.low, min(1.0, eta.high))
    if book.is_a(part, "inverter"):
        power = book.reading("power", part)
        output = power.value if isinstance(power.value, Range) else Range(0.0, INF)
        wants, uses = wants_of(power, efficiency), uses_of(power, efficiency)
        refs = {FactRef(part, "power"): output}
    else:
        # Output power is what goes in times the efficiency: taken apart again, so that neither end mixes two efficiencies.
        taken, refs = power_of(book, part)
        output = Range(taken.low * eta.high, INF if taken.high == INF else taken.high * eta.low)
        wants, uses = frozenset(r for r, v in refs.items() if not v.known), frozenset(refs)
    value = Range(storage.loss(eta.high, output.low) if eta.high > 0 else 0.0,
                  INF if eta.low <= 0 or output.high == INF else storage.loss(eta.low, output.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"heat of {part}", "(1 / efficiency − 1) × output power", f"(1 / {eta.low:g} − 1) × {watts(output)} = {watts(value)}", "energy balance",
                     known_inputs(book, {**refs, FactRef(part, "efficiency"): eta})),)

    return worked(value, wants=wants, uses=uses, working=working)
