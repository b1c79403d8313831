"""A departure excuses a known fault for a while. It never answers a question, and never goes on for ever."""

from __future__ import annotations

import datetime

import pytest

from linter.base.span import Span
from linter.description.described import Departure
from linter.survey.departures import depart
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, Finding, fingerprint

ON = datetime.date(2026, 11, 24)
BECAUSE = "Spares are carried in the cab."


def found(outcome: str) -> Finding:
    return Finding("big-fuse", "p", "caution", outcome, "F12", "fuse", "", "", Span("a.yaml", 4), "h", (), "", "", "",
                   fingerprint=fingerprint("big-fuse", "F12"))


def agreed(until: str, *, practice: str = "big-fuse", element: str = "F12", because: str = BECAUSE, by: str = "owner") -> Departure:
    return Departure(practice, element, because, by, until, Span("a.yaml", 90))


def outcome_after(departure: Departure, outcome: str = NOT_MET) -> tuple[str, list[str]]:
    findings, remarks = depart([found(outcome)], (departure,), ON, {"big-fuse": "big-fuse", "great-fuse": "big-fuse"}, frozenset({"F12", "F13"}))
    return findings[0].outcome, [remark.sort for remark in remarks]


@pytest.mark.parametrize(("departure", "outcome", "sorts"), [
    (agreed("2027-05-01"), DEPARTED, []),
    (agreed("2027-05-01", practice="great-fuse"), DEPARTED, []),
    (agreed("2026-11-24"), DEPARTED, ["departure soon lapsing"]),
    (agreed("2026-12-24"), DEPARTED, ["departure soon lapsing"]),
    (agreed("2026-12-25"), DEPARTED, []),
    (agreed("2026-11-23"), NOT_MET, ["departure lapsed"]),
    (agreed("2027-12-29"), DEPARTED, []),
    (agreed("2027-12-30"), NOT_MET, ["departure not honoured"]),
    (agreed("9999-12-31"), NOT_MET, ["departure not honoured"]),
    (agreed("2027-02-30"), NOT_MET, ["departure not honoured"]),
    (agreed("2027-05-01", because="  no  "), NOT_MET, ["departure not honoured"]),
    (agreed("2027-05-01", by=""), NOT_MET, ["departure not honoured"]),
    (agreed("2027-05-01", element="F13"), NOT_MET, ["departure unmatched"]),
    (agreed("2027-05-01", element="F99"), NOT_MET, ["departure unmatched"]),
    (agreed("2027-05-01", practice="bigg-fuse"), NOT_MET, ["departure unmatched"]),
])
def test_a_departure_holds_to_the_end_of_its_day_and_no_longer_than_allowed(departure: Departure, outcome: str, sorts: list[str]) -> None:
    """The date of the run decides, 400 days is the most, and every departure that does not count is said."""
    assert outcome_after(departure) == (outcome, sorts)


def test_a_departure_never_touches_cannot_tell() -> None:
    """What is not known cannot be agreed to."""
    assert outcome_after(agreed("2027-05-01"), CANNOT_TELL) == (CANNOT_TELL, ["departure unmatched"])


def test_fingerprints_hang_on_names_only() -> None:
    """Moved lines reopen nothing; and two names never run together."""
    assert fingerprint("a", "bc") != fingerprint("ab", "c")
    assert fingerprint("a", "b") == fingerprint("a", "b")
