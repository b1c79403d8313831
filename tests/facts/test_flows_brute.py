"""Sums and flows over all states, and turning a dial, against plain walks of every state."""

from __future__ import annotations

import itertools
import math

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.facts.protection import adequate, ends_of
from tests.circuit import brute
from tests.circuit.random_circuits import EXAMPLES, circuits

MANY = settings(max_examples=EXAMPLES * 2, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much])


def most(made: Circuit, state: brute.State, less: str, many: set[str], one: str, ratings: dict[str, float]) -> float:
    """Greatest flow between many terminals and one, by augmenting along any way that still has room."""
    if one in many:
        return math.inf
    room: dict[tuple[str, str], float] = {}
    for edge in made.edges:
        if edge.element != less and brute.closed(edge, state):
            amps = math.inf if edge.kind == "joint" else ratings.get(edge.element, math.inf)
            for a, b in ((edge.a, edge.b), (edge.b, edge.a)):
                room[a, b] = room.get((a, b), 0.0) + amps
    total = 0.0
    while True:
        came = {one: ""}
        stack = [one]
        end = None
        while stack and end is None:
            here = stack.pop()
            for (a, b), amps in room.items():
                if a == here and amps > 0 and b not in came:
                    came[b] = here
                    stack.append(b)
                    if b in many:
                        end = b
                        break
        if end is None:
            return total
        way = []
        while came[end]:
            way.append((came[end], end))
            end = came[end]
        amount = min(room[step] for step in way)
        if amount == math.inf:
            return math.inf
        total += amount
        for a, b in way:
            room[a, b] -= amount
            room[b, a] = room.get((b, a), 0.0) + amount


@MANY
@given(circuits(doubt=False, max_edges=6))
def test_through_current(made: Circuit) -> None:
    book = Book(made)
    ratings = {f: book.quantity("rating", f).high for f in book.members("fuse")}
    sources = {t for t in book.network.outputs(book.network.hard_sources)}
    sinks = set(book.network.sinks)
    for conductor in book.members("conductor")[:4]:
        one, two = ends_of(book, conductor)
        worst = max(
            max(
                min(most(made, s, conductor, sources, one, ratings), most(made, s, conductor, sinks, two, ratings)),
                min(most(made, s, conductor, sources, two, ratings), most(made, s, conductor, sinks, one, ratings)),
            )
            for s in brute.states_of(made)
        )
        assert book.quantity("through-current", conductor) == Range(worst, worst)


@MANY
@given(circuits(doubt=False))
def test_limited_sum(made: Circuit) -> None:
    book = Book(made)
    for conductor in book.members("conductor")[:6]:
        gone = adequate(book, conductor).surely | {conductor}
        worst, open_ended = 0.0, False
        for state in brute.states_of(made):
            live = brute.reach(made, ends_of(book, conductor), state, lambda e, gone=gone: e.kind != "joint" and e.element in gone)
            pushing = brute.awake(made, book.network, state)
            worst = max(worst, 20.0 * sum(c in pushing and f"{c} out positive" in live for c in book.members("charger")))
            # Nobody says what these alternators give: they count as giving nothing at least, and no end at most.
            open_ended = open_ended or any(a in pushing and f"{a} positive" in live for a in book.members("alternator"))
        assert book.quantity("limited-sum", conductor) == Range(worst, math.inf if open_ended else worst)


@MANY
@given(circuits(doubt=False), st.data())
def test_turning(made: Circuit, data: st.DataObject) -> None:
    book = Book(made)
    every = brute.states_of(made)
    for selector in book.members("selector"):
        words = made.elements[selector].properties.get("changes")
        tied = any(c.kind == "together" and any(n == selector for n, _ in c.literals) for c in made.constraints)
        if words is None or tied:
            continue
        makes = "make before break" in words.value  # type: ignore[operator]
        dial = book.space.named[selector].values
        posts = set(book.network.outputs(book.network.batteries))
        safe = True

        def alone(closed_at: set[str], state: brute.State, selector: str = selector, posts: set[str] = posts) -> dict[str, bool]:
            """Awake source to whether it meets a battery; the dial's own contacts closed where any of these positions closes them."""
            edges = []
            for edge in made.edges:
                if edge.element == selector and edge.kind != "joint":
                    on = any(brute.closed(edge, {**state, selector: p}) for p in closed_at)
                    guards = ((),) if on else ()
                    edges.append(type(edge)(edge.element, edge.a, edge.b, edge.kind, guards, guards))
                else:
                    edges.append(edge)
            here = type(made)(**{**made.__dict__, "edges": tuple(edges)})
            return {x: bool(posts & brute.reach(here, book.network.outputs((x,)), state)) for x in brute.awake(here, book.network, state)}

        pairs = [*itertools.pairwise(dial), (dial[-1], dial[0])]
        for state in every:
            family = [s for s in every if all(s[n] == v for n, v in state.items() if n != selector)]
            seen = {s[selector]: alone({s[selector]}, s) for s in family}
            between = [alone({a, b} if makes else set(), state) for a, b in pairs if a in seen and b in seen]
            all_seen = [*seen.values(), *between]
            for x in book.network.sources:
                if book.is_a(x, "battery") or book.is_a(x, "solar-array"):
                    continue
                if any(one.get(x) is False for one in all_seen) and any(one.get(x) for one in all_seen):
                    safe = False
        value = book.truth_of("turns-safely", selector)
        if makes:
            assert value is (Truth.YES if safe else Truth.NO)
        else:
            # Breaking first, a contact that both positions close may or may not open on the way: no worse than told, maybe not told.
            assert value is not Truth.YES or safe
            assert value is not Truth.NO or not safe
