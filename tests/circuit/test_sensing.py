"""A voltage-sensing relay is never closed while nothing that could charge is awake; otherwise it may stand either way."""

from __future__ import annotations

from linter.facts.book import Book
from tests.circuits import circuit, part

HOUSE = ["S1 positive, W1 1 m, R1, W2 1 m, H1 positive"]


def book(*parts: object, runs: list[str], sensing: bool = True) -> Book:
    relay = part("R1", "relay", voltage_sensing=True if sensing else None)
    return Book(circuit([part("S1", "battery"), part("H1", "battery"), relay, *parts], [*HOUSE, *runs]))


def test_with_an_alternator_on_one_side_it_closes_while_the_engine_runs() -> None:
    made = book(part("A1", "alternator"), runs=["A1 positive, W3 1 m, S1 positive"])
    joined = made.relation("joined-with", "S1", "H1")
    assert joined.yes != made.nothing
    assert made.space.without(joined.yes, made.reach.awake("A1", sure=False)) == made.nothing
    assert made.count(made.everything) == 3


def test_free_to_stand_either_way_where_it_is_no_sensing_one() -> None:
    made = book(part("A1", "alternator"), runs=["A1 positive, W3 1 m, S1 positive"], sensing=False)
    assert made.count(made.everything) == 4


def test_any_of_several_will_do() -> None:
    made = book(part("A1", "alternator"), part("C1", "shore-charger"), runs=["A1 positive, W3 1 m, S1 positive", "C1 out positive, W4 1 m, H1 positive"])
    # Engine, shore, relay: eight less the one in which it is closed with both asleep.
    assert made.count(made.everything) == 7


def test_with_nothing_that_charges_it_never_closes() -> None:
    made = book(runs=[])
    assert made.relation("joined-with", "S1", "H1").yes == made.nothing
    assert made.count(made.everything) == 1


def test_where_a_converter_reaches_it_nothing_is_certain() -> None:
    made = book(part("D1", "converter"), runs=["D1 out positive, W4 1 m, H1 positive"])
    assert made.count(made.everything) == 2
