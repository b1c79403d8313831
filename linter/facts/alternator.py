"""N15: what is asked of an alternator, and what it gives hot, at cruise and at idle."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.formulas import storage
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, number
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Shares of the catalogue rating a hot machine gives (trade figures).
CRUISE, IDLE = 0.75, 0.5


@fact("alternator-load", "alternator")
def alternator_load(book: Book, alternator: str) -> Reading:
    """Steady current asked of it: inputs of converters at their usual volts, and loads whose positive it reaches with no converter between. [A]

    While driving: loads that run in a state in which it does. What its battery takes to fill is not in it. Loads that stand on a battery of their own
    are that battery's.
    """
    network = book.network
    post = network.output(alternator)
    if post is None:
        return book.open("alternator-load", alternator, "it is not drawn", wants=book.open_wiring)
    awake = book.reach.awake(alternator, sure=False)
    surely = book.reach.awake(alternator, sure=True)
    low = high = 0.0
    parts: list[tuple[str, Range]] = []
    refs: dict[FactRef, Range] = {}
    wants: set[FactRef] = set(book.open_wiring)
    uses: set[FactRef] = set()
    own = [b for b in network.batteries if (p := network.output(b)) is not None and book.reach.between(post, p, sure=True) == book.everything]
    for name in (*book.members("converter"), *book.members("load")):
        is_load = book.is_a(name, "load")
        entry = network.terminal(name, "positive" if is_load else "in positive")
        if entry is None or book.truth_of("breakaway", name) is Truth.YES:
            continue
        # A load that another battery may feed as well counts in the upper end only.
        shared = is_load and any(b not in own and book.reach.between(network.output(b) or "", entry, sure=False) != book.nothing for b in network.batteries)
        runs = book.reach.may_run(name) if is_load else book.reach.awake(name, sure=False)
        maybe = book.reach.between(post, entry, sure=False) & awake & runs
        if maybe == book.nothing:
            continue
        sure = book.reach.between(post, entry, sure=True) & surely & (runs if is_load else book.reach.awake(name, sure=True))
        word = "feed-current" if is_load else "usual-input-current"
        reading = book.reading(word, name)
        size = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
        wants |= reading.wants
        uses |= reading.uses
        refs[FactRef(name, word)] = size
        low += size.low if sure != book.nothing and not shared else 0.0
        high += size.high
        if size.high > 0:
            parts.append((name, size))
    value = Range(low, high if book.wiring_complete else INF)

    def working() -> tuple[Step, ...]:
        return (Step(f"current asked of {alternator} while driving", "sum of converters' inputs at usual volts and of loads on its battery",
                     f"{' + '.join(f'{n} {amps(v)}' for n, v in parts) or 'nothing'} = {amps(value)}", "Kirchhoff's current law", known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=uses, through=tuple(n for n, _ in sorted(parts, key=lambda p: -p[1].high))[:4], working=working)


@fact("alternator-share", "alternator")
def alternator_share(book: Book, alternator: str) -> Reading:
    """What is asked of it over its rating. [1]"""
    asked, rating = book.reading("alternator-load", alternator), book.reading("rated-output", alternator)
    load = asked.value if isinstance(asked.value, Range) else Range(0.0, INF)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    value = Range(0.0 if rated.high in (0.0, INF) else load.low / rated.high, INF if rated.low <= 0 else load.high / rated.low)

    def working() -> tuple[Step, ...]:
        return (*(asked.working() if asked.working else ()),
                Step(f"share of {alternator}", "current asked / rating", f"{amps(load)} / {amps(rated)} = {number(value)}",
                     "trade practice: at most 0.6 for long",
                     known_inputs(book, {FactRef(alternator, "rated-output"): rated})))

    return worked(value, wants=wants_of(asked, rating), uses=uses_of(asked, rating), through=asked.through, working=working)


def _gives(book: Book, word: str, alternator: str, share: float, where: str) -> Reading:
    rating = book.reading("rated-output", alternator)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    value = Range(storage.alternator_allowed(rated.low, share), storage.alternator_allowed(rated.high, share))

    def working() -> tuple[Step, ...]:
        return (Step(f"what {alternator} gives hot, at {where}", f"{share:g} × rating", f"{share:g} × {amps(rated)} = {amps(value)}", "trade figures",
                     known_inputs(book, {FactRef(alternator, "rated-output"): rated})),)

    return worked(value, wants=rating.wants, uses=rating.uses, working=working)


@fact("cruise-output", "alternator")
def cruise_output(book: Book, alternator: str) -> Reading:
    """What it gives hot, at cruise: 0.75 of its rating. [A]"""
    return _gives(book, "cruise-output", alternator, CRUISE, "cruise")


@fact("idle-output", "alternator")
def idle_output(book: Book, alternator: str) -> Reading:
    """What it gives hot, at idle: half its rating. [A]"""
    return _gives(book, "idle-output", alternator, IDLE, "idle")


@fact("idle-shortfall", "alternator")
def idle_shortfall(book: Book, alternator: str) -> Reading:
    """What it is short of at idle; its battery pays. [A]"""
    asked, made = book.reading("alternator-load", alternator), book.reading("idle-output", alternator)
    load = asked.value if isinstance(asked.value, Range) else Range(0.0, INF)
    gives = made.value if isinstance(made.value, Range) else Range(0.0, INF)
    value = Range(max(0.0, load.low - gives.high) if gives.high < INF else 0.0, INF if load.high == INF else max(0.0, load.high - gives.low))

    def working() -> tuple[Step, ...]:
        return (*(asked.working() if asked.working else ()), *(made.working() if made.working else ()),
                Step(f"what {alternator} is short of at idle", "current asked − output at idle, at least 0", f"{amps(load)} − {amps(gives)} = {amps(value)}",
                     "physics"))

    return worked(value, wants=wants_of(asked, made), uses=uses_of(asked, made), through=asked.through, working=working)
