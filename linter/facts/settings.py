"""What stands at a charger's input in each state, which parts carry raw sun, and how hard the wind pulls at a panel."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range, times
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact, relation
from linter.facts.relations import joined, settled
from linter.facts.saying import known_inputs, number
from linter.facts.worked import uses_of, wants_of, worked
from linter.language.world import Answer
from linter.units import dimension as d
from linter.units.table import write_range

if TYPE_CHECKING:
    from linter.base.gap import FactRef
    from linter.facts.book import Book

# Density of air, a motorway's speed (130 km/h is 36 m/s), and the drag of a flat plate lifted by the wind. Trade figures.
AIR, SPEED, DRAG = 1.2, 36.0, 1.3


def wind_pull(area: float) -> float:
    """Force of the wind on a panel on the road: ½·ρ·v²·Cd·A, about 1 kN a square metre. [N]

    Args:
        area: Of the panel. [m²]

    Source:
        Dynamic pressure ½·ρ·v² (physics); ρ 1.2 kg/m³, v 36 m/s, Cd 1.3 are trade figures.

    Holds for:
        Up to 130 km/h in still air. A gust against the drive adds its own speed: the margin of the practice stands for it.
    """
    return 0.5 * AIR * SPEED**2 * DRAG * area


@relation("on-input", "source")
def on_input(book: Book, source: str, charger: str | None) -> Answer:
    """Its positive reaches that charger's positive input in that state, whether or not either is running. A mains charger has no such input."""
    post = book.network.output(source)
    entry = book.network.terminal(charger, "in positive") if charger else None
    return settled(book, joined(book, post, entry, sure=True), joined(book, post, entry, sure=False))


@relation("reaching", "source")
def reaching(book: Book, source: str, load: str | None) -> Answer:
    """Its positive reaches that load's positive in that state, with no converter between, whether or not either is running."""
    post = book.network.output(source)
    entry = book.network.terminal(load, "positive") if load else None
    return settled(book, joined(book, post, entry, sure=True), joined(book, post, entry, sure=False))


@fact("solar-side", "conductor", "switchgear", "protection", "coupling")
def solar_side(book: Book, element: str) -> Reading:
    """Whether it is joined with an array's positive, in some state, with neither a charger nor a battery's post between: raw sun can stand on it."""
    network = book.network
    posts = [post for array in book.members("solar-array") if (post := network.output(array)) is not None]
    ends = set(ends_of(book, element) if book.is_a(element, "conductor") else network.ends(element))
    blocked = frozenset(network.outputs(network.batteries)) - set(posts)
    sure = ends & set(book.reach.joined(posts, sure=True, blocked=blocked))
    maybe = ends & set(book.reach.joined(posts, sure=False, blocked=blocked))
    settled_no = not maybe and book.wiring_complete and book.complete("solar-array")
    value = Truth.YES if sure else Truth.NO if settled_no else Truth.UNKNOWN
    return worked(value, wants=book.open_wiring | doubtful(book))


@fact("wind-load", "solar-array")
def wind_load(book: Book, array: str) -> Reading:
    """Force of the wind of 130 km/h on all its modules: ½·1.2 kg/m³·(36 m/s)²·1.3·area, the area length × width × modules × strings. [N]

    Source: dynamic pressure; density, speed and drag are trade figures.
    """
    words = ("panel-length", "panel-width", "modules-in-series", "strings-in-parallel")
    found = [book.reading(word, array) for word in words]
    area = Range(1.0, 1.0)
    refs: dict[FactRef, Range] = {}
    for word, one in zip(words, found, strict=True):
        size = one.value if isinstance(one.value, Range) else Range(0.0, INF)
        refs |= {ref: size for ref in one.uses if ref.word == word}
        area = times(area, size)
    value = Range(wind_pull(area.low), INF if area.high == INF else wind_pull(area.high))

    def working() -> tuple[Step, ...]:
        return (Step(f"wind on {array} at 130 km/h", "½ × 1.2 kg/m³ × (36 m/s)² × 1.3 × area",
                     f"{number(area)} m²: {write_range(value, d.FORCE)}", "dynamic pressure; speed and drag are trade figures", known_inputs(book, refs)),)

    return worked(value, wants=wants_of(*found), uses=uses_of(*found), working=working)
