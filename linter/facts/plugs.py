"""What hangs on what: the single thing all of a load's current passes, which batteries feed it, and how many plug contacts feed a bar at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.plain import halves_of, whole_of
from linter.facts.protection import doubtful, worst_sum
from linter.facts.registry import fact, relation
from linter.facts.relations import joined, settled
from linter.facts.saying import number
from linter.facts.worked import worked
from linter.language.world import Answer, States

if TYPE_CHECKING:
    from linter.facts.book import Book

# What current passes through. A source, a load or a charger is where it begins or ends.
_PASSED = ("conductor", "protection", "switchgear", "coupling", "coupling-half", "shunt", "bus", "junction", "chassis")
_POLES = ("positive", "negative")
# A blade of the trailer patterns carries about 30 A, a pin 15 to 20 A: reference table of trailer connectors, recalled. [A]
PIN_MOST = 35.0
_SINGLE = frozenset({"two pole", "other"})


def _entry(book: Book, user: str, pole: str) -> str | None:
    """Terminal at which a load, or the input of a charger, takes its current."""
    return book.network.terminal(user, f"in {pole}") if book.is_a(user, "charger") else book.network.terminal(user, pole)


def _posts(book: Book, pole: str) -> tuple[str, ...]:
    return tuple(t for b in book.network.batteries if (t := book.network.terminal(b, pole)) is not None)


def _depends(book: Book, user: str, element: str) -> tuple[States, States]:
    """States in which a battery surely reaches `user` only through `element`, and those in which it may be so."""
    without = frozenset({whole_of(book, element)})
    runs = book.reach.may_run(user)
    sure, maybe = book.nothing, book.nothing
    for pole in _POLES:
        entry, posts = _entry(book, user, pole), _posts(book, pole)
        if entry is None or not posts:
            continue
        fed = [book.reach.spread(posts, sure=kind).get(entry, book.nothing) for kind in (True, False)]
        if fed[1] == book.nothing:
            continue
        else_by = [book.reach.spread(posts, sure=kind, without=without).get(entry, book.nothing) for kind in (True, False)]
        sure = sure | book.without(fed[0], else_by[1])
        maybe = maybe | book.without(fed[1], else_by[0])
    return sure & runs, maybe & runs


@relation("hanging-on", "load", "charger")
def hanging_on(book: Book, user: str, element: str | None) -> Answer:
    """In some state a battery reaches it, out or back, and with that element taken out none does: all its current passes there."""
    if element is None or not any(book.is_a(element, kind) for kind in _PASSED):
        return Answer(book.nothing, book.everything)
    sure, maybe = _depends(book, user, element)
    if sure != book.nothing and book.wiring_complete:
        return Answer(book.everything, book.nothing, through=(element,))
    if maybe == book.nothing and book.wiring_complete:
        return Answer(book.nothing, book.everything)
    return Answer(book.nothing, book.nothing, book.open_wiring | doubtful(book))


@relation("powering", "battery")
def powering(book: Book, battery: str, load: str | None) -> Answer:
    """Its positive reaches that load without a converter between, and the load may run."""
    post = book.network.output(battery)
    entry = book.network.terminal(load, "positive") if load is not None else None
    if load is None:
        return settled(book, book.nothing, book.nothing)
    runs = book.reach.may_run(load)
    return settled(book, joined(book, post, entry, sure=True) & runs, joined(book, post, entry, sure=False) & runs)


@relation("engine-off-in", "installation")
def engine_off_in(book: Book, _: str, __: str | None) -> Answer:
    """The engine stands. Where nothing drawn depends on an engine, every state is one in which it may stand."""
    if "engine" not in book.space.named:
        return Answer(book.everything, book.nothing)
    stopped = book.space.of((("engine", frozenset({"stopped"})),))
    return Answer(stopped, book.without(book.everything, stopped))


@fact("motor", "load")
def motor(book: Book, load: str) -> Reading:
    """Whether a motor turns in it: yes where a least starting voltage was stated of it; else nothing is known, and the vocabulary's belief stands."""
    least = book.reading("start-voltage-at-least", load)
    if least.gap is None and least.how != "assumed":
        return worked(Truth.YES, uses=least.uses)
    return book.open("motor", load, "not stated")


