"""N8 to N11 and N23: short circuits, what they do to fuse and cable, and inrush."""

from __future__ import annotations

import math

# Planning values of short-circuit current per 100 Ah of 12 V battery, A: the most to expect, and the least to expect when nothing is stated.
# Upper ends as `batteries.yaml` plans them; lower ends as typical ranges there give them. Mixed: partly verified, partly recalled.
PLANNING = {"flooded lead-acid": (1000.0, 3000.0), "AGM lead-acid": (2000.0, 4000.0), "gel lead-acid": (1500.0, 3000.0),
            "lithium iron phosphate": (3000.0, 10000.0), "lithium": (3000.0, 10000.0), "other": (1000.0, 10000.0)}
WORN = 3.0


def battery_resistance(volts: float, short_current: float) -> float:
    """Internal resistance that goes with a short-circuit current. [Ω]

    Args:
        volts: Rest voltage, full. [V]
        short_current: Into a dead short, electronics left out. [A]

    Source:
        Ohm's law.

    Holds for:
        short_current above 0.
    """
    return volts / short_current


def cranking_resistance(cranking: float) -> float:
    """Lowest internal resistance of a 12 V cranking battery: 0.5·(12.8 − 7.2)/CCA. [Ω]

    Args:
        cranking: Cold cranking current. [A]

    Source:
        The cranking test ends at 7.2 V and is made at -18 °C; the half brings it to a warm battery.

    Holds for:
        12 V lead-acid.
    """
    return 0.5 * (12.8 - 7.2) / cranking


def planned_current(capacity: float, per_100_ah: float) -> float:
    """Short-circuit current by planning value. [A]

    Args:
        capacity: Rated capacity. [C]
        per_100_ah: A per 100 Ah.

    Source:
        `batteries.yaml`, planning defaults (computed from typical ranges).

    Holds for:
        Monoblocks and packs of ordinary make.
    """
    return capacity / 3600 / 100 * per_100_ah


def fault_current(volts: float, resistance: float) -> float:
    """Current into a dead short. [A]

    Args:
        volts: Of the source. [V]
        resistance: Source, leads and devices to the fault and back. [Ω]

    Source:
        Ohm's law.

    Holds for:
        Settled direct current, no arc.
    """
    return volts / resistance


def parallel(resistances: tuple[float, ...]) -> float:
    """Resistance of branches side by side. [Ω]

    Args:
        resistances: Of each branch. [Ω]

    Source:
        Conductances add.

    Holds for:
        At least one branch.
    """
    if any(r == 0 for r in resistances):
        return 0.0
    return 1 / sum(1 / r for r in resistances)


def longest_run(volts: float, multiple: float, rating: float, source: float, joints: float, per_metre: float) -> float:
    """Longest one-way run whose far-end short is still a multiple of the fuse. [m]

    Args:
        volts: Floor voltage. [V]
        multiple: Wanted multiple of the rating. [1]
        rating: Of the fuse. [A]
        source: Highest source resistance. [Ω]
        joints: Fuse, lugs and contacts. [Ω]
        per_metre: Of one hot core. [Ω/m]

    Source:
        N9 solved for length.

    Holds for:
        Both poles of one size.
    """
    return (volts / (multiple * rating) - source - joints) / (2 * per_metre)


def withstand(area: float, k: float) -> float:
    """Melting energy a cable stands: (k·A)². [A²s]

    Args:
        area: Copper area. [m²]
        k: 115 for 70 °C PVC, 143 for 90 °C and better, 141 for 60 °C rubber. [A·√s/mm²]

    Source:
        Adiabatic law, IEC 60364-4-43 table 43A (recalled).

    Holds for:
        Less than 5 s.
    """
    return (k * area * 1e6) ** 2


def withstand_time(energy: float, current: float) -> float:
    """Time a cable stands a fault current. [s]

    Args:
        energy: As `withstand`. [A²s]
        current: Fault current. [A]

    Source:
        t = (k·A)²/I².

    Holds for:
        Less than 5 s.
    """
    return energy / (current * current)


def withstand_constant(insulation: float) -> float:
    """The k of copper by temperature class of its insulation. [A·√s/mm²]

    Args:
        insulation: Temperature class. [°C]

    Source:
        115 below 90 °C, 143 from 90 °C (N10). 60 °C rubber would be 141; taken as 115, which is the safe side.

    Holds for:
        Copper.
    """
    return 143.0 if insulation >= 90 else 115.0


def inrush_peak(volts: float, loop: float) -> float:
    """Peak current into empty capacitors: U/R. [A]

    Args:
        volts: Of the source. [V]
        loop: Source, leads and the capacitors' own resistance. [Ω]

    Source:
        First-order circuit.

    Holds for:
        Inductance left out: the true peak is lower.
    """
    return volts / loop


def inrush_energy(volts: float, loop: float, capacitance: float) -> float:
    """Melting energy of an inrush: U²·C/(2·R). [A²s]

    Args:
        volts: Of the source. [V]
        loop: Whole loop. [Ω]
        capacitance: Input capacitors. [F]

    Source:
        Integral of the square of a decaying exponential.

    Holds for:
        First-order circuit.
    """
    return volts * volts * capacitance / (2 * loop)


def inrush_time_above(volts: float, loop: float, capacitance: float, threshold: float) -> float:
    """Time an inrush stays above a threshold: R·C·ln(I_pk/I_x). [s]

    Args:
        volts: Of the source. [V]
        loop: Whole loop. [Ω]
        capacitance: Input capacitors. [F]
        threshold: Current. [A]

    Source:
        First-order circuit.

    Holds for:
        0 when the peak does not reach the threshold.
    """
    peak = inrush_peak(volts, loop)
    return loop * capacitance * math.log(peak / threshold) if peak > threshold else 0.0


def precharge_time(resistor: float, capacitance: float) -> float:
    """Time to pre-charge: 5·R·C. [s]

    Args:
        resistor: Pre-charge resistor. [Ω]
        capacitance: Input capacitors. [F]

    Source:
        Five time constants leave less than one percent.

    Holds for:
        No load on the capacitors meanwhile.
    """
    return 5 * resistor * capacitance


def precharge_energy(volts: float, capacitance: float) -> float:
    """Energy a pre-charge resistor takes: C·U²/2. [J]

    Args:
        volts: Of the source. [V]
        capacitance: Input capacitors. [F]

    Source:
        Energy balance.

    Holds for:
        From empty.
    """
    return 0.5 * capacitance * volts * volts


def rating_ratio(upstream: float, downstream: float) -> float:
    """N23: rating of the upstream device, or the sum of parallel ones, over that of the downstream one. [1]

    Args:
        upstream: Rating, or sum. [A]
        downstream: Rating. [A]

    Source:
        Rule of thumb without curves: at least 2.0, or 1.6 within one family.

    Holds for:
        No fast family above a slow one.
    """
    return upstream / downstream
