"""N8 and N9: the largest fault a device may have to break, and whether the weakest short at a wire's far end still opens it.

Both reckon on the positive side with every wire counted out and back (a return of the same length and size), and a battery's shunt in its
own way. Largest: cold, fresh, as much closed as may be closed together. Smallest: copper at 70 °C, batteries worn, floor voltage.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.states import TooManyStates
from linter.facts import demands, resistance
from linter.facts.nodal import Branch, branch_currents
from linter.facts.registry import fact
from linter.facts.saying import amps, number, ohms
from linter.facts.trunks import _way, batteries_by, lone_edges, mates, share_of
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

COLD = Range(20.0, 20.0)
HOT = Range(70.0, 70.0)
FLOOR_PER_12 = 11.5
# An alternator gives three to four times its rating for a moment.
ALTERNATOR_SURGE = 4.0
MOST_PATTERNS = 64
_LEAST = 1e-9
_MOST = 1e6
_GROUND = "ground"


def _doubled(book: Book, edge: int, temperature: Range) -> tuple[Range, frozenset[FactRef]]:
    found, wants = resistance.edge_resistance(book, edge, temperature)
    if book.network.edges[edge].kind == "conductor":
        return Range(2 * found.low, 2 * found.high), wants
    return found, wants


def _hot(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """An edge as the smallest fault sees it: hot, and with cables that lie beside it taking their part; where some other way round may, down to nothing."""

    def make() -> tuple[Range, frozenset[FactRef]]:
        found, wants = _doubled(book, edge, HOT)
        share, more = share_of(book, edge)
        low = found.low * share.low if edge in lone_edges(book) else 0.0
        return Range(low, found.high * share.high if share.high > 0 else 0.0), wants | more

    return book.memo(("hot", edge), make)


def _meter(book: Book, battery: str) -> str:
    """Point behind the shunt a battery's negative passes, or ground: batteries behind one shunt share it."""
    metered = book.reading("metered", battery)
    return f"behind {metered.through[0]}" if metered.value is Truth.YES and metered.through else _GROUND


# ---- largest ------------------------------------------------------------------------------------------------------------------------

