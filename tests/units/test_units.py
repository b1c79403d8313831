"""Quantities and sizes as people write them."""

from __future__ import annotations

import csv
import io
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linter.base.values import Range
from linter.units import dimension as d
from linter.units.size import awg_area, read_size
from linter.units.table import UNITS, Unreadable, read_quantity, write, write_range


@pytest.mark.parametrize(("text", "dimension", "low", "high"), [
    ("5.2 m", d.LENGTH, 5.2, 5.2), ("150 mm", d.LENGTH, 0.15, 0.15), ("3 to 4 m", d.LENGTH, 3, 4), ("150 mm to 1.2 m", d.LENGTH, 0.15, 1.2),
    ("14 ft", d.LENGTH, 4.2672, 4.2672), ("-18 °C", d.TEMPERATURE, -18, -18), ("-18 degC", d.TEMPERATURE, -18, -18), ("10 kA", d.CURRENT, 1e4, 1e4),
    ("95 Ah", d.CHARGE, 342000, 342000), ("-0.28 %/K", d.PER_KELVIN, -0.0028, -0.0028), ("80 %", d.NUMBER, 0.8, 0.8), ("3", d.NUMBER, 3, 3),
    ("0.5 C-rate", d.RATE, 0.5 / 3600, 0.5 / 3600), ("2.43 mΩ", d.RESISTANCE, 0.00243, 0.00243), ("24 mF", d.CAPACITANCE, 0.024, 0.024),
    ("-4 mV/K", d.COMPENSATION, -0.004, -0.004), ("9 to 16 V", d.VOLTAGE, 9, 16),
])
def test_a_quantity_is_read_into_si(text: str, dimension: d.Dimension, low: float, high: float) -> None:
    """As written on a plate or a tape, once, at the door."""
    value = read_quantity(text, dimension)
    assert (value.low, value.high) == pytest.approx((low, high))


@pytest.mark.parametrize(("text", "says", "remedy"), [
    ("2,5 m", "comma", "2.5 m"), ("5", "no unit", "mm"), ("5 V", "voltage", "mm or"), ("5 meterz", "not a unit", "meter"), ("4 to 3 m", "backwards", "smaller"),
    ("-1 m", "below", "sign"), ("long", "not a quantity", "such as"), ("", "not a quantity", "such as"), ("1" * 100 + " m", "too long", "5.2 m"),
])
def test_a_wrong_quantity_is_refused_with_a_remedy(text: str, says: str, remedy: str) -> None:
    """Each in the reader's words, with what to write instead."""
    with pytest.raises(Unreadable) as caught:
        read_quantity(text, d.LENGTH, 0)
    assert says in str(caught.value)
    assert remedy in (caught.value.remedy or "")


@given(st.text(max_size=80))
def test_any_text_is_a_quantity_or_refused(text: str) -> None:
    """Never another exception."""
    for dimension in (d.LENGTH, d.NUMBER, d.TEMPERATURE):
        try:
            value = read_quantity(text, dimension)
        except Unreadable:
            continue
        assert value.low <= value.high


@given(st.sampled_from([u for u in UNITS if u.name != "%"]), st.floats(0.01, 9999).map(lambda x: round(x, 2)))
def test_what_is_printed_reads_back_nearly_the_same(unit, number: float) -> None:
    """Printing rounds, by less than three parts in a hundred (a fault current is told as 2.5 kA)."""
    value = number * unit.factor
    text = write(value, unit.dimension)
    back = read_quantity(text, unit.dimension)
    assert math.isclose(back.low, value, rel_tol=0.03, abs_tol=0.006 * unit.factor + 1e-9) or unit.dimension in (d.VOLTAGE, d.RESISTANCE)


def test_two_different_values_never_look_equal() -> None:
    """123.71 A beside 123.70 A must not both print as 123.7 A."""
    assert write(123.71, d.CURRENT, apart_from=123.7) == "123.71 A"
    assert write_range(Range(0.15, 0.1501), d.LENGTH) == "150 mm to 150.1 mm"


@pytest.mark.parametrize(("text", "system", "low", "high"), [
    ("35 mm²", "mm²", 35, 35), ("16mm2", "mm²", 16, 16), ("6 AWG", "AWG", 13.30, 13.30), ("2/0 AWG", "AWG", 67.43, 67.43), ("8 SAE", "SAE", 7.504, 7.504),
    ("6 mm auto", "auto", 4.6, 4.6), ("4 mm", None, 1.85, 4.0), ("6", None, 4.6, 13.302),
])
def test_a_size_keeps_its_system(text: str, system: str | None, low: float, high: float) -> None:
    """And one that names none may be any of its readings."""
    size = read_size(text)
    assert size.system == system
    assert (size.area.low * 1e6, size.area.high * 1e6) == pytest.approx((low, high), rel=1e-3)


@pytest.mark.parametrize("text", ["", "thick", "2/0 mm²", "0 mm²", "99 AWG", "7 SAE", "9 mm auto", "1.5 AWG"])
def test_a_size_that_is_none_is_refused(text: str) -> None:
    """With a message, never another exception."""
    with pytest.raises(Unreadable):
        read_size(text)


def test_awg_areas_agree_with_the_table() -> None:
    """The ASTM B258 formula against printed areas in mm²."""
    printed = "20,0.5176\n18,0.823\n10,5.2612\n6,13.3018\n1,42.4077\n2/0,67.4309\n4/0,107.2193\n"
    for gauge, area in csv.reader(io.StringIO(printed)):
        assert awg_area(gauge) * 1e6 == pytest.approx(float(area), rel=1e-4)
