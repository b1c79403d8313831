"""Spaces of states: counting, words, both ways of holding a set, and where it ends."""

from __future__ import annotations

import pytest

from linter.circuit.model import Constraint, Variable
from linter.circuit.states import DiagramStates, ListedStates, StateSpace, TooManyStates, literal, make_space
from linter.facts.book import Book
from linter.facts.registry import announced
from linter.vocabulary import vocabulary
from tests.benchmarks.many_selectors import fan
from tests.circuits import circuit, part

K = Variable("K1", ("flatbed", "both", "trailer", "off"), ring=True)
S = Variable("K2", ("on", "off"))
X = Variable("X3", ("mated", "parted"))


@pytest.fixture(params=[ListedStates, DiagramStates])
def space(request: pytest.FixtureRequest) -> StateSpace:
    made: StateSpace = request.param((K, S, X), (Constraint("apart", (literal("K1", "off"), literal("K2", "on"))),))
    return made


def test_words(space: StateSpace) -> None:
    assert space.count(space.everything) == 14
    assert space.describe(space.everything) == "every state" and space.describe(space.nothing) == "no state"
    assert space.describe(space.of((literal("K1", "both"),))) == "K1 both"
    assert space.describe(space.of((literal("K1", "both"), literal("K2", "on"), literal("X3", "mated")))) == "K1 both, K2 on, X3 mated"
    assert space.describe(space.of((literal("K1", "both", "trailer"),))) == "K1 both or trailer"
    assert space.describe(space.of((literal("K1", "flatbed", "both", "trailer"),))) == "K1 not off"
    two = space.of((literal("K1", "both"), literal("K2", "on"))) | space.of((literal("K1", "trailer"), literal("X3", "parted")))
    assert space.describe(two) == "K1 both, K2 on or K1 trailer, X3 parted"


def test_moves_and_forgetting(space: StateSpace) -> None:
    on = space.of((literal("K2", "on"),))
    assert space.describe(space.forget(space.of((literal("K1", "both"), literal("X3", "mated"))), "K1")) == "X3 mated"
    assert space.neighbours("K1")[-1] == ("off", "flatbed")
    assert space.count(on) == 6 and space.count(space.without(space.everything, on)) == 8
    assert space.of((("nobody", frozenset({"on"})),)) == space.nothing


def test_large_spaces_are_drawn_and_small_ones_listed() -> None:
    assert isinstance(make_space((K, S, X)), ListedStates)
    many = make_space(tuple(Variable(f"V{i}", ("a", "b", "c")) for i in range(40)))
    assert isinstance(many, DiagramStates)
    assert many.count(many.everything) == 3**40
    assert many.describe(many.of((literal("V7", "a"), literal("V30", "b", "c")))) == "V7 a, V30 not a"


def test_too_many_states_names_the_switches() -> None:
    # Matching every variable with one far away needs a node for each half-way combination.
    variables = tuple(Variable(f"V{i}", ("a", "b", "c")) for i in range(40))
    space = DiagramStates(variables, (), most=20_000)
    same = space.everything
    with pytest.raises(TooManyStates, match=r"too many states \(V0, V1"):
        for i in range(20):
            alike = space.nothing
            for value in ("a", "b", "c"):
                alike = alike | space.of((literal(f"V{i}", value), literal(f"V{i + 20}", value)))
            same = same & alike


def test_forty_selectors_answer_at_once() -> None:
    book = Book(fan(40))
    assert book.count(book.everything) == 3**40
    first, last = book.relation("fed-in", "L0", None), book.relation("fed-in", "L39", None)
    assert book.describe_states(first.yes) == "K0 one"
    assert (first.yes | first.no) == book.everything and (last.yes | last.no) == book.everything


def test_too_many_states_is_cannot_tell() -> None:
    things = [part("B1", "battery"), part("L", "load"), part("K", "switch")]
    book = Book(circuit(things, ["B1 positive, W1 1 m, K, W2 1 m, L positive"]))

    def overflow(*_: object, **__: object) -> object:
        raise TooManyStates(("K",))

    book.reach.between = overflow  # type: ignore[method-assign,assignment]
    book.reach.spread = overflow  # type: ignore[method-assign,assignment]
    answer = book.relation("fed-in", "L", None)
    assert answer.yes == book.nothing and answer.no == book.nothing and answer.note == "too many states (K)"
    reading = book.reading("live-unfused", "L")
    assert reading.gap is not None and reading.gap.reason == "too many states (K)"


def test_every_word_that_is_worked_out_is() -> None:
    facts, relations = announced()
    rows = [row for rows in vocabulary().words.values() for row in rows]
    assert {row.word for row in rows if row.sort == "relation"} <= relations
    missing = {row.word for row in rows if row.sort == "fact"} - facts
    assert missing <= ELSEWHERE, missing - ELSEWHERE


# Worked out by the electrical modules of the facts room.
ELSEWHERE = {
    "corrected-capacity",
    "area",
    "hottest-passed",
    "worst-current",
    "load-share",
    "usable-rating",
    "prospective-short",
    "breaking-capacity",
    "far-end-multiple",
    "overload-possible",
    "voltage-drop",
    "drop-share",
    "feed-current",
    "cold-voltage",
    "reverse-current",
    "bank-charge-limit",
    "highest-voltage",
    "contact-limit",
    "other-return-capacity",
    "battery-short",
}
