"""Planted faults: how we know that a pack's examples bite. Pure functions over cards; `pack prove` runs them.

A mutant is the card with one thing changed. If every example of the card still comes out as expected, nobody would notice the fault.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from linter.base.values import Range
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.check import check_practice
from linter.language.layout import printed
from linter.language.resolve import Notes
from linter.language.tables import tokens_of
from linter.language.wording import number_of
from linter.units.table import Unreadable
from linter.vocabulary import Vocabulary

_REVERSED = {"at most": "at least", "at least": "at most", "below": "above", "above": "below", "thinner than": "thicker than",
             "thicker than": "thinner than"}
_OTHER_PICK = {"largest": "smallest", "smallest": "largest", "total": "largest"}
_OTHER_SIGN = {"plus": "minus", "minus": "plus", "times": "divided by", "divided by": "times"}
MOST = 200


@dataclass(frozen=True, slots=True)
class Mutant:
    """One planted fault.

    Attributes:
        what: In words: "at most reversed".
        was, now: The sentence before and after, one line each.
        practice: The changed card, checked.
        limits: Limits in effect for this mutant; changed only when the fault is a moved limit.
    """

    what: str
    was: str
    now: str
    practice: t.Practice
    limits: Mapping[str, t.LimitInEffect]


def mutants(practice: t.Practice, checked: t.Checked) -> tuple[Mutant, ...]:
    """All planted faults of one card that still make a card; those that do not check are left out."""
    out: list[Mutant] = []
    names = {name: limit.dimension for name, limit in checked.limits.items()}
    # Multiplied or divided by a limit that stands at 1, nothing changes: no example could notice.
    ones = frozenset(name for name, limit in checked.limits.items() if isinstance(limit.value, Range) and limit.value.low == limit.value.high == 1.0)
    seen = {_text(practice.card)}
    for what, card in _changed(practice.card, ones):
        text = _text(card)
        if text in seen or len(out) >= MOST:
            continue
        seen.add(text)
        made = _checked(card, practice, checked.vocabulary, names, checked.readings)
        if made is not None:
            out.append(Mutant(what, _text(practice.card), text, made, checked.limits))
    for name, moved in _moved(practice, checked):
        was = checked.limits[name].text
        out.append(Mutant(f"limit {name} moved to {moved.text}", f"{name} is {was}", f"{name} is {moved.text}", practice, {**checked.limits, name: moved}))
    return tuple(out)


def _text(card: s.Practice) -> str:
    passing = f" passing over {printed(card.passing)}" if card.passing is not None else ""
    return f"look at {printed(card.look)}{passing} {'forbid' if card.forbidden else 'require'} {printed(card.demand)}"


def _checked(card: s.Practice, practice: t.Practice, known: Vocabulary, limits: Mapping[str, Any], readings: Mapping[str, t.PackReading]) -> t.Practice | None:
    notes = Notes()
    made = check_practice(card, practice.pack, practice.edition, known, limits, readings, notes)
    return None if made is None or any(note.fatal for note in notes.found) else replace(made, weight=practice.weight)


def _changed(card: s.Practice, ones: frozenset[str]) -> Iterator[tuple[str, s.Practice]]:
    if card.look.condition is not None:
        yield '"with" of what it looks at dropped', replace(card, look=replace(card.look, condition=None))
    if card.passing is not None:
        yield '"passing over" dropped', replace(card, passing=None)
    yield "require and forbid exchanged", replace(card, forbidden=not card.forbidden)
    for what, demand in _variants(card.demand, ones):
        yield what, replace(card, demand=demand)
    if card.passing is not None:
        for what, passing in _variants(card.passing, ones):
            yield f'in "passing over": {what}', replace(card, passing=passing)
    if card.look.condition is not None:
        for what, condition in _variants(card.look.condition, ones):
            yield f'in "with": {what}', replace(card, look=replace(card.look, condition=condition))


def _variants(node: Any, ones: frozenset[str]) -> Iterator[tuple[str, Any]]:
    """The node with one change at its root, then with one change anywhere below."""
    yield from _here(node, ones)
    for field in fields(node):
        value = getattr(node, field.name)
        if is_dataclass(value) and not isinstance(value, s.Source):
            for what, new in _variants(value, ones):
                yield what, replace(node, **{field.name: new})
        elif isinstance(value, tuple):
            for i, part in enumerate(value):
                if is_dataclass(part):
                    for what, new in _variants(part, ones):
                        yield what, replace(node, **{field.name: (*value[:i], new, *value[i + 1:])})


def _here(node: Any, ones: frozenset[str]) -> Iterator[tuple[str, Any]]:
    if isinstance(node, s.Compare) and node.how in _REVERSED:
        yield f'"{node.how}" reversed', replace(node, how=_REVERSED[node.how])
    elif isinstance(node, s.AllOf | s.AnyOf):
        other = s.AnyOf if isinstance(node, s.AllOf) else s.AllOf
        yield f'"{"or" if isinstance(node, s.AllOf) else "and"}" for "{"and" if isinstance(node, s.AllOf) else "or"}"', other(node.parts, node.at)
        for i in range(len(node.parts)):
            left = (*node.parts[:i], *node.parts[i + 1:])
            yield f'"{_short(node.parts[i])}" dropped', left[0] if len(left) == 1 else replace(node, parts=left)
    elif isinstance(node, s.Unless):
        yield '"unless" dropped', node.left
    elif isinstance(node, s.ThereIs):
        yield f'"{_short(node)}" turned round', replace(node, positive=not node.positive, article="no" if node.positive else "a")
    elif isinstance(node, s.IsWord | s.HasWord | s.OneOf):
        yield f'"{_short(node)}" turned round', replace(node, positive=not node.positive)
    elif isinstance(node, s.EachKeeps):
        inner = s.AllOf((node.each.condition, s.Bracketed(node.formula, node.at)), node.at) if node.each.condition is not None else node.formula
        if isinstance(node.each.condition, s.AllOf | s.AnyOf | s.Unless):
            inner = s.AllOf((s.Bracketed(node.each.condition, node.at), s.Bracketed(node.formula, node.at)), node.at)
        yield '"there is" for "each"', s.ThereIs(replace(node.each, condition=inner), True, "a", node.at)
        if node.each.condition is not None:
            yield '"with" dropped', replace(node, each=replace(node.each, condition=None))
    elif isinstance(node, s.WayMeets):
        if node.within is not None:
            yield '"within" dropped', replace(node, within=None)
        if node.way.avoiding is not None:
            yield '"avoiding" dropped', replace(node, way=replace(node.way, avoiding=None))
        if node.device.condition is not None:
            yield '"with" of what is met dropped', replace(node, device=replace(node.device, condition=None))
    elif isinstance(node, s.Pick):
        if node.which in _OTHER_PICK:
            yield f"{_OTHER_PICK[node.which]} for {node.which}", replace(node, which=_OTHER_PICK[node.which])
        if node.over is not None and node.over.condition is not None:
            yield '"with" dropped', replace(node, over=replace(node.over, condition=None))
    elif isinstance(node, s.Arithmetic) and not (node.op in ("times", "divided by") and isinstance(node.right, s.Named) and node.right.word in ones):
        yield f"{_OTHER_SIGN[node.op]} for {node.op}", replace(node, op=_OTHER_SIGN[node.op])
    elif isinstance(node, s.Value) and node.sort in ("qty", "num"):
        for what, factor in (("halved", 0.5), ("doubled", 2.0)):
            yield f"{node.text} {what}", replace(node, text=_scaled(node.text, factor))


def _short(node: object) -> str:
    """The author's words, cut at a blank."""
    text = printed(node)
    return text if len(text) <= 70 else f"{text[:70].rsplit(' ', 1)[0]} …"


