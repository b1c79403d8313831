"""One set of contacts: which parts hang together, and how every current answers to every source, load and battery."""

from __future__ import annotations

import itertools
from typing import Any

from linter.base.gap import FactRef
from linter.base.values import INF, Range
from linter.facts.flow_corners import NEGLIGIBLE, Corners
from linter.facts.flow_parts import Cell, Key, Solution
from linter.facts.nodal import Branch, branch_currents
from linter.facts.strands import bridges, parts

# Resistances tried at both ends of their range before a looser bound is taken.
MOST_OPEN = 5
# A source without a battery is let share with others by equal resistances; a sink of a controller takes what comes.
_SLACK = 1e-3
_SINK = 1e-6
_OPEN_CIRCUIT = 1e6


class Solver(Corners):
    """Solves one set of closed contacts at a time and remembers it.

    Attributes:
        points: Terminals of the part at hand.
        cells, sinks: Its batteries and the inputs of its solar controllers.
        here: Its injections.
        alike_range: Resistance of batteries of one make.
    """

    points: set[str]
    cells: tuple[Cell, ...]
    sinks: tuple[tuple[str, str, str], ...]
    here: tuple[int, ...]
    alike_range: dict[int, tuple[Range, frozenset[FactRef]]]
    connected: dict[frozenset[int], dict[str, int]]
    solved: dict[tuple[frozenset[int], frozenset[str], int], Solution]

    def with_closed(self, closed: frozenset[int], forced_on: frozenset[int], forced: frozenset[int], on: frozenset[int], may: frozenset[int]) -> dict[Key, Any]:
        """Key to (low, high, through, wants, uses) with these strands closed and these injections running."""
        number = self._joined(closed)
        running = forced | may
        joined = frozenset(n for n in running if number[self.injections[n].plus] == number[self.injections[n].minus])
        found = self.evaluate(self._solve(closed, joined, frozenset()), joined, forced_on & joined, forced & joined, on & joined)
        orphans = running - joined
        sources = frozenset(n for n in orphans if not self.injections[n].load)
        loads = orphans - sources
        if sources and loads:
            for slack in {sources, *(frozenset({s}) for s in sources)}:
                solution = self._solve(closed, loads, slack)
                sure = slack <= (on | forced_on)
                for key, b in self.evaluate(solution, loads, frozenset(), frozenset(), on & loads).items():
                    _, least, most = solution.caps.get(key, ((), 0.0, INF))
                    pushing = frozenset(u for n in slack for u in self.injections[n].uses)
                    b = (min(b[0], least) if sure else 0.0, min(b[1], most), b[2], b[3], b[4] | pushing, b[5] | slack)
                    if key not in found or b[1] > found[key][1]:
                        found[key] = (max(b[0], found[key][0]), *b[1:]) if key in found else b
        return found

    def _joined(self, closed: frozenset[int]) -> dict[str, int]:
        """Point to the number of its connected part, bodies included."""
        if closed not in self.connected:
            self.connected[closed] = parts([(self.strands[n].a, self.strands[n].b) for n in closed] + [(c.minus, c.plus) for c in self.cells]
                                            + [(a, b) for _, a, b in self.sinks], self.points)
        return self.connected[closed]

    def _solve(self, closed: frozenset[int], columns: frozenset[int], slack: frozenset[int]) -> Solution:
        # Columns are all that may ever run with these contacts; evaluation picks those that do.
        key = (closed, frozenset(str(n) for n in slack), hash(columns) if slack else 0)
        if not slack:
            number = self._joined(closed)
            columns = frozenset(n for n in self.here if number[self.injections[n].plus] == number[self.injections[n].minus])
        if key not in self.solved:
            self.solved[key] = self._solve_now(closed, columns, slack)
        return self.solved[key]

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
            solution.names[keys[k]] = frozenset(c for one in solution.corners for c, x in one[keys[k]].items() if abs(x) > NEGLIGIBLE)
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
