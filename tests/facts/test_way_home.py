"""Shorts go home by the return that is drawn: a long one starves the fuse, a short one asks more of it. Worked by hand beside the engine."""

from __future__ import annotations

import pytest

from linter import api
from linter.facts.book import Book
from linter.facts.formulas import copper
from linter.facts.resistance import CLASS_T, LUG

HEAD = """\
tugtest: 1
title: t
system: 12 V
listed: everything
conditions: {coldest: 0 °C, hottest: 40 °C}
places: {hold: {hottest: 40 °C, exposure: dry}}
defaults: {wires: {insulation: 105 °C, material: copper, passes: hold}}
parts:
  B1: {kind: battery, chemistry: AGM lead-acid, capacity: 100 Ah, short-circuit current: 4 kA, internal resistance: 5 mΩ, place: hold}
  F0: {kind: fuse, family: class T, rating: 75 A, place: hold}
  F1: {kind: fuse, family: standard blade, rating: 20 A, place: hold}
  bar: {kind: bus}
  N1: {kind: bus}
  L1: {kind: load, current: 5 A, place: hold}
  L2: {kind: load, current: 5 A, place: hold}
"""


def book(runs: str, wires: str) -> Book:
    found, told = api.read(f"{HEAD}runs:\n{runs}wires: {{{wires}}}\n".encode(), "t.yaml")
    assert found is not None, told
    return found.book


def wire(length: float, area: float, temperature: float) -> float:
    """Copper and two lugs. [Ω]"""
    return length * copper.per_metre(area * 1e-6, temperature) + 2 * LUG


@pytest.mark.parametrize("back", [0.2, 1.0, 40.0])
def test_the_smallest_short_by_its_own_return(back: float) -> None:
    """11.5 V over worn battery, fuse, 1 m out and `back` home, copper at 70 °C."""
    made = book(f"  a: [\"B1 positive, 0 mm, F0, W1 1 m, L1 positive\", \"L1 negative, W1n {back} m, B1 negative\"]\n", "W1 W1n: {size: 4 mm²}")
    loop = 5e-3 + CLASS_T + wire(1.0, 4.0, 70.0) + wire(back, 4.0, 70.0)
    multiple = made.quantity("far-end-multiple", "W1")
    assert multiple.known
    assert multiple.low == pytest.approx(11.5 / loop / 75, rel=2e-3)
    assert (multiple.low < 1) == (back == 40.0), "behind forty metres of return the fuse never opens"


def test_a_shared_return_counts_for_all_that_go_home_by_it() -> None:
    """Two loads, one trunk of 20 m home: each short has the whole trunk behind it."""
    made = book("  a: [\"B1 positive, 0 mm, F0, W0 500 mm, bar\", \"bar, W1 1 m, L1 positive\", \"bar, W2 1 m, L2 positive\"]\n"
                "  b: [\"L1 negative, W1n 1 m, N1\", \"L2 negative, W2n 1 m, N1\", \"N1, W3 20 m, B1 negative\"]\n", "W0 W1 W2 W1n W2n W3: {size: 4 mm²}")
    loop = 5e-3 + CLASS_T + wire(0.5, 4.0, 70.0) + 2 * wire(1.0, 4.0, 70.0) + wire(20.0, 4.0, 70.0)
    assert made.quantity("far-end-multiple", "W1").low == pytest.approx(11.5 / loop / 75, rel=2e-3)


@pytest.mark.parametrize("back", [0.2, 1.0, 5.0])
def test_the_largest_short_takes_the_shorter_return(back: float) -> None:
    """2.5 m of 10 mm² to a bar; out and back gives 977 A, and a return shorter than the way out gives more. Copper at 20 °C."""
    made = book(f"  a: [\"B1 positive, 0 mm, F0, W0 2.5 m, bar, 0 mm, F1, W1 1 m, L1 positive\", \"L1 negative, W1n {back} m, B1 negative\"]\n",
                "W0 W1 W1n: {size: 10 mm²}")
    inner = 12.8 / 4000 + CLASS_T
    out = 2.5 * copper.per_metre(10e-6, 20.0) + 2 * LUG
    doubled, drawn = 12.8 / (inner + 2 * out), 12.8 / (inner + out + wire(back, 10.0, 20.0))
    found = made.quantity("prospective-short", "F1")
    assert found.low == pytest.approx(max(doubled, drawn), rel=0.02)
    assert found.high == pytest.approx(max(doubled, drawn), rel=0.02)


def test_a_return_nobody_measured_leaves_it_open() -> None:
    """And asks for its length, not only for that of the way out."""
    made = book("  a: [\"B1 positive, 0 mm, F0, W1 1 m, L1 positive\", \"L1 negative, W1n ?, B1 negative\"]\n", "W1 W1n: {size: 4 mm²}")
    reading = made.reading("far-end-multiple", "W1")
    assert made.quantity("far-end-multiple", "W1").low < 1e-6
    assert "length of W1n" in {str(want) for want in reading.wants}


def test_past_no_device_nothing_opens() -> None:
    """A bare wire straight from the post: no short opens anything."""
    made = book("  a: [\"B1 positive, W1 1 m, L1 positive\", \"L1 negative, W1n 1 m, B1 negative\"]\n", "W1 W1n: {size: 4 mm²}")
    assert made.quantity("far-end-multiple", "W1").high == 0
