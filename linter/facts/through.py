"""What all devices together let through a conductor: parallel devices add (N2 of our notes)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from linter.base.groups import Groups
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact
from linter.facts.throughput import Throughput, drawn_together, most
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


Patterns = tuple[list[tuple[States, frozenset[int]]], bool]


def greatest_patterns(book: Book, *, sure: bool) -> Patterns:
    """Which contacts are closed together: (states, closed edges), only patterns no other one contains; and whether that is all of them.

    Flow only grows as contacts close, so the greatest patterns decide.
    """
    return book.memo(("patterns", sure), lambda: _patterns(book, range(len(book.network.edges)), sure))


def patterns_for(book: Book, terminal: str, *, sure: bool) -> Patterns:
    """The same for what lies in one part of the wiring, where the whole has too many."""
    found = greatest_patterns(book, sure=sure)
    if found[1]:
        return found
    return book.memo(("patterns", sure, book.network.part_of(terminal)), lambda: _patterns(book, book.network.around(terminal), sure))


def _patterns(book: Book, edges: Iterable[int], sure: bool) -> Patterns:
    network = book.network
    closed = network.sure if sure else network.maybe
    contacts = [(n, states) for n in edges if (states := closed(n)) != book.everything and states != book.nothing]
    # Most often there is a state with every contact closed; then that pattern contains all others.
    together = book.all_of(reversed(dict.fromkeys(states for _, states in contacts)))
    if together != book.nothing:
        return [(together, frozenset(n for n, _ in contacts))], True
    pieces: list[tuple[States, frozenset[int]]] = [(book.everything, frozenset())]
    complete = True
    for number, states in contacts:
        split: list[tuple[States, frozenset[int]]] = []
        for piece, numbers in pieces:
            inside, outside = piece & states, book.without(piece, states)
            if inside != book.nothing:
                split.append((inside, numbers | {number}))
            if outside != book.nothing:
                split.append((outside, numbers))
        if len(split) > _PATTERNS:
            split.sort(key=lambda pair: -len(pair[1]))
            split = split[:_TRIED]
            complete = False
        pieces = split
    greatest = [p for p in pieces if not any(p[1] < q[1] for q in pieces)]
    return greatest[:_TRIED], complete and len(greatest) <= _TRIED


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
    high = _through(book, conductor, ends, "all", network.closable, True)
    for n, (states, closed) in enumerate(patterns_for(book, ends[0], sure=True)[0] if high > 0 else ()):
        let_through = _through(book, conductor, ends, ("sure", n), _pattern(book, closed, sure=True), False)
        if let_through > low or worst is None:
            low, worst = let_through, states
        if low >= high:
            break
    if low < high:
        loose, complete = patterns_for(book, ends[0], sure=False)
        if complete:
            high = max((_through(book, conductor, ends, ("maybe", n), _pattern(book, closed, sure=False), True) for n, (_, closed) in enumerate(loose)),
                       default=0.0)
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


def _limit(book: Book, high: bool) -> Callable[[int], float | None]:
    """Edge to what it lets through, at the most or at the least its rating may be; None for all but protection. [A]"""
    protections = book.memo("protections", lambda: frozenset(book.members("protection")))

    def limit(number: int) -> float | None:
        if book.network.taken_by[number] not in protections:
            return None
        rating = book.quantity("rating", book.network.edges[number].element)
        return rating.high if high else max(0.0, rating.low)

    return limit


def _flows(book: Book, start: str, key: object, closed: Closed, high: bool) -> Throughput:
    """Flows through all wires of a part, with one set of contacts closed."""
    return book.memo(("throughput", book.network.part_of(start), key, high), lambda: Throughput(book, start, closed, _limit(book, high)))


def _through(book: Book, conductor: str, ends: tuple[str, ...], key: object, closed: Closed, high: bool) -> float:
    network = book.network
    part = network.part_of(ends[0])
    # Only what could ever be joined with it can send anything through it.
    if not network.hard_in.get(part) or not network.sinks_in.get(part):
        return 0.0
    found = _flows(book, ends[0], key, closed, high).of(conductor, ends)
    return found if found is not None else _alone(book, conductor, ends, closed, high)


def _alone(book: Book, conductor: str, ends: tuple[str, ...], closed: Closed, high: bool) -> float:
    """The same for a wire drawn as more than one edge, by a search of the whole part."""
    network = book.network
    together = Groups()
    limit = _limit(book, high)
    limited: list[tuple[str, str, float]] = []
    around = network.around(ends[0])
    for number in around:
        edge = network.edges[number]
        if edge.element == conductor or not closed(number):
            continue
        amps = limit(number)
        if amps is None:
            together.join(edge.a, edge.b)
        else:
            limited.append((edge.a, edge.b, amps))
    links = drawn_together(limited, together)
    # Only what could ever be joined with it can send anything through it.
    part = network.part_of(ends[0])
    sources = {together.find(t) for t in network.hard_in.get(part, ())}
    sinks = {together.find(t) for t in network.sinks_in.get(part, ())}
    book.spend(len(around))
    one, two = (together.find(t) for t in ends)
    return max(min(most(links, sources, one), most(links, sinks, two)), min(most(links, sources, two), most(links, sinks, one)))
