"""Two editions of a pack weighed against each other: as text, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator

from linter.base.text import listed
from linter.reports import one_ending, phrases
from linter.reports.json import dumps
from linter.reports.page import WIDTH, labelled, paragraph, two_ends
from linter.survey.moves import GONE
from linter.survey.weigh import Shift, Weighed

VERSION = 1
# Elements named on one line before the rest is only counted.
_NAMED = 8
_SAID = {"tighter": "The new edition is tighter.", "looser": "The new edition is looser.", "both": "The new edition is tighter in part and looser in part.",
         "same": "Nothing moved."}


def text(weighed: Weighed, width: int = WIDTH) -> str:
    """For a screen."""
    return one_ending(_lines(weighed, width))


def _lines(weighed: Weighed, width: int) -> Iterator[str]:
    yield from two_ends(f"{weighed.name}, two editions weighed", phrases.day(weighed.on), width)
    yield from paragraph(f"Old: edition {weighed.old[0]} (content {weighed.old[1][:12]}). New: edition {weighed.new[0]} (content {weighed.new[1][:12]}). "
                         f"Held on {phrases.plural(len(weighed.files), 'installation')}.", width, hang=2)
    yield ""
    yield from two_ends(f"{weighed.verdict.upper()}   {_SAID[weighed.verdict]}", "", width)
    yield from labelled("By its text", weighed.by_text, width, gap=20)
    yield from labelled("In the folder", weighed.by_folder + ("" if weighed.moved else ": every practice came out as before"), width, gap=20)
    if weighed.overstepped:
        yield from paragraph(f"Note: {weighed.overstepped}", width, hang=2)
    limits = [shift for shift in weighed.shifts if shift.sort == "limit"]
    if limits:
        yield ""
        yield "Limits"
        for shift in limits:
            yield from two_ends(f"{shift.name}: {_change(shift)}", shift.way, width, indent=2)
    others = [shift for shift in weighed.shifts if shift.sort not in ("limit", "card", "reading")]
    if others:
        yield ""
        yield "Practices in the pack"
        for shift in others:
            yield from two_ends(f"{shift.name}: {_change(shift)}", shift.way, width, indent=2)
    asked = [shift.name for shift in weighed.shifts if shift.sort in ("card", "reading") and shift.was and shift.now]
    if asked:
        yield ""
        yield from paragraph(f"Worked out or asked otherwise than before: {listed(asked, most=40)}. Which way that goes cannot be read from the text; "
                             "what it did to these installations stands below.", width, hang=2)
    if weighed.moved:
        yield ""
        yield "What moved in the folder"
        for practice in dict.fromkeys(move.practice for _, move in weighed.moved):
            mine = [(file, move) for file, move in weighed.moved if move.practice == practice]
            yield ""
            yield from two_ends(f"{mine[0][1].weight}  {practice}", weighed.way_of(practice) or "", width, indent=2)
            for was, now in dict.fromkeys((move.was, move.now) for _, move in mine):
                yield from paragraph(f"{_pair(was, now)}:", width, 4, 2)
                pair = [(file, move) for file, move in mine if (move.was, move.now) == (was, now)]
                for file in dict.fromkeys(file for file, _ in pair):
                    names = [move.element or "the installation" for where, move in pair if where == file]
                    yield from paragraph(f"{file}: {listed(names, most=_NAMED)}", width, 6, 2)


def _pair(was: str, now: str) -> str:
    if was == GONE:
        return f"new here, {now}"
    if now == GONE:
        return f"was {was}, no longer asked"
    if now == "not met":
        return f"newly not met (was {was})"
    if was == "not met":
        return f"no longer not met ({now} now)"
    if now == "cannot tell":
        return f"cannot tell any more (was {was})"
    if was == "cannot tell":
        return f"can be told now ({now})"
    if now == "does not apply":
        return f"passed over now (was {was})"
    return f"looked at now ({now})" if was == "does not apply" else f"{now} (was {was})"


def _change(shift: Shift) -> str:
    if shift.sort == "limit":
        if not shift.was or not shift.now:
            return f"new, {shift.now}" if not shift.was else f"gone, was {shift.was}"
        return f"from {shift.was} to {shift.now}"
    if shift.sort == "practice":
        return shift.now
    return f"renamed, was {shift.was}" if shift.sort == "name" else f"weight from {shift.was} to {shift.now}"


def json_weighed(weighed: Weighed) -> str:
    """For programs. Fields may be added within a version."""
    return dumps({
        "format": "tugtest weighing", "version": VERSION, "pack": weighed.name,
        "old": {"edition": weighed.old[0], "content": weighed.old[1]}, "new": {"edition": weighed.new[0], "content": weighed.new[1]},
        "on": weighed.on.isoformat(), "verdict": weighed.verdict, "by_text": weighed.by_text, "by_folder": weighed.by_folder,
        "overstepped": weighed.overstepped, "files": list(weighed.files),
        "shifts": [{"sort": s.sort, "name": s.name, "was": s.was, "now": s.now, "way": s.way} for s in weighed.shifts],
        "moved": [{"file": file, "practice": m.practice, "weight": m.weight, "element": m.element, "was": m.was, "now": m.now, "way": m.way}
                  for file, m in weighed.moved],
    })
