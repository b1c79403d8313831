"""The survey as JUnit XML, for build servers: one suite per description, one case per practice and element looked at."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from linter.base.text import clean
from linter.reports import one_ending, phrases
from linter.survey.record import CANNOT_TELL, DEPARTED, DOES_NOT_APPLY, MET, NOT_MET, NOTHING, Finding, Survey

_SKIPPED = {CANNOT_TELL, DEPARTED, NOTHING}


def junit(surveys: tuple[Survey, ...]) -> str:
    """All surveys. "Not met" is a failure; "cannot tell", a departure and "nothing to look at" are skipped with the outcome as message: never passed."""
    suites = [_suite(survey) for survey in surveys]
    return one_ending(['<?xml version="1.0" encoding="UTF-8"?>', "<testsuites>", *(line for suite in suites for line in suite), "</testsuites>"])


def _attribute(text: str) -> str:
    return quoteattr(clean(text, 1000))


def _suite(survey: Survey) -> list[str]:
    findings = {(f.practice, f.element, f.outcome): f for f in survey.findings}
    cases: list[str] = []
    failures = skipped = count = 0
    for judged in survey.judged:
        for outcome, elements in judged.outcomes:
            if outcome == DOES_NOT_APPLY:
                continue
            for element in elements:
                count += 1
                failures += outcome == NOT_MET
                skipped += outcome in _SKIPPED
                cases += _case(judged.practice, judged.weight, element, outcome, findings.get((judged.practice, element, outcome)))
    head = (f"<testsuite name={_attribute(survey.title or survey.file)} tests=\"{count}\" failures=\"{failures}\" errors=\"0\" skipped=\"{skipped}\" "
            f'timestamp="{survey.on.isoformat()}T00:00:00">')
    return [head, *_also(survey), *cases, "</testsuite>"]


def _also(survey: Survey) -> list[str]:
    """Variants held against besides, as properties: they are no cases, and fail nothing."""
    if not survey.also:
        return []
    from linter.reports.also import in_a_line  # only when asked for

    return ["<properties>", *(f"<property name=\"also\" value={_attribute(in_a_line(one))}/>" for one in survey.also), "</properties>"]


def _case(practice: str, weight: str, element: str, outcome: str, finding: Finding | None) -> list[str]:
    name = f"<testcase classname={_attribute(practice)} name={_attribute(element or 'the installation')}"
    if outcome == MET:
        return [name + "/>"]
    said = f"{weight}, {outcome}" + (f": {finding.headline}" if finding else "")
    if outcome in _SKIPPED:
        return [name + ">", f"<skipped message={_attribute(said)}/>", "</testcase>"]
    body = "" if finding is None else "\n".join(
        f"{label}: {clean(words, 2000)}" for label, words in (
            ("Where", phrases.where(finding)), ("Found", finding.found), ("Asked", finding.asked), ("When", str(finding.when)), ("Why", finding.why),
            ("Mend", finding.mending)) if words)
    return [name + ">", f"<failure type={_attribute(weight)} message={_attribute(said)}>{escape(body)}</failure>", "</testcase>"]
