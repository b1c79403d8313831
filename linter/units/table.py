"""The unit table, and the reading of a quantity written by a person.

Descriptions may write "35 mm²", "2/0 AWG", "3 to 4 m", "10 kA"; packs write ASCII names of the same units (mm2, degC, C-rate).
Both read from this one table. Regular expressions, not a grammar: a quantity is one token, and a description holds hundreds.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from linter.base.near import nearest
from linter.base.values import Range
from linter.units import dimension as d
from linter.units.dimension import Dimension


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit.

    Attributes:
        name: As it is printed.
        dimension: What it measures.
        factor: SI value of one of it (a temperature is held in °C, factor 1).
        also: Other ways of writing it.
    """

    name: str
    dimension: Dimension
    factor: float
    also: tuple[str, ...] = ()


UNITS: tuple[Unit, ...] = (
    Unit("mm", d.LENGTH, 1e-3), Unit("cm", d.LENGTH, 1e-2), Unit("m", d.LENGTH, 1.0, ("metre", "metres", "meter", "meters")),
    Unit("in", d.LENGTH, 0.0254, ("inch", "inches")), Unit("ft", d.LENGTH, 0.3048, ("feet", "foot")),
    Unit("mm²", d.AREA, 1e-6, ("mm2", "sqmm")), Unit("cm²", d.AREA, 1e-4, ("cm2",)),
    Unit("mΩ", d.RESISTANCE, 1e-3, ("mOhm", "mohm", "milliohm")), Unit("Ω", d.RESISTANCE, 1.0, ("Ohm", "ohm")),
    Unit("kΩ", d.RESISTANCE, 1e3, ("kOhm", "kohm")), Unit("MΩ", d.RESISTANCE, 1e6, ("MOhm", "Mohm")),
    Unit("mA", d.CURRENT, 1e-3), Unit("A", d.CURRENT, 1.0, ("amp", "amps", "ampere")), Unit("kA", d.CURRENT, 1e3),
    Unit("mV", d.VOLTAGE, 1e-3), Unit("V", d.VOLTAGE, 1.0, ("volt", "volts")), Unit("kV", d.VOLTAGE, 1e3),
    Unit("mAh", d.CHARGE, 3.6), Unit("Ah", d.CHARGE, 3600.0),
    Unit("W", d.POWER, 1.0, ("watt", "watts")), Unit("kW", d.POWER, 1e3), Unit("Wh", d.ENERGY, 3600.0), Unit("kWh", d.ENERGY, 3.6e6),
    Unit("C-rate", d.RATE, 1 / 3600), Unit("°C", d.TEMPERATURE, 1.0, ("degC",)), Unit("K", d.RISE, 1.0, ("degC-rise",)),
    Unit("%/K", d.PER_KELVIN, 1e-2, ("%/degC", "%/°C")), Unit("%", d.NUMBER, 1e-2, ("percent",)),
    Unit("µs", d.TIME, 1e-6, ("us",)), Unit("ms", d.TIME, 1e-3), Unit("s", d.TIME, 1.0, ("second", "seconds")), Unit("min", d.TIME, 60.0, ("minutes",)),
    Unit("h", d.TIME, 3600.0, ("hour", "hours")), Unit("days", d.TIME, 86400.0, ("day",)),
    Unit("µF", d.CAPACITANCE, 1e-6, ("uF",)), Unit("mF", d.CAPACITANCE, 1e-3), Unit("F", d.CAPACITANCE, 1.0),
    Unit("m³/h", d.VOLUME_FLOW, 1 / 3600, ("m3/h",)), Unit("kg", d.MASS, 1.0), Unit("g", d.MASS, 1e-3), Unit("N", d.FORCE, 1.0), Unit("kN", d.FORCE, 1e3),
    Unit("Nm", d.TORQUE, 1.0, ("N m",)), Unit("A²s", d.MELTING, 1.0, ("A2s",)), Unit("mV/K", d.COMPENSATION, 1e-3, ("mV/degC",)),
)
_BY_NAME: dict[str, Unit] = {name: unit for unit in UNITS for name in (unit.name, *unit.also)}
_NUMBER = r"[-−]?\d{1,9}(?:\.\d{1,9})?"
_ONE = re.compile(rf"({_NUMBER})\s{{0,3}}(\S.{{0,20}})?\Z")
_RANGE = re.compile(rf"({_NUMBER})\s{{0,3}}([^\d\s]\S{{0,12}})?\s{{1,3}}to\s{{1,3}}({_NUMBER})\s{{0,3}}(\S.{{0,20}})?\Z")
_COMMA = re.compile(r"\s*[-−]?\d+,\d+")


