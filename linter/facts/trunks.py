"""Main bars: where a drop is measured from, and how current comes from a battery to a point."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from linter.base import bounds
from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.states import BeyondBound
from linter.facts import resistance
from linter.facts.demands import EdgeCost
from linter.facts.strands import bridges, strands

if TYPE_CHECKING:
    from linter.facts.book import Book

Way = tuple[Range, frozenset[FactRef], tuple[int, ...]]


def post_of(book: Book, source: str, pole: str) -> str | None:
    """The terminal of one pole a battery, or the output of a charger, pushes from."""
    return book.network.terminal(source, f"out {pole}" if book.is_a(source, "charger") else pole)


def batteries_by(book: Book, terminal: str | None, pole: str = "positive") -> tuple[str, ...]:
    """Batteries that one pole of could ever be joined with a terminal, in file order."""
    network = book.network

    def make() -> dict[int, tuple[str, ...]]:
        found: dict[int, list[str]] = {}
        for battery in network.batteries:
            found.setdefault(network.part_of(network.terminal(battery, pole) or ""), []).append(battery)
        return {part: tuple(some) for part, some in found.items()}

    part = network.part_of(terminal or "")
    return () if part < 0 else book.memo(("batteries by part", pole), make).get(part, ())


def count_banks(book: Book, batteries: Iterable[str]) -> list[str]:
    """The batteries as a list, or a stop where more banks would have to be looked at one by one than the bound allows."""
    some: list[str] = []
    banks: set[tuple[str, ...]] = set()
    for battery in batteries:
        some.append(battery)
        banks.add(mates(book, battery))
        if len(banks) > bounds.BANKS.most:
            raise BeyondBound(f"more than {bounds.BANKS.most} {bounds.BANKS.meaning}")
    return some


def main_points(book: Book, battery: str, pole: str) -> frozenset[str]:
    """The battery's post, the first bars its leads come to, and bars joined to those by bars, switches and shunts alone; of a charger its output."""

    def make() -> frozenset[str]:
        network = book.network
        post = post_of(book, battery, pole)
        if post is None:
            return frozenset()
        if not book.is_a(battery, "battery"):
            # A converter that feeds loads by itself: what it has lost is counted from its own terminals.
            return frozenset({post})
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
        if pole == "negative":
            # The bus all negatives come home to is a main bar, whether a bar or a cable leads on to the battery.
            found.update(stud for bus in book.members("bus") if book.truth_of("common-negative", bus) is Truth.YES
                         for stud in network.own(bus) if _belongs(book, stud, battery, pole))
        return frozenset(found)

    return book.memo(("main points", battery, pole), make)


def points_by_owner(book: Book, terminal: str | None) -> dict[str, frozenset[str]]:
    """Main point on the positive side of one part to the batteries of that part whose it is."""

    def make() -> dict[str, frozenset[str]]:
        found: dict[str, set[str]] = {}
        for battery in batteries_by(book, terminal):
            for point in main_points(book, battery, "positive"):
                found.setdefault(point, set()).add(battery)
        return {point: frozenset(owners) for point, owners in found.items()}

    return book.memo(("points by owner", book.network.part_of(terminal or "")), make)


def points_of_others(book: Book, terminal: str | None, group: tuple[str, ...]) -> frozenset[str]:
    """Main points on the positive side of one part that are those of batteries outside a group alone."""

    def make() -> frozenset[str]:
        own = frozenset(p for b in group for p in main_points(book, b, "positive"))
        return frozenset(points_by_owner(book, terminal)) - own

    return book.memo(("points of others", book.network.part_of(terminal or ""), group), make)


def _belongs(book: Book, bus: str, battery: str, pole: str) -> bool:
    """Whether no other battery is nearer to a bar, by steps: a bar at the far end of a link is another battery's. Batteries always joined own alike."""
    network = book.network

    def make() -> frozenset[str]:
        """Batteries fewest steps away: a walk outwards that ends at the first."""
        posts = {network.terminal(b, pole): b for b in batteries_by(book, bus, pole)}
        level, seen = [bus], {bus}
        while level:
            found = frozenset(posts[t] for t in level if t in posts)
            if found:
                return found
            onward: list[str] = []
            for here in level:
                for number, other in network.at.get(here, ()):
                    if other not in seen and network.closable(number):
                        seen.add(other)
                        onward.append(other)
            level = onward
        return frozenset()

    nearest = book.memo(("nearest", bus, pole), make)
    part = network.part_of(bus)
    return any(mate in nearest or part < 0 or network.part_of(network.terminal(mate, pole) or "") != part for mate in mates(book, battery))


