"""Conductor sizes with their system: 35 mm², 2/0 AWG, 8 SAE, "6 mm auto". A size without a system is the smallest reading of its words.

Sources: metric nominal areas, IEC 60228; AWG, ASTM B258 (d = 0.127 mm · 92^((36−n)/39), computed); SAE areas from makers' circular-mil
tables (verified); automotive diameters, an Australian trade page (verified). See `conductors_*.csv` and `conductor_constants.yaml`
of our reference notes.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from linter.base.values import Range
from linter.units.table import Unreadable

# Circular-mil areas of SAE gauges in mm² (verified, makers' tables).
_SAE = {"18": 0.779, "16": 1.184, "14": 1.876, "12": 2.956, "10": 4.734, "8": 7.504, "6": 12.434, "4": 18.931, "2": 31.644, "1": 39.417,
        "1/0": 50.154, "2/0": 63.389, "3/0": 80.364, "4/0": 104.128}
# Automotive cable named by outside diameter in mm; copper area in mm² (verified).
_AUTO = {"2": 0.56, "2.5": 0.64, "3": 0.85, "4": 1.85, "5": 2.90, "6": 4.60}
_SIZE = re.compile(r"(\d{1,3}(?:\.\d{1,2})?|[1-4]/0)\s{0,3}(mm²|mm2|sqmm|AWG|B&S|SAE|mm auto|auto mm|mm)?\Z")


@dataclass(frozen=True, slots=True)
class Size:
    """A conductor size.

    Attributes:
        written: As the reader wrote it.
        system: "mm²", "AWG", "SAE", "auto", or None when the words do not say.
        area: Copper area in m²; a range when the system is not known.
    """

    written: str
    system: str | None
    area: Range


def awg_area(gauge: str) -> float:
    """Copper area of an AWG size in m² (ASTM B258; solid, geometric)."""
    n = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    diameter = 0.127e-3 * 92 ** ((36 - n) / 39)
    return float(math.pi / 4 * diameter * diameter)


def read_size(text: str) -> Size:
    """A size as written.

    Raises:
        Unreadable: with a message and a remedy.
    """
    text = text.strip()
    match = _SIZE.match(text)
    if not match:
        raise Unreadable(f'"{text}" is not a conductor size', "Write it with its system: 35 mm², 2/0 AWG, 8 SAE or 6 mm auto.")
    number, system = match[1], match[2]
    if system in ("mm²", "mm2", "sqmm"):
        if "/" in number:
            raise Unreadable(f'"{text}" mixes two systems', "Write 2/0 AWG, or the area in mm².")
        return Size(text, "mm²", _exact(float(number) * 1e-6))
    if system in ("AWG", "B&S"):
        if "." in number or ("/" not in number and int(number) > 40):
            raise Unreadable(f'"{text}" is not an AWG size', "AWG sizes are whole numbers, or 1/0 to 4/0.")
        return Size(text, "AWG", _exact(awg_area(number)))
    if system == "SAE":
        if number not in _SAE:
            raise Unreadable(f'"{text}" is not an SAE size known here', f"Known: {', '.join(_SAE)}.")
        return Size(text, "SAE", _exact(_SAE[number] * 1e-6))
    if system in ("mm auto", "auto mm"):
        if number not in _AUTO:
            raise Unreadable(f'"{text}" is not an automotive cable known here', f"Known: {', '.join(_AUTO)} mm auto.")
        return Size(text, "auto", _exact(_AUTO[number] * 1e-6))
    return Size(text, None, _every_reading(number, system))


def _exact(area: float) -> Range:
    if area <= 0:
        raise Unreadable("a conductor cannot have no copper", "Check the size.")
    return Range(area, area)


def _every_reading(number: str, system: str | None) -> Range:
    """All areas the words may mean. "4 mm" may be an automotive diameter or a sloppy 4 mm²; a bare number any system at all."""
    areas = []
    if "/" not in number:
        areas.append(float(number) * 1e-6)
    if number in _AUTO:
        areas.append(_AUTO[number] * 1e-6)
    elif system == "mm":
        # A diameter over the insulation: the copper cannot be more than the whole circle, nor sensibly less than a twentieth of it.
        circle = math.pi / 4 * (float(number) * 1e-3) ** 2
        areas += [circle, circle / 20]
    if system is None:
        if number in _SAE:
            areas.append(_SAE[number] * 1e-6)
        if "." not in number and ("/" in number or int(number) <= 40):
            areas.append(awg_area(number))
    if not areas or min(areas) <= 0:
        raise Unreadable(f'"{number}" is not a conductor size', "Write it with its system: 35 mm², 2/0 AWG.")
    return Range(min(areas), max(areas))
