"""From a description to a circuit: poles, dials, relays, plugs, what was not said."""

from __future__ import annotations

import pytest

from linter.base.truth import Truth
from linter.circuit.from_description import circuit_of
from linter.facts.book import Book
from tests.circuits import circuit, described, part


def test_two_poles_of_one_switch_share_its_handle() -> None:
    things = [part("B1", "battery"), part("S", "switch"), part("L", "load")]
    made = circuit(things, ["B1 positive, W1 1 m, S, W2 1 m, L positive", "L negative, W3 1 m, S, W4 1 m, B1 negative"])
    book = Book(made)
    assert book.count(book.everything) == 2
    assert book.describe_states(book.reach.between("B1 positive", "L positive", sure=True)) == "S on"
    assert book.describe_states(book.reach.between("B1 negative", "L negative", sure=True)) == "S on"
    assert book.reach.between("B1 positive", "L negative", sure=False) == book.nothing
    assert book.truth_of("negative-circuit", "S") is Truth.YES
    assert all(book.truth_of("reversed", w) is Truth.NO for w in ("W1", "W2", "W3", "W4"))


def test_two_wires_from_one_fuse_are_one_pole() -> None:
    things = [part("B1", "battery"), part("F", "fuse", rating=10), part("L", "load"), part("M", "load")]
    book = Book(circuit(things, ["B1 positive, 0 mm, F, W1 1 m, L positive", "B1 positive, 0 mm, F, W2 1 m, M positive"]))
    assert book.reach.between("L positive", "M positive", sure=True) == book.everything
    assert len([e for e in book.network.edges if e.element == "F" and e.kind == "fuse"]) == 1


@pytest.mark.parametrize(("isolated", "sure", "maybe"), [(True, False, False), (False, True, True), (None, False, True)])
def test_converter_without_isolation_joins_its_negatives(isolated: bool | None, sure: bool, maybe: bool) -> None:
    book = Book(circuit([part("D", "converter", isolated=isolated)], []))
    assert (book.reach.between("D in negative", "D out negative", sure=True) == book.everything) is sure
    assert (book.reach.between("D in negative", "D out negative", sure=False) == book.everything) is maybe


def test_crossed_leads_are_seen() -> None:
    book = Book(circuit([part("B1", "battery"), part("L", "load")], ["B1 positive, W1 1 m, L negative", "B1 negative, W2 1 m, L positive"]))
    assert book.truth_of("reversed", "W1") is Truth.YES and book.truth_of("reversed", "W2") is Truth.YES


def test_relay_that_follows_nothing_known_is_free() -> None:
    things = [part("B1", "battery"), part("R", "relay"), part("L", "load")]
    book = Book(circuit(things, ["B1 positive, W1 1 m, R, W2 1 m, L positive"]))
    assert book.describe_states(book.relation("fed-in", "L", None).yes) == "R closed"


def test_relay_on_a_condition_and_in_a_constraint() -> None:
    things = [part("B1", "battery"), part("A", "alternator"), part("R", "relay", closed="engine runs"), part("S", "switch"), part("L", "load")]
    book = Book(circuit(things, ["B1 positive, W1 1 m, R, W2 1 m, S, W3 1 m, L positive", "A positive, W4 1 m, B1 positive"], apart=["R open and S on"]))
    assert book.count(book.everything) == 3
    assert book.describe_states(book.relation("open-in", "R", None).yes) == "engine stopped"


def test_converter_sleeps_without_input_and_never_feeds_itself() -> None:
    things = [part("B1", "battery"), part("S", "switch"), part("D", "converter", isolated=True), part("N", "bus"), part("L", "load")]
    book = Book(
        circuit(things, ["B1 positive, W1 1 m, S, W2 1 m, N", "N, W3 1 m, D in positive", "D out positive, W4 1 m, L positive", "D out positive, W5 1 m, N"])
    )
    assert book.describe_states(book.relation("awake-in", "D", None).yes) == "S on"
    assert book.describe_states(book.relation("dead-in", "L", None).yes) == "S off"


def test_troubles_are_told() -> None:
    things = [part("B1", "battery"), part("R", "relay", closed="Q on"), part("S", "switch", taken="on")]
    _, troubles = circuit_of(described(things, ["B1 positive, W1 1 m, S, W2 1 m, W3 1 m, B1 positive"], apart=["S off and R closed"]))
    said = " / ".join(t.headline for t in troubles)
    assert "Q has no states of its own" in said and "S is taken as always on" in said and "nothing is named between W2 and W3" in said


def test_halves_belong_to_their_vehicles_and_inherit() -> None:
    things = [
        part("van", "vehicle"),
        part("cart", "vehicle"),
        part("bar", "place", exposure="spray", vehicle_of="cart"),
        part("X", "coupling", between=("van", "cart"), cap=True, place_of="bar", halves={"van": {}}),
    ]
    book = Book(circuit(things, []))
    assert book.members("coupling-half") == ("X van", "X cart")
    assert book.truth_of("cap", "X van") is Truth.YES and book.truth_of("between-vehicles", "X") is Truth.YES
    assert book.words("vehicle-of", "X van") == {"van"} and book.truth_of("outdoors", "X van") is Truth.YES


def test_assumptions_are_told_and_can_be_switched_off() -> None:
    made = circuit([part("L", "load"), part("K", "selector", dial=("a", "b"), joins={"a": (("x", "y"),), "b": ()})], [])
    book = Book(made)
    assert book.truth_of("vital", "L") is Truth.NO and book.words("changes", "K") == {"make before break", "break before make"}
    assert ("L", "vital", "no") in book.taken_as()
    strict = Book(made, assume=False)
    assert strict.truth_of("vital", "L") is Truth.UNKNOWN and strict.reading("vital", "L").gap is not None and not strict.taken_as()


@pytest.mark.parametrize(
    ("said", "kind", "whole"),
    [
        ({"element": True}, "fuse", True),
        ({"element": True, "fuse": False}, "protection", False),
        ({"element": False, "fuse": True, "breaker": True}, "protection", True),
        ({"element": False, "protection": True}, "fuse", True),
        ({"element": False, "fuse": True}, "protection", False),
        ({"conductor": True}, "source", False),
        ({}, "conductor", False),
    ],
)
def test_whole_lists(said: dict[str, bool], kind: str, whole: bool) -> None:
    made = circuit([part("B1", "battery")], [])
    assert Book(type(made)(**{**made.__dict__, "complete": said})).complete(kind) is whole