class Unreadable(ValueError):
    """Text that is no quantity of the asked kind. The message is for the reader; `remedy` says what to write."""

    def __init__(self, message: str, remedy: str | None = None) -> None:
        super().__init__(message)
        self.remedy = remedy


def unit_named(name: str) -> Unit | None:
    """The unit written so, or None."""
    return _BY_NAME.get(name.strip())


def usual_units(dimension: Dimension) -> list[str]:
    """Units people may write for a dimension."""
    return [u.name for u in UNITS if u.dimension == dimension]


def read_quantity(text: str, dimension: Dimension, floor: float | None = None) -> Range:
    """"5.2 m" or "3 to 4 m" as a range in SI.

    Args:
        text: As written.
        dimension: What is asked for; a plain number needs no unit.
        floor: Smallest sensible value in SI, such as 0 for a length.

    Raises:
        Unreadable: with a message and a remedy in plain words.
    """
    text = text.strip()
    if len(text) > 60:
        raise Unreadable("this is too long for a quantity", "Write a number and a unit, such as 5.2 m.")
    if _COMMA.match(text):
        raise Unreadable(f'"{text}" uses a comma', f"Write the decimal with a point: {text.replace(',', '.', 1)}.")
    match = _RANGE.match(text)
    if match:
        unit_high = match[4] or ""
        low = _in_si(match[1], match[2] or unit_high, dimension, text)
        high = _in_si(match[3], unit_high, dimension, text)
        if low > high:
            raise Unreadable(f'the range "{text}" runs backwards', "Write the smaller number first.")
        value = Range(low, high)
    else:
        one = _ONE.match(text)
        if not one:
            example = usual_units(dimension)
            raise Unreadable(f'"{text}" is not a quantity', f"Write a number and a unit, such as 5 {example[0]}." if example else "Write a number.")
        number = _in_si(one[1], one[2] or "", dimension, text)
        value = Range(number, number)
    if floor is not None and value.low < floor:
        raise Unreadable(f'"{text}" is below the least possible value', "Check the sign." if floor == 0 else None)
    return value


def _in_si(number: str, unit_text: str, dimension: Dimension, text: str) -> float:
    unit_text = unit_text.strip()
    value = float(number.replace("−", "-"))
    if not unit_text:
        if dimension == d.NUMBER:
            return value
        raise Unreadable(f'"{text}" has no unit', f"This is {d.said(dimension)}: write a unit ({', '.join(usual_units(dimension)[:4])}).")
    unit = unit_named(unit_text)
    if unit is None:
        near = nearest(unit_text, _BY_NAME)
        raise Unreadable(f'"{unit_text}" is not a unit known here',
                         f"Did you mean {near}?" if near else f"Known here: {', '.join(usual_units(dimension)[:5])}.")
    if unit.dimension != dimension:
        raise Unreadable(f'"{text}" is {d.said(unit.dimension)}, and {d.said(dimension)} is asked for',
                         f"Write it in {' or '.join(usual_units(dimension)[:3])}." if usual_units(dimension) else None)
    return value * unit.factor


# ---- printing -----------------------------------------------------------------------------------------------------------------------

