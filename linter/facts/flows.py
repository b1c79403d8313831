"""N4: the worst steady current in every strand, battery and bus, over all states (the reckoning; `currents` makes facts of it).

Loads are free between nothing and their worst current. Converters and shore chargers that are awake push their full output; alternators,
solar controllers and arrays anything up to theirs. A battery stands anywhere between its floor and full, behind its lowest resistance, cold;
batteries that are always joined stand alike. Currents are linear in all of these, so the worst is a corner, picked by the signs of the
transfer coefficients; over ranges of resistance the worst lies at their ends. One solve serves every state with the same contacts closed.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.states import TooManyStates
from linter.facts import demands, resistance
from linter.facts.flow_corners import Spans
from linter.facts.flow_parts import Cell, Flow, Injection, Key
from linter.facts.flow_solve import Solver
from linter.facts.strands import bridges, parts, strands

if TYPE_CHECKING:
    from linter.facts.book import Book

# Mixtures of states, and doubtful contacts tried both ways, before only ends are given.
MOST_PIECES = 4096
MOST_DOUBTFUL = 4
_SAME = 1e-9


def worst_flows(book: Book) -> dict[Key, Flow]:
    """Flow of every strand ("strand", number), battery ("battery", name) and bus ("bus", name)."""
    return book.memo("worst flows", lambda: _Reckoning(book).run())


class _Reckoning(Solver):
    def __init__(self, book: Book) -> None:
        self.book = book
        self.space = book.space
        self.strands = strands(book)
        self.points = {p for s in self.strands for p in (s.a, s.b)}
        self.alias: dict[str, str] = {}
        self._tie()
        self.cells = self._cells()
        self.group_span = self._spans()
        self.alike_range = self._alike()
        self.sinks = self._sinks()
        self.injections = self._injections()
        self.flows: dict[Key, Flow] = {("strand", n): Flow() for n in range(len(self.strands))}
        self.flows.update({("battery", c.name): Flow() for c in self.cells})
        self.flows.update({("bus", b): Flow() for b in book.members("bus")})
        self.here = ()
        self.connected = {}
        self.solved = {}

    # ---- what there is ----------------------------------------------------------------------------------------------------------------

    def _tie(self) -> None:
        """Negatives nobody has drawn return to the battery they must come from: examples and first drafts show the positive side only."""
        book, network = self.book, self.book.network
        part = parts([(s.a, s.b) for s in self.strands], self.points)
        anchor: dict[int, str] = {}
        for battery in network.batteries:
            plus, minus = network.terminal(battery, "positive"), network.terminal(battery, "negative")
            if plus in part and minus in self.points:
                anchor.setdefault(part[plus], minus)
        for terminal, sign in network.pole.items():
            if sign > 0 or terminal in self.points:
                continue
            element, word = book.circuit.terminals[terminal]
            plus = network.terminal(element, word.replace("negative", "positive"))
            if plus in part:
                home = part[plus]
                self.alias[terminal] = anchor.get(home, f"return {home}")
        self.points |= set(self.alias.values())

    def _point(self, element: str, word: str) -> str | None:
        terminal = self.book.network.terminal(element, word)
        if terminal is None:
            return None
        terminal = self.alias.get(terminal, terminal)
        return terminal if terminal in self.points else None

    def _pair(self, element: str, word: str = "") -> tuple[str, str] | None:
        plus, minus = self._point(element, f"{word}positive"), self._point(element, f"{word}negative")
        return (plus, minus) if plus is not None and minus is not None else None

    def _cells(self) -> tuple[Cell, ...]:
        found = [(b, pair) for b in self.book.network.batteries if (pair := self._pair(b)) is not None]
        links = [(s.a, s.b) for s in self.strands if s.sure == self.book.everything] + [(minus, plus) for _, (plus, minus) in found]
        lone = bridges(links)
        first = len(links) - len(found)
        rings = parts([link for n, link in enumerate(links) if n not in lone], {p for link in links for p in link})
        groups: dict[Any, int] = {}
        kinds: dict[Any, int] = {}
        cells = []
        for n, (name, (plus, minus)) in enumerate(found):
            group = groups.setdefault(("alone", name) if first + n in lone else rings[plus], len(groups))
            alike = kinds.setdefault((group, self._likeness(name)), len(kinds))
            cells.append(Cell(name, minus, plus, group, alike))
        return tuple(cells)

    def _likeness(self, battery: str) -> Any:
        book = self.book
        chemistry, capacity = book.words("chemistry", battery), book.quantity("capacity", battery)
        if len(chemistry) != 1 or not capacity.known:
            return battery
        return tuple(chemistry), capacity.low, book.quantity("cranking-current", battery)

    def _spans(self) -> Spans:
        """Group to (lowest floor, lowest sure ceiling...): widest span for the high bound, surest for the low one, and what would settle it."""
        found: Spans = {}
        for cell in self.cells:
            floor, rest = resistance.floor_voltage(self.book, cell.name), resistance.rest_voltage(self.book, cell.name)
            wants = {FactRef(cell.name, w) for w, r in (("floor-voltage", floor), ("rest-voltage", rest)) if not r.known}
            old = found.get(cell.group, (INF, -INF, -INF, INF, frozenset()))
            found[cell.group] = (min(old[0], floor.low), max(old[1], rest.high), max(old[2], floor.high), min(old[3], rest.low), old[4] | wants)
        return found

    def _alike(self) -> dict[int, tuple[Range, frozenset[FactRef]]]:
        found: dict[int, tuple[Range, frozenset[FactRef]]] = {}
        for cell in self.cells:
            mine, wants = resistance.lowest_resistance(self.book, cell.name)
            if cell.alike in found:
                theirs, more = found[cell.alike]
                low, high = max(mine.low, theirs.low), min(mine.high, theirs.high)
                # Likes share one resistance. Two figures that contradict one another are kept apart by taking both.
                mine = Range(low, high) if low <= high else Range(high, low)
                wants = wants & more
            found[cell.alike] = (mine, wants)
        return found

    def _sinks(self) -> tuple[tuple[str, str, str], ...]:
        return tuple((c, *pair) for c in self.book.members("solar-controller") if (pair := self._pair(c, "in ")) is not None)

    def _injections(self) -> tuple[Injection, ...]:
        book = self.book
        found: list[Injection] = []
        for load in book.members("load"):
            pair = self._pair(load)
            if pair is None:
                continue
            reading = book.reading("feed-current", load)
            size = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
            runs = book.reach.may_run(load)
            found.append(Injection(load, pair[1], pair[0], size, False, True, book.truth_of("breakaway", load), runs, runs, reading.wants, reading.uses))
        for source in book.network.sources:
            if book.is_a(source, "battery"):
                continue
            size, wants = demands.greatest_push(book, source)
            forced = book.is_a(source, "converter") or book.is_a(source, "shore-charger")
            pair = self._pair(source, "out " if book.is_a(source, "charger") else "")
            if pair is not None:
                found.append(Injection(source, *pair, size, forced, False, Truth.NO, book.reach.awake(source, sure=True), book.reach.awake(source, sure=False),
                                       wants, frozenset({demands.push_ref(book, source)})))
            entry = self._pair(source, "in ") if book.is_a(source, "converter") else None
            if entry is not None:
                reading = book.reading("input-current", source)
                size = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
                found.append(Injection(source, entry[1], entry[0], size, False, True, Truth.NO, book.reach.awake(source, sure=True),
                                       book.reach.awake(source, sure=False), reading.wants, reading.uses))
        return tuple(found)

    # ---- states -----------------------------------------------------------------------------------------------------------------------

    def run(self) -> dict[Key, Flow]:
        joins = [(s.a, s.b) for s in self.strands] + [(c.minus, c.plus) for c in self.cells] + [(a, b) for _, a, b in self.sinks]
        joins += [(i.plus, i.minus) for i in self.injections]
        whole = parts(joins, set(self.points))
        inside: dict[int, list[int]] = {}
        for n, strand in enumerate(self.strands):
            inside.setdefault(whole[strand.a], []).append(n)
        pushing: dict[int, list[int]] = {}
        for n, injection in enumerate(self.injections):
            pushing.setdefault(whole[injection.plus], []).append(n)
        points: dict[int, set[str]] = {}
        for point, number in whole.items():
            points.setdefault(number, set()).add(point)
        cells: dict[int, list[Cell]] = {}
        for cell in self.cells:
            cells.setdefault(whole[cell.plus], []).append(cell)
        sinks: dict[int, list[tuple[str, str, str]]] = {}
        for sink in self.sinks:
            sinks.setdefault(whole[sink[1]], []).append(sink)
        for number in sorted(inside):
            if number not in pushing:
                continue
            # Nothing outside a part matters inside it.
            self.points, self.here = points[number], tuple(pushing[number])
            self.cells, self.sinks = tuple(cells.get(number, ())), tuple(sinks.get(number, ()))
            self.connected, self.solved = {}, {}
            try:
                self._part(inside[number], pushing[number])
            except TooManyStates as many:
                for key in (*(("strand", n) for n in inside[number]), *(("battery", c.name) for c in self.cells), *self._buses_at(inside[number])):
                    self.flows[key].beyond = many
        self.connected, self.solved = {}, {}
        if not self.book.wiring_complete:
            for flow in self.flows.values():
                flow.high = INF
                flow.wants |= self.book.open_wiring
        return self.flows

    def _buses_at(self, inside: list[int]) -> list[Key]:
        ends = {t for n in inside for t in (self.strands[n].a, self.strands[n].b)}
        return list(dict.fromkeys(("bus", owner) for t in ends if self.book.is_a(owner := self.book.network.owner(t), "bus")))

    def _pieces(self, sets: Iterable[Any]) -> list[Any]:
        pieces = [self.book.everything]
        for one in dict.fromkeys(s for s in sets if s not in (self.book.everything, self.book.nothing)):
            split = []
            for piece in pieces:
                inside = piece & one
                outside = self.space.without(piece, one)
                split += [p for p in (inside, outside) if p != self.book.nothing]
            pieces = split
            if len(pieces) > MOST_PIECES:
                raise TooManyStates
        self.book.spend(len(pieces))
        return pieces

    def _part(self, inside: list[int], injections: list[int]) -> None:
        nothing = self.book.nothing
        sets = [x for n in inside for x in (self.strands[n].sure, self.strands[n].maybe)]
        sets += [x for n in injections for x in (self.injections[n].sure, self.injections[n].maybe)]
        kept: dict[tuple[frozenset[int], frozenset[int], frozenset[int], frozenset[int]], list[tuple[frozenset[int], frozenset[int], Any]]] = {}
        for piece in self._pieces(sets):
            sure = frozenset(n for n in inside if piece & self.strands[n].sure != nothing)
            maybe = frozenset(n for n in inside if piece & self.strands[n].maybe != nothing)
            on = frozenset(n for n in injections if piece & self.injections[n].sure != nothing)
            may = frozenset(n for n in injections if piece & self.injections[n].maybe != nothing)
            forced = frozenset(n for n in may if self.injections[n].forced)
            kept.setdefault((sure, maybe, forced & on, forced), []).append((on - forced, may - forced, piece))
        for (sure, maybe, forced_on, forced), found in kept.items():
            for on, may, _ in found:
                # Free sources and loads: a state in which more of them may run is as bad or worse.
                if not any(on <= o and may <= m and (on, may) != (o, m) for o, m, _ in found):
                    self._judge(sure, maybe, forced_on, forced, on, may, [(m, p) for _, m, p in found])

    def _judge(self, sure: frozenset[int], maybe: frozenset[int], forced_on: frozenset[int], forced: frozenset[int],
               on: frozenset[int], may: frozenset[int], pieces: list[tuple[frozenset[int], Any]]) -> None:
        doubtful = sorted(maybe - sure)
        if len(doubtful) > MOST_DOUBTFUL:
            # Closed all together and closed none: the ends; between them only the low bound is given up.
            choices: list[tuple[int, ...]] = [(), tuple(doubtful)]
        else:
            choices = [c for k in range(len(doubtful) + 1) for c in itertools.combinations(doubtful, k)]
        results = [self.with_closed(sure | frozenset(c), forced_on, forced, on, may) for c in choices]
        runs = [(running | forced, piece) for running, piece in pieces]
        states_of: dict[frozenset[int], Any] = {}
        for key in results[0] if len(results) == 1 else {k: None for r in results for k in r}:
            bounds = [r.get(key) for r in results]
            best: Any = bounds[0] if len(bounds) == 1 else max((b for b in bounds if b is not None), key=lambda b: b[1])
            low = min(0.0 if b is None else b[0] for b in bounds) if len(doubtful) <= MOST_DOUBTFUL else 0.0
            flow = self.flows[key]
            flow.low = max(flow.low, low)
            for b in bounds:
                # Results are remembered, so many states give one and the same.
                if b is not None and b is not flow.last:
                    flow.wants |= b[3]
                    flow.uses |= b[4]
                    flow.last = b
            if doubtful:
                from linter.facts.protection import doubtful as contacts  # protection reads the book, which reads us: imported late
                flow.wants |= contacts(self.book)
                if len(doubtful) > MOST_DOUBTFUL:
                    best = (best[0], INF, *best[2:])
            larger = best[1] > flow.high * (1 + _SAME) + _SAME
            if not larger and (flow.states is None or best[1] < flow.high * (1 - _SAME)):
                continue
            # Every state in which all that takes part in it may run.
            if best[5] not in states_of:
                found = self.book.nothing
                for running, piece in runs:
                    if best[5] <= running:
                        found = found | piece
                states_of[best[5]] = found
            states = states_of[best[5]]
            if larger:
                flow.high, flow.states, flow.through = best[1], states, best[2]
            else:
                flow.states = flow.states | states
