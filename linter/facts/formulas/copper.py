"""Resistance of conductors."""

from __future__ import annotations

from linter.facts.formulas.tables import class5_resistance

ALPHA_COPPER = 0.00393
RHO_COPPER_20 = 17.241e-9
# Copper-clad aluminium: about 1.6 times the resistance and 0.78 times the capacity of copper of the same area.
CLAD_RESISTANCE = 1.6
CLAD_CAPACITY = 0.78


def warmed(temperature: float) -> float:
    """Resistance of copper over its resistance at 20 °C.

    Args:
        temperature: Of the copper. [°C]

    Source:
        Temperature coefficient 0.00393 per K at 20 °C (IEC 60228 factors, verified).

    Holds for:
        -50 to 150 °C.
    """
    return 1 + ALPHA_COPPER * (temperature - 20)


def per_metre(area: float, temperature: float = 20.0) -> float:
    """Greatest resistance of one metre of stranded copper. [Ω/m]

    Args:
        area: Copper area; one of the metric nominal areas, or any other. [m²]
        temperature: Of the copper. [°C]

    Source:
        IEC 60228 class 5 maxima (verified) for the metric nominal areas; 17.241 mΩ·mm²/m for any other area.

    Holds for:
        Annealed copper.
    """
    tabled = class5_resistance(area)
    at_20 = RHO_COPPER_20 / area if tabled is None else tabled
    return at_20 * warmed(temperature)


def one_way(length: float, area: float, temperature: float = 20.0) -> float:
    """Resistance of one conductor. [Ω]

    Args:
        length: Along the wire, one way. [m]
        area: Copper area. [m²]
        temperature: Of the copper. [°C]

    Source:
        R = r·l.

    Holds for:
        As `per_metre`.
    """
    return length * per_metre(area, temperature)


def out_and_back(length: float, area: float, temperature: float = 20.0) -> float:
    """Resistance of a pair of equal conductors. [Ω]

    Args:
        length: Along the run, one way. [m]
        area: Copper area of one core. [m²]
        temperature: Of the copper. [°C]

    Source:
        R = 2·r·l.

    Holds for:
        Both poles of one size.
    """
    return 2 * one_way(length, area, temperature)