def mark(card: s.Practice) -> str:
    """Of a card's words, white space and comments aside: an excuse holds for exactly this card."""
    words = []
    for sort, text, _ in tokens_of(card.source.text, card.at)[0]:
        words.append(text if sort == "STRING" else " ".join(text.split()))
        if sort == "DONE":
            break
    return hashlib.sha256("\0".join(words).encode("utf-8", "surrogatepass")).hexdigest()[:10]


def _scaled(text: str, factor: float) -> str:
    digits = len(text)
    while not text[:digits].replace(".", "").lstrip("-").isdigit():
        digits -= 1
    return f"{float(text[:digits]) * factor:.9f}".rstrip("0").rstrip(".") + text[digits:]


def _moved(practice: t.Practice, checked: t.Checked) -> Iterator[tuple[str, t.LimitInEffect]]:
    """Each limit of the card at the loose end of its band."""
    for name in dict.fromkeys(node.name for node in nodes(practice) if isinstance(node, t.LimitOf)):
        limit = checked.limits[name]
        end = limit.card.high if limit.stricter == "lower" else limit.card.low
        if end is None or end.text == limit.text:
            continue
        try:
            value: Any = frozenset({end.text}) if end.sort == "ipcode" else number_of(end)[0]
        except Unreadable:
            continue
        yield name, replace(limit, value=value, text=end.text)


def survivors(found: tuple[Mutant, ...], notices: Callable[[Mutant], bool]) -> tuple[Mutant, ...]:
    """Planted faults no example notices. `notices` runs the card's examples and says whether one came out otherwise."""
    return tuple(mutant for mutant in found if not notices(mutant))


def nodes(practice: t.Practice) -> Iterator[Any]:
    """Every typed node of a card, in order, those of the readings it calls included."""
    stack: list[Any] = [practice.demand, practice.passing, practice.look]
    while stack:
        here = stack.pop()
        if isinstance(here, tuple):
            stack.extend(reversed(here))
        elif isinstance(here, t.PackReading):
            stack.append(here.term)
        elif is_dataclass(here) and not isinstance(here, type) and type(here).__module__ == t.__name__:
            yield here
            stack.extend(reversed([getattr(here, field.name) for field in fields(here)]))
