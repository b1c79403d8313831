"""What a described run has to do, read from its facts: for sizing it anew. A figure that is missing is named with how to find it out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.model import Circuit
from linter.facts import resistance
from linter.facts.capacity import OWN, part_heat
from linter.facts.demands import input_wires
from linter.facts.drop import carried_by, warm_cost
from linter.facts.faults import smallest_of
from linter.facts.formulas import copper
from linter.facts.sizing import Choice, Sizing, Wanted, ladder_of, size

if TYPE_CHECKING:
    from linter.facts.book import Book

# Shares of nominal voltage a run may lose, from its main bar to the load and back, where nobody says otherwise.
VITAL_SHARE, OTHER_SHARE = 0.03, 0.10
# A thicker wire may carry more: sized again with what it then carries, so many times.
ROUNDS = 5
# Volts a converter's input wants above its stop voltage (analyses N6).
AWAKE_MARGIN = 0.3


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure without which no size is given.

    Attributes:
        fact: It.
        why: What it is for.
        question, how: From the vocabulary.
    """

    fact: FactRef
    why: str
    question: str
    how: str


@dataclass(frozen=True, slots=True)
class Sized:
    """The answer for one conductor, or why there is none.

    Attributes:
        conductor: Its name.
        return_of: The negative that is resized with it; "" if none is seen.
        now: Its present size in words; "" if not known.
        present: What the present size does; None if not known.
        sizing: The answer; None if something is missing.
        missing: What is missing.
        rests_on: Facts used, as (fact, value text, how it is known).
        rounds: How often it was worked out again with the new size in place.
        load: The load whose drop decides; "" if none.
    """

    conductor: str
    return_of: str
    now: str
    present: Choice | None
    sizing: Sizing | None
    missing: tuple[Missing, ...]
    rests_on: tuple[tuple[str, str, str], ...]
    rounds: int
    load: str


def size_of(book: Book, conductor: str, *, share: float | None = None, family: str = "") -> Sized:
    """Sizes one conductor of a described installation anew, its return with it.

    Args:
        book: Of facts.
        conductor: Its name.
        share: Of nominal voltage its run may lose, from the main bar to the load and back; None: 3 % for a vital load, 10 % for others.
        family: Fuse family; "" for that of the device which guards it.
    """
    twin = next(iter(book.words("twin", conductor)), "") if book.reading("twin", conductor).gap is None else ""
    wanted, missing, load = _wanted(book, conductor, twin, share, family)
    now = next(iter(book.words("size", conductor)), "")
    if wanted is None or missing:
        return Sized(conductor, twin, now, None, None, missing, _rests(book, conductor), 0, "")
    answer, rounds = size(wanted), 1
    area = book.quantity("area", conductor)
    present = _present(wanted, now, area) if area.known else None
    # What it carries may depend on how thick it is: where it lies in a ring, and at a converter that takes constant power.
    while rounds < ROUNDS and answer.chosen:
        new = type(book)(_with_area(book.circuit, (conductor, twin), min(c.area for c in answer.chosen.values())), assume=book.assume)
        again, more, load = _wanted(new, conductor, twin, share, family)
        if again is None or more or again == wanted:
            break
        wanted = again
        answer, rounds = size(wanted), rounds + 1
    return Sized(conductor, twin, now, present, answer, (), _rests(book, conductor), rounds, load)


def _present(wanted: Wanted, name: str, area: Range) -> Choice | None:
    from linter.facts.sizing import judge  # beside size, which is all the rest needs

    return judge(wanted, name or "as it is", area.low)


def _rests(book: Book, conductor: str) -> tuple[tuple[str, str, str], ...]:
    from linter.facts.saying import known_inputs  # words are only made for what is shown

    refs = {FactRef(conductor, w): book.quantity(w, conductor) for w in ("worst-current", "length", "hottest-passed", "insulation", "terminal-class",
                                                                         "bundled-with",
                                                                         "buried") if book.reading(w, conductor).gap is None}
    return known_inputs(book, refs)


