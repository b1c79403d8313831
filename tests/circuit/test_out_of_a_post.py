"""Ways out of a post, against a walk along every way in every state and every completion."""

from __future__ import annotations

import itertools

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.language.world import Ways
from tests.circuit import brute
from tests.circuit.random_circuits import EXAMPLES, circuits
from tests.circuit.test_against_brute_force import as_set
from tests.circuits import circuit, part

MANY = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much])


def out(start: str, meets: dict[str, Truth], within: float | tuple[float, float] | None = None, **more: object) -> Ways:
    reading = None if within is None else Reading(Range(*within) if isinstance(within, tuple) else Range(within, within))
    return Ways("out of", (start,), meets=meets, within=reading, **more)  # type: ignore[arg-type]


def walk(made: Circuit, book: Book, start: str, state: brute.State, fitting: set[str], lengths: dict[str, float], limit: float) -> tuple[bool, bool]:
    """Whether some way goes bare (ends without a device, or runs over the limit before one); and whether the bare stretch has a ring."""
    bare = False
    ring = False

    def on(here: str, distance: float, seen: tuple[str, ...], came: int) -> None:
        nonlocal bare, ring
        if here != start and (book.network.is_end(here) or distance > limit + 1e-9):
            bare = True
        for number, edge in enumerate(made.edges):
            if number == came or here not in (edge.a, edge.b) or not brute.closed(edge, state) or (edge.kind != "joint" and edge.element in fitting):
                continue
            other = edge.b if edge.a == here else edge.a
            if other in seen:
                ring = True
                continue
            on(other, distance + lengths.get(edge.element, 0.0), (*seen, other), number)

    on(start, 0.0, (start,), -1)
    return bare, ring


@MANY
@given(circuits(max_edges=6), st.data())
def test_against_every_way(made: Circuit, data: st.DataObject) -> None:
    book = Book(made)
    every = brute.states_of(made)
    assume(len(every) <= 60)
    meets = {f: data.draw(st.sampled_from((Truth.YES, Truth.NO, Truth.UNKNOWN)), f) for f in book.members("fuse")}
    limit = data.draw(st.sampled_from((0.2, 0.5, 1.2)), "limit")
    start = "B0 positive"
    answer = book.ways(out(start, meets, limit))
    unknown = [f for f, t in meets.items() if t is Truth.UNKNOWN]
    wide = [w for w in book.members("conductor") if not book.quantity("length", w).known]
    assume(len(unknown) + len(wide) <= 7)
    fine, bad, rings = set(range(len(every))), set(range(len(every))), set()
    for c in brute.completions(made):
        for choice in itertools.product((False, True), repeat=len(unknown) + len(wide)):
            fitting = {f for f, t in meets.items() if t is Truth.YES} | {f for f, yes in zip(unknown, choice, strict=False) if yes}
            longer = {w for w, yes in zip(wide, choice[len(unknown) :], strict=True) if yes}
            lengths = {w: book.quantity("length", w).high if w in longer else book.quantity("length", w).low for w in book.members("conductor")}
            for i, state in enumerate(every):
                bare, ring = walk(c, book, start, state, fitting, lengths, limit)
                (fine if bare else bad).discard(i)
                if ring:
                    rings.add(i)
    yes, no = as_set(book.space, answer.yes, every), as_set(book.space, answer.no, every)
    assert yes <= fine and no <= bad
    # Where no completion has a ring the answer is exact; with one it may only be more careful.
    assert yes - rings == fine - rings
    assert no - rings == bad - rings


def row(*lengths: str, rating: int = 100, loop: bool = False) -> Book:
    things = [
        part("B1", "battery"),
        part("F1", "fuse", rating=rating),
        part("F2", "fuse", rating=rating),
        part("J", "junction"),
        part("L", "load"),
        part("M", "load"),
    ]
    routes = [f"B1 positive, W1 {lengths[0]}, J", f"J, W2 {lengths[1]}, F1, W5 1 m, L positive", f"J, W3 {lengths[2]}, F2, W6 1 m, M positive"]
    if loop:
        routes.append("B1 positive, W4 50 mm, J")
    return Book(circuit(things, routes))


BOTH = {"F1": Truth.YES, "F2": Truth.YES}


