"""The wiring drawn together into strands: chains of wires and devices between points where something branches, pushes or draws.

One strand carries one current, so the worst-current reckoning solves for strands, of which there are a third as many as wires.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.facts import resistance

if TYPE_CHECKING:
    from linter.facts.book import Book

COLD = Range(20.0, 20.0)


@dataclass(frozen=True, slots=True)
class Strand:
    """A chain of edges.

    Attributes:
        a, b: Terminals at its ends.
        edges: Edge numbers in order.
        resistance: Cold copper, with lugs and devices. [Ω]
        wants: Facts that would narrow the resistance.
        sure: States in which all of it is surely closed.
        maybe: States in which all of it may be closed.
    """

    a: str
    b: str
    edges: tuple[int, ...]
    resistance: Range
    wants: frozenset[FactRef]
    sure: Any
    maybe: Any


def strands(book: Book) -> tuple[Strand, ...]:
    """All strands of the circuit that may be closed in some state."""

    def make() -> tuple[Strand, ...]:
        network = book.network
        live = [n for n in range(len(network.edges)) if network.edges[n].a != network.edges[n].b and network.closable(n)]
        at: dict[str, list[int]] = {}
        for n in live:
            at.setdefault(network.edges[n].a, []).append(n)
            at.setdefault(network.edges[n].b, []).append(n)

        def knot(terminal: str) -> bool:
            # A bus stays a point of its own: what passes through it is asked for.
            return len(at[terminal]) != 2 or terminal in network.pole or network.owner_is(terminal, "bus")

        used: set[int] = set()
        found: list[Strand] = []
        for start in sorted(at, key=knot, reverse=True):
            for first in at[start]:
                if first in used:
                    continue
                chain, here, number = [first], start, first
                used.add(first)
                while True:
                    edge = network.edges[number]
                    here = edge.b if edge.a == here else edge.a
                    if here == start or knot(here):
                        break
                    number = next(n for n in at[here] if n != number)
                    if number in used:
                        break
                    used.add(number)
                    chain.append(number)
                found.append(_strand(book, start, here, tuple(chain)))
        return tuple(found)

    return book.memo("strands", make)


def _strand(book: Book, a: str, b: str, chain: tuple[int, ...]) -> Strand:
    network = book.network
    low = high = 0.0
    wants: frozenset[FactRef] = frozenset()
    sure = maybe = book.everything
    for number in chain:
        each, asks = resistance.edge_resistance(book, number, COLD)
        low, high, wants = low + each.low, high + each.high, wants | asks
        sure, maybe = sure & network.sure(number), maybe & network.maybe(number)
    return Strand(a, b, chain, Range(low, high), wants, sure, maybe)


def parts(joins: list[tuple[str, str]], points: set[str]) -> dict[str, int]:
    """Point to the number of its connected part."""
    parent = {p: p for p in points}

    def root(p: str) -> str:
        while parent[p] != p:
            parent[p] = parent[parent[p]]
            p = parent[p]
        return p

    for a, b in joins:
        one, two = root(a), root(b)
        if one != two:
            parent[one] = two
    numbers: dict[str, int] = {}
    return {p: numbers.setdefault(root(p), len(numbers)) for p in points}


def bridges(links: list[tuple[str, str]]) -> set[int]:
    """Numbers of the links that lie in no loop."""
    at: dict[str, list[tuple[int, str]]] = {}
    for number, (a, b) in enumerate(links):
        at.setdefault(a, []).append((number, b))
        at.setdefault(b, []).append((number, a))
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    found: set[int] = set()
    for start in at:
        if start in order:
            continue
        order[start] = low[start] = len(order)
        stack = [(start, -1, iter(at[start]))]
        while stack:
            here, by, rest = stack[-1]
            for number, other in rest:
                if number == by:
                    continue
                if other in order:
                    low[here] = min(low[here], order[other])
                else:
                    order[other] = low[other] = len(order)
                    stack.append((other, number, iter(at[other])))
                    break
            else:
                stack.pop()
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[here])
                    if low[here] > order[above]:
                        found.add(by)
    return found
