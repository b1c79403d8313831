"""What stands at a charger's input, where raw sun stands, and the wind's pull, by hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.facts.settings import wind_pull
from tests.circuits import circuit, part


def barrow(panel: Mapping[str, Any] | None = None, *, complete: bool = True) -> Circuit:
    """A starter battery, a relay to a converter, a house battery, a panel behind a switch on a controller, and a lamp."""
    facts: dict[str, Any] = {"panel_length": 1.0, "panel_width": 0.5, "modules_in_series": 2, "strings_in_parallel": 1, **(panel or {})}
    things = [part("S", "battery"), part("H", "battery"), part("A", "alternator"), part("R", "relay", closed="engine runs"),
              part("D", "converter", isolated=True), part("P", "solar-array", **facts), part("Z", "switch"), part("K", "solar-controller", isolated=False),
              part("L", "load"), part("F", "fuse"),
              part("bar", "bus")]
    routes = ["A positive, 0 mm, S positive", "S positive, W1 1 m, R, W2 1 m, D in positive", "D out positive, W3 1 m, bar", "bar, W4 1 m, H positive",
              "P positive, W5 1 m, Z, W6 1 m, K in positive", "K out positive, W7 1 m, F, W8 1 m, bar", "bar, W9 1 m, L positive"]
    return circuit(things, routes, complete=complete)


def test_a_battery_is_on_an_input_when_the_relay_lets_it() -> None:
    """The starter battery reaches the converter's input in the states in which the engine runs, and in no other; the house battery never does."""
    book = Book(barrow())
    running = book.relation("awake-in", "A", None)
    found = book.relation("on-input", "S", "D")
    assert (found.yes, found.no) == (running.yes, running.no)
    assert book.relation("on-input", "H", "D").no == book.everything
    assert book.relation("on-input", "A", "D").yes == running.yes


def test_an_array_is_on_the_input_behind_its_switch() -> None:
    """The panel reaches the controller while the switch is on, whether or not the sun shines; it reaches no other charger."""
    book = Book(barrow())
    off = book.relation("open-in", "Z", None)
    found = book.relation("on-input", "P", "K")
    assert (found.yes, found.no) == (off.no, off.yes)
    assert book.relation("on-input", "P", "D").no == book.everything


def test_a_source_reaches_loads_on_its_own_side_of_a_converter() -> None:
    """The lamp hangs on the house battery's bar; the alternator is on the other side."""
    book = Book(barrow())
    assert book.relation("reaching", "H", "L").yes == book.everything
    assert book.relation("reaching", "A", "L").no == book.everything


def test_an_open_list_leaves_inputs_open() -> None:
    """With connections perhaps missing nothing is surely off an input; what is drawn still counts."""
    book = Book(barrow(complete=False))
    off = book.relation("open-in", "Z", None)
    found = book.relation("on-input", "P", "K")
    assert (found.yes, found.no) == (off.no, book.nothing)
    assert book.relation("on-input", "H", "D").no == book.nothing
    assert book.relation("reaching", "A", "L").no == book.nothing


def test_raw_sun_ends_at_the_controller() -> None:
    """Wires and switch ahead of the controller carry it; fuse and wires behind it, and the engine's relay, do not."""
    book = Book(barrow())
    assert {w: book.truth_of("solar-side", w) for w in ("W5", "W6", "Z")} == dict.fromkeys(("W5", "W6", "Z"), Truth.YES)
    assert {w: book.truth_of("solar-side", w) for w in ("W1", "W7", "W8", "F", "R")} == dict.fromkeys(("W1", "W7", "W8", "F", "R"), Truth.NO)
    loose = Book(barrow(complete=False))
    assert (loose.truth_of("solar-side", "W5"), loose.truth_of("solar-side", "W7")) == (Truth.YES, Truth.UNKNOWN)


def test_raw_sun_ends_at_a_battery_post() -> None:
    """An array straight on a battery makes its own wire a solar one, and not what hangs on the battery."""
    made = circuit([part("P", "solar-array"), part("B", "battery"), part("F", "fuse"), part("L", "load")],
                   ["P positive, W1 1 m, B positive", "B positive, W2 1 m, F, W3 1 m, L positive"])
    book = Book(made)
    assert [book.truth_of("solar-side", w) for w in ("W1", "W2", "W3", "F")] == [Truth.YES, Truth.NO, Truth.NO, Truth.NO]


def test_wind_on_a_square_metre() -> None:
    """½ × 1.2 × 36² × 1.3 = 0.6 × 1296 × 1.3 = 1010.88 N."""
    assert wind_pull(1.0) == pytest.approx(1010.88)
    found = Book(barrow()).reading("wind-load", "P")
    assert isinstance(found.value, Range)
    assert [found.value.low, found.value.high] == pytest.approx([1010.88, 1010.88])
    assert found.working is not None and "1 m²: 1011 N" in str(found.working()[0])


@pytest.mark.parametrize("word", ["panel-length", "panel-width", "modules-in-series", "strings-in-parallel"])
def test_wider_facts_give_a_wider_wind(word: str) -> None:
    """A range instead of a number gives a range around the result; nothing known, no upper end, and the fact is asked for."""
    key = word.replace("-", "_")
    exact = Book(barrow()).quantity("wind-load", "P")
    wide = Book(barrow({key: (0.5, 3.0)})).quantity("wind-load", "P")
    assert wide.low <= exact.low and exact.high <= wide.high and wide.low < wide.high
    open_ = Book(barrow({key: None})).reading("wind-load", "P")
    assert isinstance(open_.value, Range) and open_.value.high == INF
    assert FactRef("P", word) in open_.wants
