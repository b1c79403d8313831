"""N8 and N9: the largest fault a device may have to break, and whether the weakest short at a wire's far end still opens it.

A short at a thing goes home by the return that is drawn; anywhere else every wire counts out and back (a return of the same length and size), and a
battery's shunt in its own way. Largest: cold, fresh, as much closed as may be closed together. Smallest: copper at 70 °C, worn, at floor voltage.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth
from linter.base.values import INF, Range, plus
from linter.circuit.states import TooManyStates
from linter.facts import resistance
from linter.facts.homeward import Home, home
from linter.facts.largest import GROUND, LEAST, MOST, Largest, meter, out_and_back
from linter.facts.protection import ends_of
from linter.facts.registry import fact
from linter.facts.saying import amps, number, ohms
from linter.facts.trunks import _no_cost, _way, batteries_by, count_banks, lone_edges, mates, share_of
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

HOT = Range(70.0, 70.0)
FLOOR_PER_12 = 11.5


def _one_way(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """An edge as the smallest fault sees it: hot, and with cables that lie beside it taking their part; where some other way round may, down to nothing."""

    def make() -> tuple[Range, frozenset[FactRef]]:
        found, wants = resistance.edge_resistance(book, edge, HOT)
        share, more = share_of(book, edge)
        low = found.low * share.low if edge in lone_edges(book) else 0.0
        return Range(low, found.high * share.high if share.high > 0 else 0.0), wants | more

    return book.memo(("hot", edge), make)


def _hot(book: Book, edge: int) -> tuple[Range, frozenset[FactRef]]:
    """The same, where no return is drawn: a wire counts out and back."""
    found, wants = _one_way(book, edge)
    return out_and_back(book, edge, found), wants


# ---- largest ------------------------------------------------------------------------------------------------------------------------

@fact("prospective-short", "protection")
def prospective_short(book: Book, device: str) -> Reading:
    """Largest fault current it may have to break, from either side."""
    every = book.memo("largest faults", lambda: Largest(book))
    if device in every.beyond:
        raise every.beyond[device].with_traceback(None)
    found = every.found.get(device, [])
    if not found:
        if not book.network.of.get(device):
            return book.open("prospective-short", device, "it is not wired", wants=book.open_wiring)
        return worked(Range(0.0, 0.0 if book.wiring_complete else INF), wants=book.open_wiring)
    top = max(found, key=lambda f: f[1])
    value = Range(max(f[0] for f in found), top[1] if book.wiring_complete else INF)
    if value.high < INF and value.high - value.low <= 1e-9 * value.high:
        value = Range(value.high, value.high)
    batteries, behind = book.memo(("behind shorts", top[3]), lambda: (
        some := tuple(b for b in top[3].split(", ") if b), frozenset(FactRef(b, "short-circuit-current") for b in some)))

    def working() -> tuple[Step, ...]:
        known = tuple((f"short-circuit current of {b}", amps(resistance.short_current(book, b)[0]), book.reading("short-circuit-current", b).how
                       if book.reading("short-circuit-current", b).gap is None else "planning value") for b in batteries)
        return (Step(f"largest fault current through {device}", "E / (internal resistance, leads out and back cold, devices), the worse side",
                     f"{amps(value)}, in {book.describe_states(top[2])}", "Ohm's law; planning values per 100 Ah where the maker states nothing", known),)

    # Chargers' part is in the upper end only; what they are rated for is asked only when it is not known.
    return worked(value, wants=every.wants[device] | book.open_wiring, uses=behind, states=top[2],
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
            for near, far in ((edge.a, edge.b), (edge.b, edge.a)):
                if near in network.pole and not network.owner_is(near, "battery"):
                    continue
                groups = groups_at(book, near, conductor)
                for group, ways in groups.items():
                    found += _one_group(book, near, group, ways, n, home(book, far, ways, lambda e: _one_way(book, e)))
        return found

    return book.memo(("smallest", conductor), make)


def _ways_from(book: Book, near: str, without: str) -> Iterator[tuple[str, tuple[int, ...], Any, Any]]:
    """Batteries with a way to a point that does not pass an element: battery, edges, and the states in which they may be joined, and surely are."""
    network = book.network
    posts = book.memo(("posts", network.part_of(near)),
                      lambda: {b: t for b in batteries_by(book, near) if (t := network.terminal(b, "positive")) is not None})
    edges = network.of.get(without, ())
    blocks = network.blocks
    if all(e in blocks.bridges for e in edges):
        # No way leads round it: what is on this side of it is reached as if it were there, the rest not at all.
        cuts = [(e, blocks.beyond(e, near)) for e in edges]
        for battery in count_banks(book, (b for b, t in posts.items() if all(blocks.beyond(e, t) is side for e, side in cuts))):
            loose, tight = (book.reach.spread((posts[battery],), sure=sure).get(near, book.nothing) for sure in (False, True))
            way = blocks.way(near, posts[battery])
            if way is not None and loose != book.nothing:
                yield battery, way, loose, tight
        return
    own = frozenset({without})
    count_banks(book, posts)
    around, certain = book.reach.spread((near,), sure=False, without=own), book.reach.spread((near,), sure=True, without=own)
    for battery, post in posts.items():
        if post not in around:
            continue
        found = _way(book, near, frozenset({post}), _no_cost, book.everything, own, frozenset())
        if found is not None:
            yield battery, found[2], around.get(post, book.nothing), certain.get(post, book.nothing)


def groups_at(book: Book, near: str, without: str) -> dict[tuple[str, ...], dict[str, tuple[int, ...]]]:
    """Groups of batteries that are always joined, with their ways to a point that do not pass the conductor.

    A group that never comes there without another is left to that other one.
    """
    space = book.space
    found: dict[tuple[str, ...], dict[str, tuple[int, ...]]] = {}
    sure: dict[tuple[str, ...], Any] = {}
    maybe: dict[tuple[str, ...], Any] = {}
    for battery, way, loose, tight in _ways_from(book, near, without):
        kin = mates(book, battery)
        found.setdefault(kin, {})[battery] = way
        maybe[kin] = maybe.get(kin, book.nothing) | loose
        sure[kin] = sure.get(kin, book.nothing) | tight
    for kin in list(found):
        if any(other != kin and other in found and space.empty(space.without(maybe[kin], sure[other])) and maybe[kin] != maybe[other] for other in sure):
            del found[kin]
    return found


def _one_group(book: Book, near: str, group: tuple[str, ...], ways: dict[str, tuple[int, ...]], last: int, back: Home | None) -> list[Smallest]:
    """The short at the end of an edge, fed by one group.

    Args:
        book: Of facts.
        near: The end of the edge the group comes to.
        group, ways: Batteries always joined, and the way of each that comes here.
        last: The edge.
        back: The return from its far end, where it ends on a thing with a negative of its own; else every wire counts out and back.
    """
    tree = _Tree(ways, near, book)

    def cost(edge: int) -> Range:
        return (_hot(book, edge) if back is None else _one_way(book, edge))[0]

    own = cost(last) if back is None else plus(cost(last), back.shared)
    wants = set(_hot(book, last)[1]) | (back.wants if back is not None else frozenset())
    inner: dict[str, Range] = {}
    pressure = INF
    for battery, edges in ways.items():
        inner[battery], asks = resistance.highest_resistance(book, battery)
        if back is not None:
            inner[battery] = plus(inner[battery], back.own[battery])
        wants |= asks
        for e in edges:
            wants |= _hot(book, e)[1]
        pressure = min(pressure, FLOOR_PER_12 * resistance.blocs(book, battery).low)
    meters = {meter(book, b) for b in ways}
    # A return that is drawn has the shunt in it.
    shunt = resistance.SHUNT if back is None and len(meters) == 1 and GROUND not in meters else 0.0
    found: list[Smallest] = []
    for battery, edges in ways.items():
        devices = [e for e in edges if book.is_a(book.network.edges[e].element, "protection") and book.network.edges[e].kind != "joint"]
        if not devices:
            continue
        passing = []
        alone = _lone_current(inner[battery], own, shunt, pressure, edges, cost) if len(ways) == 1 else None
        for e in devices:
            if alone is not None:
                (least, loop_high), (most, loop_low) = alone
                share, asks = share_of(book, e)
                wants |= asks
                passing.append((book.network.edges[e].element, Range(min(least, most) * share.low, max(least, most) * share.high)))
                continue
            behind = tree.below(e)
            least, loop_high = _device_current(book, tree, near, inner, own, shunt, pressure, edges, e, behind, cost, True)
            most, loop_low = _device_current(book, tree, near, inner, own, shunt, pressure, edges, e, behind, cost, False)
            share, asks = share_of(book, e)
            wants |= asks
            passing.append((book.network.edges[e].element, Range(min(least, most) * share.low, max(least, most) * share.high)))
        before = [book.network.edges[e] for e in edges[:edges.index(devices[0])]]
        found.append(Smallest(battery, group, tuple(passing), frozenset(wants), Range(min(loop_low, loop_high), max(loop_low, loop_high)),
                              tuple(edge.element for edge in before if edge.kind == "conductor")))
    return found


def _lone_current(inner: Range, own: Range, shunt: float, pressure: float, way: tuple[int, ...],
                  cost: Callable[[int], Range]) -> tuple[tuple[float, float], tuple[float, float]]:
    """As `_device_current` where one battery stands at the end of one way: everything is in line, and every device sees the same. Least and most."""
    found = []
    for least in (True, False):
        def ohm(value: Range, least: bool = least) -> float:
            return min(max(value.high if least else value.low, LEAST), MOST)

        conductance = 1 / ohm(inner)
        for e in reversed(way):
            conductance = 1 / (ohm(cost(e)) + 1 / conductance)
        loop = ohm(own) + 1 / conductance + shunt
        found.append((pressure / loop, loop))
    return found[0], found[1]


def _device_current(book: Book, tree: _Tree, near: str, inner: dict[str, Range], own: Range, shunt: float, pressure: float, way: tuple[int, ...],
                    device: int, behind: frozenset[Any], cost: Callable[[int], Range], least: bool) -> tuple[float, float]:
    """Least or most that passes a device: what is in line with it at one end of its range, what stands beside it at the other. Current, loop."""
    in_line = frozenset(way[: way.index(device) + 1]) | behind

    def ohm(value: Range, part: Any) -> float:
        return min(max(value.high if (part in in_line) == least else value.low, LEAST), MOST)

    conductance: dict[Any, float] = {}
    for here in tree.order(near):
        if here in tree.ends:
            battery = tree.ends[here]
            conductance[here] = 1 / ohm(inner[battery], battery)
            continue
        total = 0.0
        for e, other in tree.children.get(here, ()):
            conductance[e] = 1 / (ohm(cost(e), e) + 1 / conductance[other])
            total += conductance[e]
        conductance[here] = total
    loop = min(max(own.high if least else own.low, LEAST), MOST) + 1 / conductance[near] + shunt
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

    def make() -> tuple[dict[str, list[Smallest]], dict[int, TooManyStates]]:
        carried: dict[str, list[Smallest]] = {}
        beyond: dict[int, TooManyStates] = {}
        for other in book.members("conductor"):
            try:
                for one in smallest_of(book, other):
                    for through in one.carried_by:
                        carried.setdefault(through, []).append(one)
            except TooManyStates as many:
                # Its short may run through any wire of its part.
                beyond.setdefault(book.network.part_of(ends_of(book, other)[0]), many)
        return carried, beyond

    own = smallest_of(book, conductor)
    carried, beyond = book.memo("shorts carried", make)
    if beyond and (many := beyond.get(book.network.part_of((*ends_of(book, conductor), "")[0]))) is not None:
        raise many.with_traceback(None)
    return [*own, *carried.get(conductor, ())]


def _bare(book: Book, conductor: str) -> bool:
    """Whether some battery surely comes to an end of a conductor in some state, past no device and not by way of the conductor itself."""
    network = book.network
    for n in network.of.get(conductor, ()):
        for near in (network.edges[n].a, network.edges[n].b):
            for ways in groups_at(book, near, conductor).values():
                for way in ways.values():
                    states = book.everything
                    for e in way:
                        passes = network.edges[e].kind == "joint" or not book.is_a(network.edges[e].element, "protection")
                        states = states & network.sure(e) if passes else book.nothing
                    if states != book.nothing:
                        return True
    return False


@fact("far-end-multiple", "conductor")
def far_end_multiple(book: Book, conductor: str) -> Reading:
    """Smallest fault current at the far end of its run over the rating of the device on the way that opens first; the worst battery, state and end."""
    found = _along(book, conductor)
    if not found and book.wiring_complete and _bare(book, conductor):
        # A battery comes there past no device at all: nothing would open.
        return worked(Range(0.0, 0.0))
    if not found:
        return book.open("far-end-multiple", conductor, "no battery reaches it past a device", wants=book.open_wiring)
    judged = [(_multiple(book, one), one) for one in found]
    (multiple, device, current), worst = min(judged, key=lambda pair: pair[0][0].low)
    value = Range(multiple.low if book.wiring_complete else 0.0, min(pair[0][0].high for pair in judged))
    names = {name for one in found for name, _ in one.passing}
    ratings = [book.reading("rating", name) for name in names]
    wants = frozenset().union(*(one.wants for one in found), *(r.wants for r in ratings)) | book.open_wiring

    def working() -> tuple[Step, ...]:
        return (Step(f"smallest fault current at the far end of {conductor}", "floor voltage / (worn battery, copper out and home at 70 °C, devices, lugs)",
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
