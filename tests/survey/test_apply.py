"""The demo, surveyed: what each finding carries, and that the numbers add up."""

from __future__ import annotations

import datetime
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from linter import api
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, NOTHING, Survey

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
ON = datetime.date(2026, 11, 24)


@cache
def survey_of(name: str, change: tuple[bytes, bytes] = (b"", b""), on: datetime.date = ON) -> Survey:
    text = (FIXTURES / name).read_bytes()
    if change[0]:
        assert change[0] in text
        text = text.replace(*change, 1)
    found, told = api.read(text, "installation.yaml")
    assert found is not None, told
    packs, told = api.packs_for(found.described.packs, found.described.house_packs, on=on)
    assert packs is not None, told
    return api.survey(found, packs, on=on)


@pytest.mark.parametrize("name", ["honey-trailer/installation.yaml", "mobile-library/installation.yaml", "oyster-boat/installation.yaml"])
def test_the_numbers_add_up(name: str) -> None:
    """Every judgement is counted once, and every one that is not plainly met is a finding."""
    survey = survey_of(name)
    judged = Counter((outcome, one.weight) for one in survey.judged for outcome, elements in one.outcomes for _ in elements)
    assert {(o, w): n for o, w, n in survey.summary.counts} == dict(judged)
    told = Counter((f.outcome, f.weight) for f in survey.findings)
    assert all(told[o, w] == judged[o, w] for o, w in judged if o in (NOT_MET, CANNOT_TELL, DEPARTED, NOTHING))
    assert len({f.fingerprint for f in survey.findings}) == len(survey.findings)


def test_a_finding_carries_all_a_reader_needs() -> None:
    """Headline, place, both numbers, the states, the reason, the remedy."""
    found = next(f for f in survey_of("honey-trailer/installation.yaml").findings if (f.practice, f.element) == ("smaller-wire-own-fuse", "W34"))
    assert found.outcome == NOT_MET and found.weight == "warning"
    assert "75 A" in found.found and "18.8 A" in found.asked
    assert found.when.of == 192 and 0 < (found.when.count or 0) < 192
    assert found.at.line > 1 and found.headline.startswith("W34, ")
    assert found.why and found.mend and found.follows and found.facts and found.through
    assert "18.8 A" in found.mending


def test_every_open_finding_says_what_would_settle_it() -> None:
    """A "cannot tell" without a question helps nobody, unless it says why."""
    for name in ("honey-trailer/installation.yaml", "mobile-library/installation.yaml", "oyster-boat/installation.yaml"):
        mute = [(f.practice, f.element) for f in survey_of(name).findings if f.outcome == CANNOT_TELL and not f.questions and not f.remarks]
        assert not mute


def departing(until: str) -> tuple[bytes, bytes]:
    more = f'departures:\n  - {{practice: smaller-wire-own-fuse, element: W34, because: "The pump goes in spring.", agreed by: owner, until: {until}}}\n'
    return b"\nattested:\n", f"\n{more}attested:\n".encode()


def test_a_departure_turns_not_met_and_is_counted_apart() -> None:
    """Departed from is never met."""
    plain, departed = survey_of("honey-trailer/installation.yaml"), survey_of("honey-trailer/installation.yaml", departing("2027-05-01"))
    assert departed.summary.count(DEPARTED) == plain.summary.count(DEPARTED) + 1
    assert departed.summary.count(NOT_MET) == plain.summary.count(NOT_MET) - 1
    found = next(f for f in departed.findings if (f.practice, f.element) == ("smaller-wire-own-fuse", "W34"))
    assert found.outcome == DEPARTED and found.agreed is not None and found.agreed.agreed_by == "owner"


def test_a_lapsed_departure_excuses_nothing_and_is_told() -> None:
    """The day of the run decides."""
    survey = survey_of("honey-trailer/installation.yaml", departing("2026-11-23"))
    assert any(r.sort == "departure lapsed" and "W34" in r.text for r in survey.summary.departures)
    assert next(f for f in survey.findings if (f.practice, f.element) == ("smaller-wire-own-fuse", "W34")).outcome == NOT_MET


def test_moved_lines_keep_their_fingerprints() -> None:
    """A comment on top moves every line and reopens nothing."""
    name = "honey-trailer/installation.yaml"
    plain, moved = survey_of(name), survey_of(name, (b"tugtest: 1\n", b"# a note\n# and another\ntugtest: 1\n"))
    assert [f.fingerprint for f in plain.findings] == [f.fingerprint for f in moved.findings]
    assert [f.at.line + 2 for f in plain.findings if f.element] == [f.at.line for f in moved.findings if f.element]
