"""N6: the volts at a load while it starts, or with everything on, and the bank at the voltage it is used at.

The battery's own resistance, worn or fresh, decides more than the wires: it is a range until somebody measures it. Counted is one bank at a
time, its chargers idle: what feeds beside it only lifts the volts. Loads of constant power count with their worst current.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.states import TooManyStates
from linter.facts import resistance
from linter.facts.drop import loads_by_part, near_batteries, warm_cost, ways_to_bars
from linter.facts.loop import side_by_side
from linter.facts.registry import fact
from linter.facts.saying import amps, known_inputs, ohms, volts
from linter.facts.trunks import batteries_by, count_banks, first_way, lone_edges, mates, post_of, share_of
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

MOST_PIECES = 256


def _way(book: Book, load: str, battery: str, pole: str) -> tuple[int, ...] | None:
    """Edges from a load to a battery's post, the first that covers some state."""

    def make() -> tuple[int, ...] | None:
        start, post = book.network.terminal(load, pole), post_of(book, battery, pole)
        if start is None or post is None:
            return None
        states = book.reach.between(post, start, sure=False)
        if states == book.nothing:
            return None
        return first_way(book, start, post, states)

    return book.memo(("volts way", load, battery, pole), make)


def _on_edges(book: Book, battery: str, pole: str) -> dict[int, list[str]]:
    """Edge to the loads whose way to a battery's post passes it, in file order."""

    def make() -> dict[int, list[str]]:
        found: dict[int, list[str]] = {}
        part = book.network.part_of(post_of(book, battery, "positive") or "")
        for load in book.memo("loads by part", lambda: loads_by_part(book)).get(part, ()):
            for edge in _way(book, load, battery, pole) or ():
                found.setdefault(edge, []).append(load)
        return found

    return book.memo(("loads on edges", battery, pole), make)


def working_volts(book: Book, battery: str, floor: bool) -> tuple[Range, FactRef]:
    """What a battery stands at behind its resistance: at its floor, or at the voltage it is used at where that was said. [V]"""
    usual = book.reading("usual-voltage", battery)
    if not floor and usual.gap is None and isinstance(usual.value, Range):
        return usual.value, FactRef(battery, "usual-voltage")
    return resistance.floor_voltage(book, battery), FactRef(battery, "floor-voltage")


class _Sag:
    """What is lost between one bank and one load."""

    def __init__(self, book: Book, load: str, group: tuple[str, ...], floor: bool) -> None:
        self.book = book
        self.load = load
        self.group = tuple(b for b in group if _way(book, load, b, "positive") is not None)
        self.wants: set[FactRef] = set()
        self.refs: dict[FactRef, Range] = {}
        self.bank = Range(0.0, 0.0)
        pressure = [working_volts(book, b, floor) for b in self.group]
        for value, ref in pressure:
            self.refs[ref] = value
            if not value.known:
                self.wants.add(ref)
        self.pressure = Range(min(v.low for v, _ in pressure), max(v.high for v, _ in pressure))
        self._split()

    def _split(self) -> None:
        """Each way is a part of its own up to where it meets the others, and from there on the trunk."""
        book = self.book
        self.trunk: dict[str, tuple[int, ...]] = {}
        branch = {b: Range(0.0, 0.0) for b in self.group}
        for pole in ("positive", "negative"):
            ways = {b: _way(book, self.load, b, pole) for b in self.group}
            drawn = [way for way in ways.values() if way is not None]
            common = 0
            while drawn and all(len(way) > common and way[common] == drawn[0][common] for way in drawn):
                common += 1
            self.trunk[pole] = drawn[0][:common] if drawn else ()
            for battery, way in ways.items():
                if way is None:
                    self.wants |= {FactRef("", "every conductor")}
                    continue
                for edge in way[common:]:
                    ohm, asks = warm_cost(book, edge)
                    self.wants |= asks
                    branch[battery] = Range(branch[battery].low + ohm.low, branch[battery].high + ohm.high)
        self.drawn_back = bool(self.trunk["negative"]) or any(_way(book, self.load, b, "negative") for b in self.group)
        lows, highs = [], []
        for battery in self.group:
            fresh, asks = resistance.lowest_resistance(book, battery)
            worn, more = resistance.highest_resistance(book, battery)
            self.wants |= asks | more
            self.refs[FactRef(battery, "internal-resistance")] = Range(min(fresh.low, worn.low), max(fresh.high, worn.high))
            measured = book.reading("internal-resistance", battery).gap is None
            lows.append((worn.low if measured else fresh.low) + branch[battery].low)
            highs.append(worn.high + branch[battery].high)
        # The whole bank together at best; batteries whose way goes the same way round, so each lends its share.
        self.bank = Range(side_by_side(lows), side_by_side(highs))

    def lost(self, own: Range, others: dict[str, Range]) -> Range:
        """Volts lost with this load and these others on. [V]"""
        book = self.book
        alone = lone_edges(book)
        total = Range(own.low + sum(r.low for r in others.values()), own.high + sum(r.high for r in others.values()))
        low, high = total.low * self.bank.low, 0.0 if total.high == 0 else total.high * self.bank.high
        for pole, edges in self.trunk.items():
            on = _on_edges(book, self.group[0], pole) if edges else {}
            for edge in edges:
                ohm, asks = warm_cost(book, edge)
                share, more = share_of(book, edge)
                self.wants |= asks | more
                passing = [others[o] for o in on.get(edge, ()) if o in others]
                least = own.low + sum(r.low for r in passing)
                most = own.high + sum(r.high for r in (passing if edge in alone else others.values()))
                low += ohm.low * least * share.low if edge in alone else 0.0
                high += 0.0 if ohm.high == 0 or most == 0 else ohm.high * most * share.high
        if not self.drawn_back:
            high = INF
        return Range(low, high)


