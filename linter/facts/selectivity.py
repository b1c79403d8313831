"""N23: who opens first: the rating, family and curve of the next device towards a battery."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.faults import groups_at
from linter.facts.formulas import faults
from linter.facts.registry import fact
from linter.facts.saying import amps, number
from linter.facts.trunks import points_of_others
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book


def _passes_another(book: Book, near: str, way: tuple[int, ...], group: tuple[str, ...]) -> bool:
    """Whether a way comes by the bar of a bank it does not lead to: from there on it is that bank's affair."""
    others = points_of_others(book, near, group)
    here = near
    for edge in way:
        if here in others:
            return True
        link = book.network.edges[edge]
        here = link.b if link.a == here else link.a
    return False


def upstream(book: Book, device: str) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Per bank that reaches a device, from whichever side: its batteries, and the devices next to it on their ways, parallel ones together."""

    def make() -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
        network = book.network
        found: dict[tuple[tuple[str, ...], tuple[str, ...]], None] = {}
        # A device bolted onto a bar begins at the bar: the joint goes with it.
        ends = [t for n in network.of.get(device, ()) if network.edges[n].kind != "joint" for t in (network.edges[n].a, network.edges[n].b)]
        beyond = [other for t in ends for k, other in network.at.get(t, ()) if network.edges[k].kind == "joint" and network.edges[k].element == device]
        for near in dict.fromkeys((*ends, *beyond)):
            for group, ways in groups_at(book, near, device).items():
                firsts: dict[str, None] = {}
                if any(not any(book.is_a(network.edges[e].element, "protection") for e in way) for way in ways.values()):
                    # A battery's own fuse: nothing stands before it that ought to wait.
                    return []
                if any(_passes_another(book, near, way, group) for way in ways.values()):
                    continue
                for way in ways.values():
                    first = next((network.edges[e].element for e in way if book.is_a(network.edges[e].element, "protection")
                                  and network.edges[e].kind != "joint"), None)
                    if first is not None:
                        firsts[first] = None
                if firsts:
                    found[group, tuple(firsts)] = None
        return list(found)

    return book.memo(("upstream", device), make)


@fact("upstream-multiple", "protection")
def upstream_multiple(book: Book, device: str) -> Reading:
    """Rating of the next device towards a battery, parallel ones together, over its own; the least of all ways. No device before it: no limit. [1]"""
    rating = book.reading("rating", device)
    own = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    low = high = INF
    names: tuple[str, ...] = ()
    wants: set[FactRef] = set(rating.wants) | book.open_wiring
    uses: set[FactRef] = set(rating.uses)
    total = Range(0.0, 0.0)
    for _, firsts in upstream(book, device):
        ratings = [book.reading("rating", f) for f in firsts]
        values = [r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in ratings]
        wants |= {w for r in ratings for w in r.wants}
        uses |= {u for r in ratings for u in r.uses}
        together = Range(sum(v.low for v in values), sum(v.high for v in values))
        least = 0.0 if own.high == INF else faults.rating_ratio(together.low, own.high) if own.high > 0 else INF
        most = INF if own.low <= 0 or together.high == INF else faults.rating_ratio(together.high, own.low)
        if least < low:
            low, names, total = least, firsts, together
        high = min(high, most)
    value = Range(low if book.wiring_complete else 0.0, high)

    def working() -> tuple[Step, ...]:
        return (Step(f"who opens before {device}", "sum of the ratings of the next devices towards a battery / its own rating",
                     f"{' + '.join(names) or 'none'} {amps(total) if names else ''} / {amps(own)} = {number(value)}",
                     "rule of thumb without curves: at least 2.0, or 1.6 within one family"),)

    return worked(value, wants=wants, uses=uses, through=names, working=working)


@fact("upstream-alike", "protection")
def upstream_alike(book: Book, device: str) -> Reading:
    """Whether every next device towards a battery is of its own family."""
    own = book.reading("family", device)
    mine = book.words("family", device)
    value = Truth.YES
    wants: set[FactRef] = set(own.wants) | book.open_wiring
    for name in dict.fromkeys(f for _, firsts in upstream(book, device) for f in firsts):
        theirs = book.words("family", name)
        if mine and theirs and not mine & theirs:
            return worked(Truth.NO, uses=own.uses, through=(name,))
        if not (len(mine) == 1 and mine == theirs):
            value = Truth.UNKNOWN
            wants |= book.reading("family", name).wants
    return worked(value if book.wiring_complete or value is Truth.UNKNOWN else Truth.UNKNOWN, wants=wants, uses=own.uses)
