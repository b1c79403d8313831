"""Which way a limit is stricter, worked out from where it is used, and whether a condition can come out both ways at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from linter.base.truth import Truth
from linter.base.values import INF, Range, at_most, below, divided_by, equal, hull, less_or_equal, minus, plus, times
from linter.language import typed as t

Signs = dict[str, set[int]]


def signs_of(practice: t.Practice) -> Signs:
    """For each limit of a card: +1 where a larger value makes it easier to meet, -1 where it makes it harder."""
    signs: Signs = {}
    if practice.look.condition is not None:
        _formula(practice.look.condition, -1, signs)
    if practice.passing is not None:
        _formula(practice.passing, 1, signs)
    _formula(practice.demand, 1, signs)
    return signs


def strict_way(signs: set[int]) -> str:
    """lower, higher or neither."""
    return {frozenset({1}): "lower", frozenset({-1}): "higher"}.get(frozenset(signs), "neither")


_UP = {"at most": (-1, 1), "below": (-1, 1), "thinner than": (-1, 1), "at least": (1, -1), "above": (1, -1), "thicker than": (1, -1), "covers": (1, -1)}


def _formula(node: t.Formula, sign: int, signs: Signs) -> None:
    """`sign`: +1 when this formula coming true makes the practice easier to meet."""
    if isinstance(node, t.All | t.Any_):
        for part in node.parts:
            _formula(part, sign, signs)
    elif isinstance(node, t.Not):
        _formula(node.formula, -sign, signs)
    elif isinstance(node, t.Cmp):
        left, right = _UP.get(node.how, (0, 0))
        _term(node.left, sign * left, signs)
        _term(node.right, sign * right, signs)
    elif isinstance(node, t.Exists):
        _group(node.group, sign, signs)
    elif isinstance(node, t.Keeps):
        _group(node.group, -sign, signs)
        _formula(node.formula, sign, signs)
    elif isinstance(node, t.Meets):
        for ends, way in ((node.start, -sign), (node.end, -sign), (node.avoiding, sign)):
            if ends is not None and ends.group is not None:
                _group(ends.group, way, signs)
        _group(node.device, sign, signs)
        if node.within is not None:
            _term(node.within, sign, signs)


def _group(group: t.Group, sign: int, signs: Signs) -> None:
    if group.condition is not None:
        _formula(group.condition, sign, signs)


def _term(node: t.Term, sign: int, signs: Signs) -> None:
    if isinstance(node, t.LimitOf):
        signs.setdefault(node.name, set()).add(sign)
    elif isinstance(node, t.Called):
        _term(node.reading.term, sign, signs)
    elif isinstance(node, t.Calc):
        _term(node.left, sign, signs)
        right = sign
        if node.op in ("minus", "divided by"):
            right = -sign
        if node.op in ("times", "divided by"):
            # The other factor may be negative: then a larger limit may pull either way.
            low = span_of(node.left, {}).low
            right = right if low >= 0 else 0
        _term(node.right, right, signs)
    elif isinstance(node, t.Best):
        for term in node.terms:
            _term(term, sign, signs)
    elif isinstance(node, t.Over):
        _term(node.term, sign, signs)
        _group(node.group, sign if node.which != "smallest" else -sign, signs)
    elif isinstance(node, t.Number):
        _group(node.group, sign, signs)


# ---- conditions that cannot come out both ways ------------------------------------------------------------------------------------------


def span_of(node: t.Term, limits: Mapping[str, t.LimitInEffect]) -> Range:
    """All values a term can take, from floors and the bands of limits."""
    if isinstance(node, t.Fixed):
        return node.value
    if isinstance(node, t.LimitOf):
        limit = limits.get(node.name)
        if limit is None:
            return Range(0.0, INF)
        parts = [value for value in (limit.value, limit.low, limit.high) if isinstance(value, Range)]
        return hull(parts) if parts else Range(-INF, INF)
    if isinstance(node, t.WordOf):
        return Range(node.row.floor if node.row.floor is not None else 0.0 if node.row.gives == "size" else -INF, INF)
    if isinstance(node, t.Called):
        return span_of(node.reading.term, limits)
    if isinstance(node, t.Calc):
        operation = {"plus": plus, "minus": minus, "times": times, "divided by": divided_by}[node.op]
        return operation(span_of(node.left, limits), span_of(node.right, limits))
    if isinstance(node, t.Best):
        spans = [span_of(term, limits) for term in node.terms]
        if node.which == "total":
            return Range(sum(x.low for x in spans), sum(x.high for x in spans))
        return hull(spans)
    if isinstance(node, t.Over):
        span = span_of(node.term, limits)
        return Range(min(0.0, span.low * INF if span.low else 0.0), INF) if node.which == "total" else span
    return Range(0.0, INF)


def constant(node: t.Cmp, limits: Mapping[str, t.LimitInEffect]) -> Truth:
    """YES or NO when the comparison always comes out so, UNKNOWN when it can come out both ways."""
    if node.sort != "quantity":
        return Truth.UNKNOWN
    left, right = span_of(node.left, limits), span_of(node.right, limits)
    if node.how in ("at most",):
        return at_most(left, right)
    if node.how in ("at least",):
        return at_most(right, left)
    if node.how in ("below", "thinner than"):
        return below(left, right)
    if node.how in ("above", "thicker than"):
        return below(right, left)
    return equal(left, right)


def never_together(parts: Iterable[t.Formula], limits: Mapping[str, t.LimitInEffect]) -> t.Cmp | None:
    """Of conditions that must all hold, the first comparison that leaves a reading no value at all; None when each reading has one."""
    room: dict[object, Range] = {}
    waiting = list(parts)
    while waiting:
        node = waiting.pop(0)
        if isinstance(node, t.All):
            waiting = [*node.parts, *waiting]
        if not isinstance(node, t.Cmp) or node.sort != "quantity" or not isinstance(node.left, t.WordOf):
            continue
        asked = span_of(node.right, limits)
        key = (node.left.row.word, same_thing(node.left.thing))
        have = room.get(key, span_of(node.left, limits))
        if node.how in ("at most", "below", "thinner than"):
            have = Range(have.low, min(have.high, asked.high))
        elif node.how in ("at least", "above", "thicker than"):
            have = Range(max(have.low, asked.low), have.high)
        else:
            have = Range(max(have.low, asked.low), min(have.high, asked.high))
        if not less_or_equal(have.low, have.high):
            return node
        room[key] = have
    return None


def same_thing(thing: t.Thing) -> object:
    """Equal for things that are surely the same one."""
    if isinstance(thing, t.Held):
        return thing.slot
    return "whole" if isinstance(thing, t.Whole) else (thing.word, same_thing(thing.of))


def conjunctions(node: t.Formula) -> list[t.All]:
    """Every `and` inside a formula."""
    if isinstance(node, t.All):
        return [node, *(a for part in node.parts for a in conjunctions(part))]
    if isinstance(node, t.Any_):
        return [a for part in node.parts for a in conjunctions(part)]
    if isinstance(node, t.Not):
        return conjunctions(node.formula)
    if isinstance(node, t.Exists):
        return conjunctions(node.group.condition) if node.group.condition is not None else []
    if isinstance(node, t.Keeps):
        return [*(conjunctions(node.group.condition) if node.group.condition is not None else []), *conjunctions(node.formula)]
    return []


def comparisons(node: t.Formula) -> list[t.Cmp]:
    """Every comparison inside a formula."""
    if isinstance(node, t.Cmp):
        return [node, *_inside(node.left), *_inside(node.right)]
    if isinstance(node, t.All | t.Any_):
        return [c for part in node.parts for c in comparisons(part)]
    if isinstance(node, t.Not):
        return comparisons(node.formula)
    if isinstance(node, t.Exists):
        return comparisons(node.group.condition) if node.group.condition is not None else []
    if isinstance(node, t.Keeps):
        return [*(comparisons(node.group.condition) if node.group.condition is not None else []), *comparisons(node.formula)]
    if isinstance(node, t.Meets):
        groups = [e.group for e in (node.start, node.end, node.avoiding) if e is not None and e.group is not None]
        return [c for group in (*groups, node.device) if group.condition is not None for c in comparisons(group.condition)]
    return []


def _inside(node: t.Term) -> list[t.Cmp]:
    if isinstance(node, t.Over | t.Number):
        return comparisons(node.group.condition) if node.group.condition is not None else []
    if isinstance(node, t.Calc):
        return [*_inside(node.left), *_inside(node.right)]
    if isinstance(node, t.Best):
        return [c for term in node.terms for c in _inside(term)]
    return []
