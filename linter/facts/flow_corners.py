"""The worst of a solved network: corners of currents and volts, picked by the signs of the transfer coefficients."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.facts.flow_parts import Coefficients, Injection, Key, Solution
from linter.facts.strands import Strand

if TYPE_CHECKING:
    from linter.facts.book import Book

NEGLIGIBLE = 1e-9
# Strands at a bus that may run either way, all ways tried.
_EITHER_WAY = 6
# Group of batteries to its lowest floor, highest rest, highest floor, lowest rest, and what would settle them.
Spans = dict[int, tuple[float, float, float, float, frozenset[FactRef]]]


class Corners:
    """Judges solutions. The reckoning fills in what there is.

    Attributes:
        book: Of facts.
        strands: Of the whole wiring.
        injections: Everything that draws or pushes.
        group_span: Volts of each group of batteries.
    """

    book: Book
    strands: tuple[Strand, ...]
    injections: tuple[Injection, ...]
    group_span: Spans

    def evaluate(self, solution: Solution, columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int], on: frozenset[int]) -> dict[Key, Any]:
        """Key to (low, high, through, wants, uses, what takes part) with these injections running."""
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
                    if abs(x) <= NEGLIGIBLE:
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
            if abs(x) <= NEGLIGIBLE:
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
        buses, around_of = self._around()
        for bus in dict.fromkeys(b for key in list(found) for b in buses.get(key, ())):
            around = around_of[bus]
            live = [k for k in around if k in found]
            if not live:
                continue
            near = [found[k] for k in live]
            # Results are remembered in the solution, so the same ones make the same bus.
            same = ("bus flow", bus, tuple(map(id, near)), columns, forced_on, forced)
            if same in solution.judged:
                found["bus", bus] = solution.judged[same]
                continue
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
            found["bus", bus] = solution.judged[same] = (low, high, top[2], frozenset().union(*(b[3] for b in near)),
                                                         frozenset().union(*(b[4] for b in near)), top[5])

    def _bus_sum(self, flows: list[Coefficients], columns: frozenset[int], forced_on: frozenset[int], forced: frozenset[int]) -> tuple[float, float] | None:
        """Least and most that passes through a point; None if too many of its strands may run either way."""
        injections = self.injections
        names = {c for one in flows for c, x in one.items() if abs(x) > NEGLIGIBLE and (isinstance(c, tuple) or c in columns)}
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
                elif abs(x) > NEGLIGIBLE and not (injections[c].emergency is Truth.YES and plain):
                    size = injections[c].size
                    if c in forced_on:
                        most += x * (size.high if x > 0 else size.low)
                        least += x * (size.low if x > 0 else size.high)
                    elif x > 0:
                        most += x * size.high
                        least += x * size.low if c not in forced and injections[c].emergency is Truth.NO else 0.0
            low, high = max(low, least), max(high, most)
        return low, high

    def _around(self) -> tuple[dict[Key, list[str]], dict[str, list[Key]]]:
        """Strand to the buses at its ends, and bus to the strands around it."""

        def make() -> tuple[dict[Key, list[str]], dict[str, list[Key]]]:
            found: dict[str, list[Key]] = {}
            buses: dict[Key, list[str]] = {}
            network = self.book.network
            for n, strand in enumerate(self.strands):
                for point in (strand.a, strand.b):
                    owner = network.owner(point)
                    if self.book.is_a(owner, "bus"):
                        found.setdefault(owner, []).append(("strand", n))
                        buses.setdefault(("strand", n), []).append(owner)
            return buses, found

        return self.book.memo("strands around buses", make)
