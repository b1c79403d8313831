"""How far a wire runs before anything protects it (N3 of our notes)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range, below
from linter.facts.protection import Adequate, adequate, doubtful, exposed
from linter.facts.registry import fact
from linter.facts.sides import charger_lead_ends
from linter.facts.ways import wire
from linter.facts.worked import worked
from linter.units.dimension import LENGTH
from linter.units.table import write

if TYPE_CHECKING:
    from linter.facts.book import Book

# Steps of one walk along branches before only "no upper end" is said.
_STEPS = 4_000


@dataclass(slots=True)
class _Walk:
    """One walk along the wire, with greatest or least lengths.

    Attributes:
        high: Greatest lengths, stopped only by what surely stops it; else least lengths, stopped by what may.
        stopping: Devices that end it.
        asked: Gathers facts whose lack or width leaves the length open.
    """

    book: Book
    conductor: str
    high: bool
    stopping: frozenset[str]
    asked: set[FactRef]
    steps: int = 0

    def _thicker(self, other: str) -> bool:
        verdict = below(self.book.area(self.conductor), self.book.area(other))
        if verdict is Truth.UNKNOWN:
            self.asked |= self.book.reading("area", self.conductor).wants | self.book.reading("area", other).wants
        return verdict is Truth.YES or (not self.high and verdict is Truth.UNKNOWN)

    def _wire(self, number: int) -> float:
        edge = self.book.network.edges[number]
        if edge.kind == "conductor":
            self.asked |= self.book.reading("length", edge.element).wants
        return wire(self.book, number, self.high)

    def _starts_here(self, terminal: str) -> bool:
        return self.book.network.owner_is(terminal, "battery", "alternator", "bus", "switchgear", "chassis")

    def back(self, here: str, seen: frozenset[str]) -> float | None:
        """Wire from a terminal back to the post, bar, switch or thicker wire it comes from; None along a branch that comes from none."""
        network = self.book.network
        if self._starts_here(here):
            return 0.0
        if here in network.pole:
            return None
        best: float | None = None
        for number, other in network.at.get(here, ()):
            self.steps += 1
            element = network.taken_by[number]
            if other in seen or element == self.conductor or element in self.stopping or not network.closes(number, sure=not self.high) or self.steps > _STEPS:
                continue
            if network.edges[number].kind == "conductor" and self._thicker(element):
                best = max(best or 0.0, 0.0)
                continue
            found = self.back(other, seen | {other})
            if found is not None:
                best = max(best or 0.0, found + self._wire(number))
        return best

    def ahead(self, here: str, seen: frozenset[str]) -> float:
        """Wire from a terminal on, along the longest branch, to the first adequate device, bar, switch or end."""
        network = self.book.network
        if self._starts_here(here) or here in network.pole:
            return 0.0
        best = 0.0
        for number, other in network.at.get(here, ()):
            self.steps += 1
            element = network.taken_by[number]
            if other in seen or element == self.conductor or element in self.stopping or not network.closes(number, sure=not self.high) or self.steps > _STEPS:
                continue
            if network.edges[number].kind == "conductor" and self._thicker(element):
                continue
            best = max(best, self._wire(number) + self.ahead(other, seen | {other}))
        return best


def _free(book: Book, conductor: str, near: str, high: bool, devices: Adequate, asked: set[FactRef]) -> float:
    """Length of the bare stretch that this conductor is part of, entered at `near`. [m]"""
    network = book.network
    numbers = network.of.get(conductor, ())
    walk = _Walk(book, conductor, high, devices.surely if high else devices.possibly, asked)
    length = sum(wire(book, number, high) for number in numbers)
    fars = [t for number in numbers for t in (network.edges[number].a, network.edges[number].b) if t != near]
    try:
        total = (walk.back(near, frozenset({near})) or 0.0) + length + max((walk.ahead(far, frozenset({near, far})) for far in fars), default=0.0)
    except RecursionError:
        return INF if high else length
    book.spend(walk.steps)
    if walk.steps > _STEPS:
        return INF if high else length
    return total


def _length(book: Book, conductor: str, ends: tuple[str, ...] | None) -> Reading:
    devices = adequate(book, conductor)
    stated = book.reading("length", conductor)
    asked: set[FactRef] = set(stated.wants) | set(book.open_wiring) | set(doubtful(book))
    low = high = 0.0
    states = None
    for one in exposed(book, conductor):
        if ends is not None and one.end not in ends:
            continue
        if one.sure != book.nothing:
            low = max(low, _free(book, conductor, one.end, False, devices, asked))
            states = one.sure if states is None else states | one.sure
        if one.maybe != book.nothing:
            high = max(high, _free(book, conductor, one.end, True, devices, asked))
    if not book.wiring_complete:
        high = INF
    value = Range(low, max(low, high))
    for facts in devices.wants.values():
        asked |= facts

    def working() -> tuple[Step, ...]:
        return (Step("unfused length", "wire from the post, bar, switch or thicker wire to the first device rated no higher than the wire carries",
                     f"{write(value.low, LENGTH)} to {write(value.high, LENGTH)}" if not value.known else write(value.low, LENGTH), "geometry",
                     ((f"length of {conductor}", "", stated.how),)),)

    return worked(value, wants=asked, uses=stated.uses, states=states, working=working)


@fact("unfused-length", "conductor")
def unfused_length(book: Book, conductor: str) -> Reading:
    """From the post, bar, switch or thicker wire where it starts, along the wire, to the first adequate device; 0 if it is protected. [m]"""
    return _length(book, conductor, None)


@fact("battery-end-unfused", "conductor")
def battery_end_unfused(book: Book, conductor: str) -> Reading:
    """Of a charger's lead: wire between the battery or bar end and the first device adequate for it; 0 for anything else. [m]"""
    side = charger_lead_ends(book).get(conductor)
    return _length(book, conductor, () if side is None else (side,))
