"""Checks somebody signed for: what a record covers, what it needs to count, and when it lapses."""

from __future__ import annotations

import datetime

import pytest

from linter import api
from linter.base.truth import Truth

ON = datetime.date(2026, 11, 25)
BASE = """\
tugtest: 1
title: Pump cart
system: 12 V
listed: everything
parts:
  B1: {kind: battery, chemistry: AGM lead-acid, capacity: 100 Ah}
  F1: {kind: fuse, rating: 30 A}
  F2: {kind: fuse, rating: 20 A}
  N1: {kind: bus}
  L1: {kind: load, current: 10 A}
  L2: {kind: load, current: 10 A}
runs:
  main: [B1 positive, W1 1 m, F1, W2 1 m, N1]
  pump: [N1, W3 2 m, L1 positive]
  lamp: [N1, W4 2 m, F2, W5 1 m, L2 positive]
  back: [L1 negative, W6 3 m, B1 negative]
  second back: [L2 negative, W7 3 m, B1 negative]
"""
SIGNED = "attested:\n  - {what: crimps tugged, on: 2026-05-03, by: owner, how: by hand}\n"


def truth_of(text: str, wire: str, on: datetime.date | None = ON) -> Truth:
    found, told = api.read((BASE + text).encode(), "cart.yaml", on=on)
    assert found is not None, told
    return found.book.truth_of("crimps-tugged", wire)


def reason(text: str, wire: str) -> str:
    found, _ = api.read((BASE + text).encode(), "cart.yaml", on=ON)
    assert found is not None
    gap = found.book.reading("crimps-tugged", wire).gap
    return gap.reason if gap else ""


def test_nobody_signed() -> None:
    assert truth_of("", "W1") is Truth.UNKNOWN
    assert reason("", "W1") == "not stated"


def test_a_record_without_elements_covers_all_it_is_said_of() -> None:
    assert {truth_of(SIGNED, f"W{n}") for n in range(1, 8)} == {Truth.YES}


def test_a_record_covers_only_what_it_names() -> None:
    text = "attested:\n  - {what: crimps-tugged, of: [W1, W2], on: 2026-05-03, by: owner, role: installer, how: by hand}\n"
    assert truth_of(text, "W2") is Truth.YES
    assert truth_of(text, "W3") is Truth.UNKNOWN


def test_one_record_may_speak_of_several_checks() -> None:
    text = SIGNED.replace("what: crimps tugged", "what: [crimps tugged, lugs in order, blessed by the parish]")
    found, told = api.read((BASE + text).encode(), "cart.yaml", on=ON)
    assert found is not None and not told
    assert len(found.described.attested) == 3
    assert found.book.truth_of("crimps-tugged", "W1") is Truth.YES


def test_it_must_say_by_what_means() -> None:
    text = "attested:\n  - {what: crimps tugged, on: 2026-05-03, by: owner}\n"
    assert truth_of(text, "W1") is Truth.UNKNOWN
    assert "by what means" in reason(text, "W1")


def test_nobody_signs_for_tomorrow() -> None:
    text = SIGNED.replace("2026-05-03", "2026-11-26")
    assert truth_of(text, "W1") is Truth.UNKNOWN
    assert truth_of(text, "W1", datetime.date(2026, 11, 26)) is Truth.YES


def test_a_check_that_failed_is_known_to_have_failed() -> None:
    assert truth_of(SIGNED.replace("by hand", "by hand, result: failed"), "W1") is Truth.NO


@pytest.mark.parametrize(("first", "second", "expected"), [
    ("2026-05-03, result: failed", "2026-05-04, result: passed", Truth.YES), ("2026-05-04, result: passed", "2026-05-03, result: failed", Truth.YES),
    ("2026-05-04, result: failed", "2026-05-03, result: passed", Truth.NO), ("2026-05-03, result: passed", "2026-05-03, result: failed", Truth.NO),
    ("2026-05-03, result: failed", "2026-05-03, result: passed", Truth.NO)])
def test_the_later_record_counts_and_of_one_day_the_worse(first: str, second: str, expected: Truth) -> None:
    text = "attested:\n" + "".join(f"  - {{what: crimps tugged, by: owner, how: by hand, on: {on}}}\n" for on in (first, second))
    assert truth_of(text, "W1") is expected


