"""The worked numbers of N1, N2, N3 and N19 on the reference rig."""

from __future__ import annotations

import pytest

from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.facts.protection import unprotected, unprotected_from
from linter.facts.turning import count_moves, entering
from tests.rig import CARRIES, FUSES, NEGATIVE, POSITIVE, rig, with_capacity


def holding(book: Book, *literals: tuple[str, str]) -> object:
    return book.space.of(tuple((name, frozenset({value})) for name, value in literals))


@pytest.fixture(scope="module")
def made() -> Circuit:
    return with_capacity(rig())


@pytest.fixture(scope="module")
def book(made: Circuit) -> Book:
    return Book(made)


def test_states(book: Book) -> None:
    assert book.count(book.everything) == 192
    assert book.count(holding(book, ("X1", "parted"))) == 64
    assert book.count(holding(book, ("X3", "parted"))) == 128


@pytest.mark.parametrize(
    ("half", "plug", "live", "words"),
    [("X1 flatbed", "X1", 32, "engine runs"), ("X1 trailer", "X1", 0, ""), ("X3 flatbed", "X3", 32, "K1 both"), ("X3 trailer", "X3", 64, "K2 on")],
)
def test_parted_contacts(book: Book, half: str, plug: str, live: int, words: str) -> None:
    parted = book.relation("parted-in", half, None).yes
    alive = book.relation("dead-in", half, None).no & parted
    assert book.count(alive) == live
    if live:
        said = book.describe_states(alive)
        assert words in said and f"{plug} parted" in said


def test_batteries_meet(book: Book) -> None:
    joined = book.relation("joined-with", "B2", "T1")
    assert book.count(joined.yes) == 8 and book.count(joined.no) == 184
    assert book.describe_states(joined.yes) == "K1 both, K2 on, X3 mated"
    assert book.reading("in-parallel", "T1").value is Truth.YES
    assert book.reading("in-parallel", "B2").value is Truth.NO


def test_isolator(book: Book) -> None:
    around = book.relation("bypassed-in", "K2", None)
    assert book.count(around.yes) == 8 and (around.yes | around.no) == book.everything
    assert book.describe_states(around.yes) == "K1 both, K2 off, X3 mated"
    assert (around.through[0] == "B2" and around.through[-1] == "load bar") or "load bar" in around.through


def test_brakes_always_fed(book: Book) -> None:
    assert book.relation("fed-in", "brakes", None).yes == book.everything
    assert book.relation("fed-from-own-vehicle-in", "lamps", None).yes == holding(book, ("K2", "on"))


def test_no_charger_without_battery(book: Book) -> None:
    for source in ("ALT", "D1", "D2", "SOL", "SHR"):
        alone = book.relation("awake-in", source, None).yes & book.relation("battery-backed-in", source, None).no
        assert alone == book.nothing, source
    assert book.reading("turns-safely", "K1").value is Truth.YES


def test_charging(book: Book) -> None:
    seven = book.nothing
    for charger in ("D1", "SOL", "SHR"):
        seven = seven | book.relation("charging", charger, "B2").yes
    assert book.count(seven) == 7
    assert book.count(book.relation("charging", "D2", "T1").yes) == 4


def test_unprotected(book: Book, made: Circuit) -> None:
    naked = {
        name: set(unprotected_from(book, name)) for name, e in made.elements.items() if e.kind == "conductor" and unprotected(book, name)[0] != book.nothing
    }
    naked.pop("Walt")
    assert naked == {"W23a": {"T1"}, "W24a": {"T2"}, "W25b": {"T1", "T2", "B2"}, "W17": {"B2"}, "W22": {"B2"}, "W34": {"T1", "T2", "B2"}}
    assert {name: book.count(unprotected(book, name)[0]) for name in ("W34", "W17", "W22", "W25b")} == {"W34": 104, "W17": 48, "W22": 16, "W25b": 192}
    for name in naked:
        sure, maybe = unprotected(book, name)
        assert sure == maybe
    assert book.describe_states(unprotected(book, "W17")[0]) == "K1 both"


