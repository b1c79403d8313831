"""The way back: which negative returns a positive's current, whether another way exists, what the meter sees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth, any_of, truth
from linter.facts.plain import halves_of
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact
from linter.facts.sides import negative_side, positive_side, side_of
from linter.facts.worked import in_some_state, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Through these, where nothing branches, a current goes on undivided.
_SERIES = ("protection", "switchgear", "shunt", "conductor")


def partner(book: Book, terminal: str) -> str | None:
    """The negative beside a positive terminal of the same thing: "D1 in negative" of "D1 in positive"."""
    if not terminal.endswith("positive"):
        return None
    other = terminal[: -len("positive")] + "negative"
    return other if other in book.circuit.terminals else None


def wires_on(book: Book, terminal: str) -> list[str]:
    """Conductors that end on a terminal."""
    return list(dict.fromkeys(book.network.edges[n].element for n, _ in book.network.at.get(terminal, ()) if book.network.edges[n].kind == "conductor"))


def _paired_end(book: Book, conductor: str, start: str) -> str | None:
    """From one end of a conductor on, undivided, to the first terminal that has a negative beside it."""
    network = book.network
    here, came = start, {conductor}
    for _ in range(len(network.edges) + 1):
        if partner(book, here) is not None:
            return here
        onward = [(n, other) for n, other in network.at.get(here, ()) if network.edges[n].element not in came or network.edges[n].kind == "joint"]
        onward = [(n, other) for n, other in onward if other != start]
        if len(onward) != 1:
            return None
        number, other = onward[0]
        edge = network.edges[number]
        if edge.kind != "joint" and not network.is_a(edge.element, *_SERIES):
            return None
        came.add(edge.element)
        start, here = here, other
    return None


def _returns(book: Book, conductor: str) -> tuple[str | None, Truth, str]:
    """The dedicated negative, whether there is one, and why not."""

    def make() -> tuple[str | None, Truth, str]:
        side = positive_side(book, conductor).value
        if side is not Truth.YES:
            return None, Truth.NO if side is Truth.NO else Truth.UNKNOWN, "it is not on the positive side" if side is Truth.NO else "its side is not known"
        sides: list[list[str]] = []
        for end in ends_of(book, conductor):
            paired = _paired_end(book, conductor, end)
            beside = partner(book, paired) if paired is not None else None
            if beside is not None:
                there = {w: negative_side(book, w).value for w in wires_on(book, beside)}
                if Truth.UNKNOWN in there.values():
                    return None, Truth.UNKNOWN, "which side its neighbours are on is not known"
                sides.append([w for w, on in there.items() if on is Truth.YES])
        named = f"{conductor}n"
        common = [w for w in sides[0] if w in sides[1]] if len(sides) == 2 else []
        every = list(dict.fromkeys(w for side in sides for w in side))
        found: str | None = None
        if len(common) == 1:
            found = common[0]
        elif book.is_a(named, "conductor") and negative_side(book, named).value is Truth.YES:
            # The mark every installer uses for the return of a wire.
            found = named
        else:
            found = next((side[0] for side in sides if len(side) == 1), None)
        if found is not None:
            to_chassis = any(book.network.owner_is(t, "chassis") for t in ends_of(book, found))
            return (None, Truth.NO, f"{found} goes to the chassis") if to_chassis else (found, Truth.YES, "")
        if sides and not every and book.wiring_complete:
            return None, Truth.NO, "nothing is joined to the negative beside it"
        if book.wiring_complete:
            # All wires are known, and none of them is this one's own way back: it is shared, and judged by its own worst current.
            return None, Truth.NO, "several negatives share its current" if every else "no one negative returns its current"
        return None, Truth.UNKNOWN, "several negatives may return its current" if every else "which negative returns its current cannot be seen"

    return book.memo(("returns", conductor), make)


@fact("twin", "conductor")
def twin(book: Book, conductor: str) -> Reading:
    """The negative that returns this positive's current: the one beside the thing at its end, or the one named like it with an n."""
    found, _, why = _returns(book, conductor)
    return worked(frozenset({found})) if found is not None else book.open("twin", conductor, why)


@fact("has-twin", "conductor")
def has_twin(book: Book, conductor: str) -> Reading:
    """Whether a dedicated negative returns its current; a wire to the chassis is none."""
    found, there, why = _returns(book, conductor)
    if there is Truth.UNKNOWN:
        return book.open("has-twin", conductor, why)
    return worked(there, through=(found,) if found else ())


@fact("stub", "coupling-half")
def stub(book: Book, half: str) -> Reading:
    """The positive conductor that ends on this half."""
    for terminal in book.network.own(half):
        wires = [w for w in wires_on(book, terminal) if positive_side(book, w).value is Truth.YES]
        if wires:
            return worked(frozenset({wires[0]}))
    return book.open("stub", half, "no positive conductor ends on it", wants=book.open_wiring)


