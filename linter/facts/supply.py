"""N7 and N13: how much charge arrives, and how the batteries of one bank share a load."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.demands import CHARGING, per_12, stated
from linter.facts.drop import warm_cost
from linter.facts.loop import loop_to_bank
from linter.facts.nodal import Branch, branch_currents
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, number, ohms, volts
from linter.facts.strands import parts, strands
from linter.facts.trunks import batteries_by, count_banks, mates
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

_OPEN = 1e6
MOST_OPEN = 6


@fact("charge-arriving", "charger")
def charge_arriving(book: Book, charger: str) -> Reading:
    """Charge current that arrives: its rating, or what its volts over those of the nearly full battery drive through the leads; the worst bank. [A]"""
    rated = book.reading("output-current-at-most", charger)
    most = rated.value if isinstance(rated.value, Range) else Range(0.0, INF)
    times = per_12(book, charger)
    told = stated(book, "absorption", charger)
    absorption = told if told is not None else Range(CHARGING.low * times.low, CHARGING.high * times.high)
    sense = book.truth_of("remote-sense", charger)
    refs: dict[FactRef, Range] = {FactRef(charger, "output-current-at-most"): most, FactRef(charger, "absorption"): absorption}
    wants: set[FactRef] = {r for r, v in refs.items() if not v.known} | book.open_wiring
    low = high = INF
    through: tuple[str, ...] = ()
    said = ""
    # With every connection known, no other part of the wiring is charged.
    near = batteries_by(book, book.network.output(charger)) if book.wiring_complete else book.network.batteries
    count_banks(book, near)
    for group in dict.fromkeys(mates(book, b) for b in near):
        answers = [book.relation("charging", charger, b) for b in group]
        if all(a.no == book.everything for a in answers):
            continue
        inner: dict[str, Range] = {}
        rest = Range(INF, -INF)
        asked: set[FactRef] = set()
        for battery in group:
            fresh, more = resistance.lowest_resistance(book, battery)
            worn, again = resistance.highest_resistance(book, battery)
            inner[battery] = Range(min(fresh.low, worn.low), worn.high)
            at_rest = resistance.rest_voltage(book, battery)
            refs[FactRef(battery, "rest-voltage")] = at_rest
            rest = Range(min(rest.low, at_rest.low), max(rest.high, at_rest.high))
            asked |= more | again | ({FactRef(battery, "rest-voltage")} if not at_rest.known else set())
        # With remote sense the set volts hold at the battery, and the lead drops out.
        loops = [found for lead in (True,
                                    False) if sense is not truth(lead) and (found := loop_to_bank(book, charger, group, inner, lambda n: warm_cost(book, n),
                                                                                                           lead=lead)) is not None]
        if not loops:
            continue
        loop = Range(min(r.low for r, _ in loops), max(r.high for r, _ in loops))
        wants |= asked.union(*(w for _, w in loops))
        least = min(most.low, 0.0 if loop.high == INF else max(0.0, absorption.low - rest.high) / max(loop.high, 1e-9))
        top = min(most.high, INF if loop.low <= 0 else max(0.0, absorption.high - rest.low) / loop.low)
        if least < low:
            low, through = least, group
            said = f"{', '.join(group)}: ({volts(absorption)} − {volts(rest)}) / {ohms(loop)}"
        if any(a.yes != book.nothing for a in answers):
            high = min(high, top)
    if low == INF:
        return book.open("charge-arriving", charger, "it reaches no battery", wants=book.open_wiring)
    value = Range(low if book.wiring_complete else 0.0, max(low, min(high, most.high)))

    def working() -> tuple[Step, ...]:
        return (Step(f"charge that arrives from {charger}", "the smaller of its rating and (set volts − rest volts) / (lead out and back + battery)",
                     f"{amps(most)}; {said}: {amps(value)}", "Ohm's law; nearly full battery, warm copper", known_inputs(book, refs)),)

    return worked(value, wants=wants, uses=set(refs), through=through, working=working)


# ---- sharing ------------------------------------------------------------------------------------------------------------------------

def shares(book: Book, group: tuple[str, ...]) -> tuple[dict[str, Range], frozenset[FactRef]] | None:
    """Part of one ampere drawn at the bank's bar that each battery gives; None where they cannot be seen. [1]

    The whole wiring that is always closed, one bank, all batteries fresh; batteries of one make and size are alike, so their resistance is
    one unknown. Ends of what is open are tried together.
    """
    network = book.network
    chains = [s for s in strands(book) if s.sure == book.everything]
    points: dict[str, int] = {}
    for chain in chains:
        points.setdefault(chain.a, len(points))
        points.setdefault(chain.b, len(points))
    posts = {b: (network.terminal(b, "negative"), network.terminal(b, "positive")) for b in group}
    if any(p not in points for pair in posts.values() for p in pair):
        return None
    tap = _tap(book, group, points)
    if tap is None:
        return None
    inner = {b: resistance.lowest_resistance(book, b) for b in group}
    kinds = {b: (book.words("chemistry", b), book.quantity("capacity", b), inner[b][0]) for b in group}
    wants: set[FactRef] = set()
    unknown: dict[object, Range] = {}
    for b in group:
        span, asks = inner[b]
        if not span.known:
            unknown[kinds[b]] = span
            wants |= asks
    for n, chain in enumerate(chains):
        if not chain.resistance.known:
            unknown[n] = chain.resistance
            wants |= chain.wants
    if len(unknown) > MOST_OPEN:
        return {b: Range(0.0, 1.0) for b in group}, frozenset(wants)
    found: dict[str, list[float]] = {b: [] for b in group}
    for corner in range(2 ** len(unknown)):
        at = {key: min((r.low, r.high)[corner >> k & 1], _OPEN) for k, (key, r) in enumerate(unknown.items())}
        branches = [Branch(points[c.a], points[c.b], at.get(n, c.resistance.low)) for n, c in enumerate(chains)]
        first = len(branches)
        branches += [Branch(points[posts[b][0] or ""], points[posts[b][1] or ""], at.get(kinds[b], min(inner[b][0].low, _OPEN))) for b in group]
        pushed: list[dict[object, float]] = [{} for _ in points]
        pushed[points[tap[0]]]["one"] = -1.0
        pushed[points[tap[1]]]["one"] = 1.0
        currents = branch_currents(len(points), branches, pushed)
        for k, b in enumerate(group):
            found[b].append(currents[first + k].get("one", 0.0))
    return {b: Range(min(v), max(v)) for b, v in found.items()}, frozenset(wants)


def _tap(book: Book, group: tuple[str, ...], points: dict[str, int]) -> tuple[str, str] | None:
    """Where the bank's loads hang: the bar (or post) of each pole that most of the loads' ways come to first."""
    from linter.facts.drop import ways_to_bars  # drop reads trunks as we do; imported late only to keep the list of imports short

    chains = [(s.a, s.b) for s in strands(book) if s.sure == book.everything]
    number = parts(chains, set(points))
    counts: dict[str, dict[str, int]] = {"positive": {}, "negative": {}}
    for pole, votes in counts.items():
        for load in book.members("load"):
            for battery in group:
                for way in ways_to_bars(book, load, battery, pole)[:1]:
                    here, post = book.network.terminal(load, pole) or "", book.network.terminal(battery, pole) or ""
                    for edge in way[2]:
                        link = book.network.edges[edge]
                        here = link.b if link.a == here else link.a
                    if here in points and number[here] == number[post]:
                        votes[here] = votes.get(here, 0) + 1
    if not counts["positive"] or not counts["negative"]:
        return None
    return max(counts["positive"], key=lambda p: counts["positive"][p]), max(counts["negative"], key=lambda p: counts["negative"][p])


@fact("share-ratio", "battery")
def share_ratio(book: Book, battery: str) -> Reading:
    """Largest over smallest current of the batteries always joined with this one, when one load hangs on their bar. [1] 1 for a battery alone."""
    group = mates(book, battery)
    if len(group) == 1:
        return worked(Range(1.0, 1.0))
    found = book.memo(("shares", group), lambda: shares(book, group))
    if found is None:
        return book.open("share-ratio", battery, "the bank's bars cannot be seen", wants=book.open_wiring)
    each, wants = found
    top, bottom = max(r.high for r in each.values()), min(r.low for r in each.values())
    least = max(max(r.low for r in each.values()) / max(1e-12, min(r.high for r in each.values())), 1.0)
    value = Range(least, INF if bottom <= 0 else top / bottom)
    if value.high - value.low <= 1e-9 * value.low:
        value = Range(value.high, value.high)

    def working() -> tuple[Step, ...]:
        return (Step(f"how the bank of {battery} shares", "Kirchhoff's laws over leads and batteries, fresh and cold; largest over smallest",
                     f"{', '.join(f'{b} {number(r)}' for b, r in each.items())} of each ampere: {number(value)}", "physics"),)

    return worked(value, wants=wants | book.open_wiring, through=group, working=working)


@fact("share-of-worst", "battery")
def share_of_worst(book: Book, battery: str) -> Reading:
    """Its worst current, as the reckoning of worst currents has it: unequal leads are in it. [A]"""
    found = book.reading("worst-current", battery)
    return worked(found.value, wants=wants_of(found), uses=uses_of(found), states=found.states, through=found.through, working=found.working)


__all__ = ["charge_arriving", "share_of_worst", "share_ratio", "shares"]