def test_branches() -> None:
    book = row("100 mm", "50 mm", "90 mm")
    assert book.ways(out("B1 positive", BOTH, 0.2)).yes == book.everything
    answer = book.ways(out("B1 positive", BOTH, 0.18))
    assert answer.no == book.everything and answer.through[0] == "B1" and "W3" in answer.through
    assert book.ways(out("B1 positive", {"F1": Truth.YES}, 0.2)).no == book.everything


def test_unknown_device_and_length_ask() -> None:
    book = row("100 mm", "50 mm", "0 to 150 mm")
    answer = book.ways(out("B1 positive", BOTH, 0.2))
    assert answer.yes == book.nothing and answer.no == book.nothing
    assert answer.wants == {FactRef("W3", "length")}
    doubted = Ways(
        "out of",
        ("B1 positive",),
        meets={"F1": Truth.YES, "F2": Truth.UNKNOWN},
        wanting={"F2": frozenset({FactRef("F2", "rating")})},
        within=Reading(Range(1.0, 1.0)),
    )
    assert FactRef("F2", "rating") in book.ways(doubted).wants
    assert book.ways(doubted).yes == book.nothing and book.ways(doubted).no == book.nothing


def test_ring_before_the_device() -> None:
    book = row("60 mm", "20 mm", "20 mm", loop=True)
    assert book.ways(out("B1 positive", BOTH, 0.2)).yes == book.everything
    answer = book.ways(out("B1 positive", BOTH, 0.1))
    assert answer.yes == book.nothing and answer.no == book.nothing and answer.note == "loop before the first device"
    assert book.ways(out("B1 positive", BOTH, 0.06)).no == book.everything


def test_post_with_nothing_on_it() -> None:
    book = Book(circuit([part("B1", "battery")], []))
    answer = book.ways(out("B1 positive", {}, 0.2))
    assert answer.yes == book.everything and answer.note == "no way between them"


def test_open_switch_ends_a_branch_without_blame() -> None:
    things = [part("B1", "battery"), part("S", "switch"), part("F1", "fuse", rating=30), part("L", "load")]
    book = Book(circuit(things, ["B1 positive, W1 100 mm, S, W2 50 mm, F1, W3 1 m, L positive"]))
    assert book.ways(out("B1 positive", {"F1": Truth.YES}, 0.2)).yes == book.everything
    late = book.ways(out("B1 positive", {"F1": Truth.YES}, 0.12))
    assert book.describe_states(late.no) == "S on" and book.describe_states(late.yes) == "S off"


def test_bus_as_the_thing_met() -> None:
    things = [part("L", "load"), part("B1", "battery"), part("N", "bus", common_negative=True)]
    book = Book(circuit(things, ["L negative, W1 1 m, N", "N, W2 1 m, B1 negative"]))
    to = Ways("to", ("L negative",), ("B1 negative",), meets={"N": Truth.YES})
    assert book.ways(to).yes == book.everything
    assert book.ways(Ways("to", ("L negative",), ("B1 negative",))).no == book.everything
    assert book.ways(Ways("to", ("L negative",), ("B1 negative",))).through == ("L", "W1", "N", "W2", "B1")
    assert book.ways(out("L negative", {"N": Truth.YES}, 1.0)).yes == book.everything
    assert book.ways(out("L negative", {"N": Truth.YES}, 0.5)).no == book.everything
    assert book.ways(Ways("to", ("L positive",), ("B1 negative",))).note == "no way between them"


def test_a_joint_stays_when_its_device_goes() -> None:
    """Current from a wire on the fuse's load stud into the switch bolted to it does not pass the fuse."""
    things = [part("B1", "battery"), part("B2", "battery"), part("F1", "fuse", rating=30), part("S", "switch", taken="on"), part("L", "load")]
    book = Book(circuit(things, ["B1 positive, 0 mm, F1, 0 mm, S, W1 1 m, L positive", "B2 positive, W2 1 m, F1 load"]))
    answer = book.ways(Ways("into", ("B1 positive", "B2 positive"), ("W1",), meets={"F1": Truth.YES}))
    assert answer.no == book.everything and answer.through[0] == "B2"
    assert book.ways(Ways("into", ("B1 positive",), ("W1",), meets={"F1": Truth.YES})).yes == book.everything