@fact("pattern", "coupling")
def pattern(book: Book, coupling: str) -> Reading:
    """What its contacts may be, where nobody said: rated above what one pin or blade of the trailer patterns carries, it is none of those."""
    rated = book.reading("current-at-most", coupling)
    if isinstance(rated.value, Range) and rated.gap is None and rated.value.low > PIN_MOST:
        return worked(_SINGLE, wants={FactRef(coupling, "pattern")}, uses=rated.uses)
    return book.open("pattern", coupling, "not stated")


# ---- routes through plugs -----------------------------------------------------------------------------------------------------------

def _same(one: frozenset[str], two: frozenset[str]) -> Truth:
    """Whether two parts are of one vehicle, by the vehicles each may be of."""
    if len(one) == 1 and one == two:
        return Truth.YES
    return Truth.NO if one and two and not one & two else Truth.UNKNOWN


@fact("supply-routes", "bus", "junction")
def supply_routes(book: Book, bar: str) -> Reading:
    """Contacts of plugs through which batteries and alternators of other vehicles reach it at once, each counted; the state with most. [1]

    A contact counts in a state if it is mated, a battery or alternator of the other vehicle reaches its far side there, and its near side
    reaches the bar, both without passing another plug between vehicles. Chargers end a route: what they put out cannot flow back.
    """
    network, space, reach = book.network, book.space, book.reach
    home = book.words("vehicle-of", bar)
    terminal = next(iter(network.own(bar)), None)
    wants: set[FactRef] = set(book.open_wiring | doubtful(book) | book.reading("vehicle-of", bar).wants)
    if terminal is None:
        return book.open("supply-routes", bar, "it is not drawn", wants=wants)
    plugs = frozenset(c for c in book.members("coupling") if book.truth_of("between-vehicles", c) is not Truth.NO)
    low: list[tuple[States, float]] = []
    high: list[tuple[States, float]] = []
    counted: list[str] = []
    for plug in sorted(plugs):
        halves = halves_of(book, plug)
        for edge in network.of.get(plug, ()):
            sure, maybe = book.nothing, book.nothing
            for far, near in ((network.edges[edge].a, network.edges[edge].b), (network.edges[edge].b, network.edges[edge].a)):
                there, here = (book.words("vehicle-of", network.owner(t)) for t in (far, near))
                away, inside = _same(there, home), _same(here, home)
                if away is Truth.YES or inside is Truth.NO:
                    continue
                for half in halves:
                    wants |= book.reading("vehicle-of", half).wants
                route = []
                for kind in (True, False):
                    pushed = reach.spread((far,), sure=kind, without=plugs)
                    onward = reach.spread((near,), sure=kind, without=plugs).get(terminal, book.nothing)
                    reached = book.nothing
                    for output, source in network.hard_outputs.items():
                        if output in pushed:
                            reached = reached | (pushed[output] & reach.awake(source, sure=kind))
                    route.append(reached & onward & (network.sure(edge) if kind else network.maybe(edge)))
                if away is Truth.NO and inside is Truth.YES:
                    sure = sure | route[0]
                maybe = maybe | route[1]
            if not space.empty(sure):
                low.append((sure, 1.0))
            if not space.empty(maybe):
                high.append((maybe, 1.0))
                counted.append(plug)
    most, least = worst_sum(book, high), worst_sum(book, low)
    top = most[0] if most else float(len(high))
    value = Range(least[0] if least else 0.0, top if book.wiring_complete else INF)

    def working() -> tuple[Step, ...]:
        return (Step(f"routes by which other vehicles feed {bar}", "contacts that carry at once, in the state with most",
                     f"{', '.join(counted) or 'none'}: {number(value)}", "reach of each contact"),)

    return worked(value, wants=wants, through=tuple(dict.fromkeys(counted)), states=least[1] if least and least[0] > 0 else None, working=working)
