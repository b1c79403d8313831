"""N6: volts lost between bar and load, out and back, with warm copper."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range, divided_by
from linter.facts import resistance
from linter.facts.demands import copper_temperature
from linter.facts.registry import fact
from linter.facts.saying import amps, number, ohms, volts
from linter.facts.trunks import Way, batteries_by, lone_edges, main_points, points_by_owner, points_of_others, post_of, share_of, ways_out
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

RISE = 30.0


def warm_cost(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """An edge with copper 30 K over its hottest place, at most what its insulation stands. A fuse or breaker as measured, or between planning values. [Ω]"""

    def make() -> tuple[Range, frozenset[FactRef]]:
        element = book.network.edges[edge].element
        if book.is_a(element, "protection") and book.network.edges[edge].kind != "joint":
            told = book.reading("resistance-across", element)
            if told.gap is None and isinstance(told.value, Range):
                return told.value, told.wants
            planned, asks = resistance.edge_resistance(book, edge, Range(20.0, 20.0), bars=True)
            return planned, asks if planned.known or asks else told.wants
        warm = copper_temperature(book, element, RISE) if book.is_a(element, "conductor") else Range(20.0, 20.0)
        return resistance.edge_resistance(book, edge, warm, bars=True)

    return book.memo(("warm", edge), make)


def ways_to_bars(book: Book, load: str, battery: str, pole: str) -> list[Way]:
    """Ways from a load to the nearest main bar of a battery, or to the output of a converter, none of them by another battery's bar."""
    start, post = book.network.terminal(load, pole), post_of(book, battery, pole)
    if start is None or post is None:
        return []

    if pole == "positive" and book.is_a(battery, "battery") and battery not in near_batteries(book, load):
        return []

    def make() -> list[Way]:
        states = book.reach.between(post, start, sure=False)
        goals = main_points(book, battery, pole)
        # What comes by another battery's bar is measured from that bar.
        others = points_of_others(book, start, (battery,)) if pole == "positive" else frozenset()
        return ways_out(book, start, goals, lambda n: warm_cost(book, n), states, blocked=others)

    return book.memo(("drop ways", load, battery, pole), make)


def near_batteries(book: Book, load: str) -> frozenset[str]:
    """Batteries one of whose main points a load comes to before any other battery's: the only ones it may be fed from without passing another's bar."""
    start = book.network.terminal(load, "positive")
    if start is None:
        return frozenset()

    def make() -> frozenset[str]:
        network = book.network
        owners = points_by_owner(book, start)
        found: set[str] = set(owners.get(start, ()))
        stack, seen = [start], {start}
        while stack:
            for edge, other in network.at.get(stack.pop(), ()):
                if other in seen or not network.closable(edge):
                    continue
                seen.add(other)
                if other in owners:
                    found |= owners[other]
                else:
                    stack.append(other)
        return frozenset(found)

    return book.memo(("near batteries", start), make)


def loads_by_part(book: Book) -> dict[int, list[str]]:
    """Part of the wiring to the loads whose positive lies in it."""
    found: dict[int, list[str]] = {}
    for load in book.members("load"):
        found.setdefault(book.network.part_of(book.network.terminal(load, "positive") or ""), []).append(load)
    return found


def _loads_beside(book: Book, battery: str) -> list[str]:
    part = book.network.part_of(post_of(book, battery, "positive") or "")
    return book.memo("loads by part", lambda: loads_by_part(book)).get(part, [])


def _fed_by(book: Book, battery: str) -> list[str]:
    """Loads of its part that a battery may feed without passing another's bar, in file order."""
    beside = _loads_beside(book, battery)
    if not book.is_a(battery, "battery"):
        return beside

    def make() -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for load in beside:
            for one in near_batteries(book, load):
                found.setdefault(one, []).append(load)
        return found

    return book.memo(("fed by", book.network.part_of(post_of(book, battery, "positive") or "")), make).get(battery, [])


