"""N8: the largest fault a device may have to break: a dead short at either of its sides, all batteries fresh, as much closed as may be.

The short goes to the negative beside a thing that hangs on that side, by its return as drawn; and, for who comes with a spanner elsewhere, every wire is
also counted out and back (a return of the same length and size, and the battery's shunt). The larger of the two counts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from linter.base.bounds import BANKS
from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import INF, Range, plus
from linter.circuit.states import BeyondBound, TooManyStates
from linter.facts import demands, resistance
from linter.facts.homeward import home, negative_beside
from linter.facts.loop import Loop
from linter.facts.nodal import Branch, branch_currents
from linter.facts.trunks import lone_edges, share_of

if TYPE_CHECKING:
    from linter.facts.book import Book

COLD = Range(20.0, 20.0)
# An alternator gives three to four times its rating for a moment.
ALTERNATOR_SURGE = 4.0
MOST_PATTERNS = 64
# Points where something hangs on the loops of one wiring, times points in the loops, before the largest faults are not told.
MOST_ENTRIES = 1_000_000
LEAST = 1e-9
MOST = 1e6
GROUND = "ground"


def out_and_back(book: Book, edge: int, once: Range) -> Range:
    """An edge with a return of the same length and size: a wire twice, a device once. [Ω]"""
    return Range(2 * once.low, 2 * once.high) if book.network.edges[edge].kind == "conductor" else once


def _cold(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """An edge of a return as the largest fault sees it: cold, and down to nothing where another way round may take its part. [Ω]"""
    found, wants = resistance.edge_resistance(book, edge, COLD)
    share, more = share_of(book, edge)
    return Range(found.low * share.low if edge in lone_edges(book) else 0.0, found.high), wants | more


def _beside(own: dict[str, Range]) -> Range:
    """What the returns of a bank's batteries come to beside one another, at the least and at the most. [Ω]"""
    return Range(min(r.low for r in own.values()) / len(own), min(r.high for r in own.values())) if own else Range(0.0, 0.0)


def meter(book: Book, battery: str) -> str:
    """Point behind the shunt a battery's negative passes, or ground: batteries behind one shunt share it."""
    metered = book.reading("metered", battery)
    return f"behind {metered.through[0]}" if metered.value is Truth.YES and metered.through else GROUND


