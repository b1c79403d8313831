"""What every report says of a finding that was explained to the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from linter.language.filled import Clause
    from linter.survey.explained import Explained


def clause(one: Clause) -> str:
    """ "what F4 has to carry is at most … (173 A against 163.7 A): no"."""
    return one.text + (f" ({one.values})" if one.values else "") + (f": {one.outcome}" if one.outcome else "")


def card(told: Explained) -> Iterator[tuple[int, str]]:
    """Depth and text of the card filled in."""
    for one in (*told.applies, *told.demand):
        yield one.depth, clause(one)


def rows(told: Explained) -> list[tuple[str, str]]:
    """Labels and texts, one line each: for reports that keep no indents."""
    found = [("Filled in", "; ".join(f"{'– ' * depth}{text}" for depth, text in card(told)))]
    found += [("Way", " > ".join(told.way))] if told.way else []
    found += [("Limit", limit_line) for limit_line in limits(told)]
    return found + ([("Turns", "; ".join(turns(told)))] if told.turns else [])


def limits(told: Explained) -> list[str]:
    """ "fuse-reach is 150 mm: set to 200 mm by …; tightened to 150 mm by …"."""
    return [f"{limit.name} is {limit.value}: {'; '.join(str(step) for step in limit.chain)}" for limit in told.limits]


def turns(told: Explained) -> list[str]:
    """ "rating of F4: 145.6 A or less is met, more is not, all else as it is"."""
    return [f"{turn.fact}: {turn.text}, all else as it is" for turn in told.turns]


def as_json(told: Explained) -> dict[str, Any]:
    """For programs."""
    return {
        "card": [{"part": part, "depth": one.depth, "text": one.text, "values": one.values, "outcome": one.outcome}
                 for part, clauses in (("applies", told.applies), ("demand", told.demand)) for one in clauses],
        "way": list(told.way),
        "limits": [{"name": limit.name, "value": limit.value,
                    "chain": [{"pack": s.pack, "how": s.how, "value": s.text, "because": s.because, "agreed_by": s.agreed_by, "until": s.until}
                              for s in limit.chain]} for limit in told.limits],
        "turns": [{"element": turn.element, "word": turn.word, "text": turn.text} for turn in told.turns],
    }
