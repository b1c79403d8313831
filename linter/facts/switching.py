"""What joins and parts the two sides of an installation: bonds and returns on the negative, isolators, dials and links on the positive."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from itertools import combinations, product
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.truth import Truth, truth
from linter.base.values import INF, Range
from linter.facts import resistance
from linter.facts.formulas.tables import slow_edge
from linter.facts.plain import halves_of, whole_of
from linter.facts.protection import doubtful, ends_of
from linter.facts.registry import fact, relation
from linter.facts.relations import settled
from linter.facts.saying import amps, known_inputs, melting, times_said
from linter.facts.sides import side_of
from linter.facts.withstand import ROWS
from linter.facts.worked import in_some_state, worked
from linter.language.world import Answer, States

if TYPE_CHECKING:
    from linter.facts.book import Book

_AFLOAT = frozenset({"craft", "boat", "launch", "barge", "ship", "yacht", "tender", "canoe"})
_TOWED = frozenset({"trailer", "caravan", "semitrailer", "dolly"})
_SELF_MOVING = frozenset({"truck", "car", "van", "lorry", "bus", "coach", "tractor", "motorhome", "camper", "pick-up", "pickup"})
# At six times the rating the table of every family with a curve speaks; a short to the chassis near a battery is beyond it.
SHORT_MULTIPLE = 6.0
_COLD = Range(20.0, 20.0)
_MINUS = frozenset({-1})


def _by_kind(book: Book, word: str, vehicle: str, yes: frozenset[str], no: frozenset[str]) -> Reading:
    kinds = book.words("vehicle-kind", vehicle)
    if kinds and kinds <= yes:
        return worked(Truth.YES)
    if kinds and kinds <= no:
        return worked(Truth.NO)
    return book.open(word, vehicle, "its kind does not say")


@fact("craft", "vehicle")
def craft(book: Book, vehicle: str) -> Reading:
    """Whether it floats, by its kind, where nobody said."""
    return _by_kind(book, "craft", vehicle, _AFLOAT, _TOWED | _SELF_MOVING)


@fact("towed", "vehicle")
def towed(book: Book, vehicle: str) -> Reading:
    """Whether another vehicle tows it: it says which, or its kind says so, where nobody said."""
    if book.words("tows-behind", vehicle):
        return worked(Truth.YES)
    return _by_kind(book, "towed", vehicle, _TOWED, _SELF_MOVING | _AFLOAT)


def _metal(book: Book) -> frozenset[str]:
    return frozenset(book.members("chassis"))


def _posts(book: Book, pole: str = "negative") -> dict[str, str]:
    """Terminal of that pole to its battery."""
    return {t: b for b in book.network.batteries if (t := book.network.terminal(b, pole)) is not None}


def _met(book: Book, start: str, without: frozenset[str], *, sure: bool) -> frozenset[str]:
    """Batteries whose negative a terminal meets, with some elements taken out."""
    around = book.reach.joined((start,), sure=sure, without=without)
    return frozenset(battery for post, battery in _posts(book).items() if post in around)


def _far_end(book: Book, conductor: str) -> str | None:
    """Of a conductor with one end on a chassis, and one only: the terminal at its other end."""
    ends = ends_of(book, conductor)
    others = [t for t in ends if not book.network.owner_is(t, "chassis")]
    return others[0] if len(ends) == 2 and len(others) == 1 else None


@fact("chassis-bond", "conductor")
def chassis_bond(book: Book, conductor: str) -> Reading:
    """Whether one end is on the metal of a vehicle and the other, all such metal taken out, meets the negative of a battery."""
    far = _far_end(book, conductor)
    if far is None:
        known = len(ends_of(book, conductor)) == 2 or book.wiring_complete
        return worked(Truth.NO if known else Truth.UNKNOWN, wants=book.open_wiring)
    out = _metal(book) | {conductor}
    if _met(book, far, out, sure=True):
        return worked(Truth.YES)
    return worked(Truth.NO if book.wiring_complete and not _met(book, far, out, sure=False) else Truth.UNKNOWN, wants=book.open_wiring | doubtful(book))


@fact("bonds", "chassis")
def bonds(book: Book, chassis: str) -> Reading:
    """Places where one negative system meets a chassis: far ends of leads and joints on it that, all such metal taken out, meet one battery's
    negative; of several batteries the most. What the vehicle's maker laid counts as one place, however many there are. [1]"""
    network, metal = book.network, _metal(book)
    wants: set[FactRef] = set(book.open_wiring) | doubtful(book)
    loom = {sure: frozenset(c for c in book.members("conductor") if book.truth_of("factory", c) in ((Truth.YES,) if sure else (Truth.YES, Truth.UNKNOWN)))
            for sure in (True, False)}
    counted: dict[bool, float] = {}
    for sure in (True, False):
        near: dict[str, frozenset[str]] = {}
        ours: dict[str, bool] = {}
        for number, far in (link for stud in network.own(chassis) for link in network.at.get(stud, ())):
            edge = network.edges[number]
            lead = edge.element if edge.kind == "conductor" else ""
            wants |= book.reading("factory", lead).wants if lead else frozenset()
            met = frozenset() if network.owner_is(far, "chassis") else _met(book, far, metal | ({lead} if lead else frozenset()), sure=sure)
            near[far] = near.get(far, frozenset()) | met
            # Laid by us for sure, or perhaps: a joint is the maker's if only the maker's loom goes on from it.
            loose = loom[not sure]
            by_us = lead not in loose if lead else bool(_met(book, far, metal | loose, sure=sure))
            ours[far] = ours.get(far, False) or by_us
        groups = [[ours[far] for far, met in near.items() if battery in met] for battery in book.network.batteries]
        counted[sure] = float(max((sum(group) + (not all(group)) for group in groups), default=0))
    value = Range(min(counted[True], counted[False]), counted[False] if book.wiring_complete else INF)
    return worked(value, wants=wants)


