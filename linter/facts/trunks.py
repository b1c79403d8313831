"""Main bars: where a drop is measured from, and how current comes from a battery to a point."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.values import Range
from linter.facts import resistance
from linter.facts.demands import EdgeCost
from linter.facts.strands import bridges

if TYPE_CHECKING:
    from linter.facts.book import Book

Way = tuple[Range, frozenset[FactRef], tuple[int, ...]]


def main_points(book: Book, battery: str, pole: str) -> frozenset[str]:
    """The battery's post, the first bars its leads come to, and bars joined to those by bars, switches and shunts alone."""

    def make() -> frozenset[str]:
        network = book.network
        post = network.terminal(battery, pole)
        if post is None:
            return frozenset()
        found = {post}
        seen = {post}
        stack = [post]
        firsts: list[str] = []
        while stack:
            here = stack.pop()
            for number, other in network.at.get(here, ()):
                if other in seen or not network.closable(number):
                    continue
                seen.add(other)
                if network.owner_is(other, "bus"):
                    firsts.append(other)
                elif other not in network.pole:
                    stack.append(other)
        firsts = [bus for bus in firsts if _belongs(book, bus, battery, pole)]
        stack = list(firsts)
        found.update(firsts)
        reached = set(firsts)
        while stack:
            here = stack.pop()
            for number, other in network.at.get(here, ()):
                edge = network.edges[number]
                solid = edge.kind in ("joint", "switch", "shunt") or (book.is_a(edge.element, "conductor") and resistance.is_bar(book, edge.element))
                if solid and other not in reached and network.closable(number):
                    reached.add(other)
                    stack.append(other)
                    if network.owner_is(other, "bus"):
                        found.add(other)
        return frozenset(found)

    return book.memo(("main points", battery, pole), make)


def _belongs(book: Book, bus: str, battery: str, pole: str) -> bool:
    """Whether no other battery is nearer to a bar, by steps: a bar at the far end of a link is another battery's. Batteries always joined own alike."""
    network = book.network

    def make() -> dict[str, int]:
        found: dict[str, int] = {}
        for one in network.batteries:
            post = network.terminal(one, pole)
            way = None if post is None else _way(book, bus, frozenset({post}), _free, book.everything, frozenset(), frozenset())
            if way is not None:
                found[one] = len(way[2])
        return found

    far = book.memo(("nearness", bus, pole), make)
    least = min(far.values(), default=0)
    return any(far.get(mate, least) == least for mate in mates(book, battery))


def _free(_: int) -> tuple[Range, frozenset[FactRef]]:
    return Range(0.0, 0.0), frozenset()


def mates(book: Book, battery: str) -> tuple[str, ...]:
    """A battery and those always joined with it, in file order."""

    def make() -> tuple[str, ...]:
        return tuple(b for b in book.network.batteries if b == battery or book.relation("joined-with", battery, b).yes == book.everything)

    return book.memo(("mates", battery), make)


def lone_edges(book: Book) -> frozenset[int]:
    """Edges with no other way round them, whatever is closed: all that passes between their ends passes them."""

    def make() -> frozenset[int]:
        network = book.network
        edges = [n for n, e in enumerate(network.edges) if e.a != e.b and network.closable(n)]
        lone = bridges([(network.edges[n].a, network.edges[n].b) for n in edges])
        return frozenset(edges[k] for k in lone)

    return book.memo("lone edges", make)


def ways_out(book: Book, start: str, goals: frozenset[str], cost: EdgeCost, states: Any, without: frozenset[str] = frozenset(),
             blocked: frozenset[str] = frozenset()) -> list[Way]:
    """Ways from a terminal to the nearest goal that together cover the states in which they are joined; the fewest steps first.

    Steps, not ohms: which way is told must not depend on what is measured. Where one way is only closed in some of
    the states, the next one is sought for the rest, a few times.
    """
    found: list[Way] = []
    space, network = book.space, book.network
    left = states
    for _ in range(4):
        way = _way(book, start, goals, cost, left, without, blocked)
        if way is None:
            break
        found.append(way)
        covered = left
        for number in way[2]:
            covered = covered & network.maybe(number)
        left = space.without(left, covered)
        if space.empty(left) or space.empty(covered):
            break
    return found


def _way(book: Book, start: str, goals: frozenset[str], cost: EdgeCost, states: Any, without: frozenset[str],
         blocked: frozenset[str]) -> Way | None:
    network, space = book.network, book.space
    came: dict[str, tuple[int, str]] = {start: (-1, "")}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        if here in goals:
            edges: list[int] = []
            while came[here][0] >= 0:
                number, here = came[here]
                edges.append(number)
            edges.reverse()
            low = high = 0.0
            wants: frozenset[FactRef] = frozenset()
            for number in edges:
                more, asks = cost(number)
                low, high, wants = low + more.low, high + more.high, wants | asks
            return Range(low, high), wants, tuple(edges)
        for number, other in network.at.get(here, ()):
            if other in came or other in blocked or network.edges[number].element in without or space.empty(network.maybe(number) & states):
                continue
            came[other] = (number, here)
            queue.append(other)
    return None
