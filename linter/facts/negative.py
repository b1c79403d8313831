"""N18: what the other way back carries when a negative opens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.facts.registry import fact
from linter.facts.saying import amps
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book


@fact("other-return-capacity", "conductor")
def other_return_capacity(book: Book, conductor: str) -> Reading:
    """Smallest capacity among the conductors that lie on some other way between its ends once it is open, less what may flow there already. [A]

    Every wire on any such way counts: which of several takes the current depends on the dials. None other: no limit.
    What it may carry already is its worst current with all in order: opening a wire adds to another at most what it carried itself.
    The upper end is the capacity alone, since what flows there may run the other way.
    """
    network = book.network
    other = book.reading("has-other-return", conductor)
    edges = network.of.get(conductor, ())
    if other.value is Truth.NO or not edges:
        return worked(Range(INF, INF) if book.wiring_complete else Range(0.0, INF), wants=book.open_wiring, uses=other.uses)
    start, finish = network.edges[edges[0]].a, network.edges[edges[-1]].b
    own = frozenset({conductor})
    ahead, behind = book.reach.joined((start,), without=own), book.reach.joined((finish,), without=own)
    low, high = INF, INF
    weakest = ""
    wants: set[FactRef] = set(other.wants) | book.open_wiring
    uses: set[FactRef] = set()
    for name in book.memo("wires with a way round", lambda: [n for n in book.members("conductor") if network.bridge(n) is None]):
        # A wire with no way round it lies on no way between two points that are joined without it.
        if name == conductor or not any(network.edges[n].a in ahead and network.edges[n].a in behind for n in network.of.get(name, ())):
            continue
        between = lies_between(book, name, conductor, start, finish)
        if between is Truth.NO:
            continue
        carries = book.reading("corrected-capacity", name)
        value = carries.value if isinstance(carries.value, Range) else Range(0.0, INF)
        flows = book.reading("worst-current", name)
        busy = flows.value if isinstance(flows.value, Range) else Range(0.0, INF)
        wants |= carries.wants | flows.wants
        uses |= carries.uses | flows.uses
        left = 0.0 if busy.high == INF else max(0.0, value.low - busy.high)
        if left < low:
            low, weakest = left, name
        if between is Truth.YES:
            high = min(high, value.high)
    if not book.wiring_complete:
        low = 0.0
    value = Range(min(low, high), high)

    def working() -> tuple[Step, ...]:
        return (Step(f"what the other way back can take if {conductor} opens", "smallest of capacity less worst current, over any other way",
                     f"{weakest or 'no wire'}: {amps(value)}", "physics"),)

    return worked(value, wants=wants, uses=uses, through=(weakest,) if weakest else (), working=working)


def lies_between(book: Book, name: str, conductor: str, start: str, finish: str) -> Truth:
    """Whether a wire lies on a way from start to finish that does not pass the conductor: each end of it still meets one of them without the wire."""
    network = book.network
    number = network.of[name][0]
    a, b = network.edges[number].a, network.edges[number].b
    verdicts = []
    for sure in (True, False):
        without = frozenset({conductor, name})
        from_start = book.reach.spread((start,), sure=sure, without=without)
        from_finish = book.reach.spread((finish,), sure=sure, without=without)
        nothing = book.nothing
        verdicts.append(any(from_start.get(x, nothing) & from_finish.get(y, nothing) != nothing for x, y in ((a, b), (b, a))))
    return Truth.YES if verdicts[0] else Truth.UNKNOWN if verdicts[1] else Truth.NO
