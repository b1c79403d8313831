"""Sets of states too many to list: decision diagrams over variables of several values.

A node asks one variable and has a child per value; equal nodes are one node, and a variable that does not matter is never asked, so
equal sets have equal numbers. Written here rather than taken from a package because our variables have several values and the whole is
a page; the node bound must also be ours.
"""

from __future__ import annotations

from collections.abc import Callable

EMPTY, FULL = 0, 1
_LAST = 1 << 30


class TooManyNodes(Exception):
    """The diagram outgrew its bound."""


class Diagram:
    """All nodes of one space.

    Args:
        sizes: Number of values of each variable, in the order they are asked.
        most: Bound on nodes.
    """

    def __init__(self, sizes: tuple[int, ...], most: int) -> None:
        self.sizes = sizes
        self.most = most
        self.level: list[int] = [_LAST, _LAST]
        self.children: list[tuple[int, ...]] = [(), ()]
        self._unique: dict[tuple[int, tuple[int, ...]], int] = {}
        self._both: dict[tuple[int, int], int] = {}
        self._either: dict[tuple[int, int], int] = {}
        self._less: dict[tuple[int, int], int] = {}

    def node(self, level: int, children: tuple[int, ...]) -> int:
        """The node asking `level` with these children."""
        first = children[0]
        if all(child == first for child in children):
            return first
        key = (level, children)
        found = self._unique.get(key)
        if found is None:
            found = len(self.level)
            if found > self.most:
                raise TooManyNodes
            self.level.append(level)
            self.children.append(children)
            self._unique[key] = found
        return found

    def literal(self, level: int, values: frozenset[int]) -> int:
        """All states in which the variable has one of the values."""
        return self.node(level, tuple(FULL if v in values else EMPTY for v in range(self.sizes[level])))

    def both(self, a: int, b: int) -> int:
        """Intersection."""
        if a == b or b == FULL:
            return a
        if a == FULL:
            return b
        if a == EMPTY or b == EMPTY:
            return EMPTY
        if a > b:
            a, b = b, a
        found = self._both.get((a, b))
        if found is None:
            found = self._both[a, b] = self._split(self.both, a, b)
        return found

    def either(self, a: int, b: int) -> int:
        """Union."""
        if a == b or b == EMPTY:
            return a
        if a == EMPTY:
            return b
        if a == FULL or b == FULL:
            return FULL
        if a > b:
            a, b = b, a
        found = self._either.get((a, b))
        if found is None:
            found = self._either[a, b] = self._split(self.either, a, b)
        return found

    def less(self, a: int, b: int) -> int:
        """`a` without `b`."""
        if a in (b, EMPTY) or b == FULL:
            return EMPTY
        if b == EMPTY:
            return a
        found = self._less.get((a, b))
        if found is None:
            found = self._less[a, b] = self._split(self.less, a, b)
        return found

    def _split(self, operation: Callable[[int, int], int], a: int, b: int) -> int:
        la, lb = self.level[a], self.level[b]
        level = min(la, lb)
        size = self.sizes[level]
        left = self.children[a] if la == level else (a,) * size
        right = self.children[b] if lb == level else (b,) * size
        return self.node(level, tuple(operation(x, y) for x, y in zip(left, right, strict=True)))

    def deep(self, operation: str, a: int, b: int) -> int:
        """One of the three operations on diagrams too deep to go down by calls: with a pile of its own, what is below worked out first.

        Args:
            operation: both, either or less.
            a, b: Nodes.
        """
        known = {"both": self._both, "either": self._either, "less": self._less}[operation]
        call = {"both": self.both, "either": self.either, "less": self.less}[operation]
        pile = [(a, b)]
        while pile:
            x, y = pile[-1]
            level = min(self.level[x], self.level[y])
            size = self.sizes[level] if level < _LAST else 0
            left = self.children[x] if self.level[x] == level else (x,) * size
            right = self.children[y] if self.level[y] == level else (y,) * size
            below = [pair for pair in zip(left, right, strict=True) if not self._settled(operation, known, *pair)] if size else []
            if below:
                pile += below
            else:
                # All that is one step down is known, so this goes one step deep only.
                call(x, y)
                pile.pop()
        return call(a, b)

    def _settled(self, operation: str, known: dict[tuple[int, int], int], a: int, b: int) -> bool:
        """Whether a result needs nothing below it."""
        if a == b or EMPTY in (a, b) or b == FULL or (a == FULL and operation != "less"):
            return True
        return ((a, b) if operation == "less" or a < b else (b, a)) in known

    def with_value(self, a: int, level: int, value: int, memo: dict[int, int]) -> int:
        """The states, whatever the variable now is, that are in `a` once it has `value`."""
        if self.level[a] > level:
            return a
        if self.level[a] == level:
            return self.children[a][value]
        found = memo.get(a)
        if found is None:
            found = memo[a] = self.node(self.level[a], tuple(self.with_value(child, level, value, memo) for child in self.children[a]))
        return found

    def count(self, a: int) -> int:
        """How many states of the full product are in `a`."""
        below: list[int] = [1] * (len(self.sizes) + 1)
        for i in range(len(self.sizes) - 1, -1, -1):
            below[i] = below[i + 1] * self.sizes[i]
        memo: dict[int, int] = {}

        def under(node: int, level: int) -> int:
            """States of the variables from `level` on."""
            if node == EMPTY:
                return 0
            if node == FULL:
                return below[level]
            own = self.level[node]
            if node not in memo:
                memo[node] = sum(under(child, own + 1) for child in self.children[node])
            return memo[node] * (below[level] // below[own])

        return under(a, 0)

    def support(self, a: int) -> set[int]:
        """Variables that matter to `a`."""
        seen, stack, found = {a}, [a], set()
        while stack:
            node = stack.pop()
            if node > FULL:
                found.add(self.level[node])
                for child in self.children[node]:
                    if child not in seen:
                        seen.add(child)
                        stack.append(child)
        return found

    def sample(self, a: int) -> dict[int, int]:
        """Values of the variables asked on one way to FULL; `a` is not empty."""
        found: dict[int, int] = {}
        while a > FULL:
            value = next(v for v, child in enumerate(self.children[a]) if child != EMPTY)
            found[self.level[a]] = value
            a = self.children[a][value]
        return found