def always_maybe(book: Book, battery: str) -> tuple[str, ...]:
    """Batteries whose positives may be joined with this one's in every state, itself included, in file order: no other can be joined with it always."""
    post = book.network.output(battery)
    if post is None:
        return ()

    def make() -> tuple[str, ...]:
        found = book.reach.spread((post,), sure=False)
        return tuple(b for b in batteries_by(book, post) if found.get(book.network.output(b) or "") == book.everything)

    return book.memo(("joined maybe", post), make)


def mates(book: Book, battery: str) -> tuple[str, ...]:
    """A battery and those always joined with it, in file order."""

    def make() -> tuple[str, ...]:
        near = always_maybe(book, battery) or (battery,)
        return tuple(b for b in near if b == battery or book.relation("joined-with", battery, b).yes == book.everything)

    return book.memo(("mates", battery), make)


def lone_edges(book: Book) -> frozenset[int]:
    """Edges with no other way round them, whatever is closed: all that passes between their ends passes them, or them and their likes beside them."""

    def make() -> frozenset[int]:
        chains = strands(book)
        groups = _beside(book)
        # Chains that always lie side by side count as one.
        links = [min(groups.get(n, (n,))) for n in range(len(chains))]
        firsts = sorted(set(links))
        lone = {firsts[k] for k in bridges([(chains[n].a, chains[n].b) for n in firsts])}
        return frozenset(edge for n, chain in enumerate(chains) if links[n] in lone for edge in chain.edges)

    return book.memo("lone edges", make)


def _beside(book: Book) -> dict[int, tuple[int, ...]]:
    """Chain to all chains that join the same two points in every state, itself included; chains with none beside them are left out."""

    def make() -> dict[int, tuple[int, ...]]:
        by_ends: dict[frozenset[str], list[int]] = {}
        for n, chain in enumerate(strands(book)):
            if chain.sure == book.everything and chain.a != chain.b:
                by_ends.setdefault(frozenset((chain.a, chain.b)), []).append(n)
        return {n: tuple(some) for some in by_ends.values() if len(some) > 1 for n in some}

    return book.memo("chains side by side", make)


ALL = Range(1.0, 1.0)


def share_of(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """What part of the current between its ends an edge takes: 1, unless whole chains lie beside its own. [1]

    Parallel cables lie together and are as warm as one another; between cold and hot the lugs and fuses in them weigh differently, so both are tried.
    """

    def make() -> dict[int, tuple[Range, frozenset[FactRef]]]:
        found: dict[int, tuple[Range, frozenset[FactRef]]] = {}
        chains = strands(book)
        for n, some in _beside(book).items():
            wants: set[FactRef] = set()
            low, high = 1.0, 0.0
            for temperature in (20.0, 105.0):
                ohms = {}
                for k in some:
                    parts = [resistance.edge_resistance(book, e, Range(temperature, temperature), bars=True) for e in chains[k].edges]
                    ohms[k] = Range(sum(r.low for r, _ in parts), sum(r.high for r, _ in parts))
                    wants |= frozenset().union(*(w for _, w in parts))
                others = [ohms[k] for k in some if k != n]
                low, high = min(low, _share(ohms[n].high, [r.low for r in others])), max(high, _share(ohms[n].low, [r.high for r in others]))
            for e in chains[n].edges:
                found[e] = Range(low, high), frozenset(wants)
        return found

    return book.memo("shares of parallel chains", make).get(edge, (ALL, frozenset()))


def _share(own: float, others: list[float]) -> float:
    """Part of a current that takes a way of resistance `own` beside others."""
    if own <= 0:
        return 1.0
    if any(r <= 0 for r in others):
        return 0.0
    conductance = 0.0 if own == INF else 1 / own
    total = conductance + sum(0.0 if r == INF else 1 / r for r in others)
    return conductance / total if total > 0 else 1.0


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


def first_way(book: Book, start: str, goal: str, states: Any) -> tuple[int, ...] | None:
    """Edges of the way from one terminal to another that `ways_out` tells first, if they are joined in some of the states."""
    network = book.network
    found = network.blocks.way(start, goal)
    # The shortest of all ways is the one, unless a contact on it is open in all of these states.
    if found is None or all((maybe := network.maybe(n)) is book.everything or maybe & states != book.nothing for n in found):
        return found
    way = _way(book, start, frozenset({goal}), _no_cost, states, frozenset(), frozenset())
    return way[2] if way is not None else None


def _no_cost(_: int) -> tuple[Range, frozenset[FactRef]]:
    return Range(0.0, 0.0), frozenset()


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
