"""Fact sheets as text and as JSON."""

from __future__ import annotations

from typing import Any

from linter.base.text import clean, listed
from linter.reports import one_ending
from linter.reports.json import dumps, where
from linter.reports.page import WIDTH, labelled, paragraph, two_ends
from linter.survey.sheet import FactLine, Sheet

VERSION = 1


def text(sheets: tuple[Sheet, ...], width: int = WIDTH) -> str:
    """One element after the other; the computed facts first, with their working."""
    lines: list[str] = []
    for sheet in sheets:
        if lines:
            lines.append("")
        head = f"{sheet.element}  {sheet.title or sheet.kind.replace('-', ' ')}"
        lines += two_ends(head, f"{sheet.at.file}, line {sheet.at.line}", width)
        for fact in sheet.computed:
            lines += ["", *_fact(fact, width)]
        if sheet.stated:
            lines.append("")
            for fact in sheet.stated:
                lines += two_ends(f"  {fact.word.replace('-', ' ')}  {fact.value}", _known(fact), width)
    return one_ending(lines)


def _known(fact: FactLine) -> str:
    return f"{fact.how}, line {fact.at.line}" if fact.at is not None else fact.how


def _fact(fact: FactLine, width: int) -> list[str]:
    lines = two_ends(f"{fact.word.replace('-', ' ')}  {fact.value}", "" if fact.how == "worked out" else _known(fact), width)
    lines += labelled("Why not", fact.why_not, width, gap=12)
    lines += labelled("When", fact.when, width, gap=12)
    lines += labelled("By way of", ", ".join(fact.through), width, gap=12)
    for step in fact.working:
        lines += paragraph(f"{step.name}: {step.formula}", width, 4, 2)
        lines += paragraph(f"= {step.numbers}", width, 6, 2)
        for name, value, how in step.known:
            lines += paragraph(f"{name} {value}" + (f" ({how})" if how else ""), width, 6, 2)
        if step.source:
            lines += paragraph(f"after {step.source}", width, 6, 2)
    lines += labelled("Wants", clean(listed(list(fact.wants), most=6), 400), width, gap=12)
    return lines


def json_sheets(sheets: tuple[Sheet, ...]) -> str:
    """The same, for programs."""
    return dumps({"format": "tugtest facts", "version": VERSION, "elements": [
        {"element": s.element, "kind": s.kind, "title": s.title, "where": where(s.at), "computed": [_as_json(f) for f in s.computed],
         "stated": [_as_json(f) for f in s.stated]} for s in sheets]})


def _as_json(fact: FactLine) -> dict[str, Any]:
    return {"word": fact.word, "meaning": fact.meaning, "value": fact.value, "how": fact.how, "where": where(fact.at), "when": fact.when,
            "why_not": fact.why_not, "wants": list(fact.wants), "through": list(fact.through),
            "working": [{"name": step.name, "formula": step.formula, "numbers": step.numbers, "source": step.source, "known": [list(k) for k in step.known]}
                        for step in fact.working]}