def _slow(family: str) -> float:
    """Time by which a fuse has opened at six times its rating: past its table's last row the melting energy stays. Without a curve of its own,
    as slow as any; a thermal breaker, 100 s at twice its rating, is quicker than that. [s] Source: table fuse_time_current.
    """
    rows = [slow_edge(ROWS[family])] if family in ROWS else [slow_edge(row) for row in ROWS.values()]
    last = [[(m, t) for m, t in row if m <= SHORT_MULTIPLE * (1 + 1e-9)][-1] for row in rows]
    return max(t * (m / SHORT_MULTIPLE) ** 2 for m, t in last)


@fact("bond-energy", "conductor")
def bond_energy(book: Book, conductor: str) -> Reading:
    """Of a chassis bond: the most (6 × rating)² × opening time among the devices of the batteries it bonds, by the slow edge. [A²s]"""
    far = _far_end(book, conductor)
    if far is None:
        return book.open("bond-energy", conductor, "it ends on no vehicle's metal", wants=book.open_wiring)
    low, high, most = 0.0, 0.0, ""
    wants: set[FactRef] = set(book.open_wiring) | doubtful(book)
    uses: set[FactRef] = set()
    # Sure ways give the least there must be, possible ways the most there may be.
    reached: dict[bool, frozenset[str]] = {}
    for sure in (True, False):
        met = _met(book, far, _metal(book) | {conductor}, sure=sure)
        posts = tuple(t for t, b in _posts(book, "positive").items() if b in met)
        reached[sure] = frozenset(book.network.owner(t) for t in book.reach.joined(posts, sure=sure))
    for device in book.members("protection"):
        if device not in reached[False]:
            continue
        rating, family = book.reading("rating", device), book.reading("family", device)
        amount = rating.value if isinstance(rating.value, Range) else Range(0.0, INF)
        # A fuse whose family nobody read may be of any; a breaker opens as slowly as the slowest.
        families = book.words("family", device) or ({*ROWS, ""} if book.is_a(device, "fuse") else {""})
        times = [_slow(f) for f in families]
        wants |= rating.wants | (family.wants if book.is_a(device, "fuse") else frozenset())
        uses |= rating.uses | family.uses
        top = INF if amount.high == INF else (SHORT_MULTIPLE * amount.high) ** 2 * max(times)
        if top > high:
            high, most = top, device
        if device in reached[True]:
            low = max(low, (SHORT_MULTIPLE * amount.low) ** 2 * min(times))
    if not (book.wiring_complete and book.complete("protection")):
        high = INF
        wants |= set() if book.complete("protection") else {FactRef("", "every protection")}
    value = Range(min(low, high), high)

    def working() -> tuple[Step, ...]:
        if not most:
            return ()
        rated = book.quantity("rating", most)
        seconds = Range(0.0, INF) if rated.high == INF else Range(high / (SHORT_MULTIPLE * rated.high) ** 2, high / (SHORT_MULTIPLE * rated.high) ** 2)
        return (Step(f"melting energy {most} lets through {conductor} at six times its rating", "(6 × rating)² × opening time",
                     f"(6 × {amps(rated)})² × {times_said(seconds)} = {melting(value)}", "opening times of fuse families (table fuse_time_current)",
                     known_inputs(book, {FactRef(most, "rating"): rated})),)

    return worked(value, wants=wants, uses=uses, through=(most,) if most else (), working=working)