def _carried(book: Book, battery: str, pole: str) -> dict[int, list[str]]:
    """Edge to the loads this battery feeds through it."""

    def make() -> dict[int, list[str]]:
        found: dict[int, list[str]] = {}
        for load in _fed_by(book, battery) if pole == "positive" else _loads_beside(book, battery):
            for way in ways_to_bars(book, load, battery, pole):
                for edge in way[2]:
                    mine = found.setdefault(edge, [])
                    if load not in mine:
                        mine.append(load)
        return found

    return book.memo(("carried", battery, pole), make)


def _carried_at(book: Book, battery: str, pole: str, edge: int) -> list[str]:
    """Loads this battery feeds through one edge. On the way home all loads of a wiring come together: there, what lies behind an edge with no way
    round it is read off the tree of blocks, as most edges are never asked about."""
    blocks = book.network.blocks
    goals = [g for g in main_points(book, battery, pole) if g in blocks.number] if pole == "negative" and edge in blocks.bridges else []
    if not goals or len({blocks.beyond(edge, g) for g in goals}) > 1:
        return _carried(book, battery, pole).get(edge, [])

    def make() -> list[tuple[int, int, str]]:
        return sorted((blocks.number[t], n, load) for n, load in enumerate(_loads_beside(book, battery))
                      if (t := book.network.terminal(load, pole)) is not None and t in blocks.number)

    placed = book.memo(("loads placed", book.network.part_of(post_of(book, battery, "positive") or "")), make)
    (first, last), (start, end) = blocks.span(edge)
    low, high = (bisect_left(placed, (p,)) for p in (first, last + 1))
    before, after = placed[bisect_left(placed, (start,)):low], placed[high:bisect_left(placed, (end + 1,))]
    behind = before + after if blocks.beyond(edge, goals[0]) else placed[low:high]
    return [load for _, load in sorted((n, load) for _, n, load in behind) if ways_to_bars(book, load, battery, pole)]


def _drawn(book: Book, battery: str, pole: str, edge: int) -> tuple[float, float, frozenset[FactRef]]:
    """Least and most that all loads a battery feeds through an edge draw together, and what would narrow it. [A]"""

    def make() -> tuple[float, float, frozenset[FactRef]]:
        least = most = 0.0
        wants: frozenset[FactRef] = frozenset()
        for one in _carried_at(book, battery, pole, edge):
            draws = book.reading("feed-current", one)
            value = draws.value if isinstance(draws.value, Range) else Range(0.0, INF)
            least, most = least + value.low, most + value.high
            wants |= draws.wants
        return least, most, wants

    return book.memo(("drawn", battery, pole, edge), make)


def _lost(book: Book, load: str, battery: str, pole: str) -> tuple[Range, Range, frozenset[FactRef], tuple[str, ...]] | None:
    """Volts lost along one pole, the resistance, what would narrow it, and the wires on the way; None if there is no way."""
    alone = lone_edges(book)
    best: tuple[Range, Range, frozenset[FactRef], tuple[str, ...]] | None = None
    for way in ways_to_bars(book, load, battery, pole):
        low = high = 0.0
        wants = set(way[1])
        names: list[str] = []
        for edge in way[2]:
            each, asks = warm_cost(book, edge)
            wants |= asks
            least, most, more = _drawn(book, battery, pole, edge)
            wants |= more
            # Cables side by side divide the current; where some other way round may take part of it, only the upper end is sure.
            share, more = share_of(book, edge)
            wants |= more
            low += each.low * least * share.low if edge in alone else 0.0
            high += 0.0 if each.high == 0 or most == 0 or share.high == 0 else each.high * most * share.high
            element = book.network.edges[edge].element
            if book.is_a(element, "conductor"):
                names.append(element)
        if best is None or high > best[0].high:
            best = (Range(max(low, best[0].low if best else 0.0), high), way[0], frozenset(wants), tuple(names))
    return best


def _converters_by(book: Book, load: str) -> list[str]:
    """Converters whose output could ever be joined with a load, in file order."""
    part = book.network.part_of(book.network.terminal(load, "positive") or "")

    def make() -> dict[int, list[str]]:
        found: dict[int, list[str]] = {}
        for converter in book.members("converter"):
            found.setdefault(book.network.part_of(post_of(book, converter, "positive") or ""), []).append(converter)
        return found

    return [] if part < 0 else book.memo("converters by part", make).get(part, [])


