"""Numbers and inputs as a working says them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.units import dimension as d
from linter.units.dimension import NUMBER, Dimension
from linter.units.table import write_range

if TYPE_CHECKING:
    from linter.facts.book import Book


def amps(value: Range) -> str:
    """"145 A"."""
    return write_range(value, d.CURRENT)


def volts(value: Range) -> str:
    """"12.95 V"."""
    return write_range(value, d.VOLTAGE)


def ohms(value: Range) -> str:
    """"20.11 mΩ"."""
    return write_range(value, d.RESISTANCE)


def watts(value: Range) -> str:
    """"610.8 W"."""
    return write_range(value, d.POWER)


def watt_hours(value: Range) -> str:
    """"1728 Wh"."""
    return write_range(value, d.ENERGY)


def times_said(value: Range) -> str:
    """"2.96 s"."""
    return write_range(value, d.TIME)


def melting(value: Range) -> str:
    """"82700 A²s"."""
    return write_range(value, d.MELTING)


def degrees(value: Range) -> str:
    """"45 °C"."""
    return write_range(value, d.TEMPERATURE)


def number(value: Range) -> str:
    """"0.60"."""
    return write_range(value, NUMBER)


def area(value: Range) -> str:
    """"35 mm²"."""
    return write_range(value, d.AREA)


def known_inputs(book: Book, refs: Mapping[FactRef, Range]) -> tuple[tuple[str, str, str], ...]:
    """How each input is known: ("length of W17", "4.2 m", "stated, line 96")."""
    lines = []
    for ref, value in refs.items():
        row = book.row(ref.word, ref.element)
        dimension: Dimension = row.dimension if row is not None and row.dimension is not None else NUMBER
        reading = book.reading(ref.word, ref.element)
        how = reading.how if reading.gap is None else "not stated; a range that holds it"
        if reading.at is not None:
            how += f", line {reading.at.line}"
        lines.append((str(ref), write_range(value, dimension), how))
    return tuple(lines)