@fact("returns-through-chassis", "load")
def returns_through_chassis(book: Book, load: str) -> Reading:
    """Whether its negative comes home to a battery, alternator or charger's output only through the metal of a vehicle."""
    network = book.network
    start = network.terminal(load, "negative")
    if start is None:
        return book.open("returns-through-chassis", load, "its negative is not drawn")
    homes = {t for s in network.sources for word in ("negative", "out negative") if (t := network.terminal(s, word)) is not None}
    metal = _metal(book)

    def home(sure: bool, without: frozenset[str]) -> bool:
        return bool(homes & set(book.reach.joined((start,), sure=sure, without=without)))

    if home(True, metal):
        return worked(Truth.NO)
    if book.wiring_complete and not home(False, metal) and home(True, frozenset()):
        return worked(Truth.YES)
    return worked(Truth.NO if book.wiring_complete and not home(False, frozenset()) else Truth.UNKNOWN, wants=book.open_wiring | doubtful(book))


@fact("leads-on-negative", "battery")
def leads_on_negative(book: Book, battery: str) -> Reading:
    """Leads and bolted parts on its negative post; a lead or bar to another battery is not counted. [1]"""
    post = book.network.terminal(battery, "negative")
    if post is None:
        return book.open("leads-on-negative", battery, "its negative is not drawn")
    number = sum(not book.network.owner_is(far, "battery") for _, far in book.network.at.get(post, ()))
    return worked(Range(float(number), float(number) if book.wiring_complete else INF), wants=book.open_wiring)


def _negatives(book: Book, charger: str) -> tuple[str, str] | None:
    """Input and output negative of a charger, if something is joined to both outside it."""
    both = tuple(t for word in ("in negative", "out negative") if (t := book.network.terminal(charger, word)) is not None)
    used = [t for t in both if any(book.network.edges[n].element != charger for n, _ in book.network.at.get(t, ()))]
    return (used[0], used[1]) if len(used) == 2 else None


@fact("negatives-meet-outside", "converter", "solar-controller")
def negatives_meet_outside(book: Book, charger: str) -> Reading:
    """Whether its two negatives are joined in some state with itself taken out, vehicle metal counted."""
    ends = _negatives(book, charger)
    if ends is None:
        return worked(Truth.NO if book.wiring_complete else Truth.UNKNOWN, wants=book.open_wiring)
    own = frozenset({charger})
    sure, maybe = (book.reach.between(*ends, sure=is_sure, without=own) for is_sure in (True, False))
    return in_some_state(book, sure, maybe, wants=doubtful(book))


def _nearest(book: Book, start: str, goal: Callable[[str], Truth], cost: Callable[[int], Range], *, sure: bool, without: frozenset[str]) -> float:
    """Least cost from a terminal to one that meets a goal: the most it can be, over sure contacts to sure goals, or the least it can be."""
    network, gone = book.network, book.network.removed(without)
    queue, seen = [(0.0, start)], set[str]()
    while queue:
        far, here = heapq.heappop(queue)
        if here in seen:
            continue
        seen.add(here)
        found = goal(here)
        if found is Truth.YES or (found is Truth.UNKNOWN and not sure):
            return far
        for number, other in network.at.get(here, ()):
            if other not in seen and other not in gone and network.taken_by[number] not in without and network.closes(number, sure=sure):
                amount = cost(number)
                heapq.heappush(queue, (far + (amount.high if sure else max(0.0, amount.low)), other))
    book.spend(len(seen))
    return INF


