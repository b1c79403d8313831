"""Bonds, returns, isolators, dials and links: worked by hand, and never turned over by knowing more."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.description.described import Thing
from linter.facts.book import Book
from tests.circuits import circuit, part
from tests.facts.test_law import MANY, check_readings, narrower, pairs

YES, NO, UNKNOWN = Truth.YES, Truth.NO, Truth.UNKNOWN
COPPER: dict[str, object] = {"area": 16e-6, "material": "copper", "insulation": 105}


def house(*routes: str, things: tuple[Thing, ...] = (), factory: dict[str, object] | None = None, complete: bool = True, **wires: dict[str, object]) -> Circuit:
    """A battery, a fuse of 100 A, a load, a bus, two chassis; negatives by bus."""
    parts = [part("B1", "battery"), part("F1", "fuse", rating=100, family="class T"), part("L1", "load", current=20), part("N1", "bus"), part("C1", "chassis"),
             part("C2", "chassis"), *things]
    told = [*routes, "B1 positive, 0 mm, F1, W1 1 m, L1 positive", "L1 negative, W2 1 m, N1", "N1, W3 1 m, B1 negative"]
    known: dict[str, dict[str, object]] = {name: {"factory": made} for name, made in (factory or {}).items()}
    for name, facts in wires.items():
        known[name] = {**known.get(name, {}), **facts}
    return circuit(parts, told, wires=known, complete=complete)


def value(made: Circuit, word: str, element: str) -> object:
    return Book(made).reading(word, element).value


@pytest.mark.parametrize(("routes", "factory", "count"), [
    ((), {}, (0, 0)),
    (("N1, W4 1 m, C1",), {}, (1, 1)),
    (("N1, W4 1 m, C1", "N1, W5 1 m, C1"), {}, (1, 1)),
    (("N1, W4 1 m, C1", "B1 negative, W5 1 m, C1"), {}, (2, 2)),
    (("N1, W4 1 m, C1", "B1 negative, W5 1 m, C1"), {"W4": True, "W5": True}, (1, 1)),
    (("N1, W4 1 m, C1", "B1 negative, W5 1 m, C1"), {"W4": True}, (2, 2)),
    # The metal of the other vehicle is no way on: two bonds, one on each.
    (("N1, W4 1 m, C1", "B1 negative, W5 1 m, C2", "C1, W6 1 m, C2"), {}, (1, 1)),
    # A lamp that returns over the metal is no bond; a load with both is one more way.
    (("N1, W4 1 m, C1", "L2 negative, W5 1 m, C1"), {}, (1, 1)),
    (("N1, W4 1 m, C1", "L1 negative, W5 1 m, C1"), {}, (2, 2)),
])
def test_bonds_are_counted(routes: tuple[str, ...], factory: dict[str, object], count: tuple[int, int]) -> None:
    assert value(house(*routes, things=(part("L2", "load"),), factory=factory), "bonds", "C1") == Range(*map(float, count))


def test_a_joint_is_the_maker_s_if_only_his_loom_goes_on_from_it() -> None:
    stud = (part("N2", "bus"),)
    twice = ("C1, 0 mm, N2", "N2, W5 1 m, B1 negative", "B1 negative, W4 1 m, C1")
    assert value(house(*twice, things=stud, factory={"W5": True, "W4": True}), "bonds", "C1") == Range(1.0, 1.0)
    assert value(house(*twice, things=stud, factory={"W4": True}), "bonds", "C1") == Range(2.0, 2.0)


def test_chassis_bond_and_its_energy() -> None:
    """Class T, 100 A, open after 0.05 s at six times: (600 A)² × 0.05 s = 18 000 A²s."""
    made = house("N1, W4 1 m, C1", W4=COPPER)
    assert value(made, "chassis-bond", "W4") is YES
    assert value(made, "chassis-bond", "W2") is NO
    energy = value(made, "bond-energy", "W4")
    assert isinstance(energy, Range) and energy.low == pytest.approx(18_000) and energy.high == pytest.approx(18_000)


def test_energy_of_a_breaker_is_that_of_the_slowest() -> None:
    """Glass: 120 s at twice, so 13.33 s at six times; 20 A: (120 A)² × 13.33 s = 192 000 A²s."""
    made = house("N1, W4 1 m, C1", "B1 positive, 0 mm, Q1, W9 1 m, L2 positive", things=(part("Q1", "breaker", rating=20), part("L2", "load")), W4=COPPER)
    energy = value(made, "bond-energy", "W4")
    assert isinstance(energy, Range) and energy.high == pytest.approx(192_000)


def test_return_by_wire_through_metal_or_not_at_all() -> None:
    lamp = (part("L2", "load"),)
    assert value(house("L2 negative, W5 1 m, C1", "N1, W4 1 m, C1", things=lamp), "returns-through-chassis", "L2") is YES
    assert value(house("L2 negative, W5 1 m, N1", "L2 negative, W6 1 m, C1", "N1, W4 1 m, C1", things=lamp), "returns-through-chassis", "L2") is NO
    assert value(house("L2 negative, W5 1 m, C1", things=lamp), "returns-through-chassis", "L2") is NO
    assert value(house("L2 negative, W5 1 m, C1", "N1, W4 1 m, C1", things=lamp, complete=False), "returns-through-chassis", "L2") is UNKNOWN


def test_leads_on_the_negative_post() -> None:
    other = (part("B2", "battery"), part("M1", "shunt"))
    made = house("B2 negative, W5 1 m, B1 negative", "B1 negative, 0 mm, M1", things=other)
    assert value(made, "leads-on-negative", "B1") == Range(2.0, 2.0)
    assert value(made, "leads-on-negative", "B2") == Range(0.0, 0.0)


def converter(*routes: str) -> Circuit:
    return house("B1 positive, W5 1 m, D1 in positive", "D1 out positive, W6 1 m, B2 positive", "B2 negative, W7 1 m, N1", *routes,
                 things=(part("B2", "battery"), part("D1", "converter", isolated=False)), W8=COPPER, W9=COPPER)


def test_what_joins_the_negatives_of_a_converter() -> None:
    """Two leads of 1 m, 16 mm²: 2 × 1.08 mΩ of copper at 20 °C, and their lugs, a tenth of a milliohm or so each."""
    both = converter("D1 in negative, W8 1 m, N1", "D1 out negative, W9 1 m, N1")
    joined = value(both, "common-negative-resistance", "D1")
    assert isinstance(joined, Range) and 2.1e-3 < joined.low <= joined.high < 3.2e-3
    assert value(both, "negatives-meet-outside", "D1") is YES
    apart = converter("D1 in negative, W8 1 m, N1", "D1 out negative, W9 1 m, L1 positive")
    assert value(apart, "common-negative-resistance", "D1") == Range(float("inf"), float("inf"))
    assert value(apart, "negatives-meet-outside", "D1") is NO
    alone = converter("D1 in negative, W8 1 m, N1")
    assert value(alone, "common-negative-resistance", "D1") == Range(0.0, 0.0)
    assert value(alone, "negatives-meet-outside", "D1") is NO


def test_the_metal_joins_but_not_as_a_wire() -> None:
    made = converter("D1 in negative, W8 1 m, N1", "D1 out negative, W9 1 m, C1", "N1, W4 1 m, C1")
    assert value(made, "negatives-meet-outside", "D1") is YES
    assert value(made, "common-negative-resistance", "D1") == Range(float("inf"), float("inf"))


def test_returns_of_a_plug() -> None:
    plug = part("X1", "coupling", between=("car", "van"), contacts=("a", "b", "c", "d"))
    loads = (part("L2", "load"), part("L3", "load"), plug)
    out = ("B1 positive, W10 1 m, X1 car a", "B1 positive, W11 1 m, X1 car b", "X1 car c, W12 1 m, N1", "X1 car d, W13 1 m, N1",
           "X1 van a, W14 1 m, L2 positive", "X1 van b, W15 1 m, L3 positive", "X1 van c, W16 1 m, L2 negative", "X1 van d, W17 1 m, L3 negative")
    assert value(house(*out, things=loads), "returns-joined", "X1 van") is NO
    assert value(house(*out, things=loads), "returns-joined", "X1 car") is YES
    assert value(house(*out, "L2 negative, W18 1 m, L3 negative", things=loads), "returns-joined", "X1 van") is YES
    assert value(house(*out, things=loads, complete=False), "returns-joined", "X1 van") is UNKNOWN


def test_vehicles_by_their_kind() -> None:
    things = (part("V1", "vehicle", vehicle_kind="trailer"), part("V2", "vehicle", vehicle_kind="launch"), part("V3", "vehicle", vehicle_kind="thing"),
              part("V4", "vehicle", vehicle_kind="thing", tows_behind=frozenset({"V1"})))
    book = Book(house(things=things))
    assert [book.truth_of("towed", v) for v in ("V1", "V2", "V3", "V4")] == [YES, NO, UNKNOWN, YES]
    assert [book.truth_of("craft", v) for v in ("V1", "V2", "V3")] == [NO, YES, UNKNOWN]


# ---- dials and isolators ------------------------------------------------------------------------------------------------------------------

def dial(*positions: tuple[str, object], more: tuple[str, ...] = (), things: tuple[Thing, ...] = ()) -> Book:
    joins = dict(positions)
    parts = [part("B1", "battery"), part("B2", "battery"), part("A1", "alternator"), part("N1", "bus"),
             part("K1", "selector", dial=list(joins), joins=joins, changes="make before break"), *things]
    routes = ["B1 positive, W1 0.5 m, K1 p", "B2 positive, W2 0.5 to 0.9 m, K1 q", "A1 positive, W3 1 m, K1 c", *more]
    return Book(circuit(parts, routes))


ONE, BOTH, TWO = ("one", (("c", "p"),)), ("both", (("c", "p", "q"),)), ("two", (("c", "q"),))
OFF, MORE_OFF, OPEN = ("off", ()), ("rest", ()), ("open", None)


@pytest.mark.parametrize(("positions", "between"), [
    ((ONE, BOTH, TWO, OFF), NO),
    ((ONE, OFF, TWO), NO),  # round the ring: one and two are neighbours
    ((ONE, OFF, TWO, MORE_OFF), YES),
    ((ONE, OFF, BOTH, MORE_OFF, TWO), YES),
    ((ONE, BOTH, TWO), NO),
    ((OFF, ONE), NO),
    ((ONE, OPEN, TWO, OFF, MORE_OFF), UNKNOWN),
    ((ONE, BOTH, TWO, OPEN), NO),
])
def test_off_between(positions: tuple[tuple[str, object], ...], between: Truth) -> None:
    assert dial(*positions).truth_of("off-between", "K1") is between


def test_a_dial_isolates_if_it_has_an_off() -> None:
    assert dial(ONE, BOTH, TWO, OFF).truth_of("isolates", "K1") is YES
    assert dial(ONE, BOTH, TWO).truth_of("isolates", "K1") is NO
    assert dial(ONE, OPEN).truth_of("isolates", "K1") is UNKNOWN


def test_strands_in_off_only_while_the_engine_runs() -> None:
    book = dial(ONE, BOTH, TWO, OFF)
    answer = book.relation("strands-in", "K1", None)
    assert book.describe_states(answer.yes) in ("K1 off, engine runs", "engine runs, K1 off")
    assert (answer.yes | answer.no) == book.everything
    fed = dial(ONE, BOTH, TWO, OFF, more=("A1 positive, W4 1 m, B1 positive",))
    assert fed.relation("strands-in", "K1", None).yes == fed.nothing


def test_isolator_distance() -> None:
    """A dial that in one position joins nothing to a stud cuts off what hangs on it, off or not; a plain switch does not count."""
    book = dial(ONE, TWO)
    assert book.quantity("isolator-distance", "B1") == Range(0.5, 0.5)
    assert book.quantity("isolator-distance", "B2") == Range(0.5, 0.9)
    plain = part("S1", "switch", isolator=False)
    far = Book(circuit([part("B1", "battery"), part("L1", "load"), plain], ["B1 positive, W1 1 m, S1, W2 1 m, L1 positive"]))
    assert far.quantity("isolator-distance", "B1") == Range(float("inf"), float("inf"))


def test_links_between_batteries() -> None:
    def book(closed: str, kind: str) -> Book:
        one = part("S1", kind, closed=closed) if kind == "relay" else part("S1", kind)
        return Book(circuit([part("B1", "battery"), part("B2", "battery"), one], ["B1 positive, W1 1 m, S1, W2 1 m, B2 positive"]))

    assert book("", "switch").truth_of("links-batteries", "S1") is YES
    assert book("", "relay").truth_of("links-batteries", "S1") is YES
    assert book("engine runs", "relay").truth_of("links-batteries", "S1") is NO
    assert dial(ONE, BOTH, TWO).truth_of("links-batteries", "K1") is NO


# ---- the law ------------------------------------------------------------------------------------------------------------------------------

SWITCHING = {"battery": ("isolator-distance", "leads-on-negative"), "selector": ("isolates", "off-between", "links-batteries"), "switch": ("links-batteries",),
             "relay": ("links-batteries",), "coupling-half": ("returns-joined",), "load": ("returns-through-chassis",),
             "converter": ("negatives-meet-outside", "common-negative-resistance")}


@MANY
@given(pairs())
def test_nothing_turns_over(pair: tuple[Circuit, Circuit, str]) -> None:
    before, after = Book(pair[0]), Book(pair[1])
    check_readings(before, after, SWITCHING, pair[2])
    for dial_ in before.members("selector"):
        one, two = before.relation("strands-in", dial_, None), after.relation("strands-in", dial_, None)
        assert before.space.inside(one.yes, two.yes) and before.space.inside(one.no, two.no), (pair[2], dial_)


def test_widening_the_negative_side_never_narrows() -> None:
    """Each fact of a bonded house taken away or widened, one at a time."""
    routes = ("N1, W4 1 m, C1", "B1 negative, W5 1 m, C1", "L2 negative, W6 1 m, C1")
    made = house(*routes, things=(part("L2", "load"),), factory={"W4": True, "W5": False}, W4=COPPER, W5=COPPER)
    words = (("bonds", "C1"), ("bond-energy", "W4"), ("bond-energy", "W5"), ("chassis-bond", "W4"), ("chassis-bond", "W6"), ("returns-through-chassis", "L2"),
             ("leads-on-negative", "B1"))
    full = Book(made, assume=False)
    for name, element in made.elements.items():
        for word in element.properties:
            fewer = {w: r for w, r in element.properties.items() if w != word}
            less = Book(replace(made, elements={**made.elements, name: replace(element, properties=fewer)}), assume=False)
            for asked, of in words:
                old, new = less.reading(asked, of), full.reading(asked, of)
                assert narrower(old, new), (name, word, asked, old.value, new.value)
    open_list = Book(replace(made, complete={"element": False}), assume=False)
    for asked, of in words:
        assert narrower(open_list.reading(asked, of), full.reading(asked, of)), asked
