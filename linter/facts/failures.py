"""N18: one thing broken, and what then flows: a negative open, a battery's electronics open, a relay welded.

Each failure is the same installation with one thing taken out or bridged, held in a book of its own and worked out by the same rules.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.model import ALWAYS
from linter.facts.negative import lies_between
from linter.facts.protection import doubtful
from linter.facts.registry import fact, relation
from linter.facts.saying import amps, number
from linter.facts.trunks import mates
from linter.facts.worked import worked
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book


def with_open(book: Book, conductor: str) -> Book:
    """The installation with one conductor gone."""
    kept = tuple(e for e in book.circuit.edges if e.element != conductor)
    return book.memo(("open", conductor), lambda: type(book)(replace(book.circuit, edges=kept), assume=book.assume))


def with_batteries_off(book: Book, batteries: tuple[str, ...]) -> Book:
    """The installation with the electronics of some batteries open: nothing is joined to their positives."""
    posts = {book.network.output(b) for b in batteries}

    def make() -> Book:
        terminals = {t: owner for t, owner in book.circuit.terminals.items() if owner[0] not in batteries}
        elements = {n: e for n, e in book.circuit.elements.items() if n not in batteries}
        kept = tuple(e for e in book.circuit.edges if e.a not in posts and e.b not in posts)
        return type(book)(replace(book.circuit, edges=kept, terminals=terminals, elements=elements), assume=book.assume)

    return book.memo(("off", batteries), make)


def with_welded(book: Book, relay: str) -> Book:
    """The installation with one relay's contact stuck closed."""

    def make() -> Book:
        edges = tuple(replace(e, guards=ALWAYS, maybe=ALWAYS) if e.element == relay and e.kind != "joint" else e for e in book.circuit.edges)
        return type(book)(replace(book.circuit, edges=edges), assume=book.assume)

    return book.memo(("welded", relay), make)


@fact("lost-return-multiple", "conductor")
def lost_return_multiple(book: Book, conductor: str) -> Reading:
    """With this negative open: the greatest worst current over capacity among the wires of the other way back that have to carry more than before;
    0 where there is none. [1]"""
    other = book.reading("has-other-return", conductor)
    edges = book.network.of.get(conductor, ())
    if other.value is Truth.NO or not edges:
        return worked(Range(0.0, 0.0 if book.wiring_complete else INF), wants=book.open_wiring, uses=other.uses)
    start, finish = book.network.edges[edges[0]].a, book.network.edges[edges[-1]].b
    broken = with_open(book, conductor)
    low, high = 0.0, 0.0
    said: tuple[str, Range, Range] | None = None
    wants: set[FactRef] = set(other.wants) | book.open_wiring
    uses: set[FactRef] = set()
    for name in book.members("conductor"):
        if name == conductor or not book.network.of.get(name):
            continue
        between = lies_between(book, name, conductor, start, finish)
        if between is Truth.NO:
            continue
        flows, carries = broken.reading("worst-current", name), book.reading("corrected-capacity", name)
        before = book.reading("worst-current", name)
        amount, usual = (r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in (flows, before))
        wants |= before.wants
        if amount.high <= usual.low * (1 + 1e-9):
            # It carries no more than with all in order: whatever is wrong with it, the lost wire did not do it.
            continue
        limit = carries.value if isinstance(carries.value, Range) else Range(0.0, INF)
        wants |= flows.wants | carries.wants
        uses |= flows.uses | carries.uses
        most = 0.0 if amount.high == 0 else INF if limit.low <= 0 else amount.high / limit.low
        if most > high:
            high, said = most, (name, amount, limit)
        if between is Truth.YES and limit.high > 0 and amount.low > usual.high:
            low = max(low, amount.low / limit.high)
    if other.value is not Truth.YES:
        low = 0.0
    value = Range(min(low, high), high if book.wiring_complete else INF)

    def working() -> tuple[Step, ...]:
        name, amount, limit = said or ("no wire", Range(0.0, 0.0), Range(0.0, 0.0))
        return (Step(f"if {conductor} opens", "worst current in the other way back / its capacity, all worked out again without it",
                     f"{name} {amps(amount)} / {amps(limit)}: {number(value)} at worst", "Kirchhoff's laws"),)

    return worked(value, wants=wants, uses=uses, through=(said[0],) if said else (), working=working)


@fact("current-if-mates-open", "battery")
def current_if_mates_open(book: Book, battery: str) -> Reading:
    """Worst current asked of it when the electronics of the others of its bank have opened; of a battery alone, its worst current. [A]"""
    others = tuple(b for b in mates(book, battery) if b != battery)
    alone = with_batteries_off(book, others) if others else book
    found = alone.reading("worst-current", battery)
    value = found.value if isinstance(found.value, Range) else Range(0.0, INF)

    def working() -> tuple[Step, ...]:
        return (Step(f"what is asked of {battery} alone", "worst current worked out again without the others of its bank",
                     f"without {', '.join(others) or 'any other'}: {amps(value)}", "Kirchhoff's laws"),)

    return worked(value, wants=found.wants, uses=found.uses, through=found.through, working=working)


@relation("live-if-welded-in", "relay")
def live_if_welded_in(book: Book, relay: str, _: str | None) -> Answer:
    """It ought to be open, and were it welded its two sides would be live."""
    own = [n for n in book.network.of.get(relay, ()) if book.network.edges[n].kind != "joint"]
    if not own:
        return Answer(book.nothing, book.nothing, book.open_wiring, note="it is not wired")
    closed_sure, closed_maybe = book.nothing, book.nothing
    for n in own:
        closed_sure, closed_maybe = closed_sure | book.network.sure(n), closed_maybe | book.network.maybe(n)
    stuck = with_welded(book, relay)
    # The same variables make the same states, so the sets of one book hold in the other; where they might not, nothing is claimed.
    if stuck.everything != book.everything or type(stuck.everything) is not int:
        return Answer(book.nothing, book.nothing, note="too many states")
    yes, maybe = book.nothing, book.nothing
    for n in own:
        for terminal in (book.network.edges[n].a, book.network.edges[n].b):
            before = book.reach.live(terminal, sure=False)
            yes = yes | book.without(stuck.reach.live(terminal, sure=True) & book.without(book.everything, closed_maybe), before)
            maybe = maybe | book.without(stuck.reach.live(terminal, sure=False) & book.without(book.everything, closed_sure),
                                         book.reach.live(terminal, sure=True))
    no = book.surely_not(maybe)
    return Answer(yes, no, frozenset() if (yes | no) == book.everything else book.open_wiring | doubtful(book))
