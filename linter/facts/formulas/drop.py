"""N4, N6 and N7: currents that depend on volts, and volts lost."""

from __future__ import annotations

import math


def constant_power_current(power: float, efficiency: float, volts: float) -> float:
    """Input current of a machine that takes constant power. [A]

    Args:
        power: At its output. [W]
        efficiency: Output over input. [1]
        volts: At its input. [V]

    Source:
        I = P/(η·U).

    Holds for:
        volts and efficiency above 0.
    """
    return power / (efficiency * volts)


def converter_input(power: float, source: float, loop: float) -> tuple[float, float] | None:
    """Volts and amperes at the input of a constant-power load behind a resistance; None when the supply cannot carry it. [V, A]

    Args:
        power: Drawn at the input. [W]
        source: Volts at the source, unloaded. [V]
        loop: Out and back, with all devices. [Ω]

    Source:
        Upper root of U² − U0·U + R·P = 0.

    Holds for:
        Direct current, settled.
    """
    root = source * source - 4 * loop * power
    if root < 0:
        return None
    volts = (source + math.sqrt(root)) / 2
    return volts, power / volts


def greatest_power(source: float, loop: float) -> float:
    """Most power a supply can give behind a resistance: U0²/(4·R). [W]

    Args:
        source: Volts at the source, unloaded. [V]
        loop: Out and back. [Ω]

    Source:
        Matched load.

    Holds for:
        loop above 0.
    """
    return source * source / (4 * loop)


def drop(current: float, resistance: float) -> float:
    """Volts lost. [V]

    Args:
        current: Steady current. [A]
        resistance: Out and back, joints included. [Ω]

    Source:
        Ohm's law.

    Holds for:
        Direct current.
    """
    return current * resistance


def warm_copper(ambient: float, insulation: float) -> float:
    """Temperature of loaded copper for drops: ambient + 30 K, at most what the insulation stands. [°C]

    Args:
        ambient: Hottest place. [°C]
        insulation: Temperature class. [°C]

    Source:
        Our convention (N6).

    Holds for:
        Conductors within their capacity.
    """
    return min(ambient + 30, max(insulation, ambient))


def charge_that_arrives(rated: float, absorption: float, battery: float, lead: float, bank: float) -> float:
    """Charge current that arrives at a battery. [A]

    Args:
        rated: Greatest output of the charger. [A]
        absorption: Set volts; with remote sense they hold at the battery. [V]
        battery: Rest volts of the battery. [V]
        lead: Charger to bar, out and back; 0 with remote sense. [Ω]
        bank: Bar to battery, its own resistance included. [Ω]

    Source:
        I = min(I_rated, (U_abs − U_batt)/(R_out + R_batt)).

    Holds for:
        absorption at or above battery.
    """
    return min(rated, max(0.0, absorption - battery) / (lead + bank))
