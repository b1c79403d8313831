"""What a protective device can break at the voltage of its circuit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.registry import fact
from linter.facts.saying import amps, volts
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# A 14 V figure serves a 12 V circuit under charge, a 28 or 32 V figure a 24 V one.
_SERVES = ((14.0, 14.8), (28.0, 29.6), (32.0, 32.0), (56.0, 59.2), (58.0, 59.2))
_BREAKS = re.compile(r"([\d.]+)\s*A(?:\s+at\s+([\d.]+)\s*V)?\Z")
# What families break, when the body says nothing: from the least to the most that is sold, at about 14 V. Trade figures, mostly recalled.
FAMILY_BREAKS = {
    "terminal cube": Range(2000.0, 10000.0), "class T": Range(10000.0, 20000.0), "large strip": Range(1000.0, 2500.0), "small strip": Range(1000.0, 2000.0),
    "flat limiter": Range(2500.0, 6000.0), "standard blade": Range(500.0, 1000.0), "mini blade": Range(500.0, 1000.0), "large blade": Range(500.0, 1000.0),
    "solar cartridge": Range(10000.0, 30000.0), "cartridge": Range(1000.0, 30000.0), "glass tube": Range(35.0, 1000.0), "box cartridge": Range(500.0, 1000.0),
    "knife blade": Range(10000.0, 50000.0),
}


def _serves(rated: float) -> float:
    """Highest circuit voltage a figure given at `rated` volts serves."""
    return max([rated, *(up_to for at, up_to in _SERVES if abs(at - rated) < 0.05)])


@fact("breaking-capacity", "protection")
def breaking_capacity(book: Book, device: str) -> Reading:
    """What it breaks at the highest voltage of its circuit: the stated figure of the next voltage up; else what its family is sold with."""
    circuit = book.reading("highest-voltage", device)
    span = circuit.value if isinstance(circuit.value, Range) else Range(0.0, INF)
    stated = book.reading("breaks", device)
    told = stated.value if stated.gap is None and isinstance(stated.value, frozenset) else frozenset()
    figures: list[tuple[float, float]] = []
    loose: list[float] = []
    for text in told:
        match = _BREAKS.match(text)
        if match and match[2]:
            figures.append((_serves(float(match[2])), float(match[1])))
        elif match:
            loose.append(float(match[1]))
    if figures or loose:
        low, high = _breaks_at(figures, span.high)[0], _breaks_at(figures, span.low)[1]
        if loose:
            # No voltage beside it: at ours it may be anything up to that.
            low, high = low if figures else 0.0, max(high if figures else 0.0, *loose)
        value = Range(min(low, high), high)

        def working() -> tuple[Step, ...]:
            return (Step(f"what {device} breaks", "the figure marked for the circuit's voltage or the next above",
                         f"{'; '.join(sorted(told))}; circuit {volts(span)}: {amps(value)}", "the body, the maker's sheet"),)

        own = {FactRef(device, "breaking-capacity")}
        return worked(value, wants=circuit.wants | own, uses=circuit.uses | own, working=working)
    families = book.words("family", device)
    ranges = [FAMILY_BREAKS[f] for f in families if f in FAMILY_BREAKS]
    if not book.assume or not ranges:
        return book.open("breaking-capacity", device, "not stated")
    value = Range(min(r.low for r in ranges), max(r.high for r in ranges))
    if span.high > 14.8 * (1 + 1e-9):
        # Figures fall as voltage rises.
        value = Range(0.0, value.high)
    return Reading(value, "assumed", wants=frozenset({FactRef(device, "breaking-capacity")}), uses=frozenset({FactRef(device, "family")}))


def _breaks_at(figures: Iterable[tuple[float, float]], at: float) -> tuple[float, float]:
    """Least and most it breaks at a voltage: the largest figure marked for it or above; above all marks, anything up to the smallest."""
    figures = list(figures)
    serving = [amps_ for up_to, amps_ in figures if up_to >= at * (1 - 1e-9)]
    if serving:
        return max(serving), max(serving)
    least = min((amps_ for _, amps_ in figures), default=INF)
    return 0.0, least
