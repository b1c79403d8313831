"""What all devices together let through a conductor: parallel devices add (N2 of our notes)."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from typing import TYPE_CHECKING

from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact
from linter.facts.worked import worked
from linter.language.world import States
from linter.units.dimension import CURRENT
from linter.units.table import write

if TYPE_CHECKING:
    from linter.facts.book import Book

# Different ways all contacts may stand before only bounds are given, and how many of them are then tried for the lower bound.
_PATTERNS = 512
_TRIED = 24
Closed = Callable[[int], bool]


def greatest_patterns(book: Book, *, sure: bool) -> tuple[list[tuple[States, frozenset[int]]], bool]:
    """Which contacts are closed together: (states, closed edges), only patterns no other one contains; and whether that is all of them.

    Flow only grows as contacts close, so the greatest patterns decide.
    """

    def make() -> tuple[list[tuple[States, frozenset[int]]], bool]:
        network = book.network
        closed = network.sure if sure else network.maybe
        pieces: list[tuple[States, frozenset[int]]] = [(book.everything, frozenset())]
        complete = True
        for number in range(len(network.edges)):
            states = closed(number)
            if states == book.everything:
                continue
            split: list[tuple[States, frozenset[int]]] = []
            for piece, edges in pieces:
                inside, outside = piece & states, book.without(piece, states)
                if inside != book.nothing:
                    split.append((inside, edges | {number}))
                if outside != book.nothing:
                    split.append((outside, edges))
            if len(split) > _PATTERNS:
                split.sort(key=lambda pair: -len(pair[1]))
                split = split[:_TRIED]
                complete = False
            pieces = split
        greatest = [p for p in pieces if not any(p[1] < q[1] for q in pieces)]
        return greatest[:_TRIED], complete and len(greatest) <= _TRIED

    return book.memo(("patterns", sure), make)


def _pattern(book: Book, closed: frozenset[int], *, sure: bool) -> Closed:
    """Which edges are closed in a pattern: its contacts, and whatever is never open."""
    states = book.network.sure if sure else book.network.maybe
    return lambda number: number in closed or states(number) == book.everything


@fact("through-current", "conductor")
def through_current(book: Book, conductor: str) -> Reading:
    """Greatest current all devices together let through: the lesser of what hard sources can push into one end and what loads and batteries
    can take from the other, each device passing its rating and all else without limit; the worse direction, the worst state. [A]"""
    network = book.network
    ends = ends_of(book, conductor)
    if len(ends) != 2:
        return worked(Range(0.0, 0.0 if book.wiring_complete else INF), wants=book.open_wiring)
    low = 0.0
    worst: States = None
    # With every contact closed at once: more than that is never let through, and often some state lets through just as much.
    high = _through(book, conductor, ends, network.closable, True)
    for states, closed in greatest_patterns(book, sure=True)[0] if high > 0 else ():
        let_through = _through(book, conductor, ends, _pattern(book, closed, sure=True), False)
        if let_through > low or worst is None:
            low, worst = let_through, states
        if low >= high:
            break
    if low < high:
        loose, complete = greatest_patterns(book, sure=False)
        if complete:
            high = max((_through(book, conductor, ends, _pattern(book, closed, sure=False), True) for _, closed in loose), default=0.0)
    if not book.wiring_complete:
        high = INF
    value = Range(low, max(low, high))
    wants = set(book.open_wiring) | set(doubtful(book))
    wants |= book.memo(("ratings open", network.part_of(ends[0])), lambda: frozenset().union(
        *(book.reading("rating", device).wants for device in dict.fromkeys(network.edges[n].element for n in network.around(ends[0]))
          if book.is_a(device, "protection"))))

    def working() -> tuple[Step, ...]:
        return (Step("current all devices let through", "lesser of most into one end and most out of the other", write(value.high, CURRENT),
                     "greatest flow, each device passing its rating"),)

    return worked(value, wants=wants, states=worst, working=working)


def _through(book: Book, conductor: str, ends: tuple[str, ...], closed: Closed, high: bool) -> float:
    network = book.network
    root: dict[str, str] = {}

    def find(name: str) -> str:
        while root.setdefault(name, name) != name:
            root[name] = root[root[name]]
            name = root[name]
        return name

    limited: list[tuple[str, str, float]] = []
    protections = book.memo("protections", lambda: frozenset(book.members("protection")))
    around = network.around(ends[0])
    for number in around:
        edge = network.edges[number]
        if edge.element == conductor or not closed(number):
            continue
        if network.taken_by[number] in protections:
            rating = book.quantity("rating", edge.element)
            limited.append((edge.a, edge.b, rating.high if high else max(0.0, rating.low)))
        else:
            root[find(edge.a)] = find(edge.b)
    links: dict[str, dict[str, float]] = {}
    for a, b, amps in limited:
        one, two = find(a), find(b)
        if one != two:
            links.setdefault(one, {})[two] = links.get(one, {}).get(two, 0.0) + amps
            links.setdefault(two, {})[one] = links.get(two, {}).get(one, 0.0) + amps
    # Only what could ever be joined with it can send anything through it.
    part = network.part_of(ends[0])
    sources = {find(t) for t in network.hard_in.get(part, ())}
    sinks = {find(t) for t in network.sinks_in.get(part, ())}
    book.spend(len(around))
    one, two = (find(t) for t in ends)
    return max(min(_most(links, sources, one), _most(links, sinks, two)), min(_most(links, sources, two), _most(links, sinks, one)))


def _most(links: dict[str, dict[str, float]], many: set[str], one: str) -> float:
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
