"""Agreed departures: they turn "not met" into "departed from", for one practice on one element, until a day, and only while what was found then
gets no worse. They touch nothing else."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace

from linter.base.text import clean
from linter.base.values import Range
from linter.description.described import Departure
from linter.language.explain import FoundValue
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, Agreed, Finding, Remark
from linter.units.dimension import Dimension
from linter.units.table import Unreadable, read_quantity, write

MOST_DAYS = 400
SOON_DAYS = 30
# What a report prints has three digits: a number that differs by less is the one that was copied from it.
_COPIED = 0.006


def depart(findings: list[Finding], departures: tuple[Departure, ...], on: datetime.date, practices: Mapping[str, str],
           elements: frozenset[str]) -> tuple[list[Finding], list[Remark]]:
    """Findings with departures taken into account, and what must be said about them.

    Args:
        findings: As judged.
        departures: As written in the description.
        on: Date of the run; a departure holds to the end of its day.
        practices: Every name a practice has or had, to its name now.
        elements: Names of the description.
    """
    by_pair = {(f.practice, f.element): number for number, f in enumerate(findings)}
    result = list(findings)
    remarks: list[Remark] = []
    for departure in departures:
        practice, element = clean(departure.practice, 80), clean(departure.element, 80)
        name = practices.get(departure.practice)

        def remark(sort: str, text: str, at: Departure = departure) -> None:
            remarks.append(Remark(sort, text, at.at))

        said = f"The departure from {practice} on {element or 'the installation'}"
        if name is None:
            remark("departure unmatched", f"{said} names a practice that no pack here has.")
            continue
        if departure.element not in elements and departure.element:
            remark("departure unmatched", f"{said} names something that is not described.")
            continue
        refusal = _refusal(departure, on)
        if refusal is not None:
            remark(refusal[0], f"{said} {refusal[1]}")
            continue
        number = by_pair.get((name, departure.element))
        finding = result[number] if number is not None else None
        if finding is None or finding.outcome not in (NOT_MET, CANNOT_TELL):
            remark("departure unmatched", f"{said} is not needed: nothing there is not met. Take it out.")
            continue
        if finding.outcome == CANNOT_TELL:
            remark("departure unmatched", f"{said} does not count while the practice cannot be told: what is not known cannot be agreed to.")
            continue
        assert number is not None
        change = _worse(departure, finding.values)
        if change:
            remark("departure lapsed", f"{said} lapsed: {change}.")
            continue
        if not departure.found and (numbers := _numbers(finding.values)):
            remark("departure open", f"{said} does not say what stood when it was agreed, so nobody will see it get worse. Add {numbers}.")
        agreed = Agreed(departure.because, departure.agreed_by, departure.until, departure.at)
        result[number] = replace(finding, outcome=DEPARTED, agreed=agreed)
        days = (datetime.date.fromisoformat(departure.until) - on).days
        if days <= SOON_DAYS:
            remark("departure soon lapsing", f"{said} lapses {'today' if days == 0 else f'in {days} day' + ('s' if days != 1 else '')}, on {departure.until}.")
    return result, remarks


def _worse(departure: Departure, values: tuple[FoundValue, ...]) -> str:
    """What got worse since it was agreed, in words; "" if nothing did."""
    for one in values:
        sides = ((departure.found, one.value, "found", one.worse == "higher"), (departure.asked, one.against, "asked", one.worse == "lower"))
        for texts, now, label, higher in sides:
            if not texts or not one.worse or not isinstance(now, Range):
                continue
            agreed = [value for text in texts if (value := _read(text, one.dimension)) is not None]
            worst_now = now.high if higher else now.low
            if not agreed:
                return f"what is {label} now is {_said(worst_now, one.dimension)}, and it was agreed to at {clean(', '.join(texts), 60)}"
            limit = max(value.high for value in agreed) if higher else min(value.low for value in agreed)
            slack = _COPIED * abs(limit)
            if (worst_now > limit + slack) if higher else (worst_now < limit - slack):
                return f"what is {label} now is {_said(worst_now, one.dimension)}, and it was agreed to at {_said(limit, one.dimension)}"
    return ""


def _numbers(values: tuple[FoundValue, ...]) -> str:
    """The keys to add to a departure: "found: 173 A, asked: 164 A"; "" where nothing is compared."""
    one = next((one for one in values if one.worse and isinstance(one.value, Range)), None)
    if one is None:
        return ""
    found, asked = (_said((now.high if higher else now.low), one.dimension) if isinstance(now, Range) else ""
                    for now, higher in ((one.value, one.worse == "higher"), (one.against, one.worse == "lower")))
    return ", ".join(f"{key}: {text}" for key, text in (("found", found), ("asked", asked)) if text and "inf" not in text)


def _read(text: str, dimension: Dimension | None) -> Range | None:
    try:
        return read_quantity(text, dimension) if dimension is not None else Range(float(text), float(text))
    except (Unreadable, ValueError):
        return None


def _said(value: float, dimension: Dimension | None) -> str:
    return write(value, dimension) if dimension is not None else f"{value:.3g}"


def _refusal(departure: Departure, on: datetime.date) -> tuple[str, str] | None:
    """Why a departure does not count, or None if it does."""
    if not departure.agreed_by.strip() or len(departure.because.strip()) < 10:
        return "departure not honoured", "does not count: it needs a reason in words and somebody who agreed."
    try:
        until = datetime.date.fromisoformat(departure.until)
    except ValueError:
        return "departure not honoured", f"does not count: {clean(departure.until, 20)} is no date."
    if until < on:
        return "departure lapsed", f"lapsed on {departure.until}."
    if (until - on).days > MOST_DAYS:
        return "departure not honoured", f"does not count: {departure.until} is more than {MOST_DAYS} days ahead."
    return None
