"""Agreed departures: they turn "not met" into "departed from", for one practice on one element, until a day. They touch nothing else."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace

from linter.base.text import clean
from linter.description.described import Departure
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, Agreed, Finding, Remark

MOST_DAYS = 400
SOON_DAYS = 30


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
        agreed = Agreed(departure.because, departure.agreed_by, departure.until, departure.at)
        result[number] = replace(finding, outcome=DEPARTED, agreed=agreed)
        days = (datetime.date.fromisoformat(departure.until) - on).days
        if days <= SOON_DAYS:
            remark("departure soon lapsing", f"{said} lapses {'today' if days == 0 else f'in {days} day' + ('s' if days != 1 else '')}, on {departure.until}.")
    return result, remarks


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
