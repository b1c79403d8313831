"""Leads of chargers, runs of panels and the volts on a load, against cases worked by hand."""

from __future__ import annotations

import pytest

from linter.base.values import INF, Range
from linter.facts.book import Book
from tests.circuits import circuit, part

COPPER = {"material": "copper", "insulation": 105, "passes": "shed"}
# Metric table, class 5: 16 mm² 1.21 mΩ/m, 6 mm² 3.30 mΩ/m, at 20 °C; lugs 0.05 mΩ each.
WARMED_50 = 1 + 0.00393 * 30
WARMED_60 = 1 + 0.00393 * 40


def charger(length: object = 1.0, *, complete: bool = True, second: bool = False) -> Book:
    span = f"{length[0]} to {length[1]} m" if isinstance(length, tuple) else f"{length} m"
    things = [part("shed", "place", ambient=20), part("B", "battery", place_of="shed"),
              part("K", "shore-charger", output_current_at_most=25, absorption=14.4, equalises=False, place_of="shed")]
    routes = [f"K out positive, W {span}, B positive", "K out negative, V 1 m, B negative"]
    if second:
        things += [part("C", "battery", place_of="shed"), part("S", "switch")]
        routes += ["B positive, X 10 m, S, Y 10 m, C positive", "B negative, Z 20 m, C negative"]
    wires = {name: {"area": 16e-6, **COPPER} for name in ("W", "V", "X", "Y", "Z")}
    return Book(circuit(things, routes, wires=wires, complete=complete, facts={"system-voltage": 12}))


def test_volts_lost_on_the_leads_of_a_charger() -> None:
    # 25 A × 2 × (1.21 mΩ × 1.1179 + 2 lugs of 0.05 mΩ) = 72.6 mV, copper 30 K over 20 °C.
    value = charger().quantity("charge-lead-drop", "K")
    assert value.known and value.high == pytest.approx(25 * 2 * (1.21e-3 * WARMED_50 + 0.1e-3), rel=1e-6)
    assert charger().quantity("charge-lead-length", "K") == Range(1.0, 1.0)


def test_the_nearest_battery_counts() -> None:
    # Ten and ten metres further on there is another: it is not the one the charger sits by.
    assert charger(second=True).quantity("charge-lead-length", "K") == Range(1.0, 1.0)
    assert charger(second=True).quantity("charge-lead-drop", "K").high == pytest.approx(0.0726, abs=1e-4)


def test_a_length_that_is_a_range_and_wiring_that_is_not_complete() -> None:
    book = charger((1.0, 3.0))
    assert book.quantity("charge-lead-length", "K") == Range(1.0, 3.0)
    assert {str(w) for w in book.reading("charge-lead-drop", "K").wants} == {"length of W"}
    assert charger(complete=False).quantity("charge-lead-drop", "K") == Range(0.0, INF)


def panels(*, one: bool = False, current: object = 9.0) -> Book:
    """Two modules of 18 V and 9 A meet on a bar and go on through 4 m of 6 mm², out and back."""
    about = {"working_voltage": 18, "modules_in_series": 1, "strings_in_parallel": 1, "place_of": "roof"}
    things = [part("shed", "place", ambient=60), part("roof", "place", ambient=60), part("A", "solar-array", working_current=current, **about),
              part("K", "solar-controller", output_current_at_most=30, place_of="shed"),
              part("bar", "bus", place_of="roof"), part("minus", "bus", place_of="roof")]
    routes = ["A positive, A1 1 m, bar", "bar, T 4 m, K in positive", "A negative, A2 1 m, minus", "minus, U 4 m, K in negative"]
    if not one:
        things.append(part("D", "solar-array", working_current=9, **about))
        routes += ["D positive, D1 1 m, bar", "D negative, D2 1 m, minus"]
    wires = {name: {"area": 6e-6, **COPPER} for name in ("A1", "A2", "D1", "D2", "T", "U")}
    return Book(circuit(things, routes, wires=wires))


def test_loss_on_the_run_of_two_panels() -> None:
    # Own leads 2 × 1 m at 9 A, shared run 2 × 4 m at 18 A; copper at 60 °C: 2 × (9 × 3.92 + 18 × 15.38) mV = 0.624 V of 18 V.
    own, shared = 3.30e-3 * WARMED_60 + 0.1e-3, 4 * 3.30e-3 * WARMED_60 + 0.1e-3
    value = panels().quantity("panel-run-loss", "A")
    assert value.known and value.high == pytest.approx(2 * (9 * own + 18 * shared) / 18, rel=1e-6)
    assert value.high == pytest.approx(0.0347, abs=2e-4)
    alone = panels(one=True).quantity("panel-run-loss", "A")
    assert alone.high == pytest.approx(2 * 9 * (own + shared) / 18, rel=1e-6)


def test_a_working_current_that_is_not_known() -> None:
    book = panels(current=None)
    assert book.quantity("panel-run-loss", "A").high == INF
    assert "working-current" in {w.word for w in book.reading("panel-run-loss", "A").wants}


def lamp(**about: object) -> Book:
    facts = {"output_current_at_most": 20, "absorption": 14.4, "equalises": False} | about
    things = [part("B", "battery", rest_voltage=12.8, nominal_voltage=12), part("K", "shore-charger", nominal_voltage=12, **facts),
              part("L", "load", current=2, nominal_voltage=12), part("M", "load", current=2, nominal_voltage=12)]
    routes = ["K out positive, W 1 m, B positive", "K out negative, V 1 m, B negative", "B positive, X 1 m, L positive", "L negative, Y 1 m, B negative"]
    return Book(circuit(things, routes, facts={"system-voltage": 12}))


def test_volts_a_load_sees() -> None:
    assert lamp().quantity("feed-voltage-at-most", "L") == Range(14.4, 14.4)
    # Equalising is not told in volts: between the absorption and 16.2 V.
    assert lamp(equalises=True).quantity("feed-voltage-at-most", "L") == Range(14.4, 16.2)
    unset = lamp(absorption=None).reading("feed-voltage-at-most", "L")
    assert isinstance(unset.value, Range) and unset.value.high == 14.8 and {w.word for w in unset.wants} == {"absorption"}
    # Nothing reaches it.
    assert lamp().quantity("feed-voltage-at-most", "M") == Range(0.0, 0.0)