def _pieces(book: Book, states: Any, sets: list[Any]) -> list[Any]:
    pieces = [states]
    for one in sets:
        split = [p for piece in pieces for p in (piece & one, book.without(piece, one)) if p != book.nothing]
        if len(split) > MOST_PIECES:
            raise TooManyStates
        pieces = split
    return pieces


@dataclass(frozen=True, slots=True)
class _Bank:
    """One bank that feeds a load.

    Attributes:
        group: Its batteries.
        sag: What is lost on the way.
        loose, tight: States in which it may be joined with the load, and surely is.
        on: Other loads on its way to the states in which they may run from it.
    """

    group: tuple[str, ...]
    sag: _Sag
    loose: Any
    tight: Any
    on: dict[str, Any]


def _joined(book: Book, group: tuple[str, ...], load: str, *, sure: bool) -> Any:
    entry = book.network.terminal(load, "positive")
    found = book.nothing
    for battery in group:
        post = book.network.output(battery)
        if post is not None and entry is not None:
            found = found | book.reach.between(post, entry, sure=sure)
    return found & book.reach.may_run(load)


def _banks(book: Book, load: str, floor: bool) -> list[_Bank]:
    """Banks whose current comes to a load without passing another bank's bars: by way of those it is that bank that is short of volts."""
    entry = book.network.terminal(load, "positive")
    near = near_batteries(book, load)
    if near:
        # All that hangs on one wiring may run together, from any bank that stands alone.
        count_banks(book, batteries_by(book, entry))
    beside = book.memo("loads by part", lambda: loads_by_part(book)).get(book.network.part_of(entry or ""), [])
    others = book.memo(("loads that stay on", book.network.part_of(entry or "")),
                       lambda: [o for o in beside if book.truth_of("breakaway", o) is not Truth.YES])
    found = []
    for group in dict.fromkeys(mates(book, b) for b in batteries_by(book, entry)):
        if near.isdisjoint(group):
            continue
        loose = _joined(book, group, load, sure=False)
        if loose == book.nothing or not any(ways_to_bars(book, load, b, "positive") for b in group):
            continue
        sag = _Sag(book, load, group, floor)
        joined = book.memo(("loads of", sag.group), lambda group=sag.group: {  # type: ignore[misc]
            o: _joined(book, group, o, sure=False) for o in others if any(_way(book, o, b, "positive") is not None for b in group)})
        found.append(_Bank(group, sag, loose, _joined(book, group, load, sure=True), {o: states for o, states in joined.items() if o != load}))
    return found


def _outputs_by(book: Book, terminal: str) -> list[tuple[str, str]]:
    """Sources that push into the part a terminal lies in, and from where."""

    def make() -> dict[int, list[tuple[str, str]]]:
        found: dict[int, list[tuple[str, str]]] = {}
        for source in book.network.sources:
            output = book.network.output(source)
            if output is not None:
                found.setdefault(book.network.part_of(output), []).append((source, output))
        return found

    return book.memo("outputs by part", make).get(book.network.part_of(terminal), [])


