"""What the examples of a card show: every small formula seen true, seen false, and seen when it cannot be told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from linter.base.truth import Truth
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.layout import printed
from linter.language.remarks import inside

_SMALL = t.Cmp | t.Said | t.Among | t.Same | t.HasPart | t.Meets
_WORDS = ((Truth.YES, "true"), (Truth.NO, "false"), (Truth.UNKNOWN, "open"))
_TURNED = {Truth.YES: Truth.NO, Truth.NO: Truth.YES, Truth.UNKNOWN: Truth.UNKNOWN}
_SPOKEN = {"true": "holds", "false": "does not hold", "open": "cannot be told"}


@dataclass(frozen=True, slots=True)
class Covered:
    """What the examples saw of one small formula.

    Attributes:
        text: The author's words.
        at: Place in the card's source.
        seen: Truths it came out with, as the author wrote it ("C is not bar" is true of a cable).
        missing: What it never came out as: "true", "false", "open".
    """

    text: str
    at: int
    seen: frozenset[Truth]
    missing: tuple[str, ...]

    @property
    def situations(self) -> tuple[str, ...]:
        """What no example shows, in words."""
        return tuple(f"no example in which {self.text} {_SPOKEN[missing]}" for missing in self.missing)


def questions(practice: t.Practice) -> Iterator[tuple[t.Formula, bool]]:
    """The smallest formulas of a card, and whether the author wrote each with a "not" of its own ("is not", "has no")."""
    turned = {}
    for node in inside((practice.look.condition, practice.passing, practice.demand)):
        if isinstance(node, t.Not) and getattr(node.formula, "at", -1) == node.at:
            turned[node.formula] = True
        if isinstance(node, _SMALL):
            yield node, turned.get(node, False)


def coverage(practice: t.Practice, seen: Mapping[t.Formula, frozenset[Truth]]) -> tuple[Covered, ...]:
    """Coverage of a card.

    Args:
        practice: The card.
        seen: Small formula to the truths `walk` met there in any example; see `explain.truths`.
    """
    written = _written(practice.card)
    out = []
    for node, turned in questions(practice):
        have = frozenset(_TURNED[truth] if turned else truth for truth in seen.get(node, frozenset()))
        missing = tuple(word for truth, word in _WORDS if truth not in have)
        out.append(Covered(written.get(node.at, "this"), node.at, have, missing))
    return tuple(out)


def _written(card: s.Practice) -> dict[int, str]:
    """The author's words of each small formula, by its place."""
    found: dict[int, str] = {}
    stack: list[object] = [card.look.condition, card.passing, card.demand]
    while stack:
        here = stack.pop()
        if isinstance(here, s.Compare | s.IsWord | s.HasWord | s.OneOf | s.WayMeets):
            found[here.at] = printed(here)
        stack.extend(here if isinstance(here, tuple) else [] if isinstance(here, s.Source) else s.children(here))
    return found
