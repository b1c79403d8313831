"""Where wires end and what they pass, by hand."""

from __future__ import annotations

import math

import pytest

from linter import api
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.book import Book

BASE = """\
tugtest: 1
title: Spray cart
system: 12 V
listed: {listed}
conditions: {{coldest: 0 °C, hottest: 40 °C}}
vehicles: {{cart: {{kind: trailer, chassis metal: steel}}}}
defaults:
  places: {{vehicle: cart}}
  wires: {{material: copper, insulation: 105 °C, bundled with: 1, buried: 0 m}}
places:
  box:   {{hottest: 40 °C, exposure: dry}}
  floor: {{hottest: 55 °C, exposure: [spray, stones]}}
  rack:  {{hottest: 40 °C}}
parts:
  B1: {{kind: battery, place: box, chemistry: AGM lead-acid, capacity: 100 Ah}}
  F1: {{kind: fuse, place: box, rating: 30 A}}
  F2: {{kind: fuse, place: box, rating: 20 A}}
  bar: {{kind: bus, place: floor, ingress: IP20}}
  pump: {{kind: load, place: floor, current: 10 A, ingress: IP67}}
  lamp: {{kind: load, place: rack, current: 2 A}}
  frame: {{kind: chassis, vehicle: cart}}
  X1: {{kind: coupling, place: floor, between: [cart, cart two], contacts: [positive], weatherproof: {seal}}}
runs:
  feed: [B1 positive, 0 mm, F1, W1 1 m, bar]
  second: [B1 positive, 0 mm, F2, W2 1 m, bar]
  pump: [bar, W3 2 m, pump positive]
  lamp: [bar, W4 2 m, lamp positive]
  back: [pump negative, W5 2 m, B1 negative]
  lamp back: [lamp negative, W6 2 m, B1 negative]
  bond: [B1 negative, W7 1 m, frame]
  plug: [F1 load, W8 1 m, X1 cart positive]
wires:
  W1 W2: {{size: 6 mm², passes: [box, floor]}}
  W3: {{size: 25 mm², passes: floor{terminal}}}
"""


def book(listed: str = "everything", seal: str = "?", terminal: str = "") -> Book:
    text = BASE.format(listed=listed, seal=seal, terminal=terminal).replace("[cart, cart two]", "[cart, tug]")
    text = text.replace("vehicles: {cart:", "vehicles: {tug: {kind: truck}, cart:")
    found, told = api.read(text.encode(), "cart.yaml")
    assert found is not None, told
    return found.book


def test_places_a_wire_passes() -> None:
    b = book()
    assert b.relation("laid-through", "W3", "floor").yes == b.everything
    assert b.relation("laid-through", "W3", "box").no == b.everything
    unknown = b.relation("laid-through", "W4", "box")
    assert unknown.yes == unknown.no == b.nothing and {str(w) for w in unknown.wants} == {"passes of W4"}


def test_wet_places() -> None:
    b = book()
    assert b.truth_of("wet", "floor") is Truth.YES and b.truth_of("wet", "box") is Truth.NO
    assert b.truth_of("wet", "rack") is Truth.UNKNOWN and {str(w) for w in b.reading("wet", "rack").wants} == {"exposure of rack"}


@pytest.mark.parametrize(("wire", "seal", "truth", "wants"), [
    ("W1", "?", Truth.YES, ""),  # the bar under the floor keeps nothing out
    ("W5", "?", Truth.NO, ""),  # the pump's housing does, the battery stands dry
    ("W6", "?", Truth.UNKNOWN, "exposure of rack"),
    ("W7", "?", Truth.UNKNOWN, "place-of of frame"),
    ("W8", "yes", Truth.NO, ""),
    ("W8", "no", Truth.UNKNOWN, "ingress of X1 cart"),
])
def test_ends_in_the_wet(wire: str, seal: str, truth: Truth, wants: str) -> None:
    found = book(seal=seal).reading("ends-in-wet", wire)
    assert found.value is truth
    assert not wants or wants in {str(w) for w in found.wants}


def test_lugs_counted_at_terminals() -> None:
    b = book()
    # Two bolted fuses at the plus, three wires at the minus: on one stud, or spread over a clamp's.
    assert b.quantity("lugs-on-a-stud", "B1") == Range(1.0, 3.0)
    # Four wires on the bar: on one stud or each on its own.
    assert b.quantity("lugs-on-a-stud", "bar") == Range(1.0, 4.0)
    assert b.quantity("lugs-on-a-stud", "frame") == Range(1.0, 1.0)
    assert book(listed="so far").quantity("lugs-on-a-stud", "B1") == Range(1.0, INF)


def test_terminals_nobody_read() -> None:
    whole = 18 * 25**0.645 * math.sqrt((105 - 55) / 75)
    cool = 18 * 25**0.645 * math.sqrt((60 - 55) / 75)
    value = book().quantity("capacity-at-terminals", "W3")
    assert value.high == pytest.approx(whole) and value.low == pytest.approx(cool)
    read = book(terminal=", terminal class: 75 °C")
    assert read.quantity("capacity-at-terminals", "W3") == read.quantity("corrected-capacity", "W3")
    assert read.quantity("capacity-at-terminals", "W3").high == pytest.approx(18 * 25**0.645 * math.sqrt((75 - 55) / 75))
