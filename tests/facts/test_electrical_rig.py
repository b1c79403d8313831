"""Electrical facts on the honey trailer, against the worked numbers of the practice notes."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_description import circuit_of
from linter.description.build import describe
from linter.facts.book import Book

FIXTURE = Path(__file__).parents[2] / "fixtures" / "honey-trailer" / "installation.yaml"


@cache
def rig(*, settled: bool = True) -> Book:
    text = FIXTURE.read_bytes()
    if not settled:
        planned = b"    short-circuit current: {is: 3 kA, how: planning value}\n"
        assert planned in text
        text = text.replace(planned, b"")
    described, troubles = describe(text, "installation.yaml")
    assert described is not None and not troubles
    return Book(circuit_of(described)[0])


@pytest.mark.parametrize(("element", "amps"), [
    ("W11", "53.5"), ("F1", "53.5"), ("W13", "13.3"), ("F2", "13.3"), ("F5", "145.0"), ("F6", "145.0"), ("T1", "145.0"), ("bar 1", "290.0"), ("K2", "290.0"),
    ("load bar", "290.0"), ("bank bar", "290.0"), ("W31", "202.0"), ("F13", "54.0"), ("W34", "9.0"), ("W35", "30.0"), ("F7", "40.0"), ("F8", "35.0"),
        ("F9", "25.0"),
    ("W28", "11.6"), ("W42", "38.6"), ("W41a", "12.9"), ("W15", "173.0"), ("B2", "173.0"), ("W16", "85.0"), ("bond", "0.0"), ("shunt", "290.0"),
        ("X1", "53.5")])
def test_worst_current(element: str, amps: str) -> None:
    value = rig().quantity("worst-current", element)
    assert value.known and f"{value.high:.1f}" == amps


def test_the_lift_link_at_worst() -> None:
    # 123.7 A in the notes, where the dial counts with one contact; here half of its resistance lies in the lift battery's leg.
    book = rig()
    for element in ("W17", "W22", "W17n", "F16", "X3"):
        value = book.quantity("worst-current", element)
        assert value.known and abs(value.high - 123.7) < 0.4
    states = book.reading("worst-current", "F16").states
    assert book.describe_states(states) == "engine runs, sun shines, shore connected, K1 both, K2 on, X3 mated"
    assert book.quantity("worst-current", "X3").low > 0.8 * book.quantity("contact-limit", "X3").high


def test_an_unstated_short_circuit_current_widens_the_link_and_nothing_else() -> None:
    text = rig(settled=False)
    value = text.quantity("worst-current", "F16")
    assert value.low < 123 < value.high
    assert {str(w) for w in text.reading("worst-current", "F16").wants} == {"short-circuit-current of B2"}


def test_states_and_loads_are_named() -> None:
    book = rig()
    reading = book.reading("worst-current", "bar 1")
    assert book.describe_states(reading.states) == "K2 on, X3 parted"
    assert reading.through[0] == "inverter"
    assert reading.working is not None and "K2 on, X3 parted" in reading.working()[0].numbers


@pytest.mark.parametrize(("wire", "printed"), [("W11", "117.2"), ("W17", "145.6"), ("W22", "152.7"), ("W23a", "249.4"), ("W25b", "96.3"), ("W34",
    "18.8"), ("W41a", "22.7")])
def test_capacity(wire: str, printed: str) -> None:
    assert f"{rig().quantity('corrected-capacity', wire).low:.1f}" == printed


def test_ratings_in_the_heat() -> None:
    book = rig()
    assert f"{0.75 * book.quantity('usable-rating', 'F1').low:.1f}" == "54.6"
    assert f"{0.75 * book.quantity('usable-rating', 'F16').low:.1f}" == "90.9"
    assert f"{0.8 * book.quantity('contact-limit', 'X1').low:.1f}" == "83.1"
    assert f"{0.8 * book.quantity('contact-limit', 'X3').low:.1f}" == "121.2"
    # Fuses leaving BOTH aside stay within three quarters of what the heat leaves.
    for number in (1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 17, 18):
        assert book.quantity("load-share", f"F{number}").high <= 0.75 * (1 + 1e-9), number
    assert book.quantity("load-share", "F16").low > 0.75


def test_drops_stay_within_their_limits() -> None:
    book = rig()
    assert book.quantity("drop-share", "brake unit").high <= 0.03
    assert book.quantity("drop-share", "inverter").high <= 0.02
    assert f"{book.quantity('voltage-drop', 'inverter').high:.2f}" == "0.18"
    for load in ("extractor motor", "honey pump", "warming cabinet", "lamps", "hive lift"):
        assert book.quantity("drop-share", load).high <= 0.10


def test_every_device_can_break_its_short() -> None:
    book = rig()
    for device in book.members("protection"):
        assert book.quantity("prospective-short", device).high <= book.quantity("breaking-capacity", device).low, device
    assert 7000 < book.quantity("prospective-short", "F13").high < 9000
    assert 660 < book.quantity("prospective-short", "F17").high < 850


def test_far_end_shorts() -> None:
    book = rig()
    assert book.quantity("far-end-multiple", "W34").high < 3.5
    assert book.truth_of("overload-possible", "W34") is Truth.YES
    assert book.quantity("far-end-multiple", "W22").high < 3.5
    for wire in ("W11", "W12", "W21", "W13", "W14", "W33", "W35", "W36", "W37", "W28"):
        assert book.quantity("far-end-multiple", wire).low >= 3.5, wire
    # The pump's lead hangs on W32 with no device between: a short at the pump runs through both, and F13 is all there is for either.
    assert book.quantity("far-end-multiple", "W32") == book.quantity("far-end-multiple", "W34")


def test_sun_bank_and_voltages() -> None:
    book = rig()
    assert f"{book.quantity('cold-voltage', 'P1').high:.1f}" == "26.7"
    assert f"{book.quantity('reverse-current', 'P1').high:.2f}" == "25.75"
    assert book.quantity("bank-charge-limit", "T1") == Range(130, 130)
    assert book.quantity("bank-charge-limit", "B2") == Range(15, 15)
    assert f"{book.quantity('highest-voltage', 'F1').high:.1f}" == "14.8"
    assert f"{book.quantity('highest-voltage', 'F18').high:.1f}" == "26.7"


def test_every_reading_shows_its_working() -> None:
    book = rig()
    for word, kind in (("worst-current", "conductor"), ("corrected-capacity", "conductor"), ("voltage-drop", "load"), ("prospective-short", "protection"),
                       ("breaking-capacity", "protection"), ("feed-current", "load"), ("cold-voltage", "solar-array"), ("usable-rating", "protection")):
        for element in book.members(kind):
            reading = book.reading(word, element)
            if reading.gap is None:
                assert reading.working is not None and reading.working(), (word, element)
