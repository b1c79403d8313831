"""Where facts and relations are announced: word and kind to the function that works it out.

A fact is a function `(book, element) -> Reading`, or a tuple of `(states, Reading)` that covers every state for words said under a state.
A relation is a function `(book, element, other) -> Answer`; `other` is None when only a state follows the word.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

from linter.base.reading import Reading
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book

Pieces = tuple[tuple[Any, Reading], ...]
Fact = Callable[["Book", str], "Reading | Pieces"]
Relation = Callable[["Book", str, "str | None"], Answer]
_F = TypeVar("_F", bound=Callable[..., Any])

_FACTS: dict[tuple[str, str], Fact] = {}
_RELATIONS: dict[tuple[str, str], Relation] = {}


def fact(word: str, *kinds: str) -> Callable[[_F], _F]:
    """Announces how `word` of each of `kinds` is worked out. Said of a stated property, it is what holds when nothing was stated."""

    def announce(function: _F) -> _F:
        for kind in kinds:
            _FACTS[(word, kind)] = function
        return function

    return announce


def relation(word: str, *kinds: str) -> Callable[[_F], _F]:
    """Announces how the relation `word`, said of each of `kinds`, is answered."""

    def announce(function: _F) -> _F:
        for kind in kinds:
            _RELATIONS[(word, kind)] = function
        return function

    return announce


def fact_for(word: str, lineage: tuple[str, ...]) -> Fact | None:
    """The function announced for the nearest of `lineage` (a kind, then what it is one of), or None."""
    return next((_FACTS[(word, kind)] for kind in lineage if (word, kind) in _FACTS), None)


def relation_for(word: str, lineage: tuple[str, ...]) -> Relation | None:
    """As `fact_for`, for relations."""
    return next((_RELATIONS[(word, kind)] for kind in lineage if (word, kind) in _RELATIONS), None)


def announced() -> tuple[set[str], set[str]]:
    """Words with a fact and words with a relation, for the test that none of the vocabulary is missing."""
    return {word for word, _ in _FACTS}, {word for word, _ in _RELATIONS}
