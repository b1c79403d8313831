"""The way home: what a short at the posts of a thing has behind it on the negative side, as drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.facts.demands import EdgeCost
from linter.facts.loop import split_ways

if TYPE_CHECKING:
    from linter.facts.book import Book


@dataclass(frozen=True, slots=True)
class Home:
    """The return of one thing to a bank.

    Attributes:
        shared: What all its batteries share, from the thing on. [Ω]
        own: What each battery has to itself. [Ω]
        wants: Facts that would narrow it.
    """

    shared: Range
    own: dict[str, Range]
    wants: frozenset[FactRef]


def negative_beside(book: Book, terminal: str) -> str | None:
    """The negative terminal beside a positive one of a load or charger; None for anything else. A battery's own posts are no end of a run."""
    network = book.network
    if network.pole.get(terminal) != 1 or network.owner_is(terminal, "battery"):
        return None
    owner = network.owner(terminal)
    return network.terminal(owner, terminal[len(owner) + 1:].replace("positive", "negative"))


def home(book: Book, terminal: str, batteries: Iterable[str], cost: EdgeCost) -> Home | None:
    """The way from the negative beside a positive terminal to each battery; None where it is not drawn for all of them.

    Args:
        book: Of facts.
        terminal: Where the short is.
        batteries: Of one bank, always joined.
        cost: Resistance of an edge. [Ω]
    """
    bank = tuple(batteries)
    shared, own = split_ways(book, negative_beside(book, terminal), bank, "negative")
    if len(own) < len(bank):
        return None
    wants: set[FactRef] = set()

    def total(edges: tuple[int, ...]) -> Range:
        low = high = 0.0
        for edge in edges:
            ohm, asks = cost(edge)
            wants.update(asks)
            low, high = low + ohm.low, high + ohm.high
        return Range(low, high)

    out, each = total(shared), {battery: total(way) for battery, way in own.items()}
    return Home(out, each, frozenset(wants))
