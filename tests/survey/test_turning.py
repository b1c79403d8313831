"""Tipping values found by trial are true: at the value named the practice is met, a little beyond it is not."""

from __future__ import annotations

import datetime
import re

import pytest

from linter import api
from linter.base.gap import FactRef
from linter.survey.turning import Turning, _grid, worth_trying
from linter.units import dimension as d

ON = datetime.date(2026, 11, 25)
# A pump at the end of a long thin run: its drop hangs on lengths, size and current, none of which stands in the comparison.
PUMP = """\
tugtest: 1
title: Pump at the end
system: 12 V
listed: everything
packs: [low-voltage-basics]
places: {hold: {hottest: 40 °C, exposure: dry}}
parts:
  B1: {kind: battery, chemistry: AGM lead-acid, capacity: 75 Ah}
  F1: {kind: fuse, family: standard blade, rating: 15 A}
  P1: {kind: load, title: pump, current: 9 A, vital: yes}
runs:
  pump feed:
    - B1 positive, W1 120 mm, F1, W2 9 m, P1 positive
    - P1 negative, W2n 9 m, B1 negative
wires:
  "W1 W2": {size: 2.5 mm², insulation: 105 °C, material: copper, passes: hold}
  W2n: {size: 16 mm², insulation: 105 °C, material: copper, passes: hold}
"""
PRACTICE = "vital-circuits-keep-their-volts"


def outcome(*supposed: str) -> str:
    found, told = api.read(PUMP.encode(), "pump.yaml", supposing=supposed)
    assert found is not None, told
    packs, _ = api.packs_for(found.described.packs, on=ON)
    assert packs is not None
    judged = next(one for one in api.survey(found, packs, on=ON).judged if one.practice == PRACTICE)
    return next(name for name, elements in judged.outcomes if "P1" in elements)


@pytest.fixture(scope="module")
def tips() -> dict[tuple[str, str], str]:
    found, _ = api.read(PUMP.encode(), "pump.yaml")
    packs, _ = api.packs_for(["low-voltage-basics"], on=ON)
    assert found is not None and packs is not None
    practice = packs.checked.practice(PRACTICE)
    assert practice is not None
    turning = Turning(found.circuit, packs.checked, assume=True)
    refs = [FactRef(element, word) for element, word in (("W2", "length"), ("W2", "size"), ("P1", "current"), ("W1", "length"), ("B1", "capacity"))]
    return {(ref.element, ref.word): turning.tip(practice, "P1", ref, row) for ref, row in worth_trying(found.book, "P1", refs)}


def test_the_run_is_too_long() -> None:
    """Else there would be nothing to turn."""
    assert outcome() == "not met"


@pytest.mark.parametrize(("element", "word", "unit"), [("W2", "length", "m"), ("P1", "current", "A")])
def test_at_the_value_it_is_met_and_beyond_it_is_not(tips: dict[tuple[str, str], str], element: str, word: str, unit: str) -> None:
    """Supposed by the door users have."""
    match = re.fullmatch(rf"([\d.]+) {unit} or less is met, more is not", tips[element, word])
    assert match is not None, tips[element, word]
    value = float(match[1])
    assert outcome(f"{element}.{word} = {value} {unit}") == "met"
    assert outcome(f"{element}.{word} = {value * 1.011:.4g} {unit}") == "not met"


def test_a_size_is_one_that_can_be_bought(tips: dict[tuple[str, str], str]) -> None:
    """And the next thinner one will not do."""
    match = re.fullmatch(r"([\d.]+) mm² or thicker is met, thinner is not", tips["W2", "size"])
    assert match is not None, tips
    assert outcome(f"W2.size = {match[1]} mm²") == "met"
    thinner = {"4": "2.5", "6": "4", "10": "6", "16": "10", "25": "16"}[match[1]]
    assert outcome(f"W2.size = {thinner} mm²") == "not met"


def test_what_does_not_turn_it_gives_no_tip(tips: dict[tuple[str, str], str]) -> None:
    """However large the battery, the volts are lost in the wire."""
    assert tips["B1", "capacity"] == ""


def test_trials_are_bounded() -> None:
    """When they are used up there is no tip, and no verdict is made up."""
    found, _ = api.read(PUMP.encode(), "pump.yaml")
    packs, _ = api.packs_for(["low-voltage-basics"], on=ON)
    assert found is not None and packs is not None
    practice = packs.checked.practice(PRACTICE)
    assert practice is not None
    turning = Turning(found.circuit, packs.checked, assume=True)
    ref, row = worth_trying(found.book, "P1", [FactRef("W2", "length")])[0]
    for left in range(3):
        turning.left = left
        assert turning.tip(practice, "P1", ref, row) == ""


def test_the_grid_is_of_numbers_that_can_be_said() -> None:
    """Three digits, in the unit people use; whole degrees."""
    assert 0.199 in _grid(1e-3, 100.0, 0.0, d.LENGTH) and 0.2 in _grid(1e-3, 100.0, 0.0, d.LENGTH)
    assert 75 * 3600.0 in _grid(3600.0, 3600e4, 0.0, d.CHARGE)
    assert _grid(-60.0, 160.0, None, d.TEMPERATURE)[:2] == [-60.0, -59.0]