@fact("has-other-return", "conductor")
def has_other_return(book: Book, conductor: str) -> Reading:
    """Whether, with this negative open, its two ends are still joined some other way."""
    side = negative_side(book, conductor).value
    if side is Truth.NO:
        return worked(Truth.NO)
    ends = ends_of(book, conductor)
    if len(ends) != 2:
        return worked(Truth.NO if book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)
    own = frozenset({conductor})
    sure = maybe = book.nothing
    if book.network.bridge(conductor) is None:
        sure, maybe = (book.reach.between(ends[0], ends[1], sure=is_sure, without=own) for is_sure in (True, False))
    through = book.reach.trail((ends[0],), (ends[1],), book.space.sample(sure), sure=True, without=own) if sure != book.nothing else ()
    if side is Truth.UNKNOWN:
        # With connections missing it may prove to be no negative at all.
        sure = book.nothing
    return in_some_state(book, sure, maybe, wants=doubtful(book), through=through)


@fact("metered", "battery")
def metered(book: Book, battery: str) -> Reading:
    """Whether its negative comes to the battery side (line) of a shunt before it passes one."""
    post = book.network.terminal(battery, "negative")
    if post is None:
        return book.open("metered", battery, "its negative is not drawn")
    shunts = book.members("shunt")
    lines = {s: book.network.terminal(s, "line") for s in shunts}

    def behind(sure: bool) -> list[str]:
        """Shunts whose battery side is met without passing a shunt."""
        if not shunts:
            return []
        part = book.memo(("parts without shunts", sure), lambda: book.reach.parts(sure=sure, without=frozenset(shunts)))
        return [s for s, line in lines.items() if line is not None and post in part and part[post] == part.get(line)]

    found = next(iter(behind(True)), None)
    if found is not None:
        return worked(Truth.YES, through=(found,))
    if book.wiring_complete and book.complete("shunt") and not behind(False):
        return worked(Truth.NO)
    return worked(Truth.UNKNOWN, wants=book.open_wiring | doubtful(book) | ({FactRef("", "every shunt")} if not book.complete("shunt") else frozenset()))


@fact("meets-common-negative", "load", "charger")
def meets_common_negative(book: Book, part: str) -> Reading:
    """Whether its negative reaches the common negative bus without passing a battery's post."""
    start = book.network.terminal(part, "out negative") or book.network.terminal(part, "negative")
    if start is None:
        return book.open("meets-common-negative", part, "its negative is not drawn")
    posts = frozenset(t for b in book.network.batteries if (t := book.network.terminal(b, "negative")) is not None)
    around = {sure: book.reach.spread((start,), sure=sure, blocked=posts) for sure in (True, False)}
    verdicts: list[Truth] = []
    wants: set[FactRef] = set(book.open_wiring) | set(doubtful(book))
    for bus in book.members("bus"):
        common = book.reading("common-negative", bus)
        stud = book.network.terminal(bus, "stud") or ""
        there = truth(True) if stud in around[True] else Truth.UNKNOWN if stud in around[False] or not book.wiring_complete else Truth.NO
        is_common = common.value if isinstance(common.value, Truth) else Truth.UNKNOWN
        if there is Truth.NO or is_common is Truth.NO:
            continue
        verdicts.append(Truth.YES if there is Truth.YES and is_common is Truth.YES else Truth.UNKNOWN)
        wants |= common.wants
    value = any_of(verdicts)
    if value is Truth.NO and not (book.wiring_complete and book.complete("bus")):
        value = Truth.UNKNOWN
    return worked(value, wants=wants)


@fact("has-own-return", "coupling")
def has_own_return(book: Book, coupling: str) -> Reading:
    """Whether whatever is fed through a positive contact comes back, on both sides, to a negative contact of the same coupling."""
    network = book.network
    own = frozenset({coupling})
    halves = halves_of(book, coupling)
    if len(halves) != 2:
        return book.open("has-own-return", coupling, "its two halves are not described")
    contacts = [(network.edges[n].a, network.edges[n].b) for n in network.of.get(coupling, ()) if network.edges[n].kind == "coupling"]
    poles = {t: side_of(book, (t,), own) for pair in contacts for t in pair}
    certain = all(signs is not None for signs in poles.values()) and book.wiring_complete
    unsure = not certain
    known = {t: signs or frozenset() for t, signs in poles.items()}
    positive = [pair for pair in contacts if any(1 in known[t] for t in pair) and not any(-1 in known[t] for t in pair)]
    negative = [pair for pair in contacts if any(-1 in known[t] for t in pair) and not any(1 in known[t] for t in pair)]
    sources = set(network.outputs(network.sources))
    sinks = set(network.sinks)
    joined = book.reach.joined
    through: list[str] = []
    for pair in positive:
        for feeding, fed in (pair, pair[::-1]):
            side = 1 if fed == pair[1] else 0
            if not sources & set(joined((feeding,), sure=False, without=own)):
                continue
            surely_fed = sources & set(joined((feeding,), sure=True, without=own))
            users = joined((fed,), sure=True, without=own)
            for user in sinks & set(joined((fed,), sure=False, without=own)):
                back = partner(book, user)
                homes = {contact[side] for contact in negative}
                if back is None or homes & set(joined((back,), sure=True, without=own)):
                    continue
                lost = not homes & set(joined((back,), sure=False, without=own))
                if lost and surely_fed and user in users and certain:
                    through.append(network.owner(user))
                else:
                    unsure = True
    if through:
        return worked(Truth.NO, through=tuple(sorted(set(through))))
    return worked(Truth.UNKNOWN if unsure else Truth.YES, wants=book.open_wiring | doubtful(book))