_PRINT: dict[Dimension, tuple[Unit, ...]] = {
    d.LENGTH: (_BY_NAME["mm"], _BY_NAME["m"]), d.CURRENT: (_BY_NAME["mA"], _BY_NAME["A"], _BY_NAME["kA"]),
    d.VOLTAGE: (_BY_NAME["V"],), d.RESISTANCE: (_BY_NAME["mΩ"], _BY_NAME["Ω"], _BY_NAME["kΩ"], _BY_NAME["MΩ"]),
    d.TEMPERATURE: (_BY_NAME["°C"],), d.PER_KELVIN: (_BY_NAME["%/K"],), d.AREA: (_BY_NAME["mm²"],),
    d.TIME: (_BY_NAME["s"], _BY_NAME["min"], _BY_NAME["h"], _BY_NAME["days"], _BY_NAME["ms"], _BY_NAME["µs"]),
    d.CHARGE: (_BY_NAME["Ah"],), d.ENERGY: (_BY_NAME["Wh"],), d.POWER: (_BY_NAME["W"],), d.CAPACITANCE: (_BY_NAME["mF"],),
}


def _unit_for(value: float, dimension: Dimension) -> Unit | None:
    units = _PRINT.get(dimension)
    if units is None:
        for unit in UNITS:
            if unit.dimension == dimension and unit.name != "%":
                return unit
        return None
    size = abs(value)
    if dimension == d.LENGTH:
        return units[0] if 0 < size < 0.9995 else units[1]
    if dimension == d.CURRENT:
        return units[0] if 0 < size < 0.5 else units[1] if size < 1999.5 else units[2]
    if dimension == d.RESISTANCE:
        return units[0] if size < 0.9995 else units[1] if size < 1e3 else units[2] if size < 1e6 else units[3]
    if dimension == d.TIME:
        if 0 < size < 0.1:
            return units[4] if size >= 1e-3 else units[5]
        return units[0] if size < 120 else units[1] if size < 7200 else units[2] if size < 7 * 86400 else units[3]
    return units[0]


def _digits(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _places(value: float, dimension: Dimension, unit: Unit | None) -> int:
    size = abs(value)
    if dimension == d.VOLTAGE:
        return 2
    if unit is not None and unit.name == "kA":
        return 1
    if size >= 1000 or size == 0:
        return 0
    # Three figures at least, so that 0.5 g is not printed as 0.
    return 1 if size >= 10 else 2 if size >= 1 else min(9, 2 - math.floor(math.log10(size)))


def write(value: float, dimension: Dimension, *, apart_from: float | None = None, percent: bool = False) -> str:
    """A number in the unit a reader expects, never rounded so far that it looks equal to `apart_from`.

    Args:
        value: SI.
        dimension: Picks the unit.
        apart_from: Another value of the same dimension that this one must not be confused with.
        percent: A plain number is written in percent.
    """
    if value in (float("inf"), float("-inf")):
        return "no upper end" if value > 0 else "no lower end"
    unit = _BY_NAME["%"] if percent and dimension == d.NUMBER else _unit_for(value, dimension)
    factor = unit.factor if unit else 1.0
    scaled = value / factor
    places = _places(scaled, dimension, unit)
    text = _digits(scaled, places)
    if apart_from is not None and apart_from not in (float("inf"), float("-inf")) and apart_from != value:
        other = apart_from / factor
        while places < 9 and _digits(other, places) == text:
            places += 1
            text = _digits(scaled, places)
    if text == "-0":
        text = "0"
    if unit is None:
        return text
    return f"{text}%" if unit.name == "%" else f"{text} {unit.name}"


def write_range(value: Range, dimension: Dimension, *, percent: bool = False) -> str:
    """A range as "3 to 4 m", a known value as "4 m", an open one as "at least 3 m"."""
    if value.known:
        return write(value.low, dimension, percent=percent)
    if value.low == float("-inf") and value.high == float("inf"):
        return "not known"
    if value.high == float("inf"):
        return "not known" if value.low == 0 else f"at least {write(value.low, dimension, percent=percent)}"
    if value.low == float("-inf"):
        return f"at most {write(value.high, dimension, percent=percent)}"
    low = write(value.low, dimension, apart_from=value.high, percent=percent)
    return f"{low} to {write(value.high, dimension, apart_from=value.low, percent=percent)}"
