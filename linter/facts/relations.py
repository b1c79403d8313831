"""What stands how in each state: awake, charging, fed, joined, open, parted, dead."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import Range, exactly
from linter.facts.plain import whole_of
from linter.facts.protection import doubtful, ends_of, worst_sum
from linter.facts.registry import fact, relation
from linter.facts.worked import worked
from linter.language.world import Answer, States

if TYPE_CHECKING:
    from linter.facts.book import Book


def settled(book: Book, sure: States, maybe: States, wants: frozenset[FactRef] = frozenset()) -> Answer:
    """Yes where it surely is, no where it may not be and every connection is described."""
    no = book.surely_not(maybe)
    if (sure | no) == book.everything:
        return Answer(sure, no)
    return Answer(sure, no, wants | book.open_wiring | doubtful(book))


def _always(book: Book, value: bool) -> Answer:
    return Answer(book.everything, book.nothing) if value else Answer(book.nothing, book.everything)


def joined(book: Book, one: str | None, two: str | None, *, sure: bool) -> States:
    """States in which two terminals surely, or perhaps, meet; none where one of them is not there."""
    if one is None or two is None:
        return book.nothing
    return book.reach.between(one, two, sure=sure)


@relation("awake-in", "source")
def awake_in(book: Book, source: str, _: str | None) -> Answer:
    """Pushes or is ready to."""
    sure, maybe = book.reach.awake(source, sure=True), awake_maybe(book, source)
    no = book.without(book.everything, maybe)
    return Answer(sure, no, frozenset() if (sure | no) == book.everything else book.open_wiring | doubtful(book))


def awake_maybe(book: Book, source: str) -> States:
    """States in which it may push: with connections missing, an input may be fed by one of them."""
    if source in book.circuit.inputs and not book.wiring_complete:
        return book.space.any_of(book.circuit.sources_awake.get(source, ((),)))
    return book.reach.awake(source, sure=False)


@relation("charging", "charger", "alternator")
def charging(book: Book, charger: str, battery: str | None) -> Answer:
    """Is awake, and its output reaches that battery."""
    if battery is None:
        return awake_in(book, charger, None)
    output, post = book.network.output(charger), book.network.output(battery)
    awake = awake_in(book, charger, None)
    sure = awake.yes & joined(book, output, post, sure=True)
    maybe = book.without(book.everything, awake.no) & joined(book, output, post, sure=False)
    no = book.surely_not(maybe) | awake.no
    return Answer(sure, no, frozenset() if (sure | no) == book.everything else book.open_wiring | doubtful(book))


@relation("battery-backed-in", "source")
def battery_backed_in(book: Book, source: str, _: str | None) -> Answer:
    """Its output meets a battery."""
    output = book.network.output(source)
    if output is None:
        return settled(book, book.nothing, book.nothing)
    return settled(book, *(_reached(book, (output,), book.network.outputs(book.network.batteries), sure=sure) for sure in (True, False)))


def _reached(book: Book, starts: tuple[str, ...], goals: tuple[str, ...], *, sure: bool) -> States:
    found = book.reach.spread(starts, sure=sure)
    states = book.nothing
    for goal in goals:
        states = states | found.get(goal, book.nothing)
    return states


@relation("joined-with", "battery")
def joined_with(book: Book, battery: str, other: str | None) -> Answer:
    """Positives connected without a converter between. Every battery is joined with itself."""
    if other is None:
        return Answer(book.nothing, book.nothing)
    if other == battery:
        return _always(book, True)
    one, two = book.network.output(battery), book.network.output(other)
    return settled(book, joined(book, one, two, sure=True), joined(book, one, two, sure=False))


@fact("in-parallel", "battery")
def in_parallel(book: Book, battery: str) -> Reading:
    """Whether it is joined with another battery in every state."""
    value = Truth.NO if book.complete("battery") else Truth.UNKNOWN
    wants: frozenset[FactRef] = frozenset() if book.complete("battery") else frozenset({FactRef("", "every battery")})
    for other in book.network.batteries:
        if other == battery:
            continue
        answer = joined_with(book, battery, other)
        if answer.yes == book.everything:
            return worked(Truth.YES, through=(other,))
        if answer.no == book.nothing:
            value = Truth.UNKNOWN
            wants |= answer.wants
    return worked(value, wants=wants)


@relation("fed-in", "load")
def fed_in(book: Book, load: str, _: str | None) -> Answer:
    """Reached from a battery."""
    entry = book.network.terminal(load, "positive")
    posts = book.network.outputs(book.network.batteries)
    return settled(book, *(_reached(book, posts, (entry,) if entry else (), sure=sure) for sure in (True, False)))


@relation("fed-from-own-vehicle-in", "load")
def fed_from_own_vehicle_in(book: Book, load: str, _: str | None) -> Answer:
    """Reached from a battery of its own vehicle."""
    entry = book.network.terminal(load, "positive")
    home = book.reading("vehicle-of", load)
    mine = book.words("vehicle-of", load)
    sure, maybe = book.nothing, book.nothing
    wants = home.wants
    for battery in book.network.batteries:
        theirs = book.reading("vehicle-of", battery)
        names = book.words("vehicle-of", battery)
        post = book.network.output(battery)
        same = len(mine) == 1 and mine == names
        apart = bool(mine) and bool(names) and not mine & names
        wants |= theirs.wants
        if same:
            sure = sure | joined(book, post, entry, sure=True)
        if not apart:
            maybe = maybe | joined(book, post, entry, sure=False)
    return settled(book, sure, maybe, wants)


@relation("open-in", "switchgear")
def open_in(book: Book, switch: str, _: str | None) -> Answer:
    """Passes no current in that state."""
    sure, maybe = book.nothing, book.nothing
    for number in book.network.of.get(switch, ()):
        if book.network.edges[number].kind != "joint":
            sure, maybe = sure | book.network.sure(number), maybe | book.network.maybe(number)
    opened = book.without(book.everything, maybe)
    return Answer(opened, sure, frozenset() if (opened | sure) == book.everything else doubtful(book))


@relation("bypassed-in", "switch")
def bypassed_in(book: Book, switch: str, _: str | None) -> Answer:
    """Is open, and its load side is live all the same."""
    answer = open_in(book, switch, None)
    load = book.network.terminal(switch, "load")
    if load is None:
        return Answer(book.nothing, book.nothing, note="its load side is not drawn")
    sure = answer.yes & book.reach.live(load, sure=True)
    maybe = book.without(book.everything, answer.no) & book.reach.live(load, sure=False)
    no = book.surely_not(maybe) | answer.no
    through: tuple[str, ...] = ()
    if sure != book.nothing:
        outputs = book.network.outputs(s for s in book.network.sources)
        through = book.reach.trail(outputs, (load,), book.space.sample(sure), sure=True)
    return Answer(sure, no, frozenset() if (sure | no) == book.everything else book.open_wiring | doubtful(book), through=through)


@relation("parted-in", "coupling", "coupling-half")
def parted_in(book: Book, coupling: str, _: str | None) -> Answer:
    """Unmated."""
    whole = whole_of(book, coupling)
    if whole not in book.space.named:
        return Answer(book.nothing, book.nothing)
    parted = book.space.of(((whole, frozenset({"parted"})),))
    return Answer(parted, book.without(book.everything, parted))


@relation("dead-in", "element")
def dead_in(book: Book, element: str, _: str | None) -> Answer:
    """No source reaches it. Each source's positive is what reaches; its negative makes nothing live."""
    sure, maybe = book.nothing, book.nothing
    for terminal in book.network.ends(element):
        sure = sure | book.reach.live(terminal, sure=True)
        maybe = maybe | book.reach.live(terminal, sure=False)
    dead = book.surely_not(maybe)
    return Answer(dead, sure, frozenset() if (dead | sure) == book.everything else book.open_wiring | doubtful(book))


