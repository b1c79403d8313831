"""What the reports say of variants an installation was also held against: the same sentences in each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from linter.base.text import listed
from linter.language.plainly import units
from linter.reports import phrases
from linter.reports.page import labelled, two_ends
from linter.survey.also import GROUPS as GROUPS
from linter.survey.also import NO_LONGER, NOT_ASKED, ONLY_HERE, TOLD_NOW, Also
from linter.survey.moves import GONE, Move
from linter.survey.record import CANNOT_TELL, NOT_MET, Survey

HEADING = "Also held against"
# Elements under one practice, and practices under one label, before the rest is only counted.
_ELEMENTS, _PRACTICES = 6, 5


def title(one: Also) -> str:
    """ "North American recreational vehicles (recreational-vehicle), edition 1.0"."""
    return f"{one.pack.title} ({one.pack.name}), edition {one.pack.edition}"


def counts(one: Also) -> str:
    """ "not met 23 (22 warning, 1 caution), cannot tell 0"."""
    return ", ".join(f"{outcome} {phrases.by_weight(one.summary, outcome)}" for outcome in (NOT_MET, CANNOT_TELL))


def rows(one: Also, everything: bool = False) -> Iterator[tuple[str, list[str]]]:
    """Labels, each with its lines: the counts, the figures that differ, and what came out otherwise than in the run."""
    yield "In all", [counts(one)]
    if one.figures:
        figures = [f"{figure.name} {units(figure.value)} ({units(figure.run)})" for figure in one.figures]
        yield "Figures", [f"{listed(figures, most=40)}; this run's in brackets"]
    for group in GROUPS:
        found = one.group(group)
        if found:
            yield group[:1].upper() + group[1:], practices(found, group, everything)
    if not any(one.group(group) for group in GROUPS):
        yield "Beside this run", ["nothing comes out worse or better"]


def practices(found: tuple[Move, ...], group: str, everything: bool) -> list[str]:
    """ "fuse-close-to-source: W3 and W9", the heaviest first. Where the label does not say the outcome, the line does."""
    named = list(dict.fromkeys((move.practice, _came(move, group)) for move in found))
    shown = named if everything else named[:_PRACTICES]
    lines = []
    for practice, came in shown:
        elements = [move.element or "the installation" for move in found if (move.practice, _came(move, group)) == (practice, came)]
        lines.append(f"{practice}{f' ({came})' if came else ''}: {listed(elements, most=10_000 if everything else _ELEMENTS)}")
    if len(named) > len(shown):
        lines.append(f"and {phrases.plural(len(named) - len(shown), 'practice')} more")
    return lines


def _came(move: Move, group: str) -> str:
    """The outcome, where the label does not say it."""
    return move.now if group in (ONLY_HERE, NO_LONGER, TOLD_NOW) else f"was {move.was}" if group == NOT_ASKED else ""


def text(survey: Survey, everything: bool, width: int) -> Iterator[str]:
    """For a screen; nothing if no variant was asked for."""
    if not survey.also:
        return
    yield ""
    yield from two_ends(HEADING, "", width)
    for number, one in enumerate(survey.also):
        if number:
            yield ""
        yield from two_ends(title(one), one.outcome, width, indent=2)
        for label, lines in rows(one, everything):
            for place, line in enumerate(lines):
                yield from labelled("" if place else label, line, width, indent=4, gap=19)


def as_json(one: Also) -> dict[str, Any]:
    """For programs."""
    by_outcome: dict[str, dict[str, int]] = {}
    for outcome, weight, count in one.summary.counts:
        by_outcome.setdefault(outcome, {})[weight] = count
    return {
        "pack": asdict(one.pack), "outcome": one.outcome, "counts": by_outcome, "packs": [asdict(used) for used in one.summary.packs],
        "figures": [{"limit": figure.name, "value": figure.value, "in_run": figure.run, "way": figure.way} for figure in one.figures],
        "moved": [{"practice": move.practice, "weight": move.weight, "element": move.element,
                   "was": None if move.was == GONE else move.was, "now": None if move.now == GONE else move.now} for move in one.moved],
    }


def in_a_line(one: Also) -> str:
    """For formats that carry variants as a property: "recreational-vehicle 1.0 9f3c…: not met 23 (23 warning), cannot tell 0"."""
    return f"{one.pack.name} {one.pack.edition} {one.pack.content}: {counts(one)}"
