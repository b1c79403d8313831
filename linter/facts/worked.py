"""Small helpers for facts that are worked out from the wiring."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef, Gap
from linter.base.reading import Reading, Step, Value
from linter.base.truth import Truth, all_of, any_of
from linter.base.values import Range

if TYPE_CHECKING:
    from linter.facts.book import Book


def worked(value: Value, *, uses: Iterable[FactRef] = (), wants: Iterable[FactRef] = (), states: Any = None, through: tuple[str, ...] = (),
           working: Callable[[], tuple[Step, ...]] | None = None) -> Reading:
    """A reading that was worked out; what it wants is dropped when it is exact."""
    exact = value.known if isinstance(value, Range) else value is not Truth.UNKNOWN if isinstance(value, Truth) else len(value) == 1
    open_facts = frozenset() if exact else frozenset(wants)
    gap = Gap("not known yet") if value is Truth.UNKNOWN or (isinstance(value, frozenset) and not value) else None
    return Reading(value, "worked out", gap=gap, wants=open_facts, uses=frozenset(uses), states=states, through=through, working=working)


def wants_of(*readings: Reading) -> frozenset[FactRef]:
    """What several readings leave open."""
    return frozenset().union(*(r.wants for r in readings))


def uses_of(*readings: Reading) -> frozenset[FactRef]:
    """What several readings rest on."""
    return frozenset().union(*(r.uses for r in readings))


def in_some_state(book: Book, sure: Any, maybe: Any, *, wants: Iterable[FactRef] = (), uses: Iterable[FactRef] = (),
                  through: tuple[str, ...] = ()) -> Reading:
    """Yes if it surely happens in some state, no if it may in none and every connection is described."""
    if sure != book.nothing:
        value = Truth.YES
    elif maybe == book.nothing and book.wiring_complete:
        value = Truth.NO
    else:
        value = Truth.UNKNOWN
    return worked(value, wants=frozenset(wants) | book.open_wiring, uses=uses, states=sure if value is Truth.YES else None, through=through)


def one_of(words: frozenset[str], wanted: frozenset[str]) -> Truth:
    """Whether the word that holds, one of `words`, is among the wanted ones. Nothing known: not known."""
    if not words:
        return Truth.UNKNOWN
    if words <= wanted:
        return Truth.YES
    return Truth.NO if not words & wanted else Truth.UNKNOWN


__all__ = ["all_of", "any_of", "in_some_state", "one_of", "uses_of", "wants_of", "worked"]