def test_work_on_the_same_circuit_lapses_it_and_on_another_does_not() -> None:
    text = SIGNED + "changes:\n  - {what: lamp swapped, on: 2026-06-01, of: [L2]}\n"
    assert truth_of(text, "W4") is Truth.UNKNOWN, "through the fuse, as far as the bar"
    assert truth_of(text, "W5") is Truth.UNKNOWN
    assert truth_of(text, "W7") is Truth.UNKNOWN
    assert truth_of(text, "W3") is Truth.YES, "beyond the bar"
    assert "lamp swapped, 2026-06-01" in reason(text, "W4")


def test_work_on_a_bar_touches_what_is_bolted_to_it() -> None:
    text = SIGNED + "changes:\n  - {what: bar moved, on: 2026-06-01, of: [N1]}\n"
    assert {truth_of(text, wire) for wire in ("W2", "W3", "W4")} == {Truth.UNKNOWN}
    assert truth_of(text, "W6") is Truth.UNKNOWN, "through the load, as far as the battery"


def test_work_that_names_nothing_lapses_everything() -> None:
    text = SIGNED + "changes:\n  - {what: tidied up, on: 2026-06-01}\n"
    assert {truth_of(text, f"W{n}") for n in range(1, 8)} == {Truth.UNKNOWN}


def test_a_meter_aboard_stays_aboard_whatever_is_worked_on() -> None:
    text = SIGNED.replace("crimps tugged", "[meter carried, owner notes written]") + "changes:\n  - {what: lamp swapped, on: 2026-06-01, of: [L2]}\n"
    found, _ = api.read((BASE + text).encode(), "cart.yaml", on=ON)
    assert found is not None
    assert found.book.truth_of("meter-carried", "") is Truth.YES
    assert found.book.truth_of("owner-notes-written", "") is Truth.UNKNOWN


@pytest.mark.parametrize(("day", "expected"), [("2026-05-02", Truth.YES), ("2026-05-03", Truth.YES), ("2026-05-04", Truth.UNKNOWN)])
def test_work_before_or_on_the_day_leaves_it_standing(day: str, expected: Truth) -> None:
    assert truth_of(SIGNED + f"changes:\n  - {{what: lamp swapped, on: {day}, of: [L2]}}\n", "W5") is expected


def test_a_check_said_only_of_the_wrong_things_is_told() -> None:
    text = "attested:\n  - {what: crimps tugged, of: [B1], on: 2026-05-03, by: owner, how: by hand}\n"
    found, told = api.read((BASE + text).encode(), "cart.yaml")
    assert found is not None
    assert [one.kind for one in told] == ["unknown-check"]
    assert truth_of(text.replace("[B1]", "[B1, W1]"), "W1") is Truth.YES


def test_a_slip_of_the_pen_is_told_and_words_of_ones_own_are_not() -> None:
    found, told = api.read((BASE + SIGNED.replace("crimps tugged", "crimp tugged")).encode(), "cart.yaml")
    assert found is not None
    assert [one.kind for one in told] == ["unknown-check"]
    assert told[0].remedy == "Did you mean crimps tugged?"
    assert api.read((BASE + SIGNED.replace("crimps tugged", "washed and blessed by the parish")).encode(), "cart.yaml")[1] == []


@pytest.mark.parametrize(("signed", "expected"), [
    (["by: owner"], Truth.UNKNOWN), (["by: owner, role: licensed electrician"], Truth.YES), (["by: electrician of the yard"], Truth.YES),
    (["by: owner, role: owner"], Truth.UNKNOWN), (["by: a. smith, role: certified installer", "by: owner, result: failed"], Truth.YES)])
def test_some_checks_take_a_role(signed: list[str], expected: Truth) -> None:
    """The mains side is vouched for by whoever may; another's signature neither counts nor undoes theirs."""
    text = "attested:\n" + "".join(f"  - {{what: mains handed over, on: 2026-05-0{n + 1}, how: paper, {who}}}\n" for n, who in enumerate(signed))
    found, told = api.read((BASE + text).encode(), "cart.yaml", on=ON)
    assert found is not None, told
    assert found.book.truth_of("mains-handed-over", "") is expected
    if expected is Truth.UNKNOWN:
        gap = found.book.reading("mains-handed-over", "").gap
        assert gap is not None and "takes the role of" in gap.reason
