"""Places, capacity step by step and colours, against cases worked by hand."""

from __future__ import annotations

import pytest

from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.book import Book
from tests.circuits import circuit, part

WIRE = {"area": 10e-6, "insulation": 105, "material": "copper", "passes": "shed"}


def loop(**about: object) -> Book:
    """A battery and a load joined by W and V of 10 mm², two metres each."""
    things = [part("shed", "place", ambient=30), part("oven", "place", ambient=90), part("roof", "place"), part("B", "battery", place_of="shed"),
              part("L", "load", current=60, place_of="oven")]
    return Book(circuit(things, ["B positive, W 2 m, L positive", "L negative, V 2 m, B negative"], wires={"W": {**WIRE, **about}, "V": WIRE}))


def test_capacity_step_by_step() -> None:
    # 18 × 10^0.645 × √(75/75) = 79.48 A in 30 °C; × √(15/75) = 35.54 A in 90 °C; × 0.60 among four; × 0.5 for a metre in foam.
    mild = loop(bundled_with=4, buried=1)
    assert mild.quantity("mild-capacity", "W").high == pytest.approx(79.48, abs=0.01)
    assert mild.quantity("hot-capacity", "W").high == pytest.approx(79.48, abs=0.01)
    assert mild.quantity("bundled-capacity", "W").high == pytest.approx(47.69, abs=0.01)
    assert mild.quantity("buried-capacity", "W").high == pytest.approx(23.84, abs=0.01)
    hot = loop(passes=frozenset({"shed", "oven"}))
    assert hot.quantity("hot-capacity", "W").high == pytest.approx(35.54, abs=0.01)
    assert hot.quantity("mild-capacity", "W").high == pytest.approx(79.48, abs=0.01)


def test_what_was_not_said_of_bundle_and_foam_is_open() -> None:
    # The largest bundle leaves 0.40; two metres of foam leave half.
    book = loop()
    bundled, buried = book.reading("bundled-capacity", "W"), book.reading("buried-capacity", "W")
    assert isinstance(bundled.value, Range) and isinstance(buried.value, Range)
    assert bundled.value.low == pytest.approx(0.4 * 79.48, abs=0.01) and bundled.value.high == pytest.approx(79.48, abs=0.01)
    assert buried.value.low == pytest.approx(0.2 * 79.48, abs=0.01) and buried.value.high == pytest.approx(79.48, abs=0.01)
    assert {str(w) for w in bundled.wants} == {"bundled-with of W"}
    assert {w.word for w in buried.wants} == {"bundled-with", "buried"}


def test_a_rating_stands_before_the_formula_but_not_before_the_cautious_one() -> None:
    book = loop(rated_current=100, bundled_with=4)
    for word in ("mild-capacity", "hot-capacity", "bundled-capacity", "buried-capacity"):
        assert book.quantity(word, "W") == Range(100, 100)
    assert book.quantity("cautious-capacity", "W").high == pytest.approx(47.69, abs=0.01)


def test_a_size_that_is_not_known_leaves_everything_open() -> None:
    book = loop(area=None)
    assert book.quantity("hot-capacity", "W") == Range(0, INF)
    assert {w.word for w in book.reading("hot-capacity", "W").wants} == {"size"}


@pytest.mark.parametrize(("exposure", "yes", "unknown"), [
    (frozenset({"spray", "salt"}), {"splashed", "salty"}, set()),
    (frozenset({"sun", "rain"}), {"sunny", "rained-on"}, set()),
    (frozenset({"stones"}), {"stone-thrown"}, set()),
    (frozenset({"washed down"}), {"hosed"}, set()),
    (frozenset({"dry"}), set(), set()),
    (frozenset({"outdoors"}), {"sunny", "rained-on"}, {"splashed", "salty", "stone-thrown", "hosed"}),
    (None, set(), {"sunny", "rained-on", "splashed", "salty", "stone-thrown", "hosed"}),
])
def test_what_reaches_a_place(exposure: object, yes: set[str], unknown: set[str]) -> None:
    book = Book(circuit([part("P", "place", exposure=exposure)], []))
    for word in ("sunny", "rained-on", "splashed", "salty", "stone-thrown", "hosed"):
        found = book.reading(word, "P")
        assert found.value is (Truth.YES if word in yes else Truth.UNKNOWN if word in unknown else Truth.NO), word
        if word in unknown:
            assert {w.word for w in found.wants} == {"exposure"}


def test_where_a_wire_ends() -> None:
    book = loop()
    everything, nothing = book.everything, book.nothing
    assert book.relation("ends-in", "W", "shed").yes == everything and book.relation("ends-in", "W", "oven").yes == everything
    assert book.relation("ends-in", "W", "roof").no == everything
    things = [part("shed", "place"), part("oven", "place"), part("B", "battery", place_of="shed"), part("L", "load", current=5)]
    unplaced = Book(circuit(things, ["B positive, W 1 m, L positive"]))
    assert unplaced.relation("ends-in", "W", "shed").yes == everything
    open_answer = unplaced.relation("ends-in", "W", "oven")
    assert open_answer.yes == nothing and open_answer.no == nothing
    assert {(w.element, w.word) for w in open_answer.wants} == {("L", "place-of")}


@pytest.mark.parametrize(("out", "back", "kept"), [
    ("red", "black", Truth.YES), ("black", "black", Truth.NO), ("green and yellow", "black", Truth.NO), ("red", None, Truth.UNKNOWN),
])
def test_colours(out: str, back: str | None, kept: Truth) -> None:
    things = [part("B", "battery"), part("L", "load", current=5)]
    book = Book(circuit(things, ["B positive, W 1 m, L positive", "L negative, V 1 m, B negative"], wires={"W": {"colour": out}, "V": {"colour": back}}))
    found = book.reading("colours-kept", "")
    assert found.value is kept
    if kept is Truth.UNKNOWN:
        assert {w.word for w in found.wants} == {"colours-kept"}


def test_gear_with_an_inside() -> None:
    book = Book(circuit([part("L", "load"), part("F", "fuse"), part("C", "breaker"), part("B", "battery"), part("S", "bus")], []))
    assert {name for name in ("L", "F", "C", "B", "S") if book.truth_of("enclosed-gear", name) is Truth.YES} == {"L", "C", "S"}