class Largest:
    """Fault currents through every device, for the positive side as a whole."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.found: dict[str, list[tuple[float, float, Any, str]]] = {d: [] for d in book.members("protection")}
        self.wants: dict[str, set[FactRef]] = {d: set() for d in book.members("protection")}
        self.beyond: dict[str, TooManyStates] = {}
        network = book.network
        devices = [d for d in self.found if network.of.get(d)]
        seen: set[str] = set()
        at: dict[str, list[str]] = {}
        for device in devices:
            for terminal in network.own(device):
                at.setdefault(terminal, []).append(device)
        for device in devices:
            for terminal in network.own(device):
                if terminal in seen or terminal not in network.at:
                    continue
                part = set(book.reach.joined((terminal,)))
                seen |= part
                here = list(dict.fromkeys(d for t in part for d in at.get(t, ())))
                if not network.pushing.keys().isdisjoint(part):
                    try:
                        for states, closed in self._patterns(part):
                            self._solve(part, here, states, closed)
                    except TooManyStates as many:
                        self.beyond.update(dict.fromkeys(here, many))

    def _patterns(self, part: set[str]) -> list[tuple[Any, frozenset[int]]]:
        """Sets of contacts that may be closed together, none within another: more closed, more current."""
        network, space, nothing = self.book.network, self.book.space, self.book.nothing
        edges = [n for n in network.around(next(iter(part)))
                 if (e := network.edges[n]).a in part and e.b in part and e.a != e.b and network.closable(n)]
        always = frozenset(n for n in edges if network.maybe(n) == self.book.everything)
        conditions: dict[Any, list[int]] = {}
        for n in edges:
            if n not in always:
                conditions.setdefault(network.maybe(n), []).append(n)
        # Most often there is a state with every contact closed; then no other pattern counts.
        together = self.book.all_of(reversed(conditions))
        if together != nothing:
            return [(together, frozenset(edges))]
        pieces: list[tuple[Any, frozenset[int]]] = [(self.book.everything, always)]
        for condition, some in conditions.items():
            with_it = frozenset(some)
            split = []
            for states, closed in pieces:
                inside, outside = states & condition, space.without(states, condition)
                split += [(s, c) for s, c in ((inside, closed | with_it), (outside, closed)) if s != nothing]
            pieces = split
            if len(pieces) > 4096:
                raise TooManyStates
        merged: dict[frozenset[int], Any] = {}
        for states, closed in pieces:
            merged[closed] = merged[closed] | states if closed in merged else states
        top = [(s, c) for c, s in merged.items() if not any(c < other for other in merged)]
        if len(top) > MOST_PATTERNS:
            raise TooManyStates
        return top

    def _solve(self, part: set[str], devices: list[str], states: Any, closed: frozenset[int]) -> None:
        book, network = self.book, self.book.network
        pushing = network.pushing
        here = {s for t, s in pushing.items() if t in part} if len(part) > len(pushing) else {s for t in part if (s := pushing.get(t)) is not None}
        sources = [s for s in network.sources if s in here] if len(here) > 1 else list(here)
        batteries = [b for b in sources if book.is_a(b, "battery")]
        if batteries:
            shorts = [resistance.lowest_resistance(book, b) for b in batteries]
            fault_volts = [resistance.fault_voltage(book, b) for b in batteries]
            parts = [resistance.edge_resistance(book, n, COLD) for n in closed]
            returns = self._returns(part, devices, batteries)
            open_refs = frozenset().union(*(w for _, w in shorts), *(w for _, w in parts), *(asks for _, asks in returns.values()))
            high = self._worse(devices, batteries, [r.low for r, _ in shorts], closed, [r.low for r, _ in parts], max(v.high for v in fault_volts),
                               {side: back.low for side, (back, _) in returns.items()})
            low = high
            if open_refs or any(not v.known for v in fault_volts):
                low = self._worse(devices, batteries, [r.high for r, _ in shorts], closed, [r.high for r, _ in parts], min(v.low for v in fault_volts),
                                  {side: back.high for side, (back, _) in returns.items()})
        else:
            high = low = {d: (0.0, 0.0) for d in devices}
            open_refs = frozenset()
        limited = [(s, demands.greatest_push(book, s)) for s in sources if not book.is_a(s, "battery")]
        extra = sum((ALTERNATOR_SURGE if book.is_a(s, "alternator") else 1.0) * push.high for s, (push, _) in limited)
        for device in devices:
            if device not in high:
                continue
            self.found[device].append((max(low[device]), max(high[device]) + extra, states, ", ".join(batteries)))
            self.wants[device] |= open_refs | {w for _, (push, ws) in limited if not push.known for w in ws}

    def _returns(self, part: set[str], devices: list[str], batteries: list[str]) -> dict[str, Loop]:
        """Terminal of a device to the least return of the things that hang on that side of it, before the next device; left out where nothing does.

        Parallel returns of a bank share the short: less than the smallest of them over their number it cannot be.
        """
        book, network = self.book, self.book.network
        if len(batteries) > BANKS.most:
            return {}
        cluster: dict[str, int] = {}
        bodies: dict[int, list[str]] = {}
        for start in part:
            if start in cluster:
                continue
            number = cluster[start] = len(bodies)
            stack, bodies[number] = [start], []
            while stack:
                here = stack.pop()
                if negative_beside(book, here) is not None:
                    bodies[number].append(here)
                for n, other in network.at.get(here, ()):
                    stops = network.edges[n].kind != "joint" and book.is_a(network.edges[n].element, "protection")
                    if other in part and other not in cluster and not stops and network.closable(n):
                        cluster[other] = number
                        stack.append(other)
        found: dict[str, Loop] = {}
        least: dict[int, Loop | None] = {}
        for device in devices:
            for terminal in network.own(device):
                mine = cluster.get(terminal, -1)
                if mine >= 0 and mine not in least:
                    homes = [way for body in bodies[mine] if (way := home(book, body, batteries, lambda e: _cold(book, e))) is not None]
                    sums = [plus(way.shared, _beside(way.own)) for way in homes]
                    least[mine] = (Range(min(one.low for one in sums), min(one.high for one in sums)),
                                   frozenset().union(*(way.wants for way in homes))) if sums else None
                if mine >= 0 and (back := least[mine]) is not None:
                    found[terminal] = back
        return found

    def _worse(self, devices: list[str], batteries: list[str], inner: list[float], closed: frozenset[int], each: list[float], pressure: float,
               returns: dict[str, float]) -> dict[str, tuple[float, float]]:
        """Per device and side, the larger of a short by way of a return like the way out, and by the return that is drawn."""
        twice = [out_and_back(self.book, n, Range(ohm, ohm)).low for n, ohm in zip(closed, each, strict=True)]
        found = self._through(devices, batteries, inner, closed, twice, pressure, None)
        if returns:
            drawn = self._through(devices, batteries, inner, closed, each, pressure, returns)
            found = {d: (max(a, drawn[d][0]), max(b, drawn[d][1])) if d in drawn else (a, b) for d, (a, b) in found.items()}
        return found

    def _through(self, devices: list[str], batteries: list[str], inner: list[float], closed: frozenset[int], each: list[float],
                 pressure: float, returns: dict[str, float] | None) -> dict[str, tuple[float, float]]:
        """Per device, what its two sides push through it into a dead short at its other side; with returns, only at sides that have one."""
        book, network = self.book, self.book.network
        points: dict[str, int] = {GROUND: 0}
        branches: list[Branch] = []

        def at(name: str) -> int:
            return points.setdefault(name, len(points))

        for battery, ohm in zip(batteries, inner, strict=True):
            behind = meter(book, battery) if returns is None else GROUND
            branches.append(Branch(at(behind), at(network.terminal(battery, "positive") or battery), min(max(ohm, LEAST), MOST)))
        for behind in {meter(book, b) for b in batteries} - {GROUND} if returns is None else ():
            branches.append(Branch(at(GROUND), at(behind), resistance.SHUNT))
        numbers: dict[int, int] = {}
        for edge, ohm in zip(closed, each, strict=True):
            numbers[edge] = len(branches)
            branches.append(Branch(at(network.edges[edge].a), at(network.edges[edge].b), min(max(ohm, LEAST), MOST)))
        own = {d: [n for n in network.of[d] if n in numbers and network.edges[n].kind != "joint"] for d in devices}
        tree = self._tree(branches)
        hung = self._hung(len(points), branches)
        # A short on a branch that hangs on the loops of the wiring shows itself in the loops where the branch begins: one column for each such point.
        begins: dict[int, int] = {}
        for edges in own.values():
            for n in edges[:1]:
                for terminal in (network.edges[n].a, network.edges[n].b):
                    node = here = points[terminal]
                    while here in hung:
                        here = hung[here][1]
                    begins[node] = here
        columns = {here for node, here in begins.items() if here and node in tree}
        if len(columns) * (len(points) - len(hung)) > MOST_ENTRIES:
            raise BeyondBound(f"shorts at {len(columns)} points of a wiring with loops")
        pushed: list[dict[Any, float]] = [{} for _ in points]
        for here in columns:
            pushed[here][here] = -1.0
            pushed[0][here] = 1.0
        currents = branch_currents(len(points), branches, pushed)
        found: dict[str, tuple[float, float]] = {}
        for d, edges in own.items():
            for n in edges[:1]:
                sides = []
                for terminal in (network.edges[n].a, network.edges[n].b):
                    node = points[terminal]
                    if node not in tree or (returns is not None and terminal not in returns):
                        sides.append(0.0)
                        continue
                    volts_lost, here, column, share = 0.0, node, begins[node], 0.0
                    while here in hung:
                        # All of a short passes every branch between it and the loops.
                        branch, here = hung[here]
                        volts_lost += branches[branch].resistance
                        share = 1.0 if branch == numbers[n] else share
                    while here:
                        branch, up = tree[here]
                        flow = currents[branch].get(column, 0.0) * (1.0 if branches[branch].b == here else -1.0)
                        volts_lost += flow * branches[branch].resistance
                        here = up
                    share = abs(currents[numbers[n]].get(column, 0.0)) or share
                    # Through the device comes what its other side pushes; its own resistance is left out: the fault may be at either terminal.
                    side = volts_lost / share - branches[numbers[n]].resistance if share > 1e-9 else INF
                    sides.append(pressure / max(side + (returns[terminal] if returns is not None else 0.0), LEAST))
                found[d] = (sides[0], sides[1])
        return found

    @staticmethod
    def _hung(count: int, branches: list[Branch]) -> dict[int, tuple[int, int]]:
        """Nodes on branches that hang on the loops (or on ground), to the branch and node one step nearer to them."""
        at: list[set[int]] = [set() for _ in range(count)]
        for k, b in enumerate(branches):
            if b.a != b.b:
                at[b.a].add(k)
                at[b.b].add(k)
        found: dict[int, tuple[int, int]] = {}
        leaves = [node for node in range(1, count) if len(at[node]) == 1]
        while leaves:
            leaf = leaves.pop()
            if len(at[leaf]) != 1:
                continue
            (k,) = at[leaf]
            other = branches[k].b if branches[k].a == leaf else branches[k].a
            found[leaf] = (k, other)
            at[leaf].clear()
            at[other].discard(k)
            if other and len(at[other]) == 1:
                leaves.append(other)
        return found

    @staticmethod
    def _tree(branches: list[Branch]) -> dict[int, tuple[int, int]]:
        """Node to the branch and node one step nearer to ground."""
        near: dict[int, list[tuple[int, int]]] = {}
        for k, b in enumerate(branches):
            near.setdefault(b.a, []).append((k, b.b))
            near.setdefault(b.b, []).append((k, b.a))
        found: dict[int, tuple[int, int]] = {0: (-1, 0)}
        stack = [0]
        while stack:
            here = stack.pop()
            for k, other in near.get(here, ()):
                if other not in found:
                    found[other] = (k, here)
                    stack.append(other)
        return found
