"""N12: sun, cold and hot."""

from __future__ import annotations

from linter.facts.formulas.tables import voltage_factors

BRIGHT_SKY = 1.25
CONTINUOUS = 1.56
# Taken when the maker states no coefficient, beside the table factor: whichever gives more.
COEFFICIENT_UNKNOWN = -0.0040


def cold_voltage(series: float, open_voltage: float, coefficient: float, coldest: float) -> float:
    """Open-circuit voltage on the coldest morning: Ns·Uoc·(1 + β·(Tmin − 25)). [V]

    Args:
        series: Modules in series. [1]
        open_voltage: Of one module at 25 °C. [V]
        coefficient: β, negative. [1/K]
        coldest: Lowest temperature. [°C]

    Source:
        Module data; NEC 690.7(A).

    Holds for:
        Silicon modules.
    """
    return series * open_voltage * (1 + coefficient * (coldest - 25))


def table_factor(coldest: float) -> float | None:
    """Factor on open-circuit voltage by lowest temperature, when the coefficient is not known; None below the table. [1]

    Args:
        coldest: Lowest temperature. [°C]

    Source:
        NEC table 690.7(A) (recalled).

    Holds for:
        -40 °C and warmer; 1 from 25 °C.
    """
    if coldest >= 25:
        return 1.0
    for low, factor in voltage_factors():
        if coldest >= low:
            return factor
    return None


def hot_voltage(series: float, working_voltage: float, power_coefficient: float, cell: float) -> float:
    """Working voltage of hot modules: Ns·Ump·(1 + γ·(Tcell − 25)). [V]

    Args:
        series: Modules in series. [1]
        working_voltage: Of one module at maximum power. [V]
        power_coefficient: γ, negative. [1/K]
        cell: Cell temperature. [°C]

    Source:
        Module data; the power coefficient taken for the voltage, which is the safe side.

    Holds for:
        Silicon modules.
    """
    return series * working_voltage * (1 + power_coefficient * (cell - 25))


def coldest_allowed(limit: float, series: float, open_voltage: float, coefficient: float) -> float:
    """Temperature at which a string reaches a limit. [°C]

    Args:
        limit: Greatest input voltage. [V]
        series: Modules in series. [1]
        open_voltage: Of one module at 25 °C. [V]
        coefficient: β, negative. [1/K]

    Source:
        `cold_voltage` solved for temperature.

    Holds for:
        coefficient not 0.
    """
    return 25 + (limit / (series * open_voltage) - 1) / coefficient


def bright_current(short_current: float, strings: float) -> float:
    """Current under a bright sky: 1.25·Isc·Np. [A]

    Args:
        short_current: Of one module. [A]
        strings: In parallel. [1]

    Source:
        NEC 690.8(A) (verified).

    Holds for:
        Edge-of-cloud and snow reflection.
    """
    return BRIGHT_SKY * short_current * strings


def wire_current(short_current: float, strings: float) -> float:
    """Current an array wire or string fuse is chosen for: 1.56·Isc·Np. [A]

    Args:
        short_current: Of one module. [A]
        strings: In parallel. [1]

    Source:
        NEC 690.8(B): 1.25 for bright sky times 1.25 for hours on end.

    Holds for:
        Continuous duty.
    """
    return CONTINUOUS * short_current * strings


def reverse_current(short_current: float, strings: float) -> float:
    """What the other strings push back into a faulty one: (Np − 1)·1.25·Isc. [A]

    Args:
        short_current: Of one module. [A]
        strings: In parallel, the faulty one included. [1]

    Source:
        NEC 690.9(A) exception.

    Holds for:
        Strings alike.
    """
    return max(0.0, strings - 1) * BRIGHT_SKY * short_current
