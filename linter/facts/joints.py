"""Where wires end and what they pass: wet ends, crowded studs, terminals cooler than the wire."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth, all_of, any_of
from linter.base.values import INF, Range
from linter.facts.capacity import HOTTEST_BELIEVED, OWN, base_capacity
from linter.facts.plain import WET
from linter.facts.protection import ends_of
from linter.facts.registry import fact, relation
from linter.facts.saying import amps, degrees, known_inputs
from linter.facts.worked import one_of, uses_of, wants_of, worked
from linter.language.compare import covers
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book

# A housing that splashing water does not enter, whatever dust does.
_SPLASH = frozenset({"IPX4"})
# What has no housing to speak of, whatever code is on it: posts and studs lie bare.
_OPEN = ("battery", "chassis")
# Coolest class terminals of power equipment are sold in. [°C]
COOLEST_TERMINAL = 60.0


@relation("laid-through", "conductor")
def laid_through(book: Book, conductor: str, place: str | None) -> Answer:
    """Whether a place is among those it passes. Never told where it passes: it may pass any."""
    told = book.reading("passes", conductor)
    if told.gap is not None or not isinstance(told.value, frozenset) or not told.value or place is None:
        return Answer(book.nothing, book.nothing, frozenset({FactRef(conductor, "passes")}))
    uses = frozenset({FactRef(conductor, "passes")})
    if place in told.value:
        return Answer(book.everything, book.nothing, uses=uses)
    return Answer(book.nothing, book.everything, uses=uses)


@fact("wet", "place")
def wet(book: Book, place: str) -> Reading:
    """Whether spray, stones, salt, rain, sun (so rain as well) or a washing hose reach it."""
    said = book.reading("exposure", place)
    return worked(one_of(book.words("exposure", place), WET), wants=said.wants, uses=said.uses)


@fact("ends-in-wet", "conductor")
def ends_in_wet(book: Book, conductor: str) -> Reading:
    """Whether one of its ends is on a part in a wet place, unless that part's housing keeps spray out (second digit 4 or more, or a sealed plug)."""
    ends = ends_of(book, conductor)
    if not ends:
        return worked(Truth.UNKNOWN, wants=book.open_wiring)
    truths: list[Truth] = []
    wants: frozenset[FactRef] = frozenset()
    uses: frozenset[FactRef] = frozenset()
    for part in dict.fromkeys(book.network.owner(end) for end in ends):
        placed = book.reading("place-of", part)
        places = sorted(placed.value) if isinstance(placed.value, frozenset) else []
        reached = [book.reading("wet", place) for place in places if place in book.circuit.elements]
        if placed.gap is not None or not places or len(reached) < len(places):
            is_wet, found = Truth.UNKNOWN, [placed]
        else:
            found = [placed, *reached]
            told = {_truth(one) for one in reached}
            is_wet = told.pop() if len(told) == 1 else Truth.UNKNOWN
        if is_wet is not Truth.NO and not any(book.is_a(part, kind) for kind in _OPEN):
            housing = book.reading("ingress", part)
            keeps_out = covers(book.words("ingress", part), _SPLASH)
            found.append(housing)
            if book.is_a(part, "coupling-half"):
                seal = book.reading("weatherproof", part)
                found.append(seal)
                keeps_out = any_of((keeps_out, _truth(seal)))
            is_wet = all_of((is_wet, ~keeps_out))
        truths.append(is_wet)
        if is_wet is Truth.UNKNOWN:
            wants |= wants_of(*found)
        uses |= uses_of(*found)
    return worked(any_of(truths), wants=wants, uses=uses)


def _truth(reading: Reading) -> Truth:
    return reading.value if isinstance(reading.value, Truth) else Truth.UNKNOWN


@fact("lugs-on-a-stud", "part")
def lugs_on_a_stud(book: Book, part: str) -> Reading:
    """Where nobody counted: at most the wires and bolted devices at its fullest terminal, at least one if there is any. [1]

    Bars and clamps have several studs, so what arrives at one terminal may be spread over them.
    """
    counts = [sum(1 for number, _ in book.network.at.get(terminal, ()) if book.network.edges[number].kind in ("conductor", "joint"))
              for terminal in book.network.own(part)]
    most = float(max(counts, default=0))
    return worked(Range(min(most, 1.0), most if book.wiring_complete else INF), wants=book.open_wiring | {FactRef(part, "lugs-on-a-stud")})


@fact("capacity-at-terminals", "conductor")
def capacity_at_terminals(book: Book, conductor: str) -> Reading:
    """What it carries with its copper no hotter than its coolest terminal may be: the corrected capacity with T = min(T insulation, T terminal). [A]

    The corrected capacity takes terminals nobody read to be as good as the insulation. Here they may be of any class from 60 °C up:
    low end × base(60 °C) / base(T insulation); the other factors are the same. Source: derating note N5; terminals are sold in classes from 60 °C.
    """
    whole = book.reading("corrected-capacity", conductor)
    terminal = book.reading("terminal-class", conductor)
    rated = book.reading("rated-current", conductor)
    if not isinstance(whole.value, Range) or whole.gap is not None or terminal.gap is None or rated.gap is None:
        return whole
    ladder = book.circuit.settings.get("capacity by", OWN)
    size, insulation, hot = (book.reading(word, conductor) for word in ("area", "insulation", "hottest-passed"))
    top = insulation.value if isinstance(insulation.value, Range) else Range(COOLEST_TERMINAL, COOLEST_TERMINAL)
    area = size.value if isinstance(size.value, Range) else Range(0.0, INF)
    ambient = hot.value if isinstance(hot.value, Range) else Range(20.0, HOTTEST_BELIEVED)
    cool = Range(min(top.low, COOLEST_TERMINAL), min(top.high, COOLEST_TERMINAL))
    base, cooler = base_capacity(ladder, area, top, ambient)[0], base_capacity(ladder, area, cool, ambient)[0]
    share = cooler.low / base.low if cooler is not None and base is not None and base.low > 0 else 0.0
    value = Range(whole.value.low * share, whole.value.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"what {conductor} carries, its terminals of 60 °C or better", "capacity × base at 60 °C / base at its insulation",
                     f"insulation {degrees(top)}, hottest place {degrees(ambient)}: {amps(value)}", "square-root law of heat",
                     known_inputs(book, {FactRef(conductor, "insulation"): top})),)

    return worked(value, wants=whole.wants | terminal.wants, uses=uses_of(whole, size, insulation, hot), through=whole.through, working=working)