@fact("common-negative-resistance", "converter")
def common_negative_resistance(book: Book, converter: str) -> Reading:
    """Resistance, at 20 °C and lugs counted, of the best wired way between its two negatives outside it, vehicle metal taken out; nought where
    only one of the two is used: then there is one negative, and nothing to join. [Ω]"""
    ends = _negatives(book, converter)
    if ends is None:
        return worked(Range(0.0, 0.0 if book.wiring_complete else INF), wants=book.open_wiring)
    wants: set[FactRef] = set(book.open_wiring) | doubtful(book)

    def cost(number: int) -> Range:
        amount, asked = resistance.edge_resistance(book, number, _COLD, bars=True)
        wants.update(asked)
        return amount

    out = _metal(book) | {converter}
    high, low = (_nearest(book, ends[0], lambda t: truth(t == ends[1]), cost, sure=sure, without=out) for sure in (True, False))
    return worked(Range(low if book.wiring_complete else 0.0, high), wants=wants)


@fact("returns-joined", "coupling-half")
def returns_joined(book: Book, half: str) -> Reading:
    """Whether two of its negative contacts meet on its own side, the coupling taken out. Negative is one whose nearest pole there is."""
    own = frozenset({whole_of(book, half), *halves_of(book, whole_of(book, half))})
    poles = {t: side_of(book, (t,), own) for t in book.network.own(half)}
    sure, maybe = book.nothing, book.nothing
    for one, two in combinations(poles, 2):
        signs = poles[one], poles[two]
        if all(s == _MINUS for s in signs):
            sure = sure | book.reach.between(one, two, sure=True, without=own)
        if all(not s or -1 in s for s in signs):
            maybe = maybe | book.reach.between(one, two, sure=False, without=own)
    return in_some_state(book, sure, maybe, wants=doubtful(book))


def _contacts(book: Book, switch: str, at: str | None = None) -> tuple[States, States]:
    """States in which a contact of a switch (on one of its terminals) is surely closed, and those in which one may be."""
    sure, maybe = book.nothing, book.nothing
    for number in book.network.of.get(switch, ()):
        edge = book.network.edges[number]
        if edge.kind != "joint" and (at is None or at in (edge.a, edge.b)):
            sure, maybe = sure | book.network.sure(number), maybe | book.network.maybe(number)
    return sure, maybe


def _opens(book: Book, selector: str, at: str | None = None) -> Truth:
    """Whether in some state no contact of a dial (on one of its studs) is closed."""
    if selector not in book.space.named:
        return Truth.UNKNOWN
    sure, maybe = _contacts(book, selector, at)
    return Truth.YES if maybe != book.everything else Truth.UNKNOWN if sure != book.everything else Truth.NO


@fact("isolates", "part")
def isolates(book: Book, part: str) -> Reading:
    """A switch, relay or breaker that is said to be the main isolator; a dial with a position that joins nothing."""
    if book.is_a(part, "selector"):
        return worked(_opens(book, part), wants=doubtful(book))
    if book.is_a(part, "switch") or book.is_a(part, "relay") or book.is_a(part, "breaker"):
        said = book.reading("isolator", part)
        return worked(said.value if isinstance(said.value, Truth) else Truth.UNKNOWN, wants=said.wants, uses=said.uses)
    return worked(Truth.NO)


