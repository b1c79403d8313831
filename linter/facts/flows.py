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
from linter.facts.flow_parts import Cell, Coefficients, Flow, Injection, Key, Solution
from linter.facts.nodal import Branch, branch_currents
from linter.facts.strands import Strand, bridges, parts, strands

if TYPE_CHECKING:
    from linter.facts.book import Book

# Resistances tried at both ends of their range before a looser bound is taken, mixtures of states, and doubtful contacts tried both ways.
MOST_OPEN = 5
MOST_PIECES = 4096
MOST_DOUBTFUL = 4
# A source without a battery is let share with others by equal resistances; a sink of a controller takes what comes.
_SLACK = 1e-3
_SINK = 1e-6
_OPEN_CIRCUIT = 1e6
_NEGLIGIBLE = 1e-9
_SAME = 1e-9
# Strands at a bus that may run either way, all ways tried.
_EITHER_WAY = 6


def worst_flows(book: Book) -> dict[Key, Flow]:
    """Flow of every strand ("strand", number), battery ("battery", name) and bus ("bus", name)."""
    return book.memo("worst flows", lambda: _Reckoning(book).run())


class _Reckoning:
    def __init__(self, book: Book) -> None:
        self.book = book
        self.space = book.space
        self.strands: tuple[Strand, ...] = strands(book)
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
        self._connected: dict[frozenset[int], dict[str, int]] = {}
        self._solved: dict[tuple[frozenset[int], frozenset[str], int], Solution] = {}

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

    def _spans(self) -> dict[int, tuple[float, float, float, float, frozenset[FactRef]]]:
        """Group to (lowest floor, lowest sure ceiling...): widest span for the high bound, surest for the low one, and what would settle it."""
        found: dict[int, tuple[float, float, float, float, frozenset[FactRef]]] = {}
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
        book, space = self.book, self.space
        found: list[Injection] = []
        for load in book.members("load"):
            pair = self._pair(load)
            if pair is None:
                continue
            reading = book.reading("feed-current", load)
            size = reading.value if isinstance(reading.value, Range) else Range(0.0, INF)
            runs = space.without(book.everything, space.any_of(book.circuit.barred.get(load, ())))
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
        for number in sorted(set(whole.values())):
            inside = [n for n, s in enumerate(self.strands) if whole[s.a] == number]
            injections = [n for n, i in enumerate(self.injections) if whole[i.plus] == number]
            if inside and injections:
                self._part(inside, injections)
        if not self.book.wiring_complete:
            for flow in self.flows.values():
                flow.high = INF
                flow.wants |= self.book.open_wiring
        return self.flows

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
        results = [self._with(sure | frozenset(c), forced_on, forced, on, may) for c in choices]
        for key in {k for r in results for k in r}:
            bounds = [r.get(key) for r in results]
            best = max((b for b in bounds if b is not None), key=lambda b: b[1])
            low = min(0.0 if b is None else b[0] for b in bounds) if len(doubtful) <= MOST_DOUBTFUL else 0.0
            flow = self.flows[key]
            flow.low = max(flow.low, low)
            for b in bounds:
                if b is not None:
                    flow.wants |= b[3]
                    flow.uses |= b[4]
            if doubtful:
                from linter.facts.protection import doubtful as contacts  # protection reads the book, which reads us: imported late
                flow.wants |= contacts(self.book)
                if len(doubtful) > MOST_DOUBTFUL:
                    best = (best[0], INF, *best[2:])
            larger = best[1] > flow.high * (1 + _SAME) + _SAME
            if not larger and (flow.states is None or best[1] < flow.high * (1 - _SAME)):
                continue
            # Every state in which all that takes part in it may run.
            states = self.book.nothing
            for running, piece in pieces:
                if best[5] <= running | forced:
                    states = states | piece
            if larger:
                flow.high, flow.states, flow.through = best[1], states, best[2]
            else:
                flow.states = flow.states | states

    # ---- one set of contacts ----------------------------------------------------------------------------------------------------------

    def _with(self, closed: frozenset[int], forced_on: frozenset[int], forced: frozenset[int], on: frozenset[int], may: frozenset[int]) -> dict[Key, Any]:
        """Key to (low, high, through, wants, uses) with these strands closed and these injections running."""
        number = self._joined(closed)
        running = forced | may
        joined = frozenset(n for n in running if number[self.injections[n].plus] == number[self.injections[n].minus])
        found = self._evaluate(self._solve(closed, joined, frozenset()), joined, forced_on & joined, forced & joined, on & joined)
        orphans = running - joined
        sources = frozenset(n for n in orphans if not self.injections[n].load)
        loads = orphans - sources
        if sources and loads:
            for slack in {sources, *(frozenset({s}) for s in sources)}:
                solution = self._solve(closed, loads, slack)
                sure = slack <= (on | forced_on)
                for key, b in self._evaluate(solution, loads, frozenset(), frozenset(), on & loads).items():
                    _, least, most = solution.caps.get(key, ((), 0.0, INF))
                    pushing = frozenset(u for n in slack for u in self.injections[n].uses)
                    b = (min(b[0], least) if sure else 0.0, min(b[1], most), b[2], b[3], b[4] | pushing, b[5] | slack)
                    if key not in found or b[1] > found[key][1]:
                        found[key] = (max(b[0], found[key][0]), *b[1:]) if key in found else b
        return found

    def _joined(self, closed: frozenset[int]) -> dict[str, int]:
        """Point to the number of its connected part, bodies included."""
        if closed not in self._connected:
            self._connected[closed] = parts([(self.strands[n].a, self.strands[n].b) for n in closed] + [(c.minus, c.plus) for c in self.cells]
                                            + [(a, b) for _, a, b in self.sinks], self.points)
        return self._connected[closed]

    def _solve(self, closed: frozenset[int], columns: frozenset[int], slack: frozenset[int]) -> Solution:
        # Columns are all that may ever run with these contacts; evaluation picks those that do.
        key = (closed, frozenset(str(n) for n in slack), hash(columns) if slack else 0)
        if not slack:
            number = self._joined(closed)
            columns = frozenset(n for n, i in enumerate(self.injections) if number[i.plus] == number[i.minus])
        if key not in self._solved:
            self._solved[key] = self._solve_now(closed, columns, slack)
        return self._solved[key]

    def _solve_now(self, closed: frozenset[int], columns: frozenset[int], slack: frozenset[int]) -> Solution:
        wires = sorted(closed)
        links: list[tuple[str, str]] = [(self.strands[n].a, self.strands[n].b) for n in wires]
        keys: list[Key] = [("strand", n) for n in wires]
        for cell in self.cells:
            links.append((cell.minus, cell.plus))
            keys.append(("battery", cell.name))
        for name, plus, minus in self.sinks:
            links.append((plus, minus))
            keys.append(("sink", name))
        for n in sorted(slack):
            links.append((self.injections[n].minus, self.injections[n].plus))
            keys.append(("slack", n))
        number = parts(links, self.points)
        usable = [n for n in columns if number[self.injections[n].plus] == number[self.injections[n].minus]]
        busy = {number[self.injections[n].plus] for n in usable}
        groups: dict[int, set[int]] = {}
        for cell in self.cells:
            groups.setdefault(number[cell.plus], set()).add(cell.group)
        busy |= {part for part, some in groups.items() if len(some) > 1}
        chosen = [k for k, (a, _) in enumerate(links) if number[a] in busy]
        lone = bridges([links[k] for k in chosen])
        looped = {chosen[k] for k in range(len(chosen)) if k not in lone}
        index = {p: k for k, p in enumerate(sorted({p for k in chosen for p in links[k]}))}
        pushed: list[dict[Any, float]] = [{} for _ in index]
        for n in usable:
            one = self.injections[n]
            pushed[index[one.plus]][n] = pushed[index[one.plus]].get(n, 0.0) + 1
            pushed[index[one.minus]][n] = pushed[index[one.minus]].get(n, 0.0) - 1

        open_ranges: dict[Any, Range] = {}
        open_wants: dict[Any, frozenset[FactRef]] = {}
        for k in sorted(looped):
            if keys[k][0] == "strand":
                strand = self.strands[keys[k][1]]
                if not strand.resistance.known:
                    open_ranges[keys[k]], open_wants[keys[k]] = strand.resistance, strand.wants
            elif keys[k][0] == "battery":
                cell = next(c for c in self.cells if c.name == keys[k][1])
                span, wants = self.alike_range[cell.alike]
                if not span.known:
                    open_ranges["alike", cell.alike], open_wants["alike", cell.alike] = span, wants
        all_wants = frozenset().union(*open_wants.values()) if open_wants else frozenset()
        where = {keys[k]: number[links[k][0]] for k in chosen}
        solution = Solution([], {}, {keys[k]: all_wants for k in looped} if open_ranges else {}, {}, {})
        if slack:
            for k in chosen:
                fed = [self.injections[n] for n in slack if number[self.injections[n].plus] == where[keys[k]]]
                solution.caps[keys[k]] = (tuple(i.name for i in fed), sum(i.size.low for i in fed), sum(i.size.high for i in fed))
        if len(open_ranges) > MOST_OPEN:
            self._loosen(solution, keys, looped, usable, groups, number, links)
            open_ranges = {}
        for ends in itertools.product(*((r.low, min(r.high, _OPEN_CIRCUIT)) for r in open_ranges.values())):
            at = dict(zip(open_ranges, ends, strict=True))
            branches = [self._branch(keys[k], links[k], index, at, groups.get(number[links[k][0]], set())) for k in chosen]
            currents = branch_currents(len(index), branches, pushed)
            solution.corners.append({keys[k]: c for k, c in zip(chosen, currents, strict=True)})
        for k in chosen:
            solution.names[keys[k]] = frozenset(c for one in solution.corners for c, x in one[keys[k]].items() if abs(x) > _NEGLIGIBLE)
        self.book.spend(len(chosen) * max(1, len(solution.corners)))
        return solution

    def _branch(self, key: Key, link: tuple[str, str], index: dict[str, int], at: dict[Any, float], groups: set[int]) -> Branch:
        a, b = index[link[0]], index[link[1]]
        if key[0] == "strand":
            return Branch(a, b, at.get(key, min(self.strands[key[1]].resistance.low, _OPEN_CIRCUIT)))
        if key[0] == "battery":
            cell = next(c for c in self.cells if c.name == key[1])
            ohms = at.get(("alike", cell.alike), min(self.alike_range[cell.alike][0].low, _OPEN_CIRCUIT))
            return Branch(a, b, ohms, ("volts", cell.group) if len(groups) > 1 else None)
        return Branch(a, b, _SINK if key[0] == "sink" else _SLACK)

    def _loosen(self, solution: Solution, keys: list[Key], looped: set[int], usable: list[int], groups: dict[int, set[int]],
                number: dict[str, int], links: list[tuple[str, str]]) -> None:
        """Loops with too much unknown: no coefficient exceeds 1, and volts apart drive at most themselves over one battery's resistance."""
        for k in looped:
            part = number[links[k][0]]
            least = [self.alike_range[c.alike][0].low for c in self.cells if number[c.plus] == part]
            spans = [self.group_span[g] for g in groups.get(part, ())]
            apart = max(s[1] for s in spans) - min(s[0] for s in spans) if len(spans) > 1 else 0.0
            driven = 0.0 if apart <= 0 else INF if not least or min(least) <= 0 else apart / min(least)
            solution.loose[keys[k]] = (tuple(n for n in usable if number[self.injections[n].plus] == part), driven)

    # ---- corners ----------------------------------------------------------------------------------------------------------------------

    def _evaluate(self, solution: Solution, columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int], on: frozenset[int]) -> dict[Key, Any]:
        found: dict[Key, Any] = {}
        for key in solution.corners[0] if solution.corners else ():
            if key[0] in ("sink", "slack"):
                continue
            names = solution.names[key]
            running = (key, columns & names, forced_on & names, forced & names, on & names)
            if running in solution.judged:
                if (known := solution.judged[running]) is not None:
                    found[key] = known
                continue
            result = self._worst([c[key] for c in solution.corners], *running[1:], names)
            if key in solution.loose:
                extra, driven = solution.loose[key]
                high = driven + sum(self.injections[n].size.high for n in extra if n in columns)
                wants = frozenset().union(*(self.injections[n].wants for n in extra)) if extra else frozenset()
                result = (0.0, high, result[2], result[3] | wants, result[4], result[5])
            if key in solution.open_wants and result[0] != result[1]:
                result = (*result[:3], result[3] | solution.open_wants[key], *result[4:])
            solution.judged[running] = result if result[1] > 0 else None
            if result[1] > 0:
                found[key] = result
        self._buses(solution, found, columns, forced_on, forced)
        return found

    def _worst(self, corners: list[Coefficients], columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int], on: frozenset[int],
               every: frozenset[Any]) -> Any:
        injections = self.injections
        names = {c for c in every if isinstance(c, tuple) or c in columns}
        plain_load = any(not isinstance(c, tuple) and injections[c].load and injections[c].emergency is not Truth.YES for c in names)
        best_high, best_low = 0.0, 0.0
        through: tuple[str, ...] = ()
        involved: frozenset[int] = frozenset()
        for sign in (1.0, -1.0):
            patterns: list[frozenset[Any]] = []
            for one in corners:
                total = 0.0
                named: list[tuple[float, str]] = []
                pattern: set[Any] = set()
                for c in names:
                    x = sign * one.get(c, 0.0)
                    if isinstance(c, tuple):
                        low, high, *_ = self.group_span[c[1]]
                        total += x * (high if x > 0 else low)
                        if x > 0:
                            pattern.add(c)
                        continue
                    if abs(x) <= _NEGLIGIBLE:
                        continue
                    part = injections[c]
                    if part.emergency is Truth.YES and plain_load:
                        continue
                    if c in forced:
                        amount = x * (part.size.high if x > 0 else part.size.low) if c in forced_on else max(0.0, x * part.size.high)
                        if x > 0:
                            pattern.add(c)
                    elif x > 0:
                        amount = x * part.size.high
                        pattern.add(c)
                    else:
                        continue
                    total += amount
                    named.append((-abs(amount), part.name))
                if pattern and frozenset(pattern) not in patterns:
                    patterns.append(frozenset(pattern))
                if total > best_high:
                    best_high = total
                    through = tuple(dict.fromkeys(name for _, name in sorted(named)))[:4]
                    involved = frozenset(c for c in pattern if not isinstance(c, tuple))
            for mixture in patterns:
                least = min(self._sure(one, sign, mixture, names, forced_on, forced, on, plain_load) for one in corners)
                best_low = max(best_low, least)
        wants: set[FactRef] = set()
        uses: set[FactRef] = set()
        for c in names:
            if isinstance(c, tuple):
                wants |= self.group_span[c[1]][4]
            else:
                uses |= injections[c].uses
                if not injections[c].size.known:
                    wants |= injections[c].wants
        return best_low, best_high, through, frozenset(wants), frozenset(uses), involved

    def _sure(self, one: Coefficients, sign: float, pattern: frozenset[Any], names: set[Any], forced_on: frozenset[int], forced: frozenset[int],
              on: frozenset[int], plain_load: bool) -> float:
        """What surely flows at one corner when the free injections of the pattern run and the others do not."""
        total = 0.0
        for c in names:
            x = sign * one.get(c, 0.0)
            if isinstance(c, tuple):
                bottom, top, floor, ceiling, _ = self.group_span[c[1]]
                # Full where the pattern wants it full, at its floor elsewhere; each as unkindly placed in its range as can be.
                total += min(x * ceiling, x * top) if c in pattern else min(x * bottom, x * floor)
                continue
            if abs(x) <= _NEGLIGIBLE:
                continue
            part = self.injections[c]
            if c in forced:
                worst = min(x * part.size.low, x * part.size.high)
                total += worst if c in forced_on else min(0.0, worst)
            elif c in pattern and c in on and not (part.emergency is not Truth.NO and plain_load):
                total += min(x * part.size.low, x * part.size.high)
        return total

    def _buses(self, solution: Solution, found: dict[Key, Any], columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int]) -> None:
        """Through a bus flows half of what its strands carry together; for each way the strands may run, a sum that is linear again."""
        for bus, around in self._around().items():
            live = [k for k in around if k in found]
            if not live:
                continue
            near = [found[k] for k in live]
            low, high = max(b[0] for b in near), sum(b[1] for b in near) / 2
            if not solution.loose and not solution.caps:
                named = frozenset().union(*(solution.names[k] for k in live))
                running = (("bus", bus), tuple(live), columns & named, forced_on & named, forced & named)
                if running not in solution.judged:
                    solution.judged[running] = [self._bus_sum([one.get(k, {}) for k in live], columns, forced_on, forced) for one in solution.corners]
                sums: list[tuple[float, float] | None] = solution.judged[running]
                if all(s is not None for s in sums):
                    high = min(high, max(s[1] for s in sums if s is not None))
                    if len(sums) == 1 and sums[0] is not None:
                        low = max(low, sums[0][0])
            high = max(high, low)
            top = max(near, key=lambda b: b[1])
            found["bus", bus] = (low, high, top[2], frozenset().union(*(b[3] for b in near)), frozenset().union(*(b[4] for b in near)), top[5])

    def _bus_sum(self, flows: list[Coefficients], columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int]) -> tuple[float, float] | None:
        """Least and most that passes through a point; None if too many of its strands may run either way."""
        injections = self.injections
        names = {c for one in flows for c, x in one.items() if abs(x) > _NEGLIGIBLE and (isinstance(c, tuple) or c in columns)}
        plain = any(not isinstance(c, tuple) and injections[c].load and injections[c].emergency is not Truth.YES for c in names)
        signs: list[tuple[float, ...]] = []
        for one in flows:
            ways = {1.0 if x > 0 else -1.0 for c, x in one.items() if c in names}
            either = len(ways) > 1 or any(isinstance(c, tuple) for c in one if c in names)
            signs.append((1.0, -1.0) if either else tuple(ways) or (1.0,))
        if sum(len(s) > 1 for s in signs) > _EITHER_WAY:
            return None
        low = high = 0.0
        for way in itertools.product(*signs):
            total: Coefficients = {}
            for sign, one in zip(way, flows, strict=True):
                for c, x in one.items():
                    if c in names:
                        total[c] = total.get(c, 0.0) + sign * x / 2
            least = most = 0.0
            for c, x in total.items():
                if isinstance(c, tuple):
                    bottom, top, floor, ceiling, _ = self.group_span[c[1]]
                    most += x * (top if x > 0 else bottom)
                    least += x * (ceiling if x > 0 else floor)
                elif abs(x) > _NEGLIGIBLE and not (injections[c].emergency is Truth.YES and plain):
                    size = injections[c].size
                    if c in forced_on:
                        most += x * (size.high if x > 0 else size.low)
                        least += x * (size.low if x > 0 else size.high)
                    elif x > 0:
                        most += x * size.high
                        least += x * size.low if c not in forced and injections[c].emergency is Truth.NO else 0.0
            low, high = max(low, least), max(high, most)
        return low, high

    def _around(self) -> dict[str, list[Key]]:
        def make() -> dict[str, list[Key]]:
            found: dict[str, list[Key]] = {}
            network = self.book.network
            for n, strand in enumerate(self.strands):
                for point in (strand.a, strand.b):
                    owner = network.owner(point)
                    if self.book.is_a(owner, "bus"):
                        found.setdefault(owner, []).append(("strand", n))
            return found

        return self.book.memo("strands around buses", make)