def _helped(book: Book, load: str, banks: list[_Bank]) -> Any:
    """States in which a charger or alternator that is awake reaches the load and may lift its volts."""
    entry = book.network.terminal(load, "positive") or ""
    batteries = {b for bank in banks for b in bank.group}
    found = book.nothing
    for source, output in _outputs_by(book, entry):
        if source not in batteries:
            found = found | (book.reach.between(output, entry, sure=False) & book.reach.awake(source, sure=False))
    return found


def _volts_at(book: Book, word: str, load: str, own: Reading, floor: bool) -> Reading:
    current = own.value if isinstance(own.value, Range) else Range(0.0, INF)
    banks = _banks(book, load, floor)
    if not banks:
        return book.open(word, load, "no battery reaches it", wants=book.open_wiring)
    draws = {o: book.reading("feed-current", o) for bank in banks for o in bank.on}
    helped = _helped(book, load, banks)
    every = book.nothing
    for bank in banks:
        every = every | bank.loose
    sets = [s for bank in banks for s in (bank.loose, bank.tight, *bank.on.values())]
    low = high = INF
    worst: tuple[_Bank, dict[str, Range], Any] | None = None
    for piece in _pieces(book, every, list(dict.fromkeys(sets))):
        there = [bank for bank in banks if piece & bank.loose != book.nothing]
        left: list[tuple[Range, _Bank, dict[str, Range]]] = []
        for bank in there:
            running = {o: v for o, states in bank.on.items() if piece & states != book.nothing and isinstance(v := draws[o].value, Range)}
            lost = bank.sag.lost(current, running)
            left.append((Range(max(0.0, bank.sag.pressure.low - lost.high), max(0.0, bank.sag.pressure.high - lost.low)), bank, running))
        sure = [one for one in left if book.without(piece, one[1].tight) == book.nothing]
        # Two banks joined: the better one holds the volts up, as far as the other does not pull it down to its own.
        held = [(min([value.low, *(b.sag.pressure.low for b in there if b is not bank)]), bank, running) for value, bank, running in sure]
        bottom, bank, running = max(held, key=lambda h: h[0]) if held else min(((v.low, b, r) for v, b, r in left), key=lambda h: h[0])
        if bottom < low or worst is None:
            low, worst = bottom, (bank, running, piece)
        if len(left) == 1 and book.without(piece & left[0][1].tight, helped) != book.nothing:
            high = min(high, left[0][0].high)
    assert worst is not None
    if high == INF:
        high = max(bank.sag.pressure.high for bank in banks) if helped == book.nothing else INF
    bank, running, state = worst
    sag = bank.sag
    value = Range(low if book.wiring_complete else 0.0, max(low, high))
    wants = set(own.wants) | book.open_wiring | {w for b in banks for w in b.sag.wants} | {w for o in draws.values() for w in o.wants}

    def working() -> tuple[Step, ...]:
        lost = sag.lost(current, running)
        return (Step(f"{word.replace('-', ' ')} of {load}", "volts of the bank − total current × bank − sum of current × (wires out and back, warm, devices)",
                     f"{volts(sag.pressure)} of {', '.join(bank.group)} behind {ohms(sag.bank)}, {amps(current)} of its own, with "
                     f"{', '.join(running) or 'nothing else'} on: {volts(lost)} lost", "Ohm's law; worn to fresh batteries, copper at ambient + 30 °C",
                     known_inputs(book, sag.refs)),)

    return worked(value, wants=wants, uses=set(own.uses) | {ref for b in banks for ref in b.sag.refs} | {u for o in draws.values() for u in o.uses},
                  states=state, through=(*bank.group, *running)[:6], working=working)


@fact("start-voltage", "load")
def start_voltage(book: Book, load: str) -> Reading:
    """Volts at a load while it starts and everything else that may run with it does; the worst bank and state. [V]"""
    start = book.reading("start-current", load)
    if start.gap is not None:
        return book.open("start-voltage", load, "what it draws while starting is not stated", wants={FactRef(load, "start-current")})
    return _volts_at(book, "start-voltage", load, start, False)


@fact("lowest-voltage", "load")
def lowest_voltage(book: Book, load: str) -> Reading:
    """Volts at a load with everything on and the battery at its floor; the worst bank and state. [V]"""
    return _volts_at(book, "lowest-voltage", load, book.reading("feed-current", load), True)
