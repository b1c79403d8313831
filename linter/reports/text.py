"""The survey on a screen: 80 columns, no colour, the worst first, for somebody tired and on their knees."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from linter.base.text import clean, listed
from linter.reports import one_ending, phrases
from linter.reports.page import WIDTH, labelled, paragraph, two_ends, wrap
from linter.survey.record import CANNOT_TELL, DEPARTED, DISCLAIMER, NOT_MET, NOTHING, Finding, Survey, heavy_enough

if TYPE_CHECKING:
    from linter.survey.explained import Explained

# Elements shown in full under one practice before the rest is only named.
_SHOWN = 4


def text(surveys: tuple[Survey, ...], *, everything: bool = False, width: int = WIDTH) -> str:
    """All surveys, one after the other.

    Args:
        surveys: In the order they were asked for.
        everything: Also caution and notice, every element, and the facts used.
        width: Columns of the screen.
    """
    lines: list[str] = []
    for survey in surveys:
        if lines:
            lines += ["", "=" * width, ""]
        lines += _one(survey, everything, width)
    if surveys:
        lines += ["", *paragraph(DISCLAIMER, width)]
    return one_ending(lines)


def _one(survey: Survey, everything: bool, width: int) -> Iterator[str]:
    summary = survey.summary
    yield from two_ends(survey.title or survey.file, phrases.day(survey.on), width)
    yield from paragraph(f"{survey.file}: {phrases.extent(summary)}", width, hang=2)
    yield from paragraph(f"Held against {phrases.packs_said(summary) or 'no pack'}", width, hang=2)
    for remark in summary.remarks:
        yield from paragraph(f"Note: {remark.text}", width, hang=2)

    not_met = [f for f in survey.findings if f.outcome == NOT_MET]
    unknown = [f for f in survey.findings if f.outcome == CANNOT_TELL]
    pressing = [f for f in not_met if heavy_enough(f.weight, "warning")]
    open_ones = [f for f in unknown if heavy_enough(f.weight, "warning")]
    lighter_not_met = [f for f in not_met if not heavy_enough(f.weight, "warning")]
    lighter_open = [f for f in unknown if not heavy_enough(f.weight, "warning")]
    for group in _by_practice(pressing):
        yield ""
        yield from _block(group, survey.file, everything, width)
    if open_ones:
        yield ""
        yield from two_ends("Cannot tell, at danger or warning", f"{len(open_ones)} open", width)
        unlisted = [] if everything else [f for f in open_ones if not f.element and all(q.word.startswith("every ") for q in f.questions) and f.questions]
        for group in _by_practice([f for f in open_ones if f not in unlisted]):
            if everything:
                yield ""
                yield from _block(group, survey.file, everything, width)
            else:
                yield from _short(group, width)
        if unlisted:
            kinds = sorted({q.word.removeprefix("every ").replace("-", " ") for f in unlisted for q in f.questions})
            yield from paragraph(f"{phrases.plural(len(unlisted), 'practice')} more: no {listed(kinds, 'or', most=12)} is described. If there is none, say so: "
                                 "listed: everything.", width, indent=2, hang=2)
        yield from paragraph("`tugtest ask` says which few facts to find out first, and how.", width, indent=2)
    aside = [f for f in survey.findings if f.outcome in (DEPARTED, NOTHING)]
    if everything:
        for group in _by_practice([*lighter_not_met, *lighter_open, *aside]):
            yield ""
            yield from _block(group, survey.file, everything, width)
    elif lighter_not_met or lighter_open:
        if lighter_not_met:
            yield ""
            yield from two_ends("Not met, at caution or notice", "", width)
            for group in _by_practice(lighter_not_met):
                yield from _short(group, width)
        words = [f"{phrases.plural(len(lighter_open), 'lighter one')} cannot be told"] if lighter_open else []
        yield ""
        yield from paragraph(f"{'; '.join([*words, ''])}`--all` shows everything in full.", width)
    if not pressing and not open_ones and not lighter_not_met:
        yield ""
        yield "Nothing that was looked at is not met."
    if survey.also:
        from linter.reports import also  # only when asked for

        yield from also.text(survey, everything, width)

    yield ""
    yield from _foot(survey, width)


def _by_practice(findings: list[Finding]) -> Iterator[list[Finding]]:
    for _, group in groupby(findings, key=lambda f: (f.practice, f.outcome)):
        yield list(group)


def _block(group: list[Finding], home: str, everything: bool, width: int) -> Iterator[str]:
    """One practice in full: each element with what was found, then once what the pack says. What is alike for all elements is said once, below."""
    first = group[0]
    yield from two_ends(f"{first.weight.upper()}   {first.outcome}   {first.practice}", f"{len(group)} of these" if len(group) > 1 else "", width)
    shown = group if everything or len(group) <= _SHOWN + 1 else group[:_SHOWN]
    asked_once = all(len(f.deciding) < 2 for f in shown) and len({f.asked for f in shown}) == 1
    when_once = len({str(f.when) for f in shown}) == 1
    figures_once = len({f.figures for f in shown}) == 1
    for number, finding in enumerate(shown):
        if number and not (asked_once and when_once and figures_once):
            yield ""
        where = phrases.where(finding) if finding.at.file != home else f"line {finding.at.line}"
        yield from two_ends(f"{phrases.subject(finding)}{', ' + finding.place if finding.place else ''}", where, width, indent=2)
        yield from _deciding(finding, not asked_once, width)
        if not when_once:
            yield from labelled("When", str(finding.when), width)
        if not figures_once:
            yield from labelled("Figures", "; ".join(finding.figures), width)
        if finding.agreed is not None:
            yield from labelled("Agreed", f"{finding.agreed.because} ({finding.agreed.agreed_by}, until {finding.agreed.until})", width)
        for remark in finding.remarks:
            yield from labelled("Note", remark, width)
        if everything and finding.through:
            yield from labelled("By way of", ", ".join(finding.through), width)
        if everything or finding.outcome == CANNOT_TELL:
            yield from labelled("Find out", "; ".join(q.name + (f" ({q.tips})" if q.tips else "") for q in finding.questions[:8]), width)
        if everything:
            yield from labelled("Rests on", "; ".join(phrases.fact_line(finding)[:16]), width)
        if finding.explained is not None:
            yield from _explained(finding.explained, width)
    if len(shown) < len(group):
        yield from labelled("and", listed([f.element for f in group[len(shown):]], most=12), width)
    if asked_once:
        yield from labelled("Asked", first.asked, width)
    if when_once:
        yield from labelled("When", str(first.when), width)
    yield from labelled("Why", first.why, width)
    mend = first.mending if figures_once else first.mend
    yield from labelled("Mend" if first.outcome == NOT_MET else "If not met", mend, width, gap=12 if first.outcome != NOT_MET else 10)
    yield from labelled("Practice", first.follows, width)


def _explained(told: Explained, width: int) -> Iterator[str]:
    """The card with its values, the limits with their history, and where it turns."""
    from linter.reports import explaining  # only when asked for

    yield "  Filled in"
    for depth, words in explaining.card(told):
        yield from paragraph(words, width, 4 + 2 * min(depth, 8), 2)
    for line in explaining.limits(told):
        yield from labelled("Limit", line, width)
    for line in explaining.turns(told):
        yield from labelled("Turns", line, width)


def _deciding(finding: Finding, with_asked: bool, width: int) -> Iterator[str]:
    """Found beside asked; several things found against one demand stand together."""
    by_demand: dict[str, list[str]] = {}
    for found, asked in finding.deciding:
        by_demand.setdefault(asked, []).append(found)
    for asked, seen in by_demand.items():
        yield from labelled("Found", "; ".join(dict.fromkeys(seen)), width)
        if with_asked:
            yield from labelled("Asked", asked, width)


def _short(group: list[Finding], width: int) -> Iterator[str]:
    """One practice on one or two lines: its name, its elements, and for a "cannot tell" what is missing."""
    first = group[0]
    names = listed([f.element or "the installation" for f in group], most=6)
    missing = sorted({q.name for f in group for q in f.questions})
    words = names + (f"; not known: {listed(missing, most=3)}" if first.outcome == CANNOT_TELL and missing else "")
    left = f"  {first.weight:<8}  {first.practice}"
    lines = wrap(clean(words, 1000), width - 14)
    if len(lines) == 1 and len(left) + 2 + len(lines[0]) <= width:
        yield f"{left}  {lines[0]}"
    else:
        yield left
        yield from (" " * 12 + line for line in lines)


def _foot(survey: Survey, width: int) -> Iterator[str]:
    summary = survey.summary
    yield from paragraph(" · ".join(f"{name} {count}" for name, count in phrases.tally(summary)), width)
    taken = phrases.taken_as(survey)
    if taken:
        yield from paragraph(f"Taken as, because not stated: {'; '.join(taken[:9])}" + (f"; and {len(taken) - 9} more" if len(taken) > 9 else "") + ".",
                             width, hang=2)
    elif not summary.assumed:
        yield from paragraph("Nothing was assumed: what is not stated counts as unknown.", width)
    yield from paragraph(f"Listed: {summary.listed}. Not looked at: {', '.join(summary.not_looked_at)}.", width, hang=2)