class _Largest:
    """Fault currents through every device, for the positive side as a whole."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.found: dict[str, list[tuple[float, float, Any, str]]] = {d: [] for d in book.members("protection")}
        self.wants: dict[str, set[FactRef]] = {d: set() for d in book.members("protection")}
        network = book.network
        devices = [d for d in self.found if network.of.get(d)]
        sources = [t for s in network.sources if (t := network.output(s)) is not None]
        seen: set[str] = set()
        at: dict[str, list[str]] = {}
        for device in devices:
            for terminal in network.own(device):
                at.setdefault(terminal, []).append(device)
        pushing = set(sources)
        for device in devices:
            for terminal in network.own(device):
                if terminal in seen or terminal not in network.at:
                    continue
                part = set(book.reach.joined((terminal,)))
                seen |= part
                here = list(dict.fromkeys(d for t in part for d in at.get(t, ())))
                if not pushing.isdisjoint(part):
                    for states, closed in self._patterns(part):
                        self._solve(part, here, states, closed)

    def _patterns(self, part: set[str]) -> list[tuple[Any, frozenset[int]]]:
        """Sets of contacts that may be closed together, none within another: more closed, more current."""
        network, space, nothing = self.book.network, self.book.space, self.book.nothing
        edges = [n for n in network.around(next(iter(part)))
                 if (e := network.edges[n]).a in part and e.b in part and e.a != e.b and network.closable(n)]
        always = frozenset(n for n in edges if network.maybe(n) == self.book.everything)
        pieces: list[tuple[Any, frozenset[int]]] = [(self.book.everything, always)]
        for condition in dict.fromkeys(network.maybe(n) for n in edges if n not in always):
            with_it = frozenset(n for n in edges if n not in always and network.maybe(n) == condition)
            split = []
            for states, closed in pieces:
                inside, outside = states & condition, space.without(states, condition)
                split += [(s, c) for s, c in ((inside, closed | with_it), (outside, closed)) if s != nothing]
            pieces = split
            if len(pieces) > 4096:
                raise TooManyStates
        merged: dict[frozenset[int], Any] = {}
        for states, closed in pieces:
            merged[closed] = merged[closed] | states if closed in merged else states
        top = [(s, c) for c, s in merged.items() if not any(c < other for other in merged)]
        if len(top) > MOST_PATTERNS:
            raise TooManyStates
        return top

    def _solve(self, part: set[str], devices: list[str], states: Any, closed: frozenset[int]) -> None:
        book, network = self.book, self.book.network
        here = {s for t, s in (*network.hard_outputs.items(), *network.limited_outputs.items()) if t in part} if len(part) > len(network.sources) else {
            s for t in part if (s := network.hard_outputs.get(t) or network.limited_outputs.get(t)) is not None}
        sources = [s for s in network.sources if s in here] if len(here) > 1 else list(here)
        batteries = [b for b in sources if book.is_a(b, "battery")]
        if batteries:
            shorts = [resistance.lowest_resistance(book, b) for b in batteries]
            fault_volts = [resistance.fault_voltage(book, b) for b in batteries]
            parts = [_doubled(book, n, COLD) for n in closed]
            open_refs = frozenset().union(*(w for _, w in shorts), *(w for _, w in parts))
            high = self._through(devices, batteries, [r.low for r, _ in shorts], closed, [r.low for r, _ in parts], max(v.high for v in fault_volts))
            low = high
            if open_refs or any(not v.known for v in fault_volts):
                low = self._through(devices, batteries, [r.high for r, _ in shorts], closed, [r.high for r, _ in parts], min(v.low for v in fault_volts))
        else:
            high = low = {d: (0.0, 0.0) for d in devices}
            open_refs = frozenset()
        limited = [(s, demands.greatest_push(book, s)) for s in sources if not book.is_a(s, "battery")]
        extra = sum((ALTERNATOR_SURGE if book.is_a(s, "alternator") else 1.0) * push.high for s, (push, _) in limited)
        for device in devices:
            if device not in high:
                continue
            self.found[device].append((max(low[device]), max(high[device]) + extra, states, ", ".join(batteries)))
            self.wants[device] |= open_refs | {w for _, (push, ws) in limited if not push.known for w in ws}

    def _through(self, devices: list[str], batteries: list[str], inner: list[float], closed: frozenset[int], each: list[float],
                 pressure: float) -> dict[str, tuple[float, float]]:
        """Per device, what its two sides push through it into a dead short at its other side."""
        book, network = self.book, self.book.network
        points: dict[str, int] = {_GROUND: 0}
        branches: list[Branch] = []

        def at(name: str) -> int:
            return points.setdefault(name, len(points))

        for battery, ohm in zip(batteries, inner, strict=True):
            meter = _meter(book, battery)
            branches.append(Branch(at(meter), at(network.terminal(battery, "positive") or battery), min(max(ohm, _LEAST), _MOST)))
        for meter in {_meter(book, b) for b in batteries} - {_GROUND}:
            branches.append(Branch(at(_GROUND), at(meter), resistance.SHUNT))
        numbers: dict[int, int] = {}
        for edge, ohm in zip(closed, each, strict=True):
            numbers[edge] = len(branches)
            branches.append(Branch(at(network.edges[edge].a), at(network.edges[edge].b), min(max(ohm, _LEAST), _MOST)))
        own = {d: [n for n in network.of[d] if n in numbers and network.edges[n].kind != "joint"] for d in devices}
        pushed: list[dict[Any, float]] = [{} for _ in points]
        for d, edges in own.items():
            for n in edges[:1]:
                for terminal in (network.edges[n].a, network.edges[n].b):
                    pushed[points[terminal]][d, terminal] = -1.0
                    pushed[0][d, terminal] = 1.0
        reach = self._grounded(len(points), branches)
        for node, one in enumerate(pushed):
            if node and node not in reach:
                for column in one:
                    pushed[0].pop(column, None)
                one.clear()
        currents = branch_currents(len(points), branches, pushed)
        tree = self._tree(branches)
        found: dict[str, tuple[float, float]] = {}
        for d, edges in own.items():
            for n in edges[:1]:
                sides = []
                for terminal in (network.edges[n].a, network.edges[n].b):
                    column, node = (d, terminal), points[terminal]
                    if node not in tree:
                        sides.append(0.0)
                        continue
                    volts_lost, here = 0.0, node
                    while here:
                        branch, up = tree[here]
                        flow = currents[branch].get(column, 0.0) * (1.0 if branches[branch].b == here else -1.0)
                        volts_lost += flow * branches[branch].resistance
                        here = up
                    share = abs(currents[numbers[n]].get(column, 0.0))
                    # Through the device comes what its other side pushes; its own resistance is left out: the fault may be at either terminal.
                    side = volts_lost / share - branches[numbers[n]].resistance if share > 1e-9 else INF
                    sides.append(pressure / max(side, _LEAST))
                found[d] = (sides[0], sides[1])
        return found

    @staticmethod
    def _grounded(count: int, branches: list[Branch]) -> set[int]:
        near: dict[int, list[int]] = {}
        for b in branches:
            near.setdefault(b.a, []).append(b.b)
            near.setdefault(b.b, []).append(b.a)
        seen, stack = {0}, [0]
        while stack:
            for other in near.get(stack.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    stack.append(other)
        return seen

    @staticmethod
    def _tree(branches: list[Branch]) -> dict[int, tuple[int, int]]:
        """Node to the branch and node one step nearer to ground."""
        near: dict[int, list[tuple[int, int]]] = {}
        for k, b in enumerate(branches):
            near.setdefault(b.a, []).append((k, b.b))
            near.setdefault(b.b, []).append((k, b.a))
        found: dict[int, tuple[int, int]] = {0: (-1, 0)}
        stack = [0]
        while stack:
            here = stack.pop()
            for k, other in near.get(here, ()):
                if other not in found:
                    found[other] = (k, here)
                    stack.append(other)
        return found


@fact("prospective-short", "protection")
def prospective_short(book: Book, device: str) -> Reading:
    """Largest fault current it may have to break, from either side."""
    every = book.memo("largest faults", lambda: _Largest(book))
    found = every.found.get(device, [])
    if not found:
        if not book.network.of.get(device):
            return book.open("prospective-short", device, "it is not wired", wants=book.open_wiring)
        return worked(Range(0.0, 0.0 if book.wiring_complete else INF), wants=book.open_wiring)
    top = max(found, key=lambda f: f[1])
    value = Range(max(f[0] for f in found), top[1] if book.wiring_complete else INF)
    if value.high < INF and value.high - value.low <= 1e-9 * value.high:
        value = Range(value.high, value.high)
    batteries = tuple(b for b in top[3].split(", ") if b)

    def working() -> tuple[Step, ...]:
        known = tuple((f"short-circuit current of {b}", amps(resistance.short_current(book, b)[0]), book.reading("short-circuit-current", b).how
                       if book.reading("short-circuit-current", b).gap is None else "planning value") for b in batteries)
        return (Step(f"largest fault current through {device}", "E / (internal resistance, leads out and back cold, devices), the worse side",
                     f"{amps(value)}, in {book.describe_states(top[2])}", "Ohm's law; planning values per 100 Ah where the maker states nothing", known),)

    # Chargers' part is in the upper end only; what they are rated for is asked only when it is not known.
    return worked(value, wants=every.wants[device] | book.open_wiring, uses={FactRef(b, "short-circuit-current") for b in batteries}, states=top[2],
                  through=batteries, working=working)


# ---- smallest -----------------------------------------------------------------------------------------------------------------------

class _Tree:
    """Ways from a point to the batteries of one group, drawn together: resistance from the point, and how current divides."""

    def __init__(self, ways: dict[str, tuple[int, ...]], start: str, book: Book) -> None:
        self.children: dict[str, dict[tuple[int, str], None]] = {}
        self.ends: dict[str, str] = {}
        for battery, edges in ways.items():
            here = start
            for edge in edges:
                link = book.network.edges[edge]
                other = link.b if link.a == here else link.a
                self.children.setdefault(here, {})[edge, other] = None
                here = other
            self.ends[here] = battery

    def order(self, near: str) -> list[str]:
        """Points, those nearest the batteries first."""
        found = [near]
        for here in found:
            if here not in self.ends:
                found += [other for _, other in self.children.get(here, ())]
        found.reverse()
        return found

    def below(self, edge: int) -> frozenset[Any]:
        """Edges and batteries behind an edge, seen from the fault."""
        found: set[Any] = set()
        stack = [other for arms in self.children.values() for e, other in arms if e == edge]
        while stack:
            here = stack.pop()
            if here in self.ends:
                found.add(self.ends[here])
                continue
            for e, other in self.children.get(here, ()):
                found.add(e)
                stack.append(other)
        return frozenset(found)


@dataclass(frozen=True, slots=True)
class Smallest:
    """One battery's way into a short at the far end.

    Attributes:
        battery, group: It, and those always joined with it.
        passing: Devices on its way, nearest to the fault first, and the current through each. [A]
        wants: Facts that would narrow it.
        loop: Whole resistance. [Ω]
        carried_by: Conductors on the way between the fault and the first device: the same short runs through them.
    """

    battery: str
    group: tuple[str, ...]
    passing: tuple[tuple[str, Range], ...]
    wants: frozenset[FactRef]
    loop: Range
    carried_by: tuple[str, ...] = ()


def smallest_of(book: Book, conductor: str) -> list[Smallest]:
    """Shorts at the far end of a conductor: per way a battery reaches the far end past a device."""

    def make() -> list[Smallest]:
        network = book.network
        found: list[Smallest] = []
        for n in network.of.get(conductor, ()):
            edge = network.edges[n]
            own, own_wants = _hot(book, n)
            for near in (edge.a, edge.b):
                if near in network.pole and not network.owner_is(near, "battery"):
                    continue
                groups = groups_at(book, near, conductor)
                for group, ways in groups.items():
                    found += _one_group(book, near, group, ways, own, own_wants)
        return found

    return book.memo(("smallest", conductor), make)


def groups_at(book: Book, near: str, without: str) -> dict[tuple[str, ...], dict[str, tuple[int, ...]]]:
    """Groups of batteries that are always joined, with their ways to a point that do not pass the conductor.

    A group that never comes there without another is left to that other one.
    """
    network, space = book.network, book.space
    found: dict[tuple[str, ...], dict[str, tuple[int, ...]]] = {}
    own = frozenset({without})
    sure: dict[tuple[str, ...], Any] = {}
    maybe: dict[tuple[str, ...], Any] = {}
    loose, tight = book.reach.spread((near,), sure=False, without=own), book.reach.spread((near,), sure=True, without=own)
    for battery in batteries_by(book, near):
        post = network.terminal(battery, "positive")
        if post not in loose:
            continue
        way = _way(book, near, frozenset({post or ""}), lambda n: _hot(book, n), book.everything, own, frozenset())
        if way is not None:
            kin = mates(book, battery)
            found.setdefault(kin, {})[battery] = way[2]
            maybe[kin] = maybe.get(kin, book.nothing) | loose.get(post or "", book.nothing)
            sure[kin] = sure.get(kin, book.nothing) | tight.get(post or "", book.nothing)
    for kin in list(found):
        if any(other != kin and other in found and space.empty(space.without(maybe[kin], sure[other])) and maybe[kin] != maybe[other] for other in sure):
            del found[kin]
    return found


def _one_group(book: Book, near: str, group: tuple[str, ...], ways: dict[str, tuple[int, ...]], own: Range,
               own_wants: frozenset[FactRef]) -> list[Smallest]:
    tree = _Tree(ways, near, book)
    wants = set(own_wants)
    inner: dict[str, Range] = {}
    pressure = INF
    for battery, edges in ways.items():
        inner[battery], asks = resistance.highest_resistance(book, battery)
        wants |= asks
        for e in edges:
            wants |= _hot(book, e)[1]
        pressure = min(pressure, FLOOR_PER_12 * resistance.blocs(book, battery).low)
    meters = {_meter(book, b) for b in ways}
    shunt = resistance.SHUNT if len(meters) == 1 and _GROUND not in meters else 0.0
    found: list[Smallest] = []
    for battery, edges in ways.items():
        devices = [e for e in edges if book.is_a(book.network.edges[e].element, "protection") and book.network.edges[e].kind != "joint"]
        if not devices:
            continue
        passing = []
        for e in devices:
            behind = tree.below(e)
            least, loop_high = _device_current(book, tree, near, inner, own, shunt, pressure, edges, e, behind, True)
            most, loop_low = _device_current(book, tree, near, inner, own, shunt, pressure, edges, e, behind, False)
            share, asks = share_of(book, e)
            wants |= asks
            passing.append((book.network.edges[e].element, Range(min(least, most) * share.low, max(least, most) * share.high)))
        before = [book.network.edges[e] for e in edges[:edges.index(devices[0])]]
        found.append(Smallest(battery, group, tuple(passing), frozenset(wants), Range(min(loop_low, loop_high), max(loop_low, loop_high)),
                              tuple(edge.element for edge in before if edge.kind == "conductor")))
    return found


def _device_current(book: Book, tree: _Tree, near: str, inner: dict[str, Range], own: Range, shunt: float, pressure: float, way: tuple[int, ...],
                    device: int, behind: frozenset[Any], least: bool) -> tuple[float, float]:
    """Least or most that passes a device: what is in line with it at one end of its range, what stands beside it at the other. Current, loop."""
    in_line = frozenset(way[: way.index(device) + 1]) | behind

    def ohm(value: Range, part: Any) -> float:
        return min(max(value.high if (part in in_line) == least else value.low, _LEAST), _MOST)

    conductance: dict[Any, float] = {}
    for here in tree.order(near):
        if here in tree.ends:
            battery = tree.ends[here]
            conductance[here] = 1 / ohm(inner[battery], battery)
            continue
        total = 0.0
        for e, other in tree.children.get(here, ()):
            conductance[e] = 1 / (ohm(_hot(book, e)[0], e) + 1 / conductance[other])
            total += conductance[e]
        conductance[here] = total
    loop = min(max(own.high if least else own.low, _LEAST), _MOST) + 1 / conductance[near] + shunt
    current, here = pressure / loop, near
    for e in way:
        current *= conductance[e] / conductance[here]
        link = book.network.edges[e]
        here = link.b if link.a == here else link.a
        if e == device:
            break
    return current, loop


def _multiple(book: Book, one: Smallest) -> tuple[Range, str, Range]:
    """Of the devices on one way, the one driven farthest over its rating: it opens first. Multiple, device, current."""
    best: tuple[Range, str, Range] | None = None
    for device, current in one.passing:
        rated = book.quantity("rating", device)
        value = Range(0.0 if rated.high == INF else current.low / rated.high, INF if rated.low <= 0 else current.high / rated.low)
        if best is None:
            best = (value, device, current)
        else:
            top = value.low > best[0].low
            best = (Range(max(value.low, best[0].low), max(value.high, best[0].high)), device if top else best[1], current if top else best[2])
    assert best is not None
    return best


def _along(book: Book, conductor: str) -> list[Smallest]:
    """Shorts at the far end of a conductor, and of all that hangs on it before another device: the run a device guards is as long as that."""

    def make() -> dict[str, list[Smallest]]:
        carried: dict[str, list[Smallest]] = {}
        for other in book.members("conductor"):
            for one in smallest_of(book, other):
                for through in one.carried_by:
                    carried.setdefault(through, []).append(one)
        return carried

    return [*smallest_of(book, conductor), *book.memo("shorts carried", make).get(conductor, ())]


@fact("far-end-multiple", "conductor")
def far_end_multiple(book: Book, conductor: str) -> Reading:
    """Smallest fault current at the far end of its run over the rating of the device on the way that opens first; the worst battery, state and end."""
    found = _along(book, conductor)
    if not found:
        return book.open("far-end-multiple", conductor, "no battery reaches it past a device", wants=book.open_wiring)
    judged = [(_multiple(book, one), one) for one in found]
    (multiple, device, current), worst = min(judged, key=lambda pair: pair[0][0].low)
    value = Range(multiple.low if book.wiring_complete else 0.0, min(pair[0][0].high for pair in judged))
    names = {name for one in found for name, _ in one.passing}
    ratings = [book.reading("rating", name) for name in names]
    wants = frozenset().union(*(one.wants for one in found), *(r.wants for r in ratings)) | book.open_wiring

    def working() -> tuple[Step, ...]:
        return (Step(f"smallest fault current at the far end of {conductor}", "floor voltage / (worn battery, copper out and back at 70 °C, devices, lugs)",
                     f"11.5 V per 12 V over {ohms(worst.loop)}: {amps(current)} through {device}, from {', '.join(worst.group)}", "Ohm's law"),
                Step(f"multiple of {device}", "current / rating", f"{amps(current)} / {amps(book.quantity('rating', device))} = {number(multiple)}", "physics"))

    return worked(value, wants=wants, uses={FactRef(name, "rating") for name in names}, through=(device, *worst.group), working=working)


@fact("overload-possible", "conductor")
def overload_possible(book: Book, conductor: str) -> Reading:
    """Whether a device that must open for it is rated above what it carries."""
    found = smallest_of(book, conductor)
    if not found:
        return book.open("overload-possible", conductor, "no battery reaches it past a device", wants=book.open_wiring)
    carries = book.reading("corrected-capacity", conductor)
    limit = carries.value if isinstance(carries.value, Range) else Range(0.0, INF)
    value = Truth.NO
    wants: set[FactRef] = set(carries.wants) | book.open_wiring
    through: tuple[str, ...] = ()
    for one in found:
        ratings = [(book.quantity("rating", name), name) for name, _ in one.passing]
        device = min(ratings, key=lambda pair: pair[0].high)[1]
        rating = book.reading("rating", device)
        rated = Range(min(r.low for r, _ in ratings), min(r.high for r, _ in ratings))
        if rated.low > limit.high * (1 + 1e-9):
            value, through = Truth.YES, (device,)
            break
        if rated.high > limit.low * (1 + 1e-9):
            value = Truth.UNKNOWN
            wants |= rating.wants
    if value is Truth.NO and not book.wiring_complete:
        value = Truth.UNKNOWN
    return worked(value, wants=wants, uses=carries.uses, through=through)
