"""What a fact asks for, and what it does not: nothing that is known, nothing nobody can answer, nothing that does not concern it."""

from __future__ import annotations

import pytest

from linter.base.truth import Truth
from linter.base.values import Range
from linter.facts.book import Book
from tests.circuits import circuit, part

COPPER = {"area": 6e-6, "insulation": 105, "material": "copper", "passes": "shed"}


def guarded(kind: str, family: object = None, across: float | None = None) -> Book:
    """A battery, a device of 60 A and a load on three metres of 6 mm² said to carry 20 A."""
    things = [part("shed", "place", ambient=20),
              part("B", "battery", chemistry="AGM lead-acid", capacity=60 * 3600, nominal_voltage=12, short_circuit_current=1600),
              part("F", kind, rating=60, family=family, resistance_across=across), part("L", "load", current=5, nominal_voltage=12)]
    return Book(circuit(things, ["B positive, 0 mm, F, W 3 m, L positive", "L negative, V 3 m, B negative"],
                        wires={"W": {**COPPER, "rated-current": 20}, "V": COPPER}, facts={"system-voltage": 12}))


@pytest.mark.parametrize(("kind", "family", "asked", "reason"), [
    ("fuse", "cartridge", False, "no opening times are tabled for the family cartridge"),
    ("fuse", frozenset({"cartridge", "class T"}), True, "not known yet"),
    ("fuse", None, True, "not known yet"),
    ("breaker", None, False, "no opening times are tabled for a breaker"),
])
def test_a_family_that_is_known_is_not_asked(kind: str, family: object, asked: bool, reason: str) -> None:
    found = guarded(kind, family).reading("outlasts-its-fuse", "W")
    assert found.value is Truth.UNKNOWN and found.gap is not None and found.gap.reason == reason
    assert ("family" in {w.word for w in found.wants}) is asked


def test_a_drop_waits_for_what_its_device_takes() -> None:
    # A cartridge takes 1 to 10 mΩ, at 5 A and of 12 V; measured, it takes 2.
    open_, told = guarded("fuse", "cartridge"), guarded("fuse", "cartridge", 2e-3)
    wide, exact = open_.reading("drop-share", "L"), told.reading("drop-share", "L")
    assert {str(w) for w in wide.wants} == {"resistance-across of F"}
    assert isinstance(wide.value, Range) and isinstance(exact.value, Range) and exact.value.known
    assert wide.value.high - wide.value.low == pytest.approx(5 * 9e-3 / 12)
    assert exact.value.low - wide.value.low == pytest.approx(5 * 1e-3 / 12)


def camper(kind: str, closed: str) -> Book:
    """A house battery with a lamp; while the engine runs a relay joins it with the alternator. The fridge's element hangs on it by a relay or a switch."""
    things = [part("H", "battery", usual_voltage=12.5), part("G", "alternator"), part("R", "relay", closed="engine runs"), part("Q", kind, closed=closed),
              part("element", "load", current=10, average_power=100), part("lamp", "load", current=4, average_power=50, hours_a_day=4 * 3600)]
    return Book(circuit(things, ["G positive, W1 1 m, R, W2 1 m, H positive", "H positive, W3 1 m, Q, W4 1 m, element positive",
                                 "H positive, W5 1 m, lamp positive"]))


def test_what_meets_a_bank_with_the_engine_only_lives_on_the_alternator() -> None:
    # 50 W for four hours; of the element nothing is asked.
    found = camper("relay", "engine runs").reading("daily-use", "H")
    assert isinstance(found.value, Range) and found.value.known and found.value.low == pytest.approx(200 * 3600)


def test_what_may_meet_it_without_the_engine_is_asked() -> None:
    assert {str(w) for w in camper("switch", "").reading("daily-use", "H").wants} == {"hours-a-day of element"}


def test_a_chassis_is_not_outdoors() -> None:
    things = [part("road", "place", exposure="salt"), part("N", "chassis", place_of="road"), part("M", "chassis"), part("J", "junction", place_of="road")]
    book = Book(circuit(things, []))
    assert [book.truth_of("outdoors", name) for name in "NMJ"] == [Truth.NO, Truth.NO, Truth.YES]


def test_a_belief_about_the_start_makes_no_motor() -> None:
    book = Book(circuit([part("L", "load", nominal_voltage=24), part("M", "load", start_voltage_at_least=10)], []))
    assert [book.truth_of("motor", name) for name in "LM"] == [Truth.NO, Truth.YES]
    assert book.quantity("start-voltage-at-least", "L") == Range(16, 21)