def test_unfused_lengths(book: Book) -> None:
    for name, metres in {
        "W23a": 0.150,
        "W24a": 0.185,
        "W25b": 1.450,
        "W17": 8.2,
        "W22": 8.2,
        "W34": 2.8,
        "W32": 0.0,
        "W25a": 0.0,
        "W23b": 0.0,
        "W15": 0.0,
    }.items():
        value = book.quantity("unfused-length", name)
        assert value.low == pytest.approx(metres) and value.high == pytest.approx(metres), name
    assert book.quantity("battery-end-unfused", "W25b").high == pytest.approx(1.45)
    assert [book.quantity("battery-end-unfused", name) for name in ("W25a", "W14", "W26", "W27")] == [Range(0.0, 0.0)] * 4


def test_charger_leads(book: Book, made: Circuit) -> None:
    leads = {name for name, e in made.elements.items() if e.kind == "conductor" and book.truth_of("charger-lead", name) is Truth.YES}
    assert leads == {"W14", "W25a", "W25b", "W26", "W27"}


def test_parallel_devices(book: Book) -> None:
    assert book.quantity("through-current", "bar1") == Range(450.0, 450.0)
    assert book.quantity("through-current", "W23b") == Range(225.0, 225.0)
    assert book.quantity("through-current", "W16") == Range(350.0, 350.0)
    assert book.quantity("through-current", "W21") == Range(75.0, 75.0)
    assert book.quantity("through-current", "W12n") == Range(0.0, 0.0)


def test_both_ends(book: Book, made: Circuit) -> None:
    both = {name for name, e in made.elements.items() if e.kind == "conductor" and book.truth_of("fed-from-both-ends", name) is Truth.YES}
    # The alternator stands on B1's own post, and D2 and D1 pass nothing back.
    assert {"W17", "W22", "W15", "W23a", "W23b", "W24a", "W24b", "bar1", "bar2"} <= both
    assert not both & {"W11", "W12", "W21", "W13", "W14", "W16", "W25a", "W25b", "W34", "W31"}


def test_sides(book: Book, made: Circuit) -> None:
    for name, element in made.elements.items():
        if element.kind == "conductor":
            negative = name.endswith("n") or name in ("Wsl", "Wbond")
            assert book.truth_of("negative-side", name) is (Truth.YES if negative else Truth.NO), name
            assert book.truth_of("positive-side", name) is (Truth.NO if negative else Truth.YES), name
            assert book.truth_of("reversed", name) is Truth.NO, name
    for name in ("F1", "K1", "K2", "R1", "solar switch"):
        assert book.truth_of("negative-circuit", name) is Truth.NO
    assert book.truth_of("negative-circuit", "shunt") is Truth.YES


def test_returns(book: Book) -> None:
    for name, back in {
        "W12": "W12n",
        "W11": "W12n",
        "W21": "W21n",
        "W17": "W17n",
        "W22": "W22n",
        "W23b": "W23n",
        "W25b": "W25n",
        "W34": "W34n",
        "W32": "W32n",
    }.items():
        assert book.part("twin", name)[0] == back, name
    assert all(book.truth_of("has-other-return", name) is Truth.NO for name in ("W12n", "W21n", "W17n", "W22n", "W23n"))
    assert book.truth_of("has-own-return", "X1") is Truth.YES and book.truth_of("has-own-return", "X3") is Truth.YES
    assert [book.truth_of("metered", b) for b in ("B1", "B2", "T1", "T2")] == [Truth.NO, Truth.NO, Truth.YES, Truth.YES]
    assert book.truth_of("meets-common-negative", "cabinet") is Truth.YES and book.truth_of("meets-common-negative", "D1") is Truth.YES
    assert book.part("stub", "X3 flatbed")[0] == "W17" and book.part("stub", "X1 trailer")[0] == "W21"


