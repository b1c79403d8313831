"""What hangs on what, which battery feeds what, and how many contacts feed a bar: a small truck and trailer, worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.description.build import describe
from linter.facts.book import Book
from tests.facts.test_law import MANY, check_readings, pairs

WHOLE = """
tugtest: 1
title: Turf cutter's trailer
system: 12 V
listed: everything
packs: []
vehicles:
  truck:   {kind: truck, chassis metal: steel}
  trailer: {kind: trailer, chassis metal: steel, tows behind: truck}
places:
  cab:    {vehicle: truck}
  locker: {vehicle: trailer}
parts:
  B1: {kind: battery, place: cab, chemistry: flooded lead-acid}
  B2: {kind: battery, place: locker, chemistry: AGM lead-acid}
  alternator: {kind: alternator, place: cab, rated output: 90 A}
  F1: {kind: fuse, place: cab, rating: 40 A}
  F2: {kind: fuse, place: locker, rating: 40 A}
  R1: {kind: relay, place: cab, closed when: engine runs}
  S1: {kind: switch, place: locker}
  X1: {kind: coupling, between: [truck, trailer], contacts: [positive, negative], current at most: 50 A}
  X2: {kind: coupling, between: [truck, trailer], contacts: [positive, negative], current at most: 15 A}
  bar: {kind: bus, place: locker}
  cutter: {kind: load, place: locker, current: 20 A, start voltage at least: 9 V, barred when: X2 mated}
  lamp:   {kind: load, place: locker, current: 2 A}
runs:
  feeds:
    - alternator positive, W0 0.5 m, B1 positive
    - B1 positive, 0 mm, F1, W1 1 m, R1, W2 3 m, X1 truck positive
    - X1 trailer positive, W3 3 m, bar
    - B1 positive, W4 4 m, X2 truck positive
    - X2 trailer positive, W5 3 m, bar
    - B2 positive, 0 mm, F2, W6 1 m, bar
    - bar, W7 1 m, S1, W8 1 m, cutter positive
    - bar, W9 1 m, lamp positive
  returns:
    - cutter negative, W8n 1 m, B2 negative
    - lamp negative, W9n 1 m, B2 negative
    - X1 trailer negative, W3n 3 m, B2 negative
    - B1 negative, W2n 3 m, X1 truck negative
    - B1 negative, W0n 0.5 m, alternator negative
