"""Hand-made surveys for the reports: one of everyday size, one with hostile names."""

from __future__ import annotations

import datetime

import pytest

from linter.base.span import Span
from linter.survey.record import (
    CANNOT_TELL,
    DEPARTED,
    DOES_NOT_APPLY,
    MET,
    NOT_MET,
    NOTHING,
    Agreed,
    Fact,
    Finding,
    Judged,
    PackUsed,
    Question,
    Remark,
    Summary,
    Survey,
    Taken,
    When,
    fingerprint,
    in_order,
)

HOSTILE = "W1\x1b[31m<script>alert(1)</script>\u202e|=cmd()&\"'`*_[x](http://evil.example)\x00\r\n"


def finding(practice: str, weight: str, outcome: str, element: str, *, title: str = "", questions: tuple[Question, ...] = (), agreed: Agreed | None = None,
            file: str = "installation.yaml", line: int = 10) -> Finding:
    """A finding with every field filled."""
    return Finding(
        practice, "low-voltage-basics", weight, outcome, element, "conductor", title, "extraction room", Span(file, line, 3, "/wires/0"),
        headline=f"{element}: first fuse on the way is F13, 75 A",
        deciding=(("first fuse on the way from T1 and B2 is F13, 75 A", "a device of 18.8 A or less where the wire gets thinner"),),
        why="A dead short draws 167 A; F13 takes its time over that while the lead chars.",
        mend="Fit a fuse at the tap.", follows="Where a wire gets thinner, protect the thin one there.", when=When("K2 on", 104, 192),
        facts=(Fact("length of W34", "3.2 m", "measured", Span(file, 214)), Fact("limit tap-reach", "200 mm", "low-voltage-basics")),
        questions=questions, through=("T1", "F13", element), agreed=agreed, fingerprint=fingerprint(practice, element))


def survey_of(findings: list[Finding], *, file: str = "installation.yaml", title: str = "Flatbed truck and honey-extraction trailer") -> Survey:
    """A survey that holds these findings, and two practices that are met."""
    judged: dict[str, tuple[str, dict[str, list[str]]]] = {"switch-in-reach": ("caution", {MET: ["S1", "S2"], DOES_NOT_APPLY: ["S3"]})}
    for item in findings:
        judged.setdefault(item.practice, (item.weight, {}))[1].setdefault(item.outcome, []).append(item.element)
    counts: dict[tuple[str, str], int] = {}
    for weight, outcomes in judged.values():
        for outcome, elements in outcomes.items():
            counts[outcome, weight] = counts.get((outcome, weight), 0) + len(elements)
    summary = Summary(
        counts=tuple((outcome, weight, n) for (outcome, weight), n in counts.items()),
        packs=(PackUsed("low-voltage-basics", "Low-voltage basics", "1", "9f3c2a41d0e5b677"),),
        taken_as=(Taken(("W1", "W2"), "insulation", "60 to 105 °C"),), parts=52, wires=61, runs=24, states=192,
        house=(Remark("loosened", "general-drop is 12 % here, not 10 %: measured on five vans (workshop lead, until 2027-03-31)."),),
        departures=(Remark("departure lapsed", "The departure from plug-capped on X9 lapsed on 2026-01-01.", Span(file, 300)),))
    return Survey(file, title, datetime.date(2026, 11, 24), in_order(findings, {}),
                  tuple(Judged(name, "low-voltage-basics", weight, f"The sentence of {name}.", tuple((o, tuple(e)) for o, e in outcomes.items()))
                        for name, (weight, outcomes) in judged.items()), summary)


@pytest.fixture
def everyday() -> Survey:
    """A survey as the honey trailer might give it."""
    ask = Question("T1", "short-circuit-current", "What short-circuit current does the maker state?", "the maker's sheet", "10 kA or less: met, more: not met")
    return survey_of([
        finding("edge-protected", "caution", NOT_MET, "H1"),
        finding("fuse-can-break", "warning", CANNOT_TELL, "F7", questions=(ask,)),
        finding("fuse-can-break", "warning", CANNOT_TELL, "F8", questions=(ask,)),
        finding("smaller-wire-own-fuse", "warning", NOT_MET, "W34", title="honey pump lead"),
        finding("big-fuse-waits-for-small", "caution", DEPARTED, "F12",
                agreed=Agreed("Spares are carried.", "owner", "2027-05-01", Span("installation.yaml", 280))),
        finding("post-not-bridged", "danger", NOT_MET, "B1"),
        finding("string-fused", "notice", NOTHING, "A1"),
    ])


@pytest.fixture
def hostile() -> Survey:
    """A survey whose every name tries to act on the reader's machine."""
    question = Question(HOSTILE, "length", HOSTILE, HOSTILE, HOSTILE)
    return survey_of([
        finding(HOSTILE, "warning", NOT_MET, HOSTILE, title=HOSTILE, file=HOSTILE),
        finding("fuse-can-break", "warning", CANNOT_TELL, HOSTILE, questions=(question,), file=HOSTILE),
        finding("big-fuse", "caution", DEPARTED, HOSTILE, agreed=Agreed(HOSTILE, HOSTILE, HOSTILE, Span(HOSTILE))),
    ], file=HOSTILE, title=HOSTILE)


@pytest.fixture
def spotless() -> Survey:
    """Nothing to complain about."""
    return survey_of([])
