"""What a reading along a way may show, worked by hand; whether mains is aboard."""

from __future__ import annotations

import pytest

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from tests.circuits import circuit, part

WIRE = {"area": 35e-6, "material": "copper", "length": 4}
FACTS = {"system-voltage": 12}
ROUTES = ["B positive, 0 mm, F, W1 4 m, L positive", "L negative, N1 4 m, B negative"]


def drawn(wire: dict[str, object], routes: list[str] = ROUTES, *more: object, complete: bool = True) -> Circuit:
    things = [part("B", "battery", chemistry="AGM lead-acid", capacity=90 * 3600.0), part("F", "fuse", family="terminal cube", rating=100),
              part("L", "load", current=40), *more]
    wires = {name: wire for name in ("W1", "N1", "W2", "W3")}
    return circuit(things, routes, wires=wires, facts=FACTS, complete=complete)


def both(made: Circuit, load: str = "L") -> tuple[Range, Range]:
    book = Book(made)
    return book.quantity("least-loop-resistance", load), book.quantity("greatest-loop-resistance", load)


def test_by_hand() -> None:
    # Least: 2 · 3.7 m · 17.241/35 mΩ/m · 0.9607, and half of 0.4 mΩ. Greatest: 2 · 4.3 m · 0.554 mΩ/m · 1.13755 / 0.95, four joints of 0.2 mΩ,
    # and 2.5 times 0.4 mΩ.
    least, greatest = both(drawn(WIRE))
    assert least.known and greatest.known
    assert least.low == pytest.approx(3.70198e-3, rel=1e-5)
    assert greatest.low == pytest.approx(7.50499e-3, rel=1e-5)


def test_wider_length_is_wider() -> None:
    point, wide = both(drawn(WIRE)), both(drawn({**WIRE, "length": (3, 6)}))
    for one, other in zip(point, wide, strict=True):
        assert other.low < one.low and one.high < other.high


@pytest.mark.parametrize("missing", ["area", "material"])
def test_what_is_missing_is_asked_for(missing: str) -> None:
    book = Book(drawn({k: v for k, v in WIRE.items() if k != missing}))
    for word in ("least-loop-resistance", "greatest-loop-resistance"):
        found = book.reading(word, "L")
        point = Book(drawn(WIRE)).quantity(word, "L")
        assert isinstance(found.value, Range) and found.value.low <= point.low <= found.value.high
        assert not found.value.known
        assert {ref.word for ref in found.wants} & {missing, "size"}


def test_longest_way_counts() -> None:
    near = part("C", "battery", chemistry="AGM lead-acid", capacity=90 * 3600.0)
    dial = part("Z", "selector", dial=("far", "near"), joins={"far": (("a", "c"),), "near": (("b", "c"),)})
    routes = ["B positive, 0 mm, F, W1 4 m, Z a", "C positive, W2 0.5 m, Z b", "Z c, 0 mm, L positive", "L negative, N1 4 m, B negative",
              "C negative, 0 mm, B negative"]
    alone = both(drawn(WIRE, [ROUTES[0].replace("L positive", "Z a"), "Z c, 0 mm, L positive", ROUTES[1]],
                       part("Z", "selector", dial=("far", "off"), joins={"far": (("a", "c"),), "off": ()})))
    assert both(drawn({k: v for k, v in WIRE.items() if k != "length"}, routes, near, dial)) == alone


def test_cables_side_by_side_share() -> None:
    pair = ["B positive, 0 mm, F, W1 4 m, L positive", "F load, W2 4 m, L positive", ROUTES[1]]
    single, double = both(drawn(WIRE)), both(drawn(WIRE, pair))
    # The feed's copper and joints halve; fuse and return stay.
    assert double[0].low == pytest.approx(single[0].low - 0.5 * 1.75099e-3, rel=1e-5)
    assert double[1].low == pytest.approx(single[1].low - 0.5 * (2.852497e-3 + 0.4e-3), rel=1e-4)


def test_open_list_or_unknown_contact_is_no_number() -> None:
    dial = part("Z", "selector", dial=("one", "two"), joins={"one": (("a", "c"),), "two": None})
    routes = [*ROUTES, "F load, W2 1 m, Z a", "Z c, W3 1 m, L positive"]
    for made in (drawn(WIRE, complete=False), drawn(WIRE, routes, dial)):
        book = Book(made)
        for word in ("least-loop-resistance", "greatest-loop-resistance"):
            found = book.reading(word, "L")
            assert found.gap is not None and found.wants


def test_return_not_drawn() -> None:
    assert Book(drawn(WIRE, ROUTES[:1])).reading("greatest-loop-resistance", "L").gap is not None


def aboard(said: object, *more: object, complete: bool = True) -> Truth:
    facts = FACTS if said is None else {**FACTS, "mains-aboard": said}
    things = [part("B", "battery"), *more]
    return Book(circuit(things, ["B positive, W1 1 m, B negative"], facts=facts, complete=complete)).truth_of("mains-fitted", "")


def test_mains_fitted() -> None:
    assert aboard(False, part("V", "inverter")) is Truth.YES
    assert aboard(None, part("K", "shore-charger")) is Truth.YES
    assert aboard(True) is Truth.YES
    assert aboard(True, complete=False) is Truth.YES
    assert aboard(False) is Truth.NO
    assert aboard(None) is Truth.UNKNOWN
    assert aboard(False, complete=False) is Truth.UNKNOWN
