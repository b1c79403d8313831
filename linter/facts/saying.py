"""Numbers and inputs as a working says them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step, Value
from linter.base.truth import Truth
from linter.base.values import Range
from linter.facts.registry import fact_for
from linter.units import dimension as d
from linter.units.dimension import NUMBER, Dimension
from linter.units.table import write_range
from linter.vocabulary import Word

if TYPE_CHECKING:
    from linter.facts.book import Book

# The unit a docstring ends its first sentence with: "[A]".
_UNIT = re.compile(r"\s*\[[^\]]{1,20}\]")


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


def whole_working(book: Book, word: str, element: str, reading: Reading) -> tuple[Step, ...]:
    """The working of a fact: its own steps, else what the rule that works it out says of itself; with how each input is known, if no step tells."""
    steps = reading.working() if reading.working is not None else ()
    if reading.how != "worked out":
        return steps
    if not steps and reading.gap is None:
        rule = fact_for(word, book.lineage(book.kind_of(element)))
        said = " ".join(_UNIT.sub("", (rule.__doc__ or "").strip().split("\n\n")[0]).split()) if rule is not None else ""
        row = book.row(word, element)
        steps = (Step(f"{word.replace('-', ' ')} of {element}", said.rstrip(".") or "as its meaning says", _written(row, reading.value),
                      "the wiring as described"),)
    if steps and not any(step.known for step in steps):
        steps = (*steps[:-1], replace(steps[-1], known=_inputs(book, reading.uses - {FactRef(element, word)})))
    return steps


def _inputs(book: Book, refs: Iterable[FactRef]) -> tuple[tuple[str, str, str], ...]:
    lines = []
    for ref in sorted(refs, key=str):
        reading = book.reading(ref.word, ref.element)
        how = reading.how if reading.gap is None else "not stated"
        lines.append((str(ref), _written(book.row(ref.word, ref.element), reading.value),
                      how + (f", line {reading.at.line}" if reading.at is not None else "")))
    return tuple(lines)


def _written(row: Word | None, value: Value) -> str:
    if isinstance(value, Truth):
        return {Truth.YES: "yes", Truth.NO: "no", Truth.UNKNOWN: "not known"}[value]
    if isinstance(value, Range):
        return write_range(value, row.dimension if row is not None and row.dimension is not None else NUMBER)
    return ", ".join(sorted(value)) or "not known"
