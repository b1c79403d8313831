"""Facts of the packs on protection and batteries: worked by hand on small circuits and on the honey trailer, and held to the law."""

from __future__ import annotations

import pytest
from hypothesis import given

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.description.build import describe
from linter.facts.book import Book
from tests.facts.test_electrical_rig import rig
from tests.facts.test_law import MANY, check_readings, pairs

SMALL = """
tugtest: 1
title: Two batteries and a bar
system: 12 V
listed: everything
conditions: {coldest: -5 °C, hottest: 30 °C}
vehicles: {cart: {kind: trailer, chassis metal: none}}
defaults: {places: {vehicle: cart}, wires: {material: copper, insulation: 90 °C, bundled with: 1, buried: 0 m, passes: box, size: 16 mm²}}
places: {box: {hottest: 30 °C, exposure: dry}}
parts:
  B1: {kind: battery, chemistry: lithium iron phosphate, capacity: 100 Ah, short-circuit current: 4 kA, mass: 12 kg, place: box}
  B2: {like: B1}
  B3: {kind: battery, chemistry: AGM lead-acid, capacity: 70 Ah, mass: 18 to 20 kg, place: box}
  F1: {kind: fuse, family: terminal cube, rating: 100 A}
  F2: {like: F1}
  F3: {kind: fuse, family: standard blade, rating: 25 A}
  F4: {like: F3, rating: 10 A}
  F5: {like: F3, rating: 30 A}
  F6: {like: F3, rating: 30 A}
  bar: {kind: bus}
  minus: {kind: bus}
  splice: {kind: junction}
  R1: {kind: relay, closed when: engine runs}
  D1: {kind: converter, output current at most: 20 A, isolated: no}
  pump: {kind: load, current: 12 A, start current: 36 A}
  lamp: {kind: load, current: 4 A, start current: 4 A}
  fan: {kind: load, current: 6 A, start current: 20 A}
runs:
  bank:
    - B1 positive, 0 mm, F1, W1 0.5 m, bar
    - B2 positive, 0 mm, F2, W2 0.5 m, bar
    - B1 negative, W1n 0.5 m, minus
    - B2 negative, W2n 0.5 m, minus
    - B3 negative, W3n 0.5 m, minus
  branches:
    - bar, F3, W4 2 m, splice
    - splice, W5 1 m, pump positive
    - splice, F4, W6 1 m, lamp positive
    - pump negative, W5n 3 m, minus
    - lamp negative, W6n 3 m, minus
    - bar, F5, W7 2 m, F6, 0 mm, fan positive
    - bar, W8 2.4 m, fan positive
    - fan negative, W7n 2 m, minus
  charging:
    - B3 positive, W9 1 m, R1, W10 1 m, D1 in positive
    - D1 in negative, W9n 1 m, minus
    - D1 out positive, W11 1 m, bar
    - D1 out negative, W11n 1 m, minus
"""


def made(text: str = SMALL) -> Book:
    described, troubles = describe(text.encode(), "cart.yaml")
    assert described is not None and not troubles, troubles
    return Book(circuit_of(described)[0])


@pytest.fixture(scope="module")
def book() -> Book:
    return made()


def test_own_weight(book: Book) -> None:
    # 12 kg × 9.80665 m/s² = 117.68 N
    assert book.quantity("own-weight", "B1").low == pytest.approx(117.6798)
    assert book.quantity("own-weight", "B1").known
    span = book.quantity("own-weight", "B3")
    assert span.low == pytest.approx(176.5197) and span.high == pytest.approx(196.133)
    without = made(SMALL.replace(" mass: 12 kg,", ""))
    assert {str(w) for w in without.reading("own-weight", "B1").wants} == {"mass of B1"}


def test_drawing_on(book: Book) -> None:
    runs = book.space.of((("engine", frozenset({"runs"})),))
    taking = book.relation("drawing-on", "D1", "B3")
    assert taking.yes == runs and taking.no == book.without(book.everything, runs)
    assert book.relation("drawing-on", "D1", "B1").no == book.everything


