"""Facts read off one element: its chemistry's family, what it can push, where it sits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.reading import Reading
from linter.base.truth import Truth, truth
from linter.base.values import INF, Range, exactly, times
from linter.facts.registry import fact, fact_for
from linter.facts.worked import one_of, uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

_LITHIUM = frozenset({"lithium iron phosphate", "lithium"})
_LEAD = frozenset({"flooded lead-acid", "AGM lead-acid", "gel lead-acid"})
# Words of an exposure that mean water gets there.
WET = frozenset({"spray", "stones", "salt", "washed down", "sun", "rain", "outdoors"})
_SPARKING = ("protection", "switchgear", "coupling", "coupling-half", "alternator")
_STILL = ("bus", "junction", "chassis", "shunt", "battery", "solar-array")
# Bright sun on a cold clear day lifts a module's short-circuit current above its plate. Our notes, N12.
BRIGHT = 1.25


@fact("lithium", "battery")
def lithium(book: Book, battery: str) -> Reading:
    """Whether its chemistry is a lithium one."""
    said = book.reading("chemistry", battery)
    return worked(one_of(book.words("chemistry", battery), _LITHIUM), wants=said.wants, uses=said.uses)


@fact("lead-acid", "battery")
def lead_acid(book: Book, battery: str) -> Reading:
    """Whether its chemistry is a lead-acid one."""
    said = book.reading("chemistry", battery)
    return worked(one_of(book.words("chemistry", battery), _LEAD), wants=said.wants, uses=said.uses)


@fact("hard", "source")
def hard(book: Book, source: str) -> Reading:
    """Batteries and alternators can push more than wires carry; chargers and arrays cannot."""
    return worked(truth(book.is_a(source, "battery") or book.is_a(source, "alternator")))


@fact("greatest-output", "battery")
def battery_output(book: Book, battery: str) -> Reading:
    """Short-circuit current of a battery. [A]"""
    if fact_for("battery-short", book.lineage("battery")) is not None:
        return book.reading("battery-short", battery)
    return book.reading("short-circuit-current", battery)


@fact("greatest-output", "alternator")
def alternator_output(book: Book, alternator: str) -> Reading:
    """Its rated output. [A]"""
    return book.reading("rated-output", alternator)


@fact("greatest-output", "charger")
def charger_output(book: Book, charger: str) -> Reading:
    """Its greatest output current. [A]"""
    return book.reading("output-current-at-most", charger)


@fact("greatest-output", "solar-array")
def array_output(book: Book, array: str) -> Reading:
    """Short-circuit current in bright sun, all strings together. [A] Source: our notes, N12."""
    short, strings = book.reading("short-current", array), book.reading("strings-in-parallel", array)
    value = times(times(book.quantity("short-current", array), book.quantity("strings-in-parallel", array)), exactly(BRIGHT))
    return worked(value, wants=wants_of(short, strings), uses=uses_of(short, strings))


@fact("nominal-voltage", "part")
def nominal_voltage(book: Book, part: str) -> Reading:
    """The system's, unless the part's own was said. [V]"""
    return book.reading("system-voltage", "")


@fact("vehicle-of", "part", "hole")
def vehicle_of(book: Book, part: str) -> Reading:
    """The vehicle of the place it sits in."""
    places = book.reading("place-of", part)
    if isinstance(places.value, frozenset) and places.value and all(place in book.circuit.elements for place in places.value):
        found = [book.reading("vehicle-of", place) for place in sorted(places.value)]
        names = [one.value for one in found if isinstance(one.value, frozenset) and one.value]
        if len(names) == len(found):
            return worked(frozenset().union(*names), wants=wants_of(*found), uses=uses_of(places, *found))
    return book.open("vehicle-of", part, "not stated")


@fact("coldest", "place")
def coldest(book: Book, place: str) -> Reading:
    """As cold as the installation may get, unless the place's own was said."""
    outside = book.quantity("coldest", "")
    # A place may be warmer than the site; it is not colder.
    return worked(Range(outside.low, INF), wants=book.open("coldest", place, "not stated").wants)


@fact("outdoors", "part", "coupling", "coupling-half")
def outdoors(book: Book, part: str) -> Reading:
    """Whether it sits where spray, rain or salt reach it. A chassis is a whole vehicle's metal and no joint by itself: it does not count."""
    if book.is_a(part, "chassis"):
        return worked(Truth.NO)
    places = book.reading("place-of", part)
    if not isinstance(places.value, frozenset) or not places.value:
        return worked(Truth.UNKNOWN, wants=places.wants)
    found = [book.reading("exposure", place) for place in sorted(places.value) if place in book.circuit.elements]
    words: frozenset[str] = frozenset()
    for one in found:
        if not isinstance(one.value, frozenset) or not one.value:
            return worked(Truth.UNKNOWN, wants=one.wants)
        words |= one.value
    return worked(one_of(words, WET), wants=wants_of(*found), uses=uses_of(places, *found))


@fact("size-system-known", "conductor")
def size_system_known(book: Book, conductor: str) -> Reading:
    """Whether its size names its system; written beside the size where one was read."""
    return book.open("size-system-known", conductor, "its size is not stated", wants=book.reading("size", conductor).wants)


@fact("can-spark", "part")
def can_spark(book: Book, part: str) -> Reading:
    """Whether it has contacts, brushes or a fuse. Of loads and chargers we cannot say."""
    if any(book.is_a(part, kind) for kind in _SPARKING):
        return worked(Truth.YES)
    if any(book.is_a(part, kind) for kind in _STILL):
        return worked(Truth.NO)
    return book.open("can-spark", part, "it may hold contacts or brushes")


@fact("between-vehicles", "coupling")
def between_vehicles(book: Book, coupling: str) -> Reading:
    """Whether its halves belong to different vehicles."""
    halves = [book.reading("vehicle-of", half) for half in halves_of(book, coupling)]
    if len(halves) != 2:
        return book.open("between-vehicles", coupling, "its two halves are not described")
    one, two = (half.value if isinstance(half.value, frozenset) else frozenset() for half in halves)
    if not one or not two:
        value = Truth.UNKNOWN
    elif not one & two:
        value = Truth.YES
    else:
        value = Truth.NO if len(one) == 1 and len(two) == 1 else Truth.UNKNOWN
    return worked(value, wants=wants_of(*halves), uses=uses_of(*halves))


def halves_of(book: Book, coupling: str) -> tuple[str, ...]:
    """The two halves of a coupling."""

    def make() -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for number, edge in enumerate(book.network.edges):
            if edge.kind == "coupling":
                for terminal in (book.network.edges[number].a, book.network.edges[number].b):
                    half = book.network.owner(terminal)
                    if half and half not in found.setdefault(edge.element, []):
                        found[edge.element].append(half)
        for half in book.members("coupling-half"):
            whole = whole_of(book, half)
            if half not in found.setdefault(whole, []):
                found[whole].append(half)
        return found

    return tuple(book.memo("halves", make).get(coupling, ()))


def whole_of(book: Book, half: str) -> str:
    """The coupling a half belongs to: the longest coupling's name its own begins with."""
    if not book.is_a(half, "coupling-half"):
        return half
    return max((c for c in book.members("coupling") if half.startswith(c + " ")), key=len, default=half)
