"""Facts of N4: worst steady current, and what share of a rating it is. The reckoning itself is in `flows`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.flow_parts import Flow, Key
from linter.facts.flows import worst_flows
from linter.facts.registry import fact
from linter.facts.saying import amps, number
from linter.facts.strands import strands
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book


def _keys_of(book: Book, element: str) -> list[Key]:
    def make() -> dict[str, list[Key]]:
        found: dict[str, list[Key]] = {}
        for n, strand in enumerate(strands(book)):
            for edge in strand.edges:
                mine = found.setdefault(book.network.edges[edge].element, [])
                if not mine or mine[-1] != ("strand", n):
                    mine.append(("strand", n))
        return found

    if book.is_a(element, "battery"):
        return [("battery", element)]
    if book.is_a(element, "bus"):
        return [("bus", element)]
    return book.memo("strands of elements", make).get(element, [])


@fact("worst-current", "conductor", "protection", "switchgear", "coupling", "shunt", "bus", "battery")
def worst_current(book: Book, element: str) -> Reading:
    """Worst steady current, either way, over all states; `states` are those that cause it, `through` names what draws or pushes it."""
    flows = worst_flows(book)
    found = [flows[k] for k in _keys_of(book, element) if k in flows]
    if not found:
        high = 0.0 if book.wiring_complete else INF
        return worked(Range(0.0, high), wants=book.open_wiring)
    for flow in found:
        if flow.beyond is not None:
            raise flow.beyond.with_traceback(None)
    top = max(found, key=lambda f: f.high)
    low, high = max(f.low for f in found), top.high
    if high < INF and high - low <= 1e-9 * max(1.0, high):
        low = high
    wants = frozenset().union(*(f.wants for f in found))
    uses = frozenset().union(*(f.uses for f in found))
    states = top.states if top.states is not None else None

    def working() -> tuple[Step, ...]:
        return _working(book, element, top, Range(low, high))

    return worked(Range(low, high), wants=wants, uses=uses, states=states, through=top.through, working=working)


def _working(book: Book, element: str, flow: Flow, value: Range) -> tuple[Step, ...]:
    state = "" if flow.states is None else f", in {book.describe_states(flow.states)}"
    parts = []
    known = []
    for name in flow.through:
        for word in ("feed-current", "input-current", "greatest-output"):
            if book.row(word, name) is not None and not book.is_a(name, "battery"):
                reading = book.reading(word, name)
                if isinstance(reading.value, Range) and reading.gap is None:
                    parts.append(f"{name} {amps(reading.value)}")
                    known.append((str(FactRef(name, word)), amps(reading.value), reading.how))
                    break
    return (Step(f"worst current of {element}",
                 "loads on or off, chargers as they are awake, batteries between floor and full behind their lowest resistance, cold; worst of all states",
                 f"{'; '.join(parts) or 'batteries alone'}: {amps(value)}{state}", "Kirchhoff's laws (analysis of the worst current)", tuple(known)),)


@fact("load-share", "protection", "switchgear", "coupling", "shunt", "bus")
def load_share(book: Book, element: str) -> Reading:
    """Worst current over rating; of a fuse or breaker over what is left of its rating in the heat."""
    word = "usable-rating" if book.is_a(element, "protection") else "current-at-most"
    rating, current = book.reading(word, element), book.reading("worst-current", element)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    worst = current.value if isinstance(current.value, Range) else Range(0.0, INF)
    high = INF if rated.low <= 0 and worst.high > 0 else 0.0 if worst.high == 0 else worst.high / rated.low
    low = 0.0 if rated.high in (0.0, INF) else worst.low / rated.high
    value = Range(low, high)

    def working() -> tuple[Step, ...]:
        return (*(current.working() if current.working else ()), *(rating.working() if rating.working else ()),
                Step(f"share of {element}", "worst current / rating", f"{amps(worst)} / {amps(rated)} = {number(value)}", "physics"))

    return worked(value, wants=wants_of(rating, current), uses=uses_of(rating, current), states=current.states, through=current.through, working=working)
