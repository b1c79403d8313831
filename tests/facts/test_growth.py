"""What is shared between wires says the same as a search for each wire would, and the work grows as the installation does."""

from __future__ import annotations

import math

from hypothesis import HealthCheck, given, settings

from linter.circuit.model import Circuit, Variable
from linter.circuit.states import DiagramStates
from linter.facts.book import Book
from linter.facts.protection import _pushing, adequate, ends_of
from linter.facts.strands import bridges
from linter.facts.through import _alone, _flows, _pattern, greatest_patterns
from linter.facts.trunks import _no_cost, _way
from tests.benchmarks.facts_growth import WORDS, park
from tests.circuit.random_circuits import circuits

drawn = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


@drawn
@given(circuits())
def test_bridges_and_ways_are_those_of_a_walk(made: Circuit) -> None:
    book = Book(made)
    network = book.network
    live = [n for n in range(len(network.edges)) if network.closable(n)]
    lone = bridges([(network.edges[n].a, network.edges[n].b) for n in live])
    assert set(network.blocks.bridges) == {live[k] for k in lone}
    for start in list(network.at)[:6]:
        for goal in list(network.at)[-6:]:
            found = _way(book, start, frozenset({goal}), _no_cost, book.everything, frozenset(), frozenset())
            assert network.blocks.way(start, goal) == (None if found is None else found[2])


@drawn
@given(circuits())
def test_flows_of_a_part_are_those_of_each_wire(made: Circuit) -> None:
    book = Book(made)
    for conductor in book.members("conductor"):
        ends = ends_of(book, conductor)
        if len(ends) != 2:
            continue
        patterns = [("all", book.network.closable)]
        patterns += [(f"{n}", _pattern(book, closed, sure=True)) for n, (_, closed) in enumerate(greatest_patterns(book, sure=True)[0])]
        for key, closed in patterns:
            for high in (True, False):
                found = _flows(book, ends[0], key, closed, high).of(conductor, ends)
                assert found is None or math.isclose(found, _alone(book, conductor, ends, closed, high), abs_tol=1e-9)


@drawn
@given(circuits())
def test_what_pushes_at_an_end_is_what_a_search_without_the_wire_finds(made: Circuit) -> None:
    book = Book(made)
    for conductor in book.members("conductor"):
        devices = adequate(book, conductor)
        for end in ends_of(book, conductor):
            for sure, barring in ((True, devices.possibly), (False, devices.surely), (False, frozenset())):
                around = book.reach.spread((end,), sure=sure, without=frozenset({conductor}), barring=barring)
                assert dict(_pushing(book, end, conductor, sure=sure, barring=barring)) == {t: around[t] for t in book.network.pushing if t in around}


def test_sets_of_many_hundred_switches_are_worked_out() -> None:
    space = DiagramStates(tuple(Variable(f"S{n}", ("on", "off")) for n in range(900)), ())
    every, some = space.everything, space.nothing
    for n in reversed(range(900)):
        on = space.of(((f"S{n}", frozenset({"on"})),))
        every, some = every & on, some | on
    assert space.inside(every, some) and not space.inside(some, every)
    assert space.without(space.everything, some) & every == space.nothing


def _work(runs: int, linked: bool) -> int:
    """Steps of searches for the facts that look around every wire."""
    book = Book(park(runs, linked=linked))
    for kind in ("conductor", "protection", "load", "battery", "charger"):
        for word in WORDS[kind]:
            for element in book.members(kind):
                book.begin()
                book.reading(word, element)
    return book._run_work


def test_ten_times_the_wires_are_ten_times_the_searching() -> None:
    for linked in (False, True):
        small, large = _work(150, linked), _work(1500, linked)
        assert large <= 10 ** 1.2 * small, (linked, small, large)


def test_more_banks_than_are_looked_at_are_a_gap_that_says_so() -> None:
    book = Book(park(2100, linked=True))
    reading = book.reading("far-end-multiple", "b3s2l1w")
    assert reading.gap is not None and "more than 24 banks on one wiring" in reading.gap.reason
    # The same wire again: what was too much once is not tried anew.
    assert book.reading("overload-possible", "b3s2l1w").gap is not None
    assert book.reading("through-current", "b3s2l1w").gap is None