@fact("isolator-distance", "battery")
def isolator_distance(book: Book, battery: str) -> Reading:
    """Wire between its positive post and the nearest isolator, or dial that in some position joins nothing to the stud it comes to. [m]"""
    network = book.network
    post = network.output(battery)
    if post is None:
        return book.open("isolator-distance", battery, "its positive is not drawn")
    wants: set[FactRef] = set(book.open_wiring) | doubtful(book)

    def goal(terminal: str) -> Truth:
        owner = network.owner(terminal)
        if network.is_a(owner, "selector"):
            return _opens(book, owner, terminal)
        said = book.reading("isolates", owner) if owner else None
        if said is None or not isinstance(said.value, Truth):
            return Truth.NO
        wants.update(said.wants)
        return said.value

    def cost(number: int) -> Range:
        if network.edges[number].kind != "conductor":
            return Range(0.0, 0.0)
        length = book.reading("length", network.edges[number].element)
        wants.update(length.wants)
        return length.value if isinstance(length.value, Range) else Range(0.0, INF)

    high, low = (_nearest(book, post, goal, cost, sure=sure, without=frozenset()) for sure in (True, False))
    return worked(Range(min(low, high) if book.wiring_complete else 0.0, high), wants=wants)


@relation("strands-in", "selector")
def strands_in(book: Book, selector: str, _: str | None) -> Answer:
    """A charger or alternator runs and no battery is on its output, and one would be were this dial, and nothing else, turned."""
    if selector not in book.space.named:
        return Answer(book.nothing, book.nothing)
    posts = book.network.outputs(book.network.batteries)
    backed = {sure: book.reach.spread(posts, sure=sure) for sure in (True, False)}
    lost, may = book.nothing, book.nothing
    for source in book.network.sources:
        output = book.network.output(source)
        if output is None or book.is_a(source, "battery") or book.is_a(source, "solar-array"):
            continue
        awake = {sure: book.reach.awake(source, sure=sure) for sure in (True, False)}
        held = {sure: backed[sure].get(output, book.nothing) for sure in (True, False)}
        lost = lost | (book.without(awake[True], held[False]) & book.space.forget(awake[True] & held[True], selector))
        may = may | (book.without(awake[False], held[True]) & book.space.forget(awake[False] & held[False], selector))
    return settled(book, lost if book.wiring_complete else book.nothing, may)


@fact("off-between", "selector")
def off_between(book: Book, selector: str) -> Reading:
    """Whether the positions that join something lie apart on the dial, so that every way from one to another passes one that joins nothing."""
    variable = book.space.named.get(selector)
    if variable is None:
        return book.open("off-between", selector, "its positions are not described")
    open_to: list[tuple[bool, ...]] = []
    for position in variable.values:
        here = book.space.of(((selector, frozenset({position})),))
        sure, maybe = _contacts(book, selector)
        live = (True,) if sure & here != book.nothing else (False,) if maybe & here == book.nothing else (True, False)
        open_to.append(live)
    if sum(len(live) for live in open_to) > len(open_to) + 8:
        return book.open("off-between", selector, "too many of its positions are not known", wants=doubtful(book))
    verdicts = set()
    for dial in product(*open_to):
        round_about = variable.ring and len(dial) > 2
        starts = sum(live and not (dial[n - 1] if n or round_about else False) for n, live in enumerate(dial))
        verdicts.add(starts > 1)
    return worked(truth(verdicts == {True}) if len(verdicts) == 1 else Truth.UNKNOWN, wants=doubtful(book))


@fact("links-batteries", "switchgear")
def links_batteries(book: Book, switch: str) -> Reading:
    """Whether, worked by hand, it joins two batteries that are apart without it. A relay that follows engine, sun or shore is not worked by
    hand; the joined position of a dial is judged as a position.
    """
    own = [n for n in book.network.of.get(switch, ()) if book.network.edges[n].kind != "joint"]
    named = {name for n in own for guard in book.network.edges[n].maybe for name, _ in guard}
    if book.is_a(switch, "selector") or (own and named and named <= {"engine", "sun", "shore"}):
        return worked(Truth.NO)
    out = frozenset({switch})
    sure, maybe = book.nothing, book.nothing
    posts = book.network.outputs(book.network.batteries)
    for one, two in combinations(posts, 2):
        sure = sure | book.without(book.reach.between(one, two, sure=True), book.reach.between(one, two, sure=False, without=out))
        maybe = maybe | book.without(book.reach.between(one, two, sure=False), book.reach.between(one, two, sure=True, without=out))
    return in_some_state(book, sure if book.wiring_complete else book.nothing, maybe, wants=doubtful(book))