@pytest.mark.parametrize(("load", "last"), [("pump", ["F3"]), ("lamp", ["F4"]), ("fan", ["F1", "F2", "F6"])])
def test_last_before(book: Book, load: str, last: list[str]) -> None:
    # The fan is fed twice: through F6, and past it through W8, before which F1 and F2 are the last.
    answers = {f: book.relation("last-before", f, load) for f in book.members("protection")}
    assert [f for f, a in answers.items() if a.yes == book.everything] == last
    assert all(a.no == book.everything for f, a in answers.items() if f not in last)


def test_last_before_on_the_rig() -> None:
    trailer = rig()
    found = {load: [f for f in trailer.members("protection") if trailer.relation("last-before", f, load).yes == trailer.everything]
             for load in ("hive lift", "lamps", "inverter", "starter motor")}
    assert found == {"hive lift": ["F4", "F16"], "lamps": ["F17"], "inverter": ["F12"], "starter motor": []}


def test_waits_multiple(book: Book) -> None:
    # F3: F1 and F2 together, 200 A over 25 A. F4: F3 alone, 25 over 10.
    assert book.quantity("waits-multiple", "F3") == Range(8.0, 8.0)
    assert book.quantity("waits-multiple", "F4") == Range(2.5, 2.5)
    # F5 and F6 stand in one wire: neither waits for the other, both for F1 and F2.
    assert book.quantity("waits-multiple", "F5") == Range(200 / 30, 200 / 30)
    assert book.quantity("upstream-multiple", "F6").low == pytest.approx(1.0)
    assert book.quantity("waits-multiple", "F6").low == pytest.approx(200 / 30)
    assert book.quantity("waits-multiple", "F1").low == float("inf")


def test_current_of_a_splice(book: Book) -> None:
    assert book.quantity("worst-current", "splice") == Range(16.0, 16.0)


def test_surge_current(book: Book) -> None:
    # 12 + 4 + 6 A steady, and 24 A more while the pump starts: half of each from either battery.
    assert book.quantity("worst-current", "B1").high == pytest.approx(11.0)
    surge = book.quantity("surge-current", "B1")
    assert surge.low == pytest.approx(23.0) and surge.high == pytest.approx(23.0)
    # Not measured, the pump takes 12 to 120 A while it starts, the fan 14 A more than steady.
    loose = made(SMALL.replace(", start current: 36 A", ""))
    surge = loose.quantity("surge-current", "B1")
    assert surge.low == pytest.approx(18.0) and surge.high == pytest.approx(65.0)
    assert {str(w) for w in loose.reading("surge-current", "B1").wants} >= {"start-current of pump"}


def test_parallel_spread(book: Book) -> None:
    # Two ways from bar to fan: 2.0 m and 2.4 m of one cable.
    for name in ("W7", "W8"):
        assert book.truth_of("paralleled", name) is Truth.YES
        assert book.quantity("parallel-spread", name).low == pytest.approx(1.2)
        assert book.quantity("parallel-spread", name).known
    assert book.truth_of("paralleled", "W4") is Truth.NO
    assert book.quantity("parallel-spread", "W4") == Range(1.0, 1.0)
    assert book.truth_of("paralleled", "W1") is Truth.NO


def test_open_lists_leave_everything_open() -> None:
    part = made(SMALL.replace("listed: everything", "listed: so far"))
    assert part.truth_of("paralleled", "W4") is Truth.UNKNOWN
    assert part.quantity("parallel-spread", "W8").high == float("inf")
    assert part.quantity("surge-current", "B1").high == float("inf")
    assert part.quantity("waits-multiple", "F4").low == 0.0
    assert part.relation("last-before", "F1", "pump").no == part.nothing
    assert {str(w) for w in part.reading("waits-multiple", "F4").wants} >= {"every conductor"}


FACTS = {"battery": ("surge-current",), "protection": ("waits-multiple",), "conductor": ("paralleled", "parallel-spread"), "junction": ("worst-current",)}


@MANY
@given(pairs())
def test_nothing_turns_over(pair: tuple[Circuit, Circuit, str]) -> None:
    less, more, what = pair
    before, after = Book(less), Book(more)
    check_readings(before, after, FACTS, what)
    for word, kind, other in (("last-before", "protection", "load"), ("drawing-on", "charger", "battery")):
        for element in before.members(kind):
            for thing in before.members(other):
                one, two = before.relation(word, element, thing), after.relation(word, element, thing)
                assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), (what, word, element, thing)
