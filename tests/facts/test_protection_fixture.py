"""The worked numbers again, on the written fixture: description, circuit and facts together."""

from __future__ import annotations

from pathlib import Path

import pytest

from linter.base.truth import Truth
from linter.circuit.from_description import circuit_of
from linter.description.build import describe
from linter.facts.book import Book
from linter.facts.protection import unprotected, unprotected_from

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def opened(name: str) -> Book:
    described, troubles = describe((FIXTURES / name).read_bytes(), name)
    assert described is not None and not troubles
    circuit, troubles = circuit_of(described)
    assert not troubles
    return Book(circuit)


@pytest.fixture(scope="module")
def book() -> Book:
    return opened("honey-trailer/installation.yaml")


def test_counts(book: Book) -> None:
    assert book.count(book.everything) == 192
    assert book.count(book.relation("joined-with", "B2", "T1").yes) == 8
    assert book.count(book.relation("bypassed-in", "K2", None).yes) == 8
    assert book.describe_states(book.relation("joined-with", "B2", "T1").yes) == "K1 both, K2 on, X3 mated"


def test_unprotected(book: Book) -> None:
    judged = [c for c in book.members("conductor") if book.truth_of("factory", c) is Truth.NO]
    naked = {name: set(unprotected_from(book, name)) for name in judged if unprotected(book, name)[1] != book.nothing}
    assert naked == {
        "W23a": {"T1"},
        "W24a": {"T2"},
        "W25b": {"T1", "T2", "B2"},
        "W17": {"B2"},
        "W22": {"B2"},
        "W34": {"T1", "T2", "B2"},
    }
    counts = {name: book.count(unprotected(book, name)[0]) for name in ("W34", "W17", "W22", "W25b")}
    assert counts == {"W34": 104, "W17": 48, "W22": 16, "W25b": 192}


def test_mended() -> None:
    book = opened("honey-trailer/mended.yaml")
    assert book.count(book.everything) == 144
    naked = {c for c in book.members("conductor") if book.truth_of("factory", c) is Truth.NO and unprotected(book, c)[1] != book.nothing}
    assert naked == {"W23a", "W24a"}


@pytest.mark.parametrize(("name", "states"), [("mobile-library/installation.yaml", 8), ("oyster-boat/installation.yaml", 16)])
def test_others(name: str, states: int) -> None:
    book = opened(name)
    assert book.count(book.everything) == states
    for conductor in book.members("conductor"):
        assert book.truth_of("reversed", conductor) is Truth.NO, conductor
        assert book.truth_of("positive-side", conductor) is not book.truth_of("negative-side", conductor), conductor
        assert book.quantity("unfused-length", conductor).bounded, conductor
