"""The law: filling in a fact may settle an answer, and never turns one over. Every fact and relation worked out from the wiring is tried."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.language.world import Ways
from tests.circuit import brute
from tests.circuit.random_circuits import EXAMPLES, circuits, settled_capacity

MANY = settings(max_examples=EXAMPLES * 2, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much])
FACTS = {
    "conductor": (
        "unfused-length",
        "battery-end-unfused",
        "limited-sum",
        "through-current",
        "fed-from-both-ends",
        "thinner-tap",
        "charger-lead",
        "positive-side",
        "has-other-return",
        "reversed",
        "has-twin",
    ),
    "protection": ("two-way-duty", "live-unfused"),
    "selector": ("turns-safely",),
    "load": ("meets-common-negative",),
    "charger": ("meets-common-negative",),
    "part": ("negative-circuit",),
    "battery": ("in-parallel", "metered"),
    "coupling": ("has-own-return",),
}
RELATIONS = {
    "battery": ("awake-in", "battery-backed-in"),
    "charger": ("awake-in", "battery-backed-in"),
    "load": ("fed-in",),
    "switchgear": ("open-in",),
    "switch": ("bypassed-in",),
    "element": ("dead-in",),
}


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Circuit, Circuit, str]:
    """A circuit, the same with one thing more known, and what."""
    made = draw(circuits(max_edges=7))
    sort = draw(st.sampled_from(("rating", "corrected-capacity", "length", "contacts", "lists", "changes")))
    if sort == "lists":
        return replace(made, complete={"element": False}), made, sort
    if sort == "contacts":
        return made, draw(st.sampled_from(list(brute.completions(made))[:8])), sort
    if sort == "changes":
        open_dials = [n for n, e in made.elements.items() if e.kind == "selector" and "changes" not in e.properties]
        if not open_dials:
            return made, made, sort
        name = draw(st.sampled_from(open_dials))
        return made, settled_word(made, "changes", name, draw(st.sampled_from(("make before break", "break before make")))), sort
    kind = "fuse" if sort == "rating" else "conductor"
    names = [n for n, e in made.elements.items() if e.kind == kind and (sort not in e.properties or not e.properties[sort].value.known)]  # type: ignore[union-attr]
    if not names:
        return made, made, sort
    name = draw(st.sampled_from(names))
    stated = made.elements[name].properties.get(sort)
    low, high = (stated.value.low, stated.value.high) if stated is not None and isinstance(stated.value, Range) else (0.0, 100.0)
    return made, settled_capacity(made, sort, name, draw(st.sampled_from((low, high, (low + high) / 2)))), f"{sort} of {name}"


def settled_word(made: Circuit, word: str, name: str, value: str) -> Circuit:
    element = made.elements[name]
    return replace(made, elements={**made.elements, name: replace(element, properties={**element.properties, word: Reading(frozenset({value}))})})


def narrower(before: Reading, after: Reading) -> bool:
    old, new = before.value, after.value
    if isinstance(old, Range) and isinstance(new, Range):
        slack = 1e-9
        return old.low <= new.low + slack and new.high <= old.high + slack
    if isinstance(old, Truth):
        return old is Truth.UNKNOWN or old is new
    return not old or old >= new  # type: ignore[operator]


def check_readings(before: Book, after: Book, facts: Mapping[str, Iterable[str]], what: str) -> None:
    """Every fact of every element of a kind: what more is known of is never known less."""
    for kind, words in facts.items():
        for word in words:
            for element in before.members(kind):
                old, new = before.reading(word, element), after.reading(word, element)
                assert narrower(old, new), (what, word, element, old.value, new.value)


@MANY
@given(pairs())
def test_nothing_turns_over(pair: tuple[Circuit, Circuit, str]) -> None:
    less, more, what = pair
    before, after = Book(less), Book(more)
    check_readings(before, after, FACTS, what)
    for kind, words in RELATIONS.items():
        for word in words:
            for element in before.members(kind):
                one, two = before.relation(word, element, None), after.relation(word, element, None)
                assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), (what, word, element)
                assert (one.yes & one.no) == before.nothing and (two.yes & two.no) == after.nothing
    for charger in before.members("charger"):
        for battery in before.members("battery"):
            one, two = before.relation("charging", charger, battery), after.relation("charging", charger, battery)
            assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), (what, charger)
    starts = before.network.outputs(before.network.batteries)
    for conductor in before.members("conductor"):
        one, two = before.ways(fitting(before, starts, conductor)), after.ways(fitting(after, starts, conductor))
        assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), (what, conductor)
    for form_limit in (0.2, 0.6):
        question = {
            b: Ways("out of", starts[:1], meets=fitting(b, starts, before.members("conductor")[0]).meets, within=Reading(Range(form_limit, form_limit)))
            for b in (before, after)
        }
        one, two = before.ways(question[before]), after.ways(question[after])
        assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), what


def fitting(book: Book, starts: tuple[str, ...], conductor: str) -> Ways:
    from linter.facts.protection import adequate

    devices = adequate(book, conductor)
    return Ways("into", starts, (conductor,), meets={d: Truth.YES if d in devices.surely else Truth.UNKNOWN for d in devices.possibly}, wanting=devices.wants)


@MANY
@given(pairs())
def test_every_open_answer_asks_something(pair: tuple[Circuit, Circuit, str]) -> None:
    book = Book(pair[0])
    for word in ("unfused-length", "limited-sum", "through-current", "fed-from-both-ends"):
        for conductor in book.members("conductor"):
            reading = book.reading(word, conductor)
            open_ended = (isinstance(reading.value, Range) and not reading.value.known) or reading.value is Truth.UNKNOWN
            assert not open_ended or reading.wants, (word, conductor, reading)
    starts = book.network.outputs(book.network.batteries)
    for conductor in book.members("conductor"):
        answer = book.ways(fitting(book, starts, conductor))
        if (answer.yes | answer.no) != book.everything:
            assert answer.wants, conductor
