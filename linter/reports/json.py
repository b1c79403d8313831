"""The survey as JSON: the contract others build on. Its shape is `grammar/findings.schema.json`; a change there raises `VERSION`."""

from __future__ import annotations

import json as _json
import re
from dataclasses import asdict
from typing import Any

from linter import __version__
from linter.base.span import Span
from linter.survey.record import Fact, Finding, Remark, Survey

VERSION = 1
# Legal in JSON, not on a screen: direction marks, line separators, C1 controls. As \u escapes the data stay the same.
_UNSEEN = re.compile("[\u007f-\u009f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\ufffb]")


def dumps(value: Any) -> str:
    """Readable JSON in which no character can act on a terminal."""
    return _UNSEEN.sub(lambda match: f"\\u{ord(match[0]):04x}", _json.dumps(value, ensure_ascii=False, indent=1)) + "\n"


def json_report(surveys: tuple[Survey, ...]) -> str:
    """All surveys in one document."""
    return dumps({"format": "tugtest findings", "version": VERSION, "made_by": f"tugtest {__version__}", "sources": [source(survey) for survey in surveys]})


def where(at: Span | None) -> dict[str, Any] | None:
    """A place, or null."""
    return None if at is None else {"file": at.file, "line": at.line, "column": at.column, "pointer": at.pointer}


def source(survey: Survey) -> dict[str, Any]:
    """One survey."""
    summary = survey.summary
    counts: dict[str, dict[str, int]] = {}
    for outcome, weight, count in summary.counts:
        counts.setdefault(outcome, {})[weight] = count
    return {
        "file": survey.file,
        "title": survey.title,
        "on": survey.on.isoformat(),
        "findings": [finding(item) for item in survey.findings],
        "judged": [
            {"practice": j.practice, "pack": j.pack, "weight": j.weight, "says": j.says, "outcomes": {name: list(elements) for name, elements in j.outcomes}}
            for j in survey.judged
        ],
        "summary": {
            "counts": counts,
            "packs": [asdict(p) for p in summary.packs],
            "taken_as": [{"elements": list(t.elements), "word": t.word, "as": t.text} for t in summary.taken_as],
            "assumed": summary.assumed,
            "listed": summary.listed,
            "parts": summary.parts, "wires": summary.wires, "runs": summary.runs, "states": summary.states,
            "not_looked_at": list(summary.not_looked_at),
            "house": [_remark(r) for r in summary.house],
            "supposed": [_remark(r) for r in summary.supposed],
            "departures": [_remark(r) for r in summary.departures],
        },
        "also": _also(survey),
    }


def _also(survey: Survey) -> list[Any]:
    if not survey.also:
        return []
    from linter.reports.also import as_json  # only when asked for

    return [as_json(one) for one in survey.also]


def _remark(remark: Remark) -> dict[str, Any]:
    return {"sort": remark.sort, "text": remark.text, "where": where(remark.at)}


def _fact(fact: Fact) -> dict[str, Any]:
    return {"name": fact.name, "value": fact.value, "how": fact.how, "where": where(fact.at)}


def finding(item: Finding) -> dict[str, Any]:
    """One finding; the field names are the promise of the design, part 8."""
    return {
        "practice": item.practice, "pack": item.pack, "weight": item.weight, "outcome": item.outcome,
        "element": item.element, "kind": item.kind, "title": item.title, "place": item.place,
        "where": where(item.at), "headline": item.headline, "found": item.found, "asked": item.asked,
        "deciding": [{"found": found, "asked": asked} for found, asked in item.deciding],
        "why": item.why, "mend": item.mending, "figures": list(item.figures), "follows": item.follows,
        "states": {"said": item.when.said, "count": item.when.count, "of": item.when.of},
        "facts": [_fact(fact) for fact in item.facts],
        "questions": [{"element": q.element, "word": q.word, "asks": q.asks, "how": q.how, "tips": q.tips} for q in item.questions],
        "through": list(item.through), "remarks": list(item.remarks),
        "agreed": None if item.agreed is None else {"because": item.agreed.because, "agreed_by": item.agreed.agreed_by, "until": item.agreed.until,
                                                     "where": where(item.agreed.at)},
        "fingerprint": item.fingerprint,
        **({} if item.explained is None else {"explained": _explained(item)}),
    }


def _explained(item: Finding) -> Any:
    from linter.reports.explaining import as_json  # only when asked for

    return None if item.explained is None else as_json(item.explained)


