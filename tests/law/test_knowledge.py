"""The law: knowing less never turns "not met" or "cannot tell" into "met", and never "met" into "not met".

Each stated fact of each fixture is taken out, or widened, alone and in random sets, and every practice is judged again. Where the
vocabulary lets us assume a range, the law holds only for stated values inside it (design, part 4); others are left alone here.
"""

from __future__ import annotations

import datetime
import os
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linter import api
from linter.base.reading import Reading
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book, assumption
from linter.language.judge import compile_practice
from linter.language.world import TooMuchWork
from linter.survey import apply
from linter.vocabulary import vocabulary

ROOT = Path(__file__).resolve().parents[2] / "fixtures"
FIXTURES = ["honey-trailer/installation.yaml", "honey-trailer/mended.yaml", "mobile-library/installation.yaml", "oyster-boat/installation.yaml"]
Fact = tuple[str, str]
ON = datetime.date(2026, 11, 24)
# TUGTEST_THOROUGH=10 tries ten times as many sets, and each single fact against all topics rather than the basics.
THOROUGH = max(1, int(os.environ.get("TUGTEST_THOROUGH", "1") or "1"))


@cache
def circuit_of(name: str) -> Circuit:
    found, told = api.read((ROOT / name).read_bytes(), name)
    assert found is not None, told
    return found.circuit


@cache
def judges(pack: str):
    packs, told = api.packs_for([pack], on=ON)
    assert packs is not None, told
    return tuple((p, compile_practice(p, packs.checked)) for p in packs.checked.practices)


def outcomes(circuit: Circuit, pack: str = "all-topics") -> dict[tuple[str, str], str]:
    """Practice and element to outcome."""
    book = Book(circuit)
    found = {}
    for practice, judge in judges(pack):
        for element in book.members(practice.look.kind):
            book.begin()
            try:
                found[practice.name, element] = judge(book, element).outcome
            except TooMuchWork:
                found[practice.name, element] = "cannot tell"
    return found


@cache
def full_outcomes(name: str, pack: str = "all-topics") -> dict[tuple[str, str], str]:
    return outcomes(circuit_of(name), pack)


@cache
def facts_of(name: str) -> tuple[Fact, ...]:
    """Stated facts the law speaks of."""
    circuit = circuit_of(name)
    found = [(element.name, word) for element in circuit.elements.values() for word, reading in element.properties.items()
             if _lawful(element.kind, word, reading)]
    return tuple(found + [("", word) for word in circuit.stated])


def is_span(word: str) -> bool:
    return any(row.span for row in vocabulary().words.get(word, ()))


def _lawful(kind: str, word: str, reading: Reading) -> bool:
    row = vocabulary().said_of(word, kind)
    if row is None or not row.assume:
        return True
    assumed, stated = assumption(row), reading.value
    if isinstance(assumed, Range) and isinstance(stated, Range):
        return assumed.low <= stated.low and stated.high <= assumed.high
    if isinstance(assumed, frozenset) and isinstance(stated, frozenset):
        return stated <= assumed
    return assumed == stated


def without(circuit: Circuit, facts: list[tuple[Fact, float]]) -> Circuit:
    """The circuit with each fact taken out (share 0) or widened by a share of itself."""
    elements = dict(circuit.elements)
    stated = dict(circuit.stated)
    for (element, word), share in facts:
        holder = stated if not element else dict(elements[element].properties)
        reading = holder[word]
        if share and isinstance(reading.value, Range):
            low, high = reading.value.low, reading.value.high
            wide = Range(low - share * abs(low), high + share * abs(high))
            row = vocabulary().said_of(word, elements[element].kind if element else "installation")
            if row is not None and row.floor is not None:
                wide = Range(max(row.floor, wide.low), wide.high)
            holder[word] = replace(reading, value=wide)
        else:
            del holder[word]
            if word == "size":
                holder.pop("area", None)
                holder.pop("size-system-known", None)
        if element:
            elements[element] = replace(elements[element], properties=holder)
    return replace(circuit, elements=elements, stated=stated)


def broken(before: dict[tuple[str, str], str], after: dict[tuple[str, str], str]) -> list[str]:
    """Where the law was broken, in words."""
    return [f"{practice} on {element}: {before[practice, element]} became {outcome}" for (practice, element), outcome in after.items()
            if (outcome == "met" and before[practice, element] in ("not met", "cannot tell"))
            or (outcome == "not met" and before[practice, element] == "met")]


@pytest.mark.parametrize("name", FIXTURES)
def test_random_sets_of_facts(name: str) -> None:
    """Sets of facts taken out or widened together, drawn at random. A span is a fact at both ends: it is taken out, never widened."""

    @settings(max_examples=4 * THOROUGH, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.lists(st.tuples(st.sampled_from(facts_of(name)), st.sampled_from((0.0, 0.1, 0.5))), min_size=1, max_size=12, unique_by=lambda f: f[0]))
    def law(facts: list[tuple[Fact, float]]) -> None:
        changed = without(circuit_of(name), [f for f in facts if f[0][1] not in ("area", "size-system-known") and not (f[1] and is_span(f[0][1]))])
        assert not broken(full_outcomes(name), outcomes(changed)), facts

    law()


@pytest.mark.parametrize("part", range(8))
@pytest.mark.parametrize("name", FIXTURES[:1])
def test_each_fact_alone(name: str, part: int) -> None:
    """Stated facts of the rig, each taken out alone; words of one kind behave alike, so each word and kind once, and a third of them in everyday runs."""
    circuit = circuit_of(name)
    seen, chosen = set(), []
    for element, word in facts_of(name):
        kind = circuit.elements[element].kind if element else "installation"
        if (kind, word) not in seen or word in ("rating", "short-circuit-current", "length", "size", "place-of", "isolated"):
            seen.add((kind, word))
            chosen.append((element, word))
    wrong = []
    for fact in chosen[part::8 if THOROUGH > 1 else 24]:
        if fact[1] in ("area", "size-system-known"):
            continue
        pack = "all-topics" if THOROUGH > 1 else "low-voltage-basics"
        wrong += [f"{fact}: {line}" for line in broken(full_outcomes(name, pack), outcomes(without(circuit, [(fact, 0.0)]), pack))]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", FIXTURES)
def test_what_cannot_be_told_asks_for_something(name: str) -> None:
    """However much is taken out: "cannot tell" comes with a question, or says that it was too much to work out."""

    @settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(st.lists(st.sampled_from(facts_of(name)), min_size=5, max_size=60, unique=True))
    def asked(facts: list[Fact]) -> None:
        packs, _ = api.packs_for(["all-topics"], on=ON)
        found, _ = api.read((ROOT / name).read_bytes(), name)
        assert packs is not None and found is not None
        circuit = without(circuit_of(name), [(fact, 0.0) for fact in facts if fact[1] not in ("area", "size-system-known")])
        told = apply.survey(found.described, circuit, Book(circuit), packs, on=ON)
        silent = [f"{one.practice} on {one.element}" for one in told.findings if one.outcome == "cannot tell" and not one.questions and not one.remarks]
        assert not silent

    asked()
