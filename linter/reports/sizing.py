"""Sizes as text and as JSON."""

from __future__ import annotations

from typing import Any

from linter.base.gap import FactRef
from linter.base.text import clean, listed
from linter.facts.size_from_book import Missing, Sized
from linter.facts.sizing import LUGS, RULES, Choice, Sizing
from linter.reports import one_ending
from linter.reports.json import dumps
from linter.reports.page import WIDTH, labelled, paragraph
from linter.units.dimension import AREA, CURRENT, LENGTH, NUMBER, TEMPERATURE, VOLTAGE
from linter.units.table import write, write_range

VERSION = 1
_GAP = 12


def text(sized: Sized, width: int = WIDTH) -> str:
    """One run: what it needs, what decides, what the next size buys; or what is missing, and how to find it out."""
    lines = [f"{clean(sized.conductor)}" if sized.conductor else "One run"]
    if sized.return_of:
        lines += labelled("With", f"its return {sized.return_of}, sized alike", width, gap=_GAP)
    if sized.missing:
        lines += ["", "No size is given: a figure is missing that decides it."]
        for one in sized.missing:
            lines += labelled("Missing", f"{_fact(one.fact)}, for {one.why}", width, gap=_GAP)
            lines += labelled("Find out", ", ".join(part for part in (one.question, one.how) if part), width, gap=_GAP)
        return one_ending(lines)
    assert sized.sizing is not None
    found = sized.sizing
    wanted = found.wanted
    lines += labelled("Carries", f"{write(wanted.current.high, CURRENT)} at worst, {write_range(wanted.length, LENGTH)} one way", width, gap=_GAP)
    lines += labelled("In", f"{write(wanted.ambient.high, TEMPERATURE)}, insulation or terminals of {write(wanted.insulation.low, TEMPERATURE)}, "
                            f"{wanted.bundled:g} loaded together" + (f", {write(wanted.buried, LENGTH)} in foam" if wanted.buried else ""), width, gap=_GAP)
    if wanted.allowed is not None:
        lines += labelled("May lose", f"{write(wanted.allowed, VOLTAGE)} out and back" + (f", for {sized.load} to keep its volts" if sized.load else ""),
                          width, gap=_GAP)
    if sized.present is not None:
        lines += labelled("Now", f"{sized.present.name}: {_does(found, sized.present)}{_fails(sized.present)}", width, gap=_GAP)
    for system in ("mm²", "AWG"):
        lines.append("")
        lines += _one(found, system, width)
    for note in found.notes:
        lines += ["", *paragraph(note, width)]
    lines.append("")
    lines += paragraph(f"Capacity by {wanted.ladder}; drop with the copper 30 K over its place, {LUGS} lugs and the fuse counted; fuses loaded to three "
                       "quarters of what the heat leaves them.", width)
    if sized.rests_on:
        lines += labelled("Rests on", "; ".join(f"{name} {value} ({how})" for name, value, how in sized.rests_on), width, gap=_GAP)
    return one_ending(lines)


def _one(found: Sizing, system: str, width: int) -> list[str]:
    chosen = found.chosen.get(system)
    if chosen is None:
        failing = [RULES[rule] for rule, name in found.needed[system].items() if not name]
        return labelled("No size", f"in {system}: not even the largest keeps {listed(failing)}. Divide the load, shorten the run, or leave the hot place.",
                        width, gap=_GAP)
    lines = labelled("Smallest", f"{chosen.name}: {_does(found, chosen)}", width, gap=_GAP)
    lines += labelled("Fuse", _fuse(found, chosen), width, gap=_GAP)
    lines += labelled("Decided by", f"{RULES[found.binds[system]]}; alone, " + listed([f"{rule} asks for {name or 'more than there is'}"
                                                                                     for rule, name in found.needed[system].items()]), width, gap=_GAP)
    more = found.next_up.get(system)
    if more is not None:
        saved = chosen.lost - more.lost
        lines += labelled("Next size", f"{more.name} carries {write(more.carries - chosen.carries, CURRENT)} more and loses {write(saved, VOLTAGE)} less; "
                                       f"fuses up to {write(more.fuses[-1] if more.fuses else more.carries, CURRENT)} fit it", width, gap=_GAP)
    return lines


def _does(found: Sizing, choice: Choice) -> str:
    share = choice.lost / found.wanted.voltage.low if found.wanted.voltage.low > 0 else None
    part = f" ({write(share, NUMBER, percent=True)})" if share is not None else ""
    return f"carries {write(choice.carries, CURRENT)}, loses {write(choice.lost, VOLTAGE)}{part}"


def _fails(choice: Choice) -> str:
    wrong = [RULES[rule] for rule, kept in choice.passes.items() if not kept]
    return f"; does not keep {listed(wrong)}" if wrong else "; enough"


def _fuse(found: Sizing, choice: Choice) -> str:
    window = f"at least {write(found.load_side, CURRENT)} for the load, at most {write(choice.carries, CURRENT)} for the wire"
    if choice.fuses:
        return f"{listed([write(r, CURRENT) for r in choice.fuses], 'or')} ({found.wanted.family}): {window}"
    return window


def _fact(ref: FactRef) -> str:
    return clean(str(ref)).replace("-", " ")


def json_sized(sized: Sized) -> str:
    """The same, for programs."""
    found = sized.sizing
    document: dict[str, Any] = {
        "format": "tugtest size", "version": VERSION, "conductor": sized.conductor, "return": sized.return_of, "now": sized.now,
        "missing": [_missing(one) for one in sized.missing], "sizes": [], "rests_on": [list(one) for one in sized.rests_on], "rounds": sized.rounds}
    if found is not None:
        wanted = found.wanted
        document["asked"] = {"current_A": wanted.current.high, "length_m": wanted.length.high, "insulation_C": wanted.insulation.low,
                             "ambient_C": wanted.ambient.high,
                             "bundled": wanted.bundled, "buried_m": wanted.buried, "may_lose_V": wanted.allowed, "nominal_V": wanted.voltage.low,
                             "family": wanted.family, "capacity_by": wanted.ladder}
        document["fuse_load_side_A"] = found.load_side
        document["present"] = None if sized.present is None else _choice(sized.present)
        document["sizes"] = [{"system": system, "smallest": _choice(found.chosen[system]) if system in found.chosen else None,
                              "next": _choice(found.next_up[system]) if system in found.next_up else None, "decided_by": found.binds[system],
                              "needed": found.needed[system]} for system in ("mm²", "AWG")]
        document["notes"] = list(found.notes)
    return dumps(document)


def _choice(one: Choice) -> dict[str, Any]:
    return {"size": one.name, "area_mm2": float(write(one.area, AREA).split()[0]), "carries_A": one.carries, "loses_V": one.lost, "fuses_A": list(one.fuses),
            "keeps": one.passes, "far_end_multiple": one.far_end}


def _missing(one: Missing) -> dict[str, str]:
    return {"fact": one.fact.word, "of": one.fact.element, "for": one.why, "question": one.question, "how": one.how}