@relation("feeding", "solar-array")
def feeding(book: Book, array: str, charger: str | None) -> Answer:
    """Its positive reaches that charger's input in some state."""
    post = book.network.output(array)
    entry = book.network.terminal(charger, "in positive") if charger else None
    if joined(book, post, entry, sure=True) != book.nothing:
        return _always(book, True)
    if joined(book, post, entry, sure=False) == book.nothing and book.wiring_complete:
        return _always(book, False)
    return Answer(book.nothing, book.nothing, book.open_wiring | doubtful(book))


@relation("attached-to", "conductor")
def attached_to(book: Book, conductor: str, part: str | None) -> Answer:
    """One end is on a terminal of that part, or of one half of it."""
    owners = {book.network.owner(t) for t in ends_of(book, conductor)}
    if part is not None and (part in owners or part in {whole_of(book, owner) for owner in owners}):
        return _always(book, True)
    # A wire whose two ends are drawn is nowhere else; one that is not drawn may be anywhere.
    return _always(book, False) if book.network.of.get(conductor) else Answer(book.nothing, book.nothing, book.open_wiring)


@fact("strings-joined", "solar-array")
def strings_joined(book: Book, array: str) -> Reading:
    """Strings whose positives meet in one state, this one's included; the worst state."""
    post = book.network.output(array)
    if post is None:
        return book.open("strings-joined", array, "its terminals are not drawn")
    high: list[tuple[States, float]] = []
    low: list[tuple[States, float]] = []
    wants: frozenset[FactRef] = book.open_wiring | doubtful(book)
    for other in book.members("solar-array"):
        strings = book.reading("strings-in-parallel", other)
        number = strings.value if isinstance(strings.value, Range) else exactly(1.0)
        wants |= strings.wants
        there = book.network.output(other)
        if there is None:
            continue
        low.append((book.everything if other == array else joined(book, post, there, sure=True), number.low))
        high.append((book.everything if other == array else joined(book, post, there, sure=False), number.high))
    top, bottom = worst_sum(book, high), worst_sum(book, low)
    value = Range(bottom[0] if bottom else low[0][1], top[0] if top else sum(n for _, n in high))
    if not book.complete("solar-array") or not book.wiring_complete:
        value = Range(value.low, float("inf"))
    return worked(value, wants=wants)
