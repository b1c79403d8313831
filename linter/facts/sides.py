"""Which side of the system something is on, and where conductors stand to junctions and chargers."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from linter.base.reading import Reading
from linter.base.truth import Truth, all_of, any_of, truth
from linter.base.values import below
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# A charger's lead ends where it meets one of these.
_MEETS = ("bus", "junction", "battery", "switchgear", "chassis")


def nearest_poles(book: Book, starts: Iterable[str], without: frozenset[str] = frozenset(), *, sure: bool = False) -> tuple[frozenset[int], bool, bool]:
    """Signs of the poles fewest steps away with everything closed: {1}, {-1}, both if they are equally near, none if there are none.

    The nearest decides, so that one crossed lead does not make the whole installation both positive and negative.

    Returns:
        The signs, whether poles of one sign only can be reached at all, and whether a doubtful contact was met on the way.
    """
    network = book.network
    level = list(dict.fromkeys(starts))
    seen = set(level)
    found: frozenset[int] | None = None
    every: set[int] = set()
    doubt = False
    # Where nothing is in doubt the nearest is all we need.
    whole = bool(doubtful(book))
    while level and (found is None or whole):
        signs = frozenset(network.pole[t] for t in level if t in network.pole)
        every |= signs
        if signs and found is None:
            found = signs
            if not whole:
                break
        onward: list[str] = []
        for here in level:
            for number, other in network.at.get(here, ()):
                if other not in seen and network.taken_by[number] not in without and network.closes(number, sure=sure):
                    doubt = doubt or network.edges[number].guards != network.edges[number].maybe
                    seen.add(other)
                    onward.append(other)
        book.spend(len(level))
        level = onward
    return found or frozenset(), len(every) <= 1, doubt


def side_of(book: Book, starts: Iterable[str], without: frozenset[str] = frozenset()) -> frozenset[int] | None:
    """Signs of the nearest poles, or None if doubtful contacts leave them open."""
    places = list(starts)
    loose, single, doubt = nearest_poles(book, places, without)
    if not doubt:
        return loose
    tight, _, _ = nearest_poles(book, places, without, sure=True)
    return loose if single and tight == loose else None


def _side(book: Book, conductor: str, sign: int) -> Reading:
    signs = book.memo(("side", conductor), lambda: side_of(book, ends_of(book, conductor)))
    if signs is None:
        return worked(Truth.UNKNOWN, wants=doubtful(book))
    if not signs:
        return worked(Truth.NO if book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)
    return worked(truth(sign in signs))


@fact("positive-side", "conductor")
def positive_side(book: Book, conductor: str) -> Reading:
    """Whether the nearest pole, everything closed, is a positive one."""
    return _side(book, conductor, 1)


@fact("negative-side", "conductor")
def negative_side(book: Book, conductor: str) -> Reading:
    """Whether the nearest pole, everything closed, is a negative one."""
    return _side(book, conductor, -1)


@fact("reversed", "conductor")
def reversed_(book: Book, conductor: str) -> Reading:
    """Whether, with the conductor itself away, one end is nearest a positive pole and the other a negative one."""
    ends = ends_of(book, conductor)
    own = frozenset({conductor})
    signs = [side_of(book, (end,), own) for end in ends]
    if any(s is None for s in signs):
        return worked(Truth.UNKNOWN, wants=doubtful(book))
    if len(signs) == 2 and all(signs):
        one, two = (s or frozenset() for s in signs)
        if one == two and len(one) == 1:
            return worked(Truth.NO)
        if not one & two:
            return worked(Truth.YES, through=tuple(book.network.owner(end) for end in ends))
        return worked(Truth.UNKNOWN, wants=book.open_wiring)
    return worked(Truth.NO if book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)


@fact("negative-circuit", "part")
def negative_circuit(book: Book, part: str) -> Reading:
    """Whether it sits in the negative side. What has a pole of its own sits across both, and is asked otherwise."""
    if any(book.is_a(part, kind) for kind in ("source", "load")):
        return worked(Truth.NO)
    own = frozenset({part})
    found = [side_of(book, (t,), own) for t in book.network.ends(part)]
    signs = [s for s in found if s is not None]
    if any(-1 in s and 1 not in s for s in signs):
        return worked(Truth.YES)
    if len(signs) < len(found) or any(len(s) == 2 for s in signs):
        return worked(Truth.UNKNOWN, wants=book.open_wiring | doubtful(book))
    return worked(Truth.NO if book.wiring_complete or any(1 in s for s in signs) else Truth.UNKNOWN, wants=book.open_wiring)


@fact("thinner-tap", "conductor")
def thinner_tap(book: Book, conductor: str) -> Reading:
    """Whether it leaves a junction at which a thicker conductor arrives, one whose far end a battery or alternator reaches without either."""
    network = book.network
    outputs = network.outputs(network.hard_sources)
    found: list[Truth] = []
    mine = book.reading("area", conductor)
    wants = set(mine.wants)
    named: list[str] = []
    for end in ends_of(book, conductor):
        if not network.owner_is(end, "junction"):
            continue
        for number, far in network.at.get(end, ()):
            other = network.edges[number]
            if other.kind != "conductor" or other.element == conductor:
                continue
            theirs = book.reading("area", other.element)
            thicker = below(book.area(conductor), book.area(other.element))
            both = frozenset({conductor, other.element})
            away = [book.reach.spread((far,), sure=sure, without=both) for sure in (True, False)]
            fed = truth(True) if any(o in away[0] for o in outputs) else Truth.UNKNOWN if any(o in away[1] for o in outputs) else Truth.NO
            found.append(all_of((thicker, fed)))
            if found[-1] is not Truth.NO:
                named.append(other.element)
                wants |= theirs.wants
    value = any_of(found)
    if value is Truth.NO and not book.wiring_complete:
        value = Truth.UNKNOWN
    return worked(value, wants=frozenset(wants) | book.open_wiring, through=tuple(named))


def charger_lead_ends(book: Book) -> dict[str, str]:
    """Conductors between a charger's output and the first bar, post, switch or junction: name to the terminal at its battery side."""

    def make() -> dict[str, str]:
        network = book.network
        found: dict[str, str] = {}
        for charger in book.members("charger"):
            output = network.output(charger)
            if output is None:
                continue
            stack, seen = [output], {output}
            while stack:
                here = stack.pop()
                if here != output and (network.owner_is(here, *_MEETS) or here in network.pole):
                    continue
                for number, other in network.at.get(here, ()):
                    if other not in seen:
                        seen.add(other)
                        if network.edges[number].kind == "conductor":
                            found[network.edges[number].element] = other
                        stack.append(other)
        return found

    return book.memo("charger leads", make)


@fact("charger-lead", "conductor")
def charger_lead(book: Book, conductor: str) -> Reading:
    """Whether it lies between a charger's positive output and the first bar, post, switch or junction."""
    if conductor in charger_lead_ends(book):
        return worked(Truth.YES)
    return worked(Truth.NO if book.network.of.get(conductor) or book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)
