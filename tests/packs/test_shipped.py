"""The shipped packs: each stands up, each practice shows all that it can come out as, and nothing of the inventory is forgotten."""

from __future__ import annotations

import datetime
from collections import Counter
from pathlib import Path

import pytest

from linter.packs.editions import together
from linter.packs.find import on_the_shelf
from linter.packs.handbook import handbook
from linter.packs.proving import prove

ON = datetime.date(2026, 11, 25)
# Practice and the wave it belongs to, one a line: our own inventory of the trade, kept here so that a practice cannot quietly go missing.
INVENTORY = dict(line.split() for line in (Path(__file__).parent / "inventory.txt").read_text(encoding="utf-8").splitlines())


@pytest.fixture(scope="module")
def book():
    names, effect, told = together(tuple(on_the_shelf()), ON)
    assert effect is not None, told
    return handbook(effect, names)


@pytest.mark.parametrize("name", on_the_shelf())
def test_it_is_proved(name: str) -> None:
    """Every example comes out as it says, and no planted fault goes unnoticed and unexcused."""
    proof, told = prove(name, on=ON)
    assert proof is not None, told
    assert not [one for one in told if one.fatal]
    assert not proof.slips and not proof.untried and not proof.survivors and not proof.lapsed
    # What no example shows is said in words; in our own packs that is little.
    unshown = [one for one in proof.unshown if not one.open]
    assert len(unshown) <= 10, [(one.practice, one.situation) for one in unshown]


def test_each_practice_shows_what_it_can_come_out_as(book) -> None:
    """Met, not met and cannot tell, each in some example."""
    short = {one.practice: dict(one.outcomes) for one in book.covered if not all(dict(one.outcomes)[o] for o in ("met", "not met", "cannot tell"))}
    assert not short


def test_no_name_stands_twice(book) -> None:
    """In all packs together; else they could not be used together."""
    assert [name for name, count in Counter(one.practice for one in book.covered).items() if count > 1] == []


def test_nothing_of_the_inventory_is_forgotten(book) -> None:
    """Each is a practice, or was one under an earlier name, or is left out with a reason."""
    there = {name for one in book.covered for name in (one.practice, *one.formerly)}
    left_out = {name: because for name, _, because in book.left_out}
    assert not set(INVENTORY) - there - set(left_out)
    assert all(len(because) > 20 for because in left_out.values())
    assert {name for name, wave in INVENTORY.items() if wave == "A"} <= there, "of the first wave nothing may be left out"
