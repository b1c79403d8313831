"""Laws of the electrical facts on random small circuits: widening a fact never narrows a result; thicker, longer, hotter push the right way."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest

from linter.base.reading import Reading
from linter.base.values import INF, Range
from linter.circuit.model import Circuit, Element
from linter.facts.book import Book
from tests.circuits import circuit, known, part

WORDS = {"conductor": ("worst-current", "corrected-capacity", "far-end-multiple"), "protection": ("worst-current", "load-share", "usable-rating",
    "prospective-short"),
         "load": ("voltage-drop", "drop-share", "feed-current"), "battery": ("worst-current", "battery-short"), "bus": ("worst-current",),
         "charger": ("input-current",)}
# Not stated: these stand for an assumption that two batteries of one make are alike, which is not a stated fact.
KEPT = {"chemistry", "capacity", "material"}


def drawn(rng: random.Random) -> Circuit:
    """Two batteries on a bar, a third behind a switch, a converter from an engine battery, a few loads."""
    def wire() -> Mapping[str, object]:
        return {"area": rng.choice((2.5, 6, 16, 35, 70)) * 1e-6, "insulation": rng.choice((70, 90, 105)), "passes": "box", "material": "copper",
                "bundled_with": rng.choice((1, 2, 4))}
    lead = {"chemistry": "AGM lead-acid", "rest_voltage": 12.8, "floor_voltage": rng.choice((11.5, 12.0)), "short_circuit_current": rng.choice((2000, 3000)),
            "internal_resistance": rng.choice((0.008, 0.012)), "charge_current_at_most": 20}
    names = ["W1", "W2", "W3", "W4", "W5", "W6", "W7", "N1", "N2", "N3", "N4", "N5", "N6", "N7"]
    wires = {name: wire() for name in names}
    length = {name: rng.choice((0.3, 1.0, 2.5, 6.0)) for name in names}
    things = [part("box", "place", ambient=45), part("A", "battery", place_of="box", capacity=90 * 3600.0, **lead), part("B", "battery",
        place_of="box", capacity=90 * 3600.0, **lead),
              part("C", "battery", place_of="box", capacity=60 * 3600.0, **lead), part("ALT", "alternator", rated_output=90, voltage_varies=True,
                  output_voltage=12.6),
              part("D", "converter", isolated=rng.random() < 0.5, output_current_at_most=rng.choice((10, 30)), efficiency=0.9, absorption=14.4),
              part("L", "load", current=rng.choice((5, 40))), part("M", "load", current=rng.choice((8, 90))),
              part("F1", "fuse", family="terminal cube", rating=100, place_of="box"), part("F2", "fuse", family="terminal cube", rating=100, place_of="box"),
              part("F3", "fuse", family="class T", rating=150, place_of="box"), part("F4", "fuse", family="standard blade", rating=10, place_of="box"),
              part("S", "switch", isolator=False), part("bar", "bus"), part("minus", "bus")]
    def wired(name: str) -> str:
        return f"{name} {length[name]} m"

    routes = [f"A positive, {wired('W1')}, F1, 0 mm, bar", f"B positive, {wired('W2')}, F2, 0 mm, bar",
              f"bar, 0 mm, F3, {wired('W3')}, S, {wired('W4')}, C positive", f"bar, {wired('W5')}, L positive", f"bar, 0 mm, F4, {wired('W6')}, M positive",
              "ALT positive, 0 mm, C positive", f"C positive, {wired('W7')}, D in positive", "D out positive, 0 mm, bar",
              f"A negative, {wired('N1')}, minus", f"B negative, {wired('N2')}, minus", f"C negative, {wired('N3')}, minus",
              f"L negative, {wired('N4')}, minus", f"M negative, {wired('N5')}, minus", f"ALT negative, {wired('N6')}, minus",
              f"D in negative, {wired('N7')}, minus", "D out negative, 0 mm, minus"]
    return circuit(things, routes, wires=wires, facts={"coldest": -10, "hottest": 45, "system-voltage": 12})


def changed(made: Circuit, element: str, word: str, reading: Reading | None) -> Circuit:
    elements = dict(made.elements)
    old = elements[element]
    facts = {w: r for w, r in old.properties.items() if w != word}
    if reading is not None:
        facts[word] = reading
    elements[element] = Element(old.name, old.kind, old.title, facts, old.at)
    return Circuit(**{**made.__dict__, "elements": elements})


def answers(made: Circuit) -> dict[tuple[str, str], Range]:
    book = Book(made)
    return {(word, e): book.quantity(word, e) for kind, words in WORDS.items() for word in words for e in book.members(kind)}


def holds(outer: Range, inner: Range) -> bool:
    slack = 1e-6 * max(1.0, *(abs(x) for x in (inner.low, inner.high) if abs(x) != INF), 0.0)
    return outer.low <= inner.low + slack and outer.high >= inner.high - slack


@pytest.mark.parametrize("seed", range(25))
def test_widening_a_fact_never_narrows_a_result(seed: int) -> None:
    rng = random.Random(seed)
    made = drawn(rng)
    before = answers(made)
    facts = [(e, w) for e, element in made.elements.items() for w, r in element.properties.items() if isinstance(r.value, Range) and w not in KEPT]
    for element, word in rng.sample(facts, 6):
        value = made.elements[element].properties[word].value
        assert isinstance(value, Range)
        wide = Reading(Range(value.low * rng.uniform(0.5, 1), value.high * rng.uniform(1, 2)))
        after = answers(changed(made, element, word, wide))
        for key, inner in before.items():
            assert holds(after[key], inner), (element, word, key, inner, after[key])


@pytest.mark.parametrize("seed", range(25))
def test_leaving_a_fact_out_never_narrows_a_result(seed: int) -> None:
    rng = random.Random(1000 + seed)
    made = drawn(rng)
    before = answers(made)
    # A stated floor, rest voltage or short-circuit current outside what is believed of its chemistry is not drawn here; a rating or length is anything.
    facts = [(e, w) for e, element in made.elements.items() for w in element.properties
             if w in ("length", "area", "rating", "current", "output-current-at-most", "efficiency", "internal-resistance", "family", "insulation",
                 "passes", "ambient",
                      "floor-voltage", "rest-voltage", "output-voltage", "place-of", "absorption", "isolator")]
    for element, word in rng.sample(facts, 6):
        after = answers(changed(made, element, word, None))
        for key, inner in before.items():
            assert holds(after[key], inner), (element, word, key, inner, after[key])


@pytest.mark.parametrize("seed", range(15))
def test_thicker_and_longer_push_the_right_way(seed: int) -> None:
    rng = random.Random(2000 + seed)
    made = drawn(rng)
    before = answers(made)
    wire = rng.choice(("W5", "W6", "N4", "N5"))
    area = made.elements[wire].properties["area"].value
    length = made.elements[wire].properties["length"].value
    assert isinstance(area, Range) and isinstance(length, Range)
    thick = answers(changed(made, wire, "area", known(95e-6)))
    assert thick["corrected-capacity", wire].low >= before["corrected-capacity", wire].low
    for load in ("L", "M"):
        assert thick["voltage-drop", load].high <= before["voltage-drop", load].high + 1e-12
    longer = answers(changed(made, wire, "length", known(length.high * 2)))
    for load in ("L", "M"):
        assert longer["voltage-drop", load].high >= before["voltage-drop", load].high - 1e-12


def test_an_incomplete_list_leaves_currents_open() -> None:
    made = drawn(random.Random(3))
    book = Book(Circuit(**{**made.__dict__, "complete": {"element": False}}))
    assert book.quantity("worst-current", "W1").high == INF and book.reading("worst-current", "W1").wants


def test_two_batteries_alike_share_alike_without_any_figure() -> None:
    book = Book(circuit([part("A", "battery", chemistry="AGM lead-acid", capacity=90 * 3600.0), part("B", "battery", chemistry="AGM lead-acid",
        capacity=90 * 3600.0),
                         part("L", "load", current=100), part("bar", "bus")],
                        ["A positive, W1 1 m, bar", "B positive, W2 1 m, bar", "bar, W3 1 m, L positive"],
                        wires={"W1 W2 W3": {"area": 35e-6, "material": "copper"}}, facts={"system-voltage": 12}))
    assert book.quantity("worst-current", "W1").high == pytest.approx(50)
    assert book.quantity("worst-current", "W3") == Range(100, 100)


def test_a_load_fed_by_a_charger_alone() -> None:
    book = Book(circuit([part("A", "battery"), part("D", "converter", isolated=True, output_current_at_most=15), part("L", "load", current=20)],
                        ["A positive, W1 1 m, D in positive", "D out positive, W2 1 m, L positive", "A negative, N1 1 m, D in negative",
                            "D out negative, N2 1 m, L negative"],
                        wires={"W1 W2 N1 N2": {"area": 6e-6}}, facts={"system-voltage": 12}))
    assert book.quantity("worst-current", "W2") == Range(15, 15)
