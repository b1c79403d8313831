"""A departure excuses a known fault for a while. It never answers a question, and never goes on for ever."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from linter.base.span import Span
from linter.base.values import Range
from linter.description.described import Departure
from linter.language.explain import FoundValue
from linter.survey.departures import depart
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, Finding, fingerprint
from linter.units.dimension import CURRENT

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


def measured(found: float, asked: float, worse: str = "higher") -> tuple[FoundValue, ...]:
    return (FoundValue(Range(found, found), CURRENT, Range(asked, asked), worse),)


@pytest.mark.parametrize(("values", "was_found", "was_asked", "outcome", "sorts"), [
    (measured(173.04, 163.7), "173 A", "164 A", DEPARTED, []),
    (measured(160, 163.7), "173 A", "164 A", DEPARTED, []),
    (measured(175, 163.7), "173 A", "164 A", NOT_MET, ["departure lapsed"]),
    (measured(173, 120), "173 A", "164 A", NOT_MET, ["departure lapsed"]),
    (measured(173, 120), "173 A", "", DEPARTED, []),
    (measured(3.0, 3.5, "lower"), "3.1 A", "3.5 A", NOT_MET, ["departure lapsed"]),
    (measured(3.0, 4.0, "lower"), "3 A", "3.5 A", NOT_MET, ["departure lapsed"]),
    (measured(3.2, 3.2, "lower"), "3 A", "3.5 A", DEPARTED, []),
    (measured(173, 163.7), "3 m", "", NOT_MET, ["departure lapsed"]),
    (measured(173, 163.7), "", "", DEPARTED, ["departure open"]),
    (measured(173, 163.7, ""), "", "", DEPARTED, []),
    ((FoundValue(Range(170, 180), CURRENT, Range(160, 164), "higher"),), "173 A", "164 A", NOT_MET, ["departure lapsed"]),
    ((), "173 A", "", DEPARTED, []),
])
def test_it_lapses_when_what_decided_gets_worse(values: tuple[FoundValue, ...], was_found: str, was_asked: str, outcome: str, sorts: list[str]) -> None:
    """Either side of the comparison may get worse; better is welcome; a number of another kind was agreed to for another reason."""
    departure = replace(agreed("2027-05-01"), found=(was_found,) if was_found else (), asked=(was_asked,) if was_asked else ())
    findings, remarks = depart([replace(found(NOT_MET), values=values)], (departure,), ON, {"big-fuse": "big-fuse"}, frozenset({"F12"}))
    assert (findings[0].outcome, [remark.sort for remark in remarks]) == (outcome, sorts)
    if sorts == ["departure open"]:
        assert "found: 173 A, asked: 163.7 A" in remarks[0].text
