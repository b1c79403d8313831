"""Reach, awake sources, protection and ways against a walk of every state and every completion: no difference in either direction."""

from __future__ import annotations

import itertools

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linter.base.truth import Truth
from linter.circuit.model import Circuit, Edge
from linter.circuit.states import DiagramStates, ListedStates, StateSpace, order_along
from linter.facts.book import Book
from linter.facts.protection import adequate, ends_of, exposed
from linter.language.world import Ways
from tests.circuit import brute
from tests.circuit.random_circuits import EXAMPLES, circuits

MANY = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much])


def as_set(space: StateSpace, states: object, every: list[brute.State]) -> set[int]:
    found = set()
    for i, state in enumerate(every):
        one = space.of(tuple((name, frozenset({value})) for name, value in state.items()))
        if (one & states) != space.nothing:
            found.add(i)
    return found


@MANY
@given(circuits())
def test_states_are_counted_alike(circuit: Circuit) -> None:
    every = brute.states_of(circuit)
    listed, drawn = ListedStates(circuit.variables, circuit.constraints), DiagramStates(circuit.variables, circuit.constraints, order_along(circuit))
    assert listed.count(listed.everything) == drawn.count(drawn.everything) == len(every)
    for edge in circuit.edges[:6]:
        a, b = listed.any_of(edge.guards), drawn.any_of(edge.guards)
        assert listed.count(a) == drawn.count(b) == sum(brute.closed(edge, s) for s in every)
        assert as_set(listed, a, every) == as_set(drawn, b, every)
        assert (listed.describe(a) == "no state") == (drawn.describe(b) == "no state")
        if a != listed.nothing:
            assert listed.inside(listed.of(tuple((n, frozenset({v})) for n, v in listed.sample(a).items())), a)
        for name in listed.named:
            assert as_set(listed, listed.forget(a, name), every) == as_set(drawn, drawn.forget(b, name), every)


@MANY
@given(circuits())
def test_reach_and_awake(circuit: Circuit) -> None:
    book = Book(circuit)
    every = brute.states_of(circuit)
    whole = list(brute.completions(circuit))
    starts = book.network.outputs(book.network.hard_sources)
    for start in starts:
        sure, maybe = book.reach.spread((start,), sure=True), book.reach.spread((start,), sure=False)
        seen = [[brute.reach(c, [start], s) for c in (whole[0], whole[-1])] for s in every]
        for terminal in book.network.at:
            assert as_set(book.space, sure.get(terminal, book.nothing), every) == {i for i, (low, _) in enumerate(seen) if terminal in low}
            assert as_set(book.space, maybe.get(terminal, book.nothing), every) == {i for i, (_, high) in enumerate(seen) if terminal in high}
    low = [brute.awake(whole[0], book.network, s) for s in every]
    high = [brute.awake(whole[-1], book.network, s) for s in every]
    for source in book.network.sources:
        assert as_set(book.space, book.reach.awake(source, sure=True), every) == {i for i, one in enumerate(low) if source in one}
        assert as_set(book.space, book.reach.awake(source, sure=False), every) == {i for i, one in enumerate(high) if source in one}


@MANY
@given(circuits())
def test_protection(circuit: Circuit) -> None:
    """Exposed surely: whatever the doubtful devices and contacts are. Exposed maybe: for some way they may be."""
    book = Book(circuit)
    every = brute.states_of(circuit)
    whole = list(brute.completions(circuit))
    for conductor in book.members("conductor")[:6]:
        devices = adequate(book, conductor)
        for one in exposed(book, conductor):
            sure: set[int] = set(range(len(every)))
            maybe: set[int] = set()
            for c in (whole[0], whole[-1]):
                for removed in (devices.possibly, devices.surely):
                    found = set()
                    for i, state in enumerate(every):
                        pushing = {book.network.output(x) for x in book.network.hard_sources if x in brute.awake(c, book.network, state)}
                        if pushing & brute.reach(c, [one.end], state, lambda e, gone=removed | {conductor}: e.kind != "joint" and e.element in gone):
                            found.add(i)
                    sure &= found
                    maybe |= found
            assert as_set(book.space, one.sure, every) == sure
            assert as_set(book.space, one.maybe, every) == maybe


@MANY
@given(circuits(max_edges=7), st.data())
def test_ways_to_and_into(circuit: Circuit, data: st.DataObject) -> None:
    book = Book(circuit)
    every = brute.states_of(circuit)
    fuses = book.members("fuse")
    meets = {f: data.draw(st.sampled_from((Truth.YES, Truth.NO, Truth.UNKNOWN)), f) for f in fuses}
    starts = book.network.outputs(book.network.batteries)
    conductors = book.members("conductor")
    target = data.draw(st.sampled_from(conductors))
    question = Ways("into", starts, (target,), meets=meets)
    answer = book.ways(question)
    goals = set(ends_of(book, target))
    unknown = [f for f, t in meets.items() if t is Truth.UNKNOWN]
    always, never = set(range(len(every))), set(range(len(every)))
    for c in brute.completions(circuit):
        for choice in itertools.product((False, True), repeat=len(unknown)):
            fitting = {f for f, t in meets.items() if t is Truth.YES} | {f for f, yes in zip(unknown, choice, strict=True) if yes}

            def gone(e: Edge, fitting: set[str] = fitting) -> bool:
                return e.kind != "joint" and (e.element == target or e.element in fitting)

            bare = {i for i, s in enumerate(every) if goals & brute.reach(c, starts, s, gone)}
            always -= bare
            never &= bare
    assert as_set(book.space, answer.yes, every) == always
    assert as_set(book.space, answer.no, every) == never
    if answer.no != book.nothing:
        assert answer.through and answer.through[0] in book.network.batteries
        assert not set(answer.through) & {f for f, t in meets.items() if t is Truth.YES}
