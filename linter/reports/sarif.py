"""The survey as SARIF 2.1.0 (OASIS), for code hosts that annotate the description's lines."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from linter import __version__
from linter.base.text import clean
from linter.reports.json import dumps
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, NOTHING, Finding, Judged, Survey

# The format knows three levels and a kind; the weight itself travels in the properties.
_LEVEL = {"danger": "error", "warning": "error", "caution": "warning", "notice": "note"}
_KIND = {NOT_MET: "fail", CANNOT_TELL: "open", DEPARTED: "fail", NOTHING: "notApplicable"}


def sarif(surveys: tuple[Survey, ...]) -> str:
    """All surveys, one run each. Levels other than none belong to "fail" only, as the format asks."""
    return dumps({"$schema": "https://json.schemastore.org/sarif-2.1.0.json", "version": "2.1.0", "runs": [_run(survey) for survey in surveys]})


def _run(survey: Survey) -> dict[str, Any]:
    by_practice = {judged.practice: judged for judged in survey.judged}
    used = list(dict.fromkeys(f.practice for f in survey.findings))
    rules = [_rule(name, by_practice.get(name), next(f for f in survey.findings if f.practice == name)) for name in used]
    return {"tool": {"driver": {"name": "tugtest", "version": __version__, "rules": rules}},
            "properties": {"packs": [f"{p.name} {p.edition} {p.content}" for p in survey.summary.packs], **_also(survey)},
            "results": [_result(finding, used.index(finding.practice)) for finding in survey.findings]}


def _also(survey: Survey) -> dict[str, list[str]]:
    """Variants held against besides, as a property: they are no results, and raise no alarm."""
    if not survey.also:
        return {}
    from linter.reports.also import in_a_line  # only when asked for

    return {"also": [clean(in_a_line(one), 1000) for one in survey.also]}


def _rule(name: str, judged: Judged | None, finding: Finding) -> dict[str, Any]:
    return {"id": clean(name), "shortDescription": {"text": clean(judged.says if judged else name, 1000)}, "help": {"text": clean(finding.follows, 1000)},
            "defaultConfiguration": {"level": _LEVEL[finding.weight]}, "properties": {"weight": finding.weight}}


def _result(finding: Finding, rule: int) -> dict[str, Any]:
    words = [finding.headline, *(f"{label}: {text}" for label, text in (
        ("Found", finding.found), ("Asked", finding.asked), ("When", str(finding.when)), ("Mend", finding.mending)) if text)]
    result: dict[str, Any] = {
        "ruleId": clean(finding.practice), "ruleIndex": rule, "kind": _KIND[finding.outcome],
        "level": _LEVEL[finding.weight] if _KIND[finding.outcome] == "fail" else "none",
        "message": {"text": "\n".join(clean(text, 2000) for text in words)},
        "locations": [{"physicalLocation": {"artifactLocation": {"uri": quote(finding.at.file.replace("\\", "/"), errors="replace")},
                                            "region": {"startLine": max(1, finding.at.line), "startColumn": max(1, finding.at.column)}},
                       "logicalLocations": [{"name": clean(finding.element or "installation"), "kind": "element"}]}],
        "partialFingerprints": {"practiceAndElement/v1": finding.fingerprint},
        "properties": {"weight": finding.weight, "outcome": finding.outcome},
    }
    if finding.agreed is not None:
        result["suppressions"] = [{"kind": "external", "status": "accepted", "justification": clean(finding.agreed.because, 1000)}]
    return result
