"""Tipping values: for an open comparison, the value of one fact at which it turns. "3.5 m or less is met, more is not"."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.language import typed as t
from linter.units.table import write

if TYPE_CHECKING:
    from linter.language.sink import Measured
    from linter.language.tally import Env
    from linter.language.walk import Walker
    from linter.vocabulary import Word


def tipping(walker: Walker, node: t.Cmp, ref: FactRef, left: Measured, right: Measured, env: Env, positive: bool) -> str:
    """In words, or "" when it cannot be worked out: the fact stands in several places, or other facts are open too."""
    if node.sort != "quantity" or node.how in ("equal to", "same size as"):
        return ""
    sides = [_leaves(walker, side, ref, env) for side in (node.left, node.right)]
    if sum(len(leaves) for leaves in sides) != 1:
        return ""
    on_left = bool(sides[0])
    other = right if on_left else left
    if not isinstance(other.value, Range) or not other.value.known:
        return ""
    side = node.left if on_left else node.right
    leaf = (sides[0] or sides[1])[0]
    if leaf.row.gives == "size" or leaf.dimension is None:
        return ""
    solved = _solve(walker, side, leaf, other.value.low, env)
    if solved is None:
        return ""
    value, rising = solved
    low_is_good = (node.how in ("at most", "below", "thinner than")) == (on_left == rising)
    strict = node.how in ("below", "above", "thinner than", "thicker than")
    if not positive:
        low_is_good, strict = not low_is_good, not strict
    text = write(value, leaf.dimension, percent=leaf.row.gives == "share")
    if low_is_good:
        return f"less than {text} is met, {text} or more is not" if strict else f"{text} or less is met, more is not"
    return f"more than {text} is met, {text} or less is not" if strict else f"{text} or more is met, less is not"


def leaves(node: t.Term) -> list[tuple[Word, t.Thing]]:
    """Readings of the vocabulary in a term that do not hang on the state, each with its thing."""
    if isinstance(node, t.WordOf):
        return [] if node.under else [(node.row, node.thing)]
    return leaves(node.left) + leaves(node.right) if isinstance(node, t.Calc) else []


def _leaves(walker: Walker, node: t.Term, ref: FactRef, env: Env) -> list[t.WordOf]:
    if isinstance(node, t.WordOf):
        element, _ = walker.thing(node.thing, env)
        return [node] if element is not None and FactRef(element, node.row.word) == ref and not node.under else []
    if isinstance(node, t.Calc):
        return [*_leaves(walker, node.left, ref, env), *_leaves(walker, node.right, ref, env)]
    return []


def _solve(walker: Walker, node: t.Term, leaf: t.WordOf, target: float, env: Env) -> tuple[float, bool] | None:
    """The leaf's value at which the term reaches the target, and whether the term rises with it."""
    if node is leaf:
        return target, True
    if not isinstance(node, t.Calc):
        return None
    in_left = _holds(node.left, leaf)
    other: Any = walker.term(node.right if in_left else node.left, env)[0][1].value
    if not isinstance(other, Range) or not other.known:
        return None
    known, inside = other.low, node.left if in_left else node.right
    rising = True
    if node.op == "plus":
        target -= known
    elif node.op == "minus":
        target, rising = (target + known, True) if in_left else (known - target, False)
    elif known <= 0 or (node.op == "divided by" and not in_left):
        return None
    elif node.op == "times":
        target /= known
    else:
        target *= known
    solved = _solve(walker, inside, leaf, target, env)
    return None if solved is None else (solved[0], solved[1] == rising)


def _holds(node: t.Term, leaf: t.WordOf) -> bool:
    return node is leaf or (isinstance(node, t.Calc) and (_holds(node.left, leaf) or _holds(node.right, leaf)))

