"""Greatest flows through every wire of one part of the wiring at once, with one set of contacts closed.

A wire with no way round it passes what its two sides can push and take, and the sides are trees of blocks: what each side gives is worked out once for
all wires, from the leaves inwards and back. Only inside a block, where wires lie in loops, is a flow sought for a wire by itself, and in that block alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from linter.base.groups import Groups
from linter.base.values import INF
from linter.circuit.blocks import Blocks

if TYPE_CHECKING:
    from linter.facts.book import Book

Links = dict[str, dict[str, float]]


class Throughput:
    """One part, one set of closed contacts.

    Args:
        book: Of facts.
        start: A terminal of the part.
        closed: Which edges are closed.
        limit: Edge to what it lets through; None for all but protection. [A]
    """

    def __init__(self, book: Book, start: str, closed: Callable[[int], bool], limit: Callable[[int], float | None]) -> None:
        network = book.network
        self.network = network
        self.around = frozenset(n for n in network.around(start) if closed(n))
        self.limits = {n: amps for n in self.around if (amps := limit(n)) is not None}
        part = network.part_of(start)
        self.sources, self.sinks = network.hard_in.get(part, ()), network.sinks_in.get(part, ())
        points = dict.fromkeys(t for n in self.around for t in (network.edges[n].a, network.edges[n].b))
        self.blocks = Blocks(network.edges, network.at, self.around.__contains__, points)
        book.spend(len(self.around))
        self.inside: dict[str, list[str]] = {}
        self.edges_in: dict[str, list[int]] = {}
        for terminal in self.blocks.number:
            self.inside.setdefault(self.blocks.top[terminal], []).append(terminal)
        for n in self.around:
            if n not in self.blocks.bridges:
                self.edges_in.setdefault(self.blocks.top[network.edges[n].a], []).append(n)
        self.pushed = _Side(self, self.sources)
        self.taken = _Side(self, self.sinks)

    def of(self, conductor: str, ends: tuple[str, ...]) -> float | None:
        """The lesser of what can be pushed into one end and what can be taken from the other, the worse way round; None if it is not one closed edge. [A]"""
        own = self.network.of.get(conductor, ())
        if len(own) != 1 or own[0] not in self.around:
            return None
        a, b = ends
        edge = own[0]
        pushed, taken = ({t: side.into(t, edge) for t in (a, b)} for side in (self.pushed, self.taken))
        return max(min(pushed[a], taken[b]), min(pushed[b], taken[a]))


class _Side:
    """What some terminals can push to (or take from) every point: pushing and taking are alike, as devices pass both ways."""

    def __init__(self, whole: Throughput, ends: Iterable[str]) -> None:
        self.whole = whole
        self.blocks = whole.blocks
        self.ends = frozenset(ends)
        # Terminal to what hangs on it by bridges: edge to what comes by it.
        self.hanging: dict[str, dict[int, float]] = {}
        self._down: dict[int, float] = {}
        self._sums: dict[str, tuple[dict[int, int], list[float], list[float]]] = {}
        self._fill()

    def _cap(self, edge: int, amount: float) -> float:
        return min(amount, self.whole.limits.get(edge, INF))

    def _fill(self) -> None:
        blocks = self.blocks
        # Tops in the order of the walk: those above come before those below.
        tops = [t for t in blocks.number if blocks.top[t] == t]
        for top in reversed(tops):
            if top in blocks.up:
                edge, above = blocks.up[top]
                self.hanging.setdefault(above, {})[edge] = self._cap(edge, self._at(top, None))
        for top in tops:
            if top in blocks.up:
                edge, above = blocks.up[top]
                amount = self._cap(edge, self._at(above, edge))
                self._down[edge] = amount
                self.hanging.setdefault(top, {})[edge] = amount

    def _own(self, terminal: str, less: int | None) -> float:
        """What a terminal is, and what hangs on it but for one bridge. [A]"""
        if terminal in self.ends:
            return INF
        hanging = self.hanging.get(terminal)
        if not hanging:
            return 0.0
        if less is None or less not in hanging:
            return sum(hanging.values())
        if len(hanging) <= 8:
            return sum(amps for edge, amps in hanging.items() if edge != less)
        # Sums from both sides: nothing is ever subtracted.
        known = self._sums.get(terminal)
        if known is None or len(known[0]) != len(hanging):
            place = {edge: n for n, edge in enumerate(hanging)}
            before, after = [0.0], [0.0]
            for amps in hanging.values():
                before.append(before[-1] + amps)
            for amps in reversed(hanging.values()):
                after.append(after[-1] + amps)
            known = self._sums[terminal] = place, before, after
        place, before, after = known
        n = place[less]
        return before[n] + after[len(place) - 1 - n]

    def _at(self, terminal: str, less: int | None) -> float:
        """What can come to a terminal but by one bridge that ends on it."""
        if len(self.whole.inside[self.blocks.top[terminal]]) == 1:
            return self._own(terminal, less)
        return self._flow(terminal, less, None)

    def into(self, terminal: str, edge: int) -> float:
        """What can come to one end of an edge that is taken out."""
        return self._at(terminal, edge) if edge in self.blocks.bridges else self._flow(terminal, None, edge)

    def _flow(self, goal: str, less: int | None, without: int | None) -> float:
        """Greatest flow to a terminal inside its block: with nothing of what hangs on it by one bridge, and with one edge of the block taken out."""
        whole = self.whole
        top = self.blocks.top[goal]
        together = Groups()
        limited: list[tuple[str, str, float]] = []
        for n in whole.edges_in.get(top, ()):
            if n == without:
                continue
            edge = whole.network.edges[n]
            amps = whole.limits.get(n)
            if amps is None:
                together.join(edge.a, edge.b)
            else:
                limited.append((edge.a, edge.b, amps))
        links = drawn_together(limited, together)
        many: set[str] = set()
        for terminal in whole.inside[top]:
            amount = self._own(terminal, less if terminal == goal else None)
            if amount == INF:
                many.add(together.find(terminal))
            elif amount > 0:
                # What hangs here, as a source of its own behind its limit.
                name = f"{terminal}\0"
                _join(links, together.find(terminal), name, amount)
                many.add(name)
        return most(links, many, together.find(goal))


def _join(links: Links, one: str, two: str, amps: float) -> None:
    links.setdefault(one, {})[two] = links.get(one, {}).get(two, 0.0) + amps
    links.setdefault(two, {})[one] = links.get(two, {}).get(one, 0.0) + amps


def drawn_together(limited: Iterable[tuple[str, str, float]], together: Groups) -> Links:
    """Devices as links between the groups of terminals that nothing limits; those beside one another add up."""
    links: Links = {}
    for a, b, amps in limited:
        one, two = together.find(a), together.find(b)
        if one != two:
            _join(links, one, two, amps)
    return links


def most(links: Links, many: set[str], one: str) -> float:
    """Greatest flow between any of `many` and `one` (shortest augmenting ways)."""
    if one in many:
        return INF
    left = {a: dict(b) for a, b in links.items()}
    total = 0.0
    while True:
        came: dict[str, str] = {one: ""}
        queue = deque([one])
        end = None
        while queue and end is None:
            here = queue.popleft()
            for other, amps in left.get(here, {}).items():
                if amps > 0 and other not in came:
                    came[other] = here
                    if other in many:
                        end = other
                        break
                    queue.append(other)
        if end is None:
            return total
        way, at = [], end
        while came[at]:
            way.append((came[at], at))
            at = came[at]
        amount = min(left[a][b] for a, b in way)
        if amount == INF:
            return INF
        total += amount
        for a, b in way:
            left[a][b] -= amount
            left.setdefault(b, {})[a] = left.get(b, {}).get(a, 0.0) + amount