def test_more_facts(book: Book) -> None:
    assert (
        book.truth_of("thinner-tap", "W34") is Truth.YES and book.truth_of("thinner-tap", "W33") is Truth.NO and book.truth_of("thinner-tap", "W32") is Truth.NO
    )
    assert book.quantity("strings-joined", "P1") == Range(3.0, 3.0)
    assert book.relation("feeding", "P1", "SOL").yes == book.everything and book.relation("feeding", "P1", "D1").no == book.everything
    assert (
        book.truth_of("two-way-duty", "F5") is Truth.YES
        and book.truth_of("two-way-duty", "F1") is Truth.NO
        and book.truth_of("two-way-duty", "F16") is Truth.YES
    )
    assert book.truth_of("live-unfused", "K1") is Truth.NO and book.truth_of("live-unfused", "F1") is Truth.YES
    assert (
        book.truth_of("between-vehicles", "X1") is Truth.YES and book.truth_of("lithium", "T1") is Truth.YES and book.truth_of("lead-acid", "B2") is Truth.YES
    )
    assert book.relation("attached-to", "W17", "K1").yes == book.everything and book.relation("attached-to", "W17", "X3").yes == book.everything
    assert book.quantity("limited-sum", "W26").high == pytest.approx(35) and book.quantity("limited-sum", "W25a").high == pytest.approx(40)


def test_moves(book: Book) -> None:
    assert count_moves(book.space) == 704
    joined = book.relation("joined-with", "B2", "T1").yes
    by = entering(book.space, joined)
    assert sum(by.values()) == 32
    assert by == {"K1": 16, "K2": 8, "X3": 8}


def test_fuse_moved_to_the_flatbed_end() -> None:
    routes = [r for r in (*POSITIVE, *NEGATIVE) if "W17 " not in r and "W22 " not in r and r != "load bar, 0 mm, F16"]
    routes += ["K1 trailer, 0 mm, F16, W17 4.2 m, X3 flatbed positive", "X3 trailer positive, W22 4 m, load bar"]
    book = Book(with_capacity(rig(routes=routes)))
    for name in ("W17", "W22"):
        assert {"T1", "T2"} <= set(unprotected_from(book, name)), name
        # Down the whole link, from the bar to the fuse by the selector.
        assert book.quantity("unfused-length", name).high == pytest.approx(8.2)
    parked = holding(book, ("X3", "parted"), ("K2", "on"))
    assert book.space.inside(parked, unprotected(book, "W22")[0])


def test_bars_replaced_by_cable() -> None:
    book = Book(with_capacity(rig(), CARRIES | {"bar1": 353.0, "bar2": 353.0}))
    assert unprotected(book, "bar1") == (book.nothing, book.nothing)
    assert book.quantity("through-current", "bar1") == Range(450.0, 450.0)


def test_mended() -> None:
    routes = [r for r in (*POSITIVE, *NEGATIVE) if "W34 " not in r and "W25a" not in r]
    routes += ["box, 0 mm, F21, W34 2.8 m, pump positive", "D1 out positive, W25b 1600 mm, F7, 0 mm, bank bar"]
    joins = {"flatbed": (("common", "flatbed"),), "trailer": (("common", "trailer"),), "off": ()}
    book = Book(with_capacity(rig(FUSES | {"F21": 15}, joins, routes)))
    naked = {name for name in book.members("conductor") if unprotected(book, name)[1] != book.nothing}
    assert naked == {"W23a", "W24a", "Walt"}
    assert book.relation("joined-with", "B2", "T1").yes == book.nothing
    assert book.relation("bypassed-in", "K2", None).yes == book.nothing


def test_open_list_never_says_no(made: Circuit) -> None:
    book = Book(with_capacity(rig(complete=False)))
    assert book.relation("joined-with", "B2", "T1").no == book.nothing
    assert book.relation("dead-in", "X1 trailer", None).yes == book.nothing
    assert book.quantity("unfused-length", "W15").high == float("inf")
    assert book.truth_of("fed-from-both-ends", "W11") is Truth.UNKNOWN
