"""Sentences that several reports share, so that they say the same thing in the same words."""

from __future__ import annotations

import datetime
import hashlib

from linter.base.text import listed
from linter.survey.record import CANNOT_TELL, DEPARTED, DOES_NOT_APPLY, MET, NOT_MET, NOTHING, WEIGHTS, Finding, Summary, Survey

# More packs than this are named without a content mark each; the JSON has them all.
_FEW = 4
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")


def day(date: datetime.date) -> str:
    """"24 November 2026", whatever the locale."""
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def plural(count: int, one: str, many: str | None = None) -> str:
    """"1 part", "52 parts"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def extent(summary: Summary) -> str:
    """How much was described: "52 parts, 61 wires in 24 runs, 192 operating states"."""
    words = [plural(summary.parts, "part"), plural(summary.wires, "wire") + (f" in {plural(summary.runs, 'run')}" if summary.runs else "")]
    if summary.states is None:
        words.append("more operating states than were counted")
    else:
        words.append(plural(summary.states, "operating state"))
    return ", ".join(words)


def packs_said(summary: Summary) -> str:
    """Packs with edition and content mark; of many only the names and editions, and one mark over all their contents."""
    if len(summary.packs) > _FEW:
        mark = hashlib.sha256("\0".join(f"{p.name} {p.content}" for p in summary.packs).encode("utf-8", "surrogatepass")).hexdigest()[:12]
        names = listed([f"{p.name} {p.edition}{' (house pack)' if p.house else ''}" for p in summary.packs], most=40)
        return f"{len(summary.packs)} packs, content of all {mark}: {names}"
    return listed([f"{p.name} edition {p.edition} (content {p.content[:12]}{', house pack' if p.house else ''})" for p in summary.packs], most=32)


def subject(finding: Finding) -> str:
    """"W34, honey pump lead"."""
    if not finding.element:
        return "the installation"
    return f"{finding.element}, {finding.title}" if finding.title and finding.title != finding.element else finding.element


def where(finding: Finding) -> str:
    """"installation.yaml, line 214"."""
    return f"{finding.at.file}, line {finding.at.line}"


def by_weight(summary: Summary, outcome: str) -> str:
    """"16 (1 danger, 4 warning, 8 caution, 3 notice)", or the bare number if it is 0."""
    total = summary.count(outcome)
    parts = [f"{summary.count(outcome, weight)} {weight}" for weight in WEIGHTS if summary.count(outcome, weight)]
    return f"{total} ({', '.join(parts)})" if parts else str(total)


def tally(summary: Summary) -> list[tuple[str, str]]:
    """Every outcome with its count, the pressing ones split by weight."""
    return [
        (NOT_MET, by_weight(summary, NOT_MET)), (CANNOT_TELL, by_weight(summary, CANNOT_TELL)), (DEPARTED, by_weight(summary, DEPARTED)),
        (MET, str(summary.count(MET))), (NOTHING, str(summary.count(NOTHING))), (DOES_NOT_APPLY, str(summary.count(DOES_NOT_APPLY))),
    ]


def taken_as(survey: Survey) -> list[str]:
    """Each assumption in force, ranges of numbers first: "insulation 60 to 105 °C (W1 and W2)"; many elements are only counted."""
    found = sorted(survey.summary.taken_as, key=lambda taken: not any(character.isdigit() for character in taken.text))
    return [f"{taken.word.replace('-', ' ')} {taken.text} ({_of(taken.elements)})" for taken in found]


def _of(elements: tuple[str, ...]) -> str:
    return listed([element or "the installation" for element in elements]) if len(elements) < 4 else str(len(elements))


def outcome_said(finding: Finding) -> str:
    """Outcome as printed, with the one who agreed to a departure."""
    if finding.agreed is not None and finding.outcome == DEPARTED:
        return f"departed from, agreed by {finding.agreed.agreed_by} until {finding.agreed.until}"
    return finding.outcome


def fact_line(finding: Finding) -> list[str]:
    """The facts and limits a finding rests on: "length of W17 4.2 m (measured, installation.yaml, line 96)"."""
    lines = []
    for fact in finding.facts:
        how = ", ".join(word for word in (fact.how, f"line {fact.at.line}" if fact.at is not None and fact.at.line else "") if word)
        lines.append(f"{fact.name} {fact.value}" + (f" ({how})" if how else ""))
    return lines
