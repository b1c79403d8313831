"""N5: what a conductor carries."""

from __future__ import annotations

import math

from linter.facts.formulas.tables import capacity_table

# Range of the fit: the published table it was laid under goes from 18 AWG to 4/0; metric trade sizes from 0.5 to 120 mm² are near enough.
THINNEST = 0.5e-6
THICKEST = 120e-6
# How a description may name a table: name in `capacity by`, file, ambient its values hold for.
TABLES = {"federal boat table": "capacity_federal_boat.csv", "small craft metric table": "capacity_small_craft_metric.csv"}
TABLE_AMBIENT = 30.0


def own_base(area: float, insulation: float, ambient: float) -> float:
    """Base capacity of one conductor in free air by our own formula: 18·A^0.645·√((Tins − Tamb)/75). [A]

    Args:
        area: Copper area. [m²]
        insulation: Temperature class of the insulation, or of its terminals where that is lower. [°C]
        ambient: Hottest place it passes. [°C]

    Source:
        Our own fit (physics: heat shed grows as a power of size, heat made as I²): 11 to 21 percent below the published 105 °C column.

    Holds for:
        0.5 to 120 mm²; nothing is left once the place is as hot as the insulation allows.
    """
    return 18 * float((area * 1e6) ** 0.645) * math.sqrt(max(0.0, insulation - ambient) / 75)


def heat_factor(insulation: float, ambient: float, reference: float = TABLE_AMBIENT) -> float:
    """Capacity at one ambient over capacity at another. [1]

    Args:
        insulation: Temperature class. [°C]
        ambient: Hottest place. [°C]
        reference: Ambient the base value holds for. [°C]

    Source:
        √((Tins − Tamb)/(Tins − Tref)); gives the published engine-space factors to 0.01.

    Holds for:
        reference below insulation.
    """
    return math.sqrt(max(0.0, insulation - ambient) / (insulation - reference))


def bundle_factor(loaded: float) -> float:
    """Factor for loaded conductors that lie together. [1]

    Args:
        loaded: Loaded conductors in the bundle, this one and negatives included. [1]

    Source:
        33 CFR 183.425 table 5 note 2, and small-craft practice (verified): 3 0.70; 4 to 6 0.60; 7 to 24 0.50; more 0.40.

    Holds for:
        Any number.
    """
    if loaded < 3:
        return 1.0
    if loaded < 4:
        return 0.70
    if loaded < 7:
        return 0.60
    return 0.50 if loaded < 25 else 0.40


def buried_factor(buried: float) -> float:
    """Factor for a length buried in thermal insulation. [1]

    Args:
        buried: Length in foam. [m]

    Source:
        0.89, 0.81, 0.68, 0.55 at 50, 100, 200, 400 mm, and 0.5 above 0.5 m (United Kingdom wiring rules, as quoted).
        A length between takes the next longer row.

    Holds for:
        Up to 10 mm² strictly; used for all.
    """
    for length, factor in ((0.0, 1.0), (0.050, 0.89), (0.100, 0.81), (0.200, 0.68), (0.400, 0.55)):
        if buried <= length * (1 + 1e-9):
            return factor
    return 0.5


def corrected(base: float, bundle: float, buried: float) -> float:
    """Corrected capacity. [A]

    Args:
        base: Base capacity at its insulation and ambient. [A]
        bundle: Bundle factor. [1]
        buried: Foam factor. [1]

    Source:
        Product of the factors; heat is in the base already and counts once.

    Holds for:
        Factors at most 1.
    """
    return base * bundle * buried


def tabled_base(table: str, area: float, insulation: float, ambient: float) -> float | None:
    """Base capacity from a published table; None outside it. [A]

    Args:
        table: File of the table.
        area: Copper area; between rows the thinner row counts. [m²]
        insulation: Temperature class; between columns the cooler column counts. [°C]
        ambient: Hottest place; corrected from the table's 30 °C by the square-root law, never above the table. [°C]

    Source:
        The header of the table.

    Holds for:
        Areas and classes of the table. Two areas within 0.5 percent count as the same size.
    """
    classes, body = capacity_table(table)
    columns = [n for n, t in enumerate(classes) if t <= insulation + 1e-9]
    sizes = [amps for size, amps in body if size <= area * 1.005]
    if not columns or not sizes or area > body[-1][0] * 1.005:
        return None
    column = columns[-1]
    return sizes[-1][column] * min(1.0, heat_factor(classes[column], ambient))


def fuse_heat_factor(temperature: float) -> float:
    """Share of its rating a fuse may be called upon at a temperature: k_T = 1 − 0.0015·(T − 25). [1]

    Args:
        temperature: Hottest air at the fuse. [°C]

    Source:
        Trade figure for strip, cube and blade families; used for the other families too, for want of a better one.

    Holds for:
        -40 to 125 °C.
    """
    return 1 - 0.0015 * (temperature - 25)


def contact_heat_factor(ambient: float, contact_class: float = 105.0) -> float:
    """Share of its rating a plug contact may carry for long: √((Tc − Tamb)/(Tc − 25)). [1]

    Args:
        ambient: Hottest place of either half. [°C]
        contact_class: Temperature the contact stands. [°C]

    Source:
        The square-root law of N5, rated at 25 °C.

    Holds for:
        Ambient of 25 °C to the contact's class; below 25 °C the rating itself.
    """
    return min(1.0, math.sqrt(max(0.0, contact_class - ambient) / (contact_class - 25)))
