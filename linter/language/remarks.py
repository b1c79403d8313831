"""Remarks on a card that is sound and could be written better. None of them refuses a pack."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from linter.language import syntax as s
from linter.language import typed as t
from linter.language.resolve import Notes
from linter.language.strict import same_thing

_UPPER = frozenset({"at most", "below", "thinner than"})
_LOWER = frozenset({"at least", "above", "thicker than"})
_NUMBER = re.compile(r"(?<![0-9.,])[0-9]+(?:\.[0-9]+)?(?: ?(?:%|[A-Za-z][A-Za-z0-9/%-]*))?")
_BLANKS = re.compile(r"\s+")


def remarks(practice: t.Practice, limits: Mapping[str, t.LimitInEffect], notes: Notes) -> None:
    """All remarks on one card."""
    card = practice.card
    formulas = [formula for formula in (practice.look.condition, practice.passing, practice.demand) if formula is not None]
    for formula in formulas:
        for node in inside(formula):
            if isinstance(node, t.All | t.Any_):
                _twice(node, card, notes)
    _empty_lists(practice, notes)
    _limit_in_words(card, practice, limits, notes)


def inside(node: object) -> Iterator[object]:
    """A typed node and everything in it, but not the readings of a pack it calls."""
    stack = [node]
    while stack:
        here = stack.pop()
        if isinstance(here, tuple):
            stack.extend(reversed(here))
        elif type(here).__module__ == t.__name__ and not isinstance(here, t.PackReading):
            yield here
            stack.extend(reversed(s.children(here)))


def _twice(node: t.All | t.Any_, card: s.Practice, notes: Notes) -> None:
    """One reading held against two numbers. A lower and an upper bound joined by `and` are exact; other pairs say "cannot tell" too often."""
    seen: dict[object, set[str]] = {}
    for part in node.parts:
        if not isinstance(part, t.Cmp) or not isinstance(part.left, t.WordOf) or part.sort != "quantity":
            continue
        way = "upper" if part.how in _UPPER else "lower" if part.how in _LOWER else "equal"
        before = seen.setdefault((part.left.row.word, same_thing(part.left.thing), part.left.under), set())
        if before and (isinstance(node, t.Any_) or way in before or "equal" in (way, *before)):
            notes.say("pack-remark", f"{part.left.row.word} is compared twice here; the card may say cannot tell more often than needed", card.source, part.at,
                      "Where its range reaches over both numbers, neither comparison can be told. One comparison with the largest or smallest of both can.",
                      fatal=False)
        before.add(way)


def _empty_lists(practice: t.Practice, notes: Notes) -> None:
    """largest, smallest over a list that may be empty: it can never be told then, so the card should pass over it."""
    guards = [node for formula in (practice.look.condition, practice.passing) if formula is not None for node in inside(formula)]
    spoken = {node.group.kind for node in guards if isinstance(node, t.Exists | t.Number)}
    for node in inside(practice.demand):
        if isinstance(node, t.Over) and node.which != "total" and not node.group.state and node.group.kind not in spoken:
            kind = node.group.kind
            notes.say("pack-remark", f"the {node.which} over each {kind} cannot be told where there is none", practice.card.source, node.at,
                      f"Add: passing over number of each {kind} … equal to 0.", fatal=False)


def _limit_in_words(card: s.Practice, practice: t.Practice, limits: Mapping[str, t.LimitInEffect], notes: Notes) -> None:
    """A number in `says` that is a limit of the card: a house pack may move it, and then the sentence is wrong."""
    used = {node.name for node in inside((practice.look.condition, practice.passing, practice.demand)) if isinstance(node, t.LimitOf) and node.name in limits}
    written = {_BLANKS.sub("", limits[name].text): name for name in sorted(used)}
    for match in _NUMBER.finditer(card.says):
        name = written.get(_BLANKS.sub("", match.group()))
        if name is not None:
            notes.say("pack-remark", f'"says" of {card.name} names {match.group()}, which is limit {name} and may be moved', card.source, card.at,
                      "Say it with the limit's name, or without the number.", fatal=False)
