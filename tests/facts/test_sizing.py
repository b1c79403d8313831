"""Sizes: each rule alone, both systems, from a command line's figures and from a description, and the refusal when a figure is missing."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from linter.base.values import INF, Range
from linter.facts.formulas import copper, drop
from linter.facts.size_from_book import size_of
from linter.facts.sizing import FUSE_LOAD, LUGS, Wanted, size
from tests.facts.test_analyses_rig import changed
from tests.facts.test_electrical_rig import rig


def known(value: float) -> Range:
    return Range(value, value)


PLAIN = Wanted(known(30), known(4), known(105), known(45), known(45), 2, 0.0, None, known(12), "terminal cube")


def test_heat_and_fuse_decide_without_a_drop() -> None:
    found = size(PLAIN)
    # 30 / 0.7275 = 41.2 A, so the smallest cube is 50 A; 6 mm² carries 51.1 A.
    assert found.load_side == pytest.approx(30 / (FUSE_LOAD * 0.97))
    assert found.chosen["mm²"].name == "6 mm²" and found.chosen["mm²"].fuses == (50.0,) and found.binds["mm²"] == "fuse"
    assert found.needed["mm²"] == {"heat": "4 mm²", "fuse": "6 mm²"}
    assert found.next_up["mm²"].name == "10 mm²"


def test_drop_by_hand() -> None:
    found = size(replace(PLAIN, allowed=0.36))
    chosen = found.chosen["mm²"]
    assert chosen.name == "25 mm²" and found.binds["mm²"] == "drop"
    by_hand = drop.drop(30, copper.out_and_back(4, 25e-6, 75) + LUGS * 0.05e-3 + 0.6e-3)
    assert chosen.lost == pytest.approx(by_hand) and by_hand <= 0.36
    assert drop.drop(30, copper.out_and_back(4, 16e-6, 75) + LUGS * 0.05e-3 + 0.6e-3) > 0.36


def test_a_hot_place_makes_it_thicker() -> None:
    assert size(replace(PLAIN, ambient=known(90))).chosen["mm²"].area > size(PLAIN).chosen["mm²"].area
    # As hot as the insulation: nothing is left.
    gone = size(replace(PLAIN, ambient=known(105)))
    assert not gone.chosen and gone.needed["mm²"]["heat"] == ""


def test_a_short_that_does_not_blow_the_fuse_is_said() -> None:
    found = size(replace(PLAIN, length=known(40), source=known(5600)))
    assert any("far end" in note for note in found.notes)
    assert any("breaks" in note for note in size(replace(PLAIN, source=known(14000))).notes)


@pytest.mark.parametrize("seed", range(40))
def test_laws_of_sizing(seed: int) -> None:
    """More current, length, heat or bundle never gives a thinner wire; a wider range never either; the choice keeps every rule and the one below breaks one."""
    rng = random.Random(seed)
    base = Wanted(known(rng.uniform(2, 120)), known(rng.uniform(0.3, 12)), known(rng.choice((70, 90, 105))), known(rng.uniform(20, 60)), known(45),
                  rng.choice((1, 2, 4, 8)), rng.choice((0.0, 0.1)), rng.choice((None, 0.36, 1.2)), known(12),
                  rng.choice(("", "terminal cube", "standard blade")))
    worse = replace(base, **{name: Range(getattr(base, name).low, getattr(base, name).high * rng.uniform(1, 1.5))
                             for name in rng.sample(("current", "length", "ambient"), 2)})
    for system in ("mm²", "AWG"):
        first, second = size(base).chosen.get(system), size(worse).chosen.get(system)
        assert (INF if second is None else second.area) >= (INF if first is None else first.area)
        if first is not None:
            assert all(first.passes.values()) and base.current.high <= first.carries * (1 + 1e-9)


def test_from_a_description() -> None:
    found = size_of(rig(), "W35")
    assert found.sizing is not None and found.present is not None and found.return_of == "W35n" and found.load == "warming cabinet"
    assert all(found.present.passes.values()) and found.present.name == "10 mm²"
    assert found.sizing.chosen["mm²"].name == "6 mm²"
    # A smaller drop asks for more copper.
    tight = size_of(rig(), "W35", share=0.03)
    assert tight.sizing is not None and tight.sizing.chosen["mm²"].area > found.sizing.chosen["mm²"].area and tight.sizing.binds["mm²"] == "drop"


def test_the_pump_tail_is_thin_for_its_fuse() -> None:
    found = size_of(rig(), "W34", family="standard blade")
    # A blade of 15 A fits the 2.5 mm² it has: the mend the notes give.
    assert found.sizing is not None and found.sizing.chosen["mm²"].fuses[0] == 15.0 and found.sizing.chosen["mm²"].name == "2.5 mm²"


def test_a_converter_must_stay_awake() -> None:
    found = size_of(rig(), "W21")
    assert found.sizing is not None and "awake" in found.sizing.needed["mm²"]


def test_a_missing_figure_is_named_and_no_size_given() -> None:
    book = changed(("{kind: load, place: extraction room, current: 30 A,", "{kind: load, place: extraction room,"))
    found = size_of(book, "W35")
    assert found.sizing is None and "current of warming cabinet" in {str(one.fact) for one in found.missing}
    assert all(one.question for one in found.missing)
