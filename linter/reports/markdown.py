"""The survey as a Markdown block, for a guide or a review."""

from __future__ import annotations

import re

from linter.base.text import clean, listed
from linter.reports import one_ending, phrases
from linter.survey.record import DISCLAIMER, Finding, Survey

_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~!&$@])")


def escaped(text: str) -> str:
    """Text that Markdown prints as it stands: no markup, no HTML, no links, no mentions, no table cells."""
    out = _MARKUP.sub(r"\\\1", clean(text, 2000)).replace("://", ":\\//").replace("www.", "www\\.")
    # A line that starts so would be a list, a rule, a quote or a heading.
    return re.sub(r"^(\s*\d+)([.)])(?=\s|$)", r"\1\\\2", re.sub(r"^(\s*)([-+=])", r"\1\\\2", out))


def markdown(surveys: tuple[Survey, ...]) -> str:
    """All surveys."""
    lines: list[str] = []
    for survey in surveys:
        lines += _one(survey)
    lines += [f"*{escaped(DISCLAIMER)}*"]
    return one_ending(lines)


def _one(survey: Survey) -> list[str]:
    summary = survey.summary
    held = escaped(phrases.packs_said(summary) or "no pack")
    lines = [f"# {escaped(survey.title or survey.file)}", "",
             f"{escaped(survey.file)}, {phrases.day(survey.on)}: {phrases.extent(summary)}. Held against {held}.", "",
             "| Outcome | Count |", "| --- | --- |", *(f"| {name} | {count} |" for name, count in phrases.tally(summary)), ""]
    lines += [f"- {escaped(remark.text)}" for remark in summary.remarks]
    if summary.remarks:
        lines.append("")
    for finding in survey.findings:
        lines += [*_finding(finding), ""]
    lines += _also(survey)
    taken = phrases.taken_as(survey)
    if taken:
        lines += [f"Taken as, because not stated: {escaped('; '.join(taken))}.", ""]
    lines += [f"Listed: {escaped(summary.listed)}. Not looked at: {escaped(', '.join(summary.not_looked_at))}.", ""]
    return lines


def _also(survey: Survey) -> list[str]:
    """Variants held against besides, if somebody asked."""
    if not survey.also:
        return []
    from linter.reports import also

    lines = [f"## {also.HEADING}", ""]
    for one in survey.also:
        lines += [f"### {escaped(also.title(one))}: {one.outcome}", "",
                  *(f"- **{label}:** {escaped('; '.join(words))}" for label, words in also.rows(one)), ""]
    return lines


def _finding(finding: Finding) -> list[str]:
    lines = [f"## {finding.weight.capitalize()}, {finding.outcome}: {escaped(finding.practice)}, {escaped(phrases.subject(finding))}", ""]
    rows = [
        ("Where", f"{finding.place + ', ' if finding.place else ''}{phrases.where(finding)}"), ("Found", finding.found), ("Asked", finding.asked),
        ("When", str(finding.when)), ("Why", finding.why), ("Mend", finding.mending), ("Practice", finding.follows),
        ("Agreed", f"{finding.agreed.because} ({finding.agreed.agreed_by}, until {finding.agreed.until})" if finding.agreed else ""),
        ("Find out", "; ".join(q.name + (f" ({q.tips})" if q.tips else "") for q in finding.questions)),
        ("By way of", listed(list(finding.through), most=20)), ("Rests on", "; ".join(phrases.fact_line(finding))), ("Note", "; ".join(finding.remarks)),
        *_explained(finding),
    ]
    return lines + [f"- **{label}:** {escaped(words)}" for label, words in rows if words]


def _explained(finding: Finding) -> list[tuple[str, str]]:
    """The card with its values, if somebody asked."""
    if finding.explained is None:
        return []
    from linter.reports.explaining import rows

    return rows(finding.explained)
