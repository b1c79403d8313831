"""N5: what a conductor, a fuse in the heat and a plug contact may carry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef, Gap
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.formulas import capacity, copper
from linter.facts.registry import fact
from linter.facts.saying import amps, area, degrees, known_inputs, number
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

OWN = "own formula"
# Hottest any place is believed to get, where neither the place nor the installation says: an engine bay.
HOTTEST_BELIEVED = 90.0


def place_heat(book: Book, place: str) -> Reading:
    """Hottest temperature of a place; where it is not stated, between the hottest day and an engine bay."""
    found = book.reading("ambient", place)
    if found.gap is None and isinstance(found.value, Range):
        return found
    outside = book.quantity("hottest", "")
    low = outside.low if outside.low > -INF else 20.0
    return Reading(Range(low, max(low, HOTTEST_BELIEVED)), "worked out", gap=None, wants=frozenset({FactRef(place, "ambient")}))


@fact("hottest-passed", "conductor")
def hottest_passed(book: Book, conductor: str) -> Reading:
    """Hottest place it passes. Never told where it passes: anything up to an engine bay."""
    told = book.reading("passes", conductor)
    places = [p for p in sorted(told.value) if p in book.circuit.elements] if isinstance(told.value, frozenset) else []
    if told.gap is not None or not places:
        outside = book.quantity("hottest", "")
        low = outside.low if outside.low > -INF else 20.0
        return worked(Range(low, max(low, HOTTEST_BELIEVED)), wants={FactRef(conductor, "passes")})
    found = [place_heat(book, p) for p in places]
    values = [f.value for f in found if isinstance(f.value, Range)]
    top = max(values, key=lambda v: v.high)
    through = (places[values.index(top)],)
    value = Range(max(v.low for v in values), top.high)
    return worked(value, wants=wants_of(*found), uses=uses_of(told, *found), through=through)


def part_heat(book: Book, part: str) -> Reading:
    """Hottest temperature where a part sits; a coupling takes the hotter of its halves."""
    names = [part]
    if book.is_a(part, "coupling"):
        names += [h for h in book.members("coupling-half") if h.startswith(f"{part} ")]
    places: list[str] = []
    uses: frozenset[FactRef] = frozenset()
    for name in names:
        told = book.reading("place-of", name)
        if told.gap is None and isinstance(told.value, frozenset):
            places += [p for p in sorted(told.value) if p in book.circuit.elements]
            uses |= told.uses
    if not places:
        outside = book.quantity("hottest", "")
        low = outside.low if outside.low > -INF else 20.0
        return worked(Range(low, max(low, HOTTEST_BELIEVED)), wants={FactRef(part, "place-of")})
    found = [place_heat(book, p) for p in dict.fromkeys(places)]
    values = [f.value for f in found if isinstance(f.value, Range)]
    return worked(Range(max(v.low for v in values), max(v.high for v in values)), wants=wants_of(*found), uses=uses | uses_of(*found))


@fact("corrected-capacity", "conductor")
def corrected_capacity(book: Book, conductor: str) -> Reading:
    """What it carries: base capacity at its area, insulation (or terminals, if cooler) and hottest place, times bundle and foam."""
    rated = book.reading("rated-current", conductor)
    if rated.gap is None and isinstance(rated.value, Range):
        value = rated.value

        def as_rated() -> tuple[Step, ...]:
            return (Step(f"capacity of {conductor}", "the maker's rating", amps(value), "the maker",
                         known_inputs(book, {FactRef(conductor, "rated-current"): value})),)

        return worked(value, wants=rated.wants, uses=rated.uses, working=as_rated)
    size, insulation, hot = (book.reading(w, conductor) for w in ("area", "insulation", "hottest-passed"))
    terminal, bundle, buried, metal = (book.reading(w, conductor) for w in ("terminal-class", "bundled-with", "buried", "material"))
    if size.gap is not None or not isinstance(size.value, Range):
        return book.open("corrected-capacity", conductor, "its size is not stated", wants={FactRef(conductor, "size")})
    if insulation.gap is not None or not isinstance(insulation.value, Range):
        return book.open("corrected-capacity", conductor, "its insulation is not stated", wants={FactRef(conductor, "insulation")})
    ambient = hot.value if isinstance(hot.value, Range) else Range(20.0, HOTTEST_BELIEVED)
    top = insulation.value
    used = [size, insulation, hot, metal]
    if terminal.gap is None:
        top = cooler_class(top, terminal)
        used.append(terminal)
    ladder = book.circuit.settings.get("capacity by", OWN)
    base, why = base_capacity(ladder, size.value, top, ambient)
    if base is None:
        gap = Gap(why)
        return Reading(Range(0.0, INF), "unknown", gap=gap, wants=frozenset({FactRef(conductor, "size")}))
    # Not said to lie in a bundle or in foam: it lies apart. These are asked for by their own practices, not doubted here.
    loaded = bundle.value if bundle.gap is None and isinstance(bundle.value, Range) else Range(1.0, 2.0)
    foam = buried.value if buried.gap is None and isinstance(buried.value, Range) else Range(0.0, 0.0)
    by_bundle = Range(capacity.bundle_factor(loaded.high), capacity.bundle_factor(loaded.low))
    by_foam = Range(capacity.buried_factor(foam.high), capacity.buried_factor(foam.low))
    used += [r for r in (bundle, buried) if r.gap is None]
    by_metal, metal_asks = metal_share(metal, conductor)
    value = Range(capacity.corrected(base.low, by_bundle.low, by_foam.low) * by_metal.low,
                  capacity.corrected(base.high, by_bundle.high, by_foam.high) * by_metal.high)
    wants = wants_of(*used) | metal_asks
    area_range = size.value

    def working() -> tuple[Step, ...]:
        inputs = {FactRef(conductor, "area"): area_range, FactRef(conductor, "insulation"): insulation.value, FactRef(conductor, "hottest-passed"): ambient}
        formula = "18 × A^0.645 × √((T insulation − T ambient) / 75)" if ladder == OWN else f"{ladder}, corrected from 30 °C by the square-root law"
        source = "our own fit, below the published 105 °C column" if ladder == OWN else ladder
        steps = [Step("base capacity", formula, f"{area(area_range)}, {degrees(top)}, {degrees(ambient)}: {amps(base)}", source, known_inputs(book, inputs))]  # type: ignore[arg-type]
        steps.append(Step(f"capacity of {conductor}", "base × bundle × foam × metal",
                          f"{amps(base)} × {number(by_bundle)} × {number(by_foam)} × {number(by_metal)} = {amps(value)}", "small-craft practice; physics"))
        return tuple(steps)

    return worked(value, wants=wants, uses=uses_of(*used), through=hot.through, working=working)


def cooler_class(insulation: Range, terminal: Reading) -> Range:
    """The cooler class of the two decides. Terminals not stated: as the insulation (they have a practice of their own). [°C]"""
    if terminal.gap is not None or not isinstance(terminal.value, Range):
        return insulation
    return Range(min(insulation.low, terminal.value.low), min(insulation.high, terminal.value.high))


def metal_share(metal: Reading, conductor: str) -> tuple[Range, frozenset[FactRef]]:
    """What a wire of its metal carries over one of copper; and what to ask where the metal is not known. [1]"""
    words = metal.value if isinstance(metal.value, frozenset) else frozenset()
    thin = [1.0 if w in ("copper", "tinned copper") else copper.CLAD_CAPACITY for w in words] or [copper.CLAD_CAPACITY, 1.0]
    return Range(min(thin), max(thin)), frozenset() if words else frozenset({FactRef(conductor, "material")})


def base_capacity(ladder: str, size: Range, top: Range, ambient: Range) -> tuple[Range | None, str]:
    """Base capacity over ranges, or None and the reason. A thicker, hotter-rated wire in a cooler place carries more: the ends decide."""
    if ladder == OWN:
        if size.low < capacity.THINNEST * (1 - 1e-9) or size.high > capacity.THICKEST * (1 + 1e-9):
            return None, f"outside the range of the formula (size {area(size)}, the formula holds from 0.5 to 120 mm²)"
        return Range(capacity.own_base(size.low, top.low, ambient.high), capacity.own_base(size.high, top.high, ambient.low)), ""
    table = capacity.TABLES.get(ladder)
    if table is None:
        return None, f'"{ladder}" is no way of finding capacity known here; known are {OWN}, {", ".join(capacity.TABLES)}'
    ends = [capacity.tabled_base(table, size.low, top.low, ambient.high), capacity.tabled_base(table, size.high, top.high, ambient.low)]
    if ends[0] is None or ends[1] is None:
        return None, f"outside the {ladder} (size {area(size)}, insulation {degrees(top)})"
    return Range(ends[0], ends[1]), ""


@fact("usable-rating", "protection")
def usable_rating(book: Book, device: str) -> Reading:
    """Rating times 1 − 0.0015·(T − 25) at the hottest its place gets. Below 25 °C the rating itself."""
    rating, heat = book.reading("rating", device), part_heat(book, device)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    hot = heat.value if isinstance(heat.value, Range) else Range(25.0, HOTTEST_BELIEVED)
    value = Range(rated.low * capacity.fuse_heat_factor(max(25.0, hot.high)), rated.high * capacity.fuse_heat_factor(max(25.0, hot.low)))

    def working() -> tuple[Step, ...]:
        return (Step(f"usable rating of {device}", "rating × (1 − 0.0015 × (T − 25 °C))", f"{amps(rated)} at {degrees(hot)}: {amps(value)}", "trade figure",
                     known_inputs(book, {FactRef(device, "rating"): rated})),)

    return worked(value, wants=wants_of(rating, heat), uses=uses_of(rating, heat), working=working)


@fact("contact-limit", "coupling")
def contact_limit(book: Book, coupling: str) -> Reading:
    """Rating of its contacts times √((105 − T)/(105 − 25)), for currents that last. The share a pack allows is not in it."""
    rating, heat = book.reading("current-at-most", coupling), part_heat(book, coupling)
    rated = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
    hot = heat.value if isinstance(heat.value, Range) else Range(25.0, HOTTEST_BELIEVED)
    value = Range(rated.low * capacity.contact_heat_factor(hot.high), rated.high * capacity.contact_heat_factor(hot.low))

    def working() -> tuple[Step, ...]:
        return (Step(f"what the contacts of {coupling} carry for long", "rating × √((105 °C − T) / (105 °C − 25 °C))",
                     f"{amps(rated)} at {degrees(hot)}: {amps(value)}", "square-root law of heat",
                     known_inputs(book, {FactRef(coupling, "current-at-most"): rated})),)

    return worked(value, wants=wants_of(rating, heat), uses=uses_of(rating, heat), working=working)


__all__ = ["base_capacity", "cooler_class", "hottest_passed", "metal_share", "part_heat", "place_heat"]