@fact("voltage-drop", "load")
def voltage_drop(book: Book, load: str) -> Reading:
    """Volts lost out and back between the nearest main bar (or the post) and the load, from the battery where it is worst.

    Where no battery reaches it, from the output of the converter that feeds it.
    """
    best: tuple[Range, Range, frozenset[FactRef], tuple[str, ...]] | None = None
    close = near_batteries(book, load)
    near = [b for b in batteries_by(book, book.network.terminal(load, "positive")) if b in close]
    feeders = [b for b in near if ways_to_bars(book, load, b, "positive")] or [c for c in _converters_by(book, load)
                                                                              if ways_to_bars(book, load, c, "positive")]
    for battery in feeders:
        out = _lost(book, load, battery, "positive")
        if out is None:
            continue
        back = _lost(book, load, battery, "negative")
        if back is None:
            # No return drawn: between nothing and as much again.
            value, ohm = Range(out[0].low, 2 * out[0].high), Range(out[1].low, 2 * out[1].high)
            wants = out[2] | {FactRef("", "every conductor")}
        else:
            value = Range(out[0].low + back[0].low, out[0].high + back[0].high)
            ohm = Range(out[1].low + back[1].low, out[1].high + back[1].high)
            wants = out[2] | back[2]
        if best is None or value.high > best[0].high:
            best = (Range(max(value.low, best[0].low if best else 0.0), value.high), ohm, wants, out[3])
        else:
            best = (Range(max(value.low, best[0].low), best[0].high), *best[1:])
    if best is None:
        return book.open("voltage-drop", load, "neither battery nor converter reaches it", wants=book.open_wiring)
    value = best[0] if book.wiring_complete else Range(best[0].low, INF)
    draws = book.reading("feed-current", load)
    resistance_found = best[1]

    def working() -> tuple[Step, ...]:
        own = draws.value if isinstance(draws.value, Range) else Range(0.0, INF)
        return (*(draws.working() if draws.working else ()),
                Step(f"volts lost on the way to {load}", "sum of current × (wire out and back at ambient + 30 °C, lugs, devices)",
                     f"{amps(own)} of its own and what shares its wires, {ohms(resistance_found)} in all: {volts(value)}", "Ohm's law"))

    return worked(value, wants=best[2] | book.open_wiring, uses=draws.uses | frozenset(FactRef(w, "length") for w in best[3]), through=best[3], working=working)


@fact("drop-share", "load")
def drop_share(book: Book, load: str) -> Reading:
    """Voltage drop over nominal voltage."""
    lost = book.reading("voltage-drop", load)
    if lost.gap is not None or not isinstance(lost.value, Range):
        return book.open("drop-share", load, lost.gap.reason if lost.gap else "not known", wants=lost.wants)
    nominal = book.reading("nominal-voltage", load)
    rated = nominal.value if isinstance(nominal.value, Range) else Range(0.0, INF)
    value = divided_by(lost.value, rated) if rated.high < INF else Range(0.0, INF)
    value = Range(max(0.0, value.low), value.high)
    lost_range = lost.value

    def working() -> tuple[Step, ...]:
        return (*(lost.working() if lost.working else ()),
                Step(f"share lost by {load}", "volts lost / nominal volts", f"{volts(lost_range)} / {volts(rated)} = {number(value)}", "physics"))

    return worked(value, wants=wants_of(lost, nominal), uses=uses_of(lost, nominal), through=lost.through, working=working)


def carried_by(book: Book, edge: int) -> list[str]:
    """Loads that some battery feeds through an edge."""
    found: dict[str, None] = {}
    link = book.network.edges[edge]
    for battery in dict.fromkeys((*batteries_by(book, link.a), *batteries_by(book, link.a, "negative"))):
        for pole in ("positive", "negative"):
            found.update(dict.fromkeys(_carried_at(book, battery, pole, edge)))
    return list(found)