def _wanted(book: Book, conductor: str, twin: str, share: float | None, family: str) -> tuple[Wanted | None, tuple[Missing, ...], str]:
    missing: dict[FactRef, Missing] = {}

    def need(word: str, element: str, why: str, *, top: bool = True, bottom: bool = False) -> Range:
        reading = book.reading(word, element)
        value = reading.value if isinstance(reading.value, Range) else Range(-INF, INF)
        if (top and value.high == INF) or (bottom and value.low in (-INF, 0.0)):
            for ref in reading.wants or {FactRef(element, word)}:
                missing[ref] = _missing(book, ref, why)
        return value

    current = need("worst-current", conductor, "the current it has to carry")
    length = need("length", conductor, "its drop")
    ambient = need("hottest-passed", conductor, "what it carries in the heat")
    if book.reading("hottest-passed", conductor).wants:
        for ref in book.reading("hottest-passed", conductor).wants:
            missing[ref] = _missing(book, ref, "what it carries in the heat")
    insulation = need("insulation", conductor, "what it carries", bottom=True)
    terminal = book.reading("terminal-class", conductor)
    if terminal.gap is None and isinstance(terminal.value, Range):
        insulation = Range(min(insulation.low, terminal.value.low), min(insulation.high, terminal.value.high))
    bundle, buried = book.reading("bundled-with", conductor), book.reading("buried", conductor)
    metals = book.words("material", conductor)
    if not metals:
        missing[FactRef(conductor, "material")] = _missing(book, FactRef(conductor, "material"), "its resistance and what it carries")
    devices = [one.passing[0][0] for one in smallest_of(book, conductor)]
    if not family and devices:
        families = book.words("family", devices[0])
        family = next(iter(families)) if len(families) == 1 else ""
    heat = part_heat(book, devices[0]).value if devices else ambient
    allowed, load = _allowed(book, conductor, twin, share, missing)
    awake = _awake(book, conductor, twin, missing)
    if missing:
        return None, tuple(missing.values()), load
    factor = max(resistance.METALS.get(m, resistance.METALS["aluminium"]) for m in metals)
    plain = all(m in ("copper", "tinned copper") for m in metals)
    wanted = Wanted(current, length, insulation, ambient, heat if isinstance(heat, Range) else ambient,
                    bundle.value.high if bundle.gap is None and isinstance(bundle.value, Range) else 2.0,
                    buried.value.high if buried.gap is None and isinstance(buried.value, Range) else 0.0,
                    allowed, resistance.nominal(book, conductor), family, None, book.circuit.settings.get("capacity by", OWN),
                    (factor, 1.0 if plain else copper.CLAD_CAPACITY), awake)
    return wanted, (), load


def _allowed(book: Book, conductor: str, twin: str, share: float | None, missing: dict[FactRef, Missing]) -> tuple[float | None, str]:
    """Volts the conductor and its return may lose: what a load's run may, less what the rest of that run does. None where no load hangs on it."""
    own = [n for name in (conductor, twin) if name for n in book.network.of.get(name, ())]
    loads = {load for n in own for load in carried_by(book, n)}
    best: tuple[float, str] | None = None
    for load in sorted(loads):
        drop = book.reading("voltage-drop", load)
        nominal = resistance.nominal(book, load)
        if not isinstance(drop.value, Range) or drop.value.high == INF or nominal.low <= 0:
            for ref in drop.wants or {FactRef(load, "current")}:
                if ref.element not in (conductor, twin):
                    missing[ref] = _missing(book, ref, f"the drop on the way to {load}")
            continue
        part = share if share is not None else OTHER_SHARE if book.truth_of("vital", load) is Truth.NO else VITAL_SHARE
        mine = 0.0
        for n in own:
            if load in carried_by(book, n):
                amount = sum(v.high for one in carried_by(book, n) if isinstance(v := book.reading("feed-current", one).value, Range))
                mine += warm_cost(book, n)[0].high * amount
        left = part * nominal.low - (drop.value.high - mine)
        if best is None or left < best[0]:
            best = left, load
    return (None, "") if best is None else best


def _awake(book: Book, conductor: str, twin: str, missing: dict[FactRef, Missing]) -> float | None:
    """Least standard area with which every converter fed through the conductor keeps its input above its stop voltage, by 0.3 V, with the supply low.

    None where it feeds no converter; no end where no standard size does it.
    """
    fed = [c for c in book.members("converter") if {conductor, twin} & set(input_wires(book, c))]
    if not fed:
        return None
    limits: dict[str, float] = {}
    for converter in fed:
        told = [r.value for w in ("stops-below", "input-voltage-at-least") if (r := book.reading(w, converter)).gap is None and isinstance(r.value, Range)]
        if not told:
            missing[FactRef(converter, "stops-below")] = _missing(book, FactRef(converter, "stops-below"), "whether it stays awake")
            return None
        limits[converter] = told[0].high + AWAKE_MARGIN
        power = book.reading("input-power", converter)
        if isinstance(power.value, Range) and power.value.high == INF:
            for ref in power.wants:
                missing[ref] = _missing(book, ref, f"what {converter} takes")
            return None
    for area in sorted(a for system in ("mm²", "AWG") for _, a in ladder_of(system)):
        new = type(book)(_with_area(book.circuit, (conductor, twin), area), assume=book.assume)
        if all(new.quantity("input-voltage", c).low >= limit * (1 - 1e-9) for c, limit in limits.items()):
            return area
    return INF


def _missing(book: Book, ref: FactRef, why: str) -> Missing:
    row = book.row(ref.word, ref.element)
    return Missing(ref, why, row.question if row is not None else "", row.how if row is not None else "")


def _with_area(circuit: Circuit, names: tuple[str, ...], area: float) -> Circuit:
    elements = dict(circuit.elements)
    for name in names:
        if name in elements:
            old = elements[name]
            elements[name] = replace(old, properties={**old.properties, "area": Reading(Range(area, area))})
    return replace(circuit, elements=elements)
