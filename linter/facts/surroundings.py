"""What surrounds a wire or a part, and what it leaves of it: what reaches a place, where wires end, capacity step by step, colours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth, truth
from linter.base.values import INF, Range
from linter.facts.capacity import HOTTEST_BELIEVED, OWN, base_capacity, cooler_class, metal_share
from linter.facts.formulas import capacity
from linter.facts.protection import ends_of
from linter.facts.registry import fact, relation
from linter.facts.saying import amps, known_inputs, number
from linter.facts.worked import uses_of, wants_of, worked
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book

# ---- what reaches a place -----------------------------------------------------------------------------------------------------------

# Of a place that is only said to lie outdoors: rain and sun reach it, of the rest nothing is known.
_OPEN_AIR = frozenset({"rain", "sun"})


def _reaches(book: Book, place: str, words: frozenset[str]) -> Reading:
    """Whether any of these reaches a place. What is listed of a place is there all at once."""
    told = book.reading("exposure", place)
    found = told.value if told.gap is None and isinstance(told.value, frozenset) else frozenset()
    if not found:
        return worked(Truth.UNKNOWN, wants=told.wants or {FactRef(place, "exposure")})
    vague = "outdoors" in found
    reached = bool(found & words) or (vague and bool(words & _OPEN_AIR))
    value = Truth.YES if reached else Truth.UNKNOWN if vague else Truth.NO
    return worked(value, wants={FactRef(place, "exposure")}, uses=told.uses)


@fact("salty", "place")
def salty(book: Book, place: str) -> Reading:
    """Whether salt reaches it, from its exposure."""
    return _reaches(book, place, frozenset({"salt"}))


@fact("sunny", "place")
def sunny(book: Book, place: str) -> Reading:
    """Whether the sun reaches it, from its exposure."""
    return _reaches(book, place, frozenset({"sun"}))


@fact("splashed", "place")
def splashed(book: Book, place: str) -> Reading:
    """Whether spray reaches it, from its exposure."""
    return _reaches(book, place, frozenset({"spray"}))


@fact("rained-on", "place")
def rained_on(book: Book, place: str) -> Reading:
    """Whether rain reaches it, from its exposure."""
    return _reaches(book, place, frozenset({"rain"}))


@fact("hosed", "place")
def hosed(book: Book, place: str) -> Reading:
    """Whether it is washed down, from its exposure."""
    return _reaches(book, place, frozenset({"washed down"}))


@fact("stone-thrown", "place")
def stone_thrown(book: Book, place: str) -> Reading:
    """Whether wheels throw stones at it, from its exposure."""
    return _reaches(book, place, frozenset({"stones"}))


_ENCLOSED = ("load", "charger", "switchgear", "breaker", "junction", "bus")


@fact("enclosed-gear", "part")
def enclosed_gear(book: Book, part: str) -> Reading:
    """Whether it has an inside that water spoils: loads, chargers, switches, breakers, splice boxes and bars; not fuses, batteries, modules and plugs."""
    return worked(truth(any(book.is_a(part, kind) for kind in _ENCLOSED)))


@relation("ends-in", "conductor")
def ends_in(book: Book, conductor: str, place: str | None) -> Answer:
    """One of its ends is on a part that sits in that place."""
    owners = [owner for t in ends_of(book, conductor) if (owner := book.network.owner(t))]
    wants: frozenset[FactRef] = frozenset()
    unsure = not book.network.of.get(conductor)
    for owner in owners:
        told = book.reading("place-of", owner)
        where = told.value if told.gap is None and isinstance(told.value, frozenset) else frozenset()
        if where == {place}:
            return Answer(book.everything, book.nothing, uses=told.uses)
        # A chassis is a whole vehicle's and sits in no place; a place may still be said.
        if place in where or (not where and not book.is_a(owner, "chassis")):
            unsure = True
            wants |= told.wants or {FactRef(owner, "place-of")}
    if unsure:
        return Answer(book.nothing, book.nothing, wants | (frozenset() if owners else book.open_wiring))
    return Answer(book.nothing, book.everything)


# ---- capacity, step by step ---------------------------------------------------------------------------------------------------------

MILD = Range(capacity.TABLE_AMBIENT, capacity.TABLE_AMBIENT)


def _carries(book: Book, word: str, conductor: str, *, mild: bool = False, bundle: bool = False, foam: bool = False, ladder: str = "") -> Reading:
    """Base capacity, less heat, bundle and foam as far as asked; what was not said of bundle and foam is open here. [A]"""
    rated = book.reading("rated-current", conductor)
    # A ladder that was named stands beside the maker's rating, not behind it.
    if rated.gap is None and isinstance(rated.value, Range) and not ladder:
        return worked(rated.value, wants=rated.wants, uses=rated.uses)
    size, insulation, hot, metal = (book.reading(w, conductor) for w in ("area", "insulation", "hottest-passed", "material"))
    terminal, together, buried, length = (book.reading(w, conductor) for w in ("terminal-class", "bundled-with", "buried", "length"))
    if size.gap is not None or not isinstance(size.value, Range):
        return book.open(word, conductor, "its size is not stated", wants={FactRef(conductor, "size")})
    if insulation.gap is not None or not isinstance(insulation.value, Range):
        return book.open(word, conductor, "its insulation is not stated", wants={FactRef(conductor, "insulation")})
    area, used = size.value, [size, insulation, metal]
    ambient, top = MILD, insulation.value
    if not mild:
        ambient = hot.value if isinstance(hot.value, Range) else Range(20.0, HOTTEST_BELIEVED)
        used.append(hot)
    if terminal.gap is None:
        top = cooler_class(top, terminal)
        used.append(terminal)
    base, why = base_capacity(ladder or book.circuit.settings.get("capacity by", OWN), size.value, top, ambient)
    if base is None:
        return book.open(word, conductor, why, wants={FactRef(conductor, "size")})
    by_metal, asks = metal_share(metal, conductor)
    wants = wants_of(*used) | asks
    by_bundle = by_foam = Range(1.0, 1.0)
    if bundle:
        told = together.gap is None and isinstance(together.value, Range)
        loaded = together.value if told and isinstance(together.value, Range) else Range(1.0, INF)
        by_bundle = Range(capacity.bundle_factor(loaded.high), capacity.bundle_factor(loaded.low))
        wants |= together.wants if told else {FactRef(conductor, "bundled-with")}
    if foam:
        told = buried.gap is None and isinstance(buried.value, Range)
        most = length.value.high if isinstance(length.value, Range) else INF
        depth = buried.value if told and isinstance(buried.value, Range) else Range(0.0, most)
        by_foam = Range(capacity.buried_factor(depth.high), capacity.buried_factor(depth.low))
        wants |= buried.wants if told else {FactRef(conductor, "buried")}
    value = Range(capacity.corrected(base.low, by_bundle.low, by_foam.low) * by_metal.low,
                  capacity.corrected(base.high, by_bundle.high, by_foam.high) * by_metal.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"{word.replace('-', ' ')} of {conductor}", "base × bundle × foam × metal",
                     f"{amps(base)} × {number(by_bundle)} × {number(by_foam)} × {number(by_metal)} = {amps(value)}",
                     "own formula or the table named; small-craft practice", known_inputs(book, {FactRef(conductor, "area"): area})),)

    return worked(value, wants=wants, uses=uses_of(*used), through=() if mild else hot.through, working=working)


@fact("mild-capacity", "conductor")
def mild_capacity(book: Book, conductor: str) -> Reading:
    """What it carries alone, in air of 30 °C. [A]"""
    return _carries(book, "mild-capacity", conductor, mild=True)


@fact("hot-capacity", "conductor")
def hot_capacity(book: Book, conductor: str) -> Reading:
    """What it carries alone, in the hottest place it passes: √((Tins − T)/(Tins − 30)) of the mild one. [A]"""
    return _carries(book, "hot-capacity", conductor)


@fact("bundled-capacity", "conductor")
def bundled_capacity(book: Book, conductor: str) -> Reading:
    """What it carries in the hottest place it passes, among the loaded wires it lies with; how many they are, if not said, is open. [A]"""
    return _carries(book, "bundled-capacity", conductor, bundle=True)


@fact("buried-capacity", "conductor")
def buried_capacity(book: Book, conductor: str) -> Reading:
    """What it carries after heat, bundle and foam; a buried length that was not said is anything up to its whole length. [A]"""
    return _carries(book, "buried-capacity", conductor, bundle=True, foam=True)


@fact("cautious-capacity", "conductor")
def cautious_capacity(book: Book, conductor: str) -> Reading:
    """What it carries by our own formula, whatever table or rating the installation goes by: 11 to 21 percent under the published 105 degree column. [A]"""
    return _carries(book, "cautious-capacity", conductor, bundle=book.reading("bundled-with", conductor).gap is None,
                    foam=book.reading("buried", conductor).gap is None, ladder=OWN)


# ---- marks and colours --------------------------------------------------------------------------------------------------------------

@fact("colours-kept", "installation")
def colours_kept(book: Book, _: str) -> Reading:
    """Where nobody signed for it: no, if a wire of one pole wears a colour the other pole wears too, or green and yellow carries power; yes, if all
    colours are known and none does."""
    worn: dict[str, set[str]] = {"positive-side": set(), "negative-side": set()}
    unsure = not book.wiring_complete
    for conductor in book.members("conductor"):
        if book.truth_of("factory", conductor) is Truth.YES or book.truth_of("bar", conductor) is Truth.YES:
            continue
        colours = book.words("colour", conductor)
        sides = [side for side in worn if book.truth_of(side, conductor) is Truth.YES]
        if len(colours) != 1 or len(sides) != 1 or any(book.truth_of(w, conductor) is Truth.UNKNOWN for w in ("factory", "bar")):
            unsure = True
            continue
        if "green and yellow" in colours and sides[0] == "positive-side":
            return worked(Truth.NO, uses={FactRef(conductor, "colour")}, through=(conductor,))
        worn[sides[0]] |= colours
    if worn["positive-side"] & worn["negative-side"]:
        return worked(Truth.NO)
    return worked(Truth.UNKNOWN if unsure else Truth.YES, wants={FactRef("", "colours-kept")})
