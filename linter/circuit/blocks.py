"""How the wiring hangs together when every contact that may close is closed: which edges have no other way round them, and what lies beyond each.

A part of the wiring falls into blocks (points that stay joined whichever one edge is cut), and blocks hang on one another by bridges, as a tree. Most
wiring is nearly all bridges. One walk finds all of it; what is asked about one wire taken out is then looked up and need not be searched for.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Iterable, Mapping, Sequence

from linter.circuit.model import Edge

# Steps of walks inside blocks that are kept for the next question before they are let go.
_KEPT = 200_000
At = Mapping[str, Sequence[tuple[int, str]]]


class Blocks:
    """The tree of blocks.

    Attributes:
        number: Terminal to its place in the walk; what lies beyond a bridge has places that follow one another.
        bridges: Edges with no other way round them, to the terminal at their far end, seen from where the walk began.
        top: Terminal to the terminal by which the walk entered its block; two terminals with the same top share a block.
        up: Top of a block to the bridge it hangs on and the terminal at the bridge's other end; roots are absent.
    """

    def __init__(self, edges: Sequence[Edge], at: At, closed: Callable[[int], bool], starts: Iterable[str]) -> None:
        self.edges = edges
        self.at = at
        self.closed = closed
        self.number: dict[str, int] = {}
        self.bridges: dict[int, str] = {}
        self.top: dict[str, str] = {}
        self.up: dict[str, tuple[int, str]] = {}
        self._root: dict[str, str] = {}
        self._last: dict[str, int] = {}
        self._depth: dict[str, int] = {}
        self._came: dict[str, dict[str, tuple[int, str]]] = {}
        self._kept = 0
        for start in starts:
            if start not in self.number:
                self._walk(start)

    def _walk(self, start: str) -> None:
        number, at, closed = self.number, self.at, self.closed
        order = [start]
        number[start] = len(number)
        low = {start: number[start]}
        by: dict[str, tuple[int, str]] = {start: (-1, "")}
        stack = [(start, -1, iter(at.get(start, ())))]
        while stack:
            here, came, rest = stack[-1]
            for edge, other in rest:
                if edge == came or not closed(edge):
                    continue
                if other in by:
                    if number[other] < low[here]:
                        low[here] = number[other]
                elif other not in number:
                    number[other] = low[other] = len(number)
                    order.append(other)
                    by[other] = (edge, here)
                    stack.append((other, edge, iter(at.get(other, ()))))
                    break
            else:
                stack.pop()
                self._last[here] = len(number) - 1
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[here])
        for here in order:
            edge, above = by[here]
            self._root[here] = start
            if edge < 0 or low[here] > number[above]:
                self.top[here] = here
                if edge >= 0:
                    self.bridges[edge] = here
                    self.up[here] = (edge, above)
                self._depth[here] = self._depth[self.top[above]] + 1 if edge >= 0 else 0
            else:
                self.top[here] = self.top[above]

    def span(self, edge: int) -> tuple[tuple[int, int], tuple[int, int]]:
        """Places beyond a bridge, and of the whole part it lies in: first and last, both included."""
        far = self.bridges[edge]
        root = self._root[far]
        return (self.number[far], self._last[far]), (self.number[root], self._last[root])

    def beyond(self, edge: int, terminal: str) -> bool:
        """Whether a terminal lies beyond a bridge."""
        far = self.bridges[edge]
        return terminal in self.number and self.number[far] <= self.number[terminal] <= self._last[far]

    def count(self, edge: int, places: Sequence[int]) -> tuple[int, int]:
        """How many of some places (in order) lie beyond a bridge, and in the rest of its part."""
        (first, last), (start, end) = self.span(edge)
        inside = bisect_left(places, last + 1) - bisect_left(places, first)
        return inside, bisect_left(places, end + 1) - bisect_left(places, start) - inside

    def places(self, terminals: Iterable[str]) -> list[int]:
        """Places of terminals, in order."""
        return sorted(self.number[t] for t in terminals if t in self.number)

    # ---- ways -----------------------------------------------------------------------------------------------------------------------

    def way(self, start: str, goal: str) -> tuple[int, ...] | None:
        """Edges of the way of fewest steps, the one a walk in the order of the wiring finds first; None if there is none."""
        if start == goal:
            return ()
        if self._root.get(start) is None or self._root.get(start) != self._root.get(goal):
            return None
        out: list[int] = []
        # From the goal upwards: (bridge, its upper end, top of the block below), and where the way must leave the block above.
        drops: list[tuple[int, str]] = []
        here, there = start, goal
        while self.top[here] != self.top[there]:
            one, two = self.top[here], self.top[there]
            if self._depth[one] >= self._depth[two]:
                self._inside(here, one, out)
                edge, here = self.up[one]
                out.append(edge)
            else:
                edge, above = self.up[two]
                drops.append((edge, there))
                there = above
        self._inside(here, there, out)
        for edge, leave in reversed(drops):
            out.append(edge)
            self._inside(self.bridges[edge], leave, out)
        return tuple(out)

    def _inside(self, start: str, goal: str, out: list[int]) -> None:
        """Adds the edges of the way of fewest steps inside one block."""
        if start == goal:
            return
        came = self._came.get(start)
        if came is None:
            top = self.top[start]
            if self._kept > _KEPT:
                self._came.clear()
                self._kept = 0
            came = self._came[start] = {start: (-1, "")}
            queue = deque([start])
            while queue:
                here = queue.popleft()
                for edge, other in self.at.get(here, ()):
                    if other not in came and self.top.get(other) == top and edge not in self.bridges and self.closed(edge):
                        came[other] = (edge, here)
                        queue.append(other)
            self._kept += len(came)
        edges: list[int] = []
        while goal != start:
            edge, goal = came[goal]
            edges.append(edge)
        edges.reverse()
        out += edges