"""


def book_of(text: str) -> Book:
    described, troubles = describe(text.encode(), "trailer.yaml")
    assert described is not None, [t.headline for t in troubles]
    circuit, more = circuit_of(described)
    assert not more, [t.headline for t in more]
    return Book(circuit)


@pytest.fixture(scope="module")
def book() -> Book:
    return book_of(WHOLE)


def hangs(book: Book, user: str, element: str) -> bool | None:
    answer = book.relation("hanging-on", user, element)
    return True if answer.yes == book.everything else False if answer.no == book.everything else None


@pytest.mark.parametrize(
    ("user", "element", "expected"),
    [
        ("cutter", "S1", True),  # its own switch, in every state in which it is on
        ("cutter", "W8n", True),  # its return
        ("lamp", "S1", False),
        ("lamp", "W8n", False),
        ("lamp", "bar", True),  # whichever battery feeds it
        ("lamp", "F2", True),  # with both plugs out only the trailer's battery is left
        ("cutter", "X2", False),  # it is barred while X2 is mated
        ("cutter", "lamp", False),  # nothing passes through another load
        ("cutter", "B2", False),
    ],
)
def test_hanging_on(book: Book, user: str, element: str, expected: bool) -> None:
    assert hangs(book, user, element) is expected


def test_hanging_on_half_means_its_plug() -> None:
    one = book_of(WHOLE.replace("    - B2 positive, 0 mm, F2, W6 1 m, bar\n", "").replace("  F2: {kind: fuse, place: locker, rating: 40 A}\n", ""))
    assert hangs(one, "lamp", "X1 trailer") is True  # with X2 out, X1 is all there is
    assert hangs(one, "lamp", "X1") is True and hangs(one, "lamp", "R1") is True
    assert hangs(one, "cutter", "X2") is False


def test_hanging_on_with_wires_missing() -> None:
    one = book_of(WHOLE.replace("listed: everything", "listed: so far"))
    assert hangs(one, "cutter", "S1") is None  # another way may not be drawn yet
    assert book_asks(one, "cutter", "S1")


def book_asks(book: Book, user: str, element: str) -> bool:
    return any(ref.word == "every conductor" for ref in book.relation("hanging-on", user, element).wants)


def test_powering(book: Book) -> None:
    own = book.relation("powering", "B2", "cutter")
    assert "S1 on" in book.describe_states(own.yes) and (own.yes | own.no) == book.everything
    # The truck's battery by X1 with the engine running, or by X2, but while X2 is mated the cutter does not run.
    truck = book.relation("powering", "B1", "cutter").yes
    assert truck == book.space.of((("S1", frozenset({"on"})), ("engine", frozenset({"runs"})), ("X1", frozenset({"mated"})), ("X2", frozenset({"parted"}))))
    lamp = book.relation("powering", "B1", "lamp").yes
    assert lamp == book.space.of((("engine", frozenset({"runs"})), ("X1", frozenset({"mated"})))) | book.space.of((("X2", frozenset({"mated"})),))


def test_engine_off(book: Book) -> None:
    answer = book.relation("engine-off-in", "", None)
    assert answer.yes == book.space.of((("engine", frozenset({"stopped"})),)) and answer.no == book.without(book.everything, answer.yes)


def test_supply_routes(book: Book) -> None:
    # X1 and X2 at once with the engine running.
    assert book.reading("supply-routes", "bar").value == Range(2.0, 2.0)
    apart = book_of(WHOLE + "apart: [[X1 mated, X2 mated]]\n")
    assert apart.reading("supply-routes", "bar").value == Range(1.0, 1.0)
    none = book_of(WHOLE.replace("bar: {kind: bus, place: locker}", "bar: {kind: bus, place: cab}"))
    # Told as the truck's own, the trailer's battery reaches it through no plug.
    assert none.reading("supply-routes", "bar").value == Range(0.0, 0.0)


def test_supply_routes_in_doubt() -> None:
    doubtful = book_of(WHOLE.replace("bar: {kind: bus, place: locker}", "bar: {kind: bus}"))
    value = doubtful.reading("supply-routes", "bar")
    assert value.value == Range(0.0, 2.0) and any(ref.element == "bar" for ref in value.wants)
    open_wiring = book_of(WHOLE.replace("listed: everything", "listed: so far"))
    found = open_wiring.reading("supply-routes", "bar").value
    assert isinstance(found, Range) and found.low == 2.0 and not found.known


def test_motor(book: Book) -> None:
    assert book.truth_of("motor", "cutter") is Truth.YES
    assert book.truth_of("motor", "lamp") is Truth.NO  # the vocabulary's belief
    assert Book(book.circuit, assume=False).truth_of("motor", "lamp") is Truth.UNKNOWN


def test_pattern(book: Book) -> None:
    assert book.words("pattern", "X1") == frozenset({"two pole", "other"})  # 50 A is more than a pin or blade carries
    assert book.words("pattern", "X2") == frozenset()
    told = book_of(WHOLE.replace("current at most: 15 A", "current at most: 15 A, pattern: thirteen pin"))
    assert told.words("pattern", "X2") == frozenset({"thirteen pin"})


@MANY
@given(pairs())
def test_nothing_turns_over(pair: tuple[Circuit, Circuit, str]) -> None:
    less, more, what = pair
    before, after = Book(less), Book(more)
    asked = [("hanging-on", user, thing) for kind in ("load", "charger") for user in before.members(kind) for thing in before.members("element")]
    asked += [("powering", battery, load) for battery in before.members("battery") for load in before.members("load")]
    for word, one, other in asked:
        old, new = before.relation(word, one, other), after.relation(word, one, other)
        assert before.space.inside(old.yes, new.yes) and before.space.inside(old.no, new.no), (what, word, one, other)
        assert (new.yes & new.no) == after.nothing
    check_readings(before, after, {"bus": ("supply-routes",), "load": ("motor",), "coupling": ("pattern",)}, what)
