"""The open questions, as text to take to the vehicle, as JSON, and as a Markdown checklist."""

from __future__ import annotations

from linter.base.text import clean, listed
from linter.reports import one_ending
from linter.reports.json import dumps
from linter.reports.markdown import escaped
from linter.reports.page import WIDTH, labelled, paragraph, two_ends
from linter.reports.phrases import plural
from linter.survey.ask import LISTED, Asked, Asking

VERSION = 1


def _names(asked: Asked, most: int = 8) -> str:
    return listed([element or "the installation" for element in asked.elements], most=most)


def _effect(asked: Asked) -> str:
    pairs, verb = (asked.settles, "settles") if asked.settles else (asked.helps, "helps with")
    return f"{verb} {len(pairs)}, {'at' if len(pairs) == 1 else 'worst at'} {asked.weight}"


def _practices(pairs: tuple[tuple[str, str], ...]) -> str:
    by_name: dict[str, list[str]] = {}
    for practice, element in pairs:
        by_name.setdefault(practice, []).extend([element] if element else [])
    names = [practice + (f" ({listed(elements, most=5)})" if elements else "") for practice, elements in by_name.items()]
    return "; ".join(names[:6]) + (f"; and {len(names) - 6} more" if len(names) > 6 else "")


def _head(asking: Asking) -> str:
    if not asking.open_findings:
        return "No open questions: every practice that was looked at could be told."
    settled = sum(len(a.settles) for a in asking.asked)
    facts = sum(1 if a.word == LISTED else len(a.elements) for a in asking.asked)
    return f"{plural(facts, 'fact')} {'settles' if facts == 1 else 'settle'} {settled} of {plural(asking.open_findings, 'open finding')}."


def text(askings: tuple[Asking, ...], *, most: int | None = 12, width: int = WIDTH) -> str:
    """A numbered list, the most useful first; past `most` items the rest is counted."""
    lines: list[str] = []
    for asking in askings:
        if lines:
            lines.append("")
        lines += [*paragraph(asking.title or asking.file, width), *paragraph(_head(asking), width)]
        shown = asking.asked if most is None else asking.asked[:most]
        for number, asked in enumerate(shown, 1):
            head = two_ends(f"{asked.word.replace('-', ' ')}: {clean(_names(asked), 300)}", _effect(asked), width, indent=4)
            lines += ["", f"{number:<4}{head[0][4:]}", *head[1:]]
            lines += paragraph(" ".join(part for part in (asked.asks, f"{asked.how[:1].upper()}{asked.how[1:]}." if asked.how else "") if part), width, 4)
            for tip in asked.tips[:4]:
                lines += paragraph(tip[:1].upper() + tip[1:] + ("" if tip.endswith(".") else "."), width, 4)
            lines += labelled("Settles", _practices(asked.settles), width, indent=4)
            if not asked.settles:
                lines += labelled("Helps", _practices(asked.helps), width, indent=4)
        if len(shown) < len(asking.asked):
            lines += ["", *paragraph(f"{len(asking.asked) - len(shown)} more after these: `--all` lists them.", width)]
        if asking.without:
            lines += ["", *paragraph("Not settled by any single fact:", width)]
            for practice, element, why in asking.without[: None if most is None else most]:
                lines += paragraph(f"{practice}, {element or 'the installation'}" + (f": {why}" if why else ""), width, 2, 2)
            if most is not None and len(asking.without) > most:
                lines += paragraph(f"and {len(asking.without) - most} more.", width, 2)
    return one_ending(lines)


def markdown(askings: tuple[Asking, ...]) -> str:
    """A checklist."""
    lines: list[str] = []
    for asking in askings:
        lines += [f"# {escaped(asking.title or asking.file)}: what to find out", "", escaped(_head(asking)), ""]
        for asked in asking.asked:
            words = " ".join(part for part in (asked.asks, f"{asked.how}." if asked.how else "", *asked.tips) if part)
            lines.append(f"- [ ] **{escaped(asked.word.replace('-', ' '))} of {escaped(_names(asked, 40))}** ({escaped(_effect(asked))}). {escaped(words)}")
        lines.append("")
    return one_ending(lines)


def json_asking(askings: tuple[Asking, ...]) -> str:
    """All questions, with what each settles."""
    return dumps({"format": "tugtest questions", "version": VERSION, "sources": [
        {"file": asking.file, "title": asking.title, "open": asking.open_findings, "questions": [
            {"word": a.word, "elements": list(a.elements), "asks": a.asks, "how": a.how, "tips": list(a.tips), "weight": a.weight,
             "settles": [{"practice": p, "element": e} for p, e in a.settles], "helps": [{"practice": p, "element": e} for p, e in a.helps]}
            for a in asking.asked],
         "not_settled_by_facts": [{"practice": p, "element": e, "why": why} for p, e, why in asking.without]} for asking in askings]})
