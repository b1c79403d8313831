"""What a sound description says, typed: a small van in which everything sayable is said somewhere."""

from __future__ import annotations

import math
from pathlib import Path
from typing import ClassVar

import pytest

from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.description import keys
from linter.description.build import describe
from linter.description.described import Described, Route, Stop, Thing
from linter.facts.formulas.capacity import TABLES

VAN = Path(__file__).with_name("honey-shed-van.yaml")


@pytest.fixture(scope="module")
def van() -> Described:
    described, diagnostics = describe(VAN.read_bytes(), "van.yaml")
    assert not diagnostics
    assert described is not None
    return described


def thing(described: Described, name: str) -> Thing:
    return next(t for t in described.things if t.name == name)


def fact(described: Described, name: str, word: str) -> Reading:
    return thing(described, name).facts[word]


def route(described: Described, run: str, number: int = 0) -> Route:
    return [r for r in described.routes if r.run == run][number]


def said(stops: tuple[Stop, ...]) -> list[tuple[str, str, str]]:
    return [(s.sort, s.element, s.terminal) for s in stops]


def good(text: str) -> Described:
    described, diagnostics = describe(b"tugtest: 1\nlisted: so far\n" + text.encode(), "van.yaml")
    assert not diagnostics, diagnostics
    assert described is not None
    return described


def test_head(van: Described) -> None:
    """Title, packs, ladder, what is listed."""
    assert (van.title, van.file, van.packs, van.house_packs, van.capacity_by) == (
        "Honey-shed van",
        "van.yaml",
        ("low-voltage-basics",),
        ("../our-own",),
        "own formula",
    )
    assert van.listed == {"element": True, "hole": False}
    assert van.facts["system-voltage"].value == Range(12, 12)
    assert van.facts["coldest"].value == Range(-12, -12)
    assert van.facts["hottest"].how == "measured"
    assert (van.told["hottest"].on, van.told["hottest"].by, van.told["hottest"].using) == ("2026-07-30", "owner", "thermometer on the shelf")


def test_quantities_are_si(van: Described) -> None:
    """Ah become coulomb, mA ampere; "at least" is open at the top, "3 to 5" a range."""
    assert fact(van, "H1", "capacity").value == Range(105 * 3600, 105 * 3600)
    assert fact(van, "S1", "capacity").value == Range(60 * 3600, INF)
    assert fact(van, "H1", "short-circuit-current").value == Range(3000, 5000)
    assert fact(van, "lamp", "current").value == Range(0.4, 0.4)


def test_how_a_fact_is_known(van: Described) -> None:
    """Plain values are stated; a guess stays a value that says it is a guess."""
    assert fact(van, "H1", "capacity").how == "stated"
    assert fact(van, "H1", "charge-current-at-most").how == "maker's sheet"
    assert fact(van, "H1", "short-circuit-current").how == "guess"


def test_a_fact_knows_where_it_is_written(van: Described) -> None:
    """Line, column and pointer of the value."""
    span = fact(van, "H1", "short-circuit-current").at
    assert span is not None
    assert VAN.read_text(encoding="utf-8").splitlines()[span.line - 1][span.column - 1 :].startswith("3 to 5 kA")
    assert span.pointer == "/parts/H1/short-circuit current/is"


def test_asked_and_not_known_is_no_fact(van: Described) -> None:
    """A question mark gives no reading, and no default fills it."""
    assert "float-at-most" not in thing(van, "H1").facts
    assert "vented" not in thing(van, "shelf").facts
    assert "insulation" not in thing(van, "W3").facts
    assert fact(van, "W1", "insulation").value == Range(105, 105)
    assert thing(van, "W3").asked == {"insulation"}


def test_words_and_names(van: Described) -> None:
    """Choices, "or", several at once, short forms, protection codes."""
    assert fact(van, "S1", "chemistry").value == frozenset({"flooded lead-acid", "AGM lead-acid"})
    assert fact(van, "drawbar", "exposure").value == frozenset({"spray", "salt"})
    assert fact(van, "S1", "place-of").value == frozenset({"bonnet"})
    assert fact(van, "bonnet", "ambient").value == Range(80, 80)
    assert fact(van, "shelf", "living-space").value is Truth.NO
    assert fact(van, "lamp", "ingress").value == frozenset({"IP67"})
    assert fact(van, "van", "chassis-metal").value == frozenset({"steel"})
    assert fact(van, "cart", "tows-behind").value == frozenset({"van"})
    assert fact(van, "W1", "passes").value == frozenset({"bonnet", "shelf"})
    assert thing(van, "S1").title == 'starter, "the old one"'


def test_defaults_hold_unless_said(van: Described) -> None:
    """ "none" is a statement; a default never overrides one."""
    assert fact(van, "F1", "post-covers").value is Truth.NO
    assert fact(van, "F2", "post-covers").value is Truth.YES
    assert fact(van, "S1", "management-system").value is Truth.NO
    assert fact(van, "H1", "management-system").value is Truth.YES
    assert fact(van, "pump", "ignition-protected").value is Truth.NO
    assert fact(van, "W7", "material").value == frozenset({"copper"})


def test_like_takes_over_what_is_not_said(van: Described) -> None:
    """Through several steps; a title is never taken over."""
    assert fact(van, "F3", "rating").value == Range(40, 40)
    assert fact(van, "F3", "family").value == frozenset({"terminal cube"})
    assert (thing(van, "F3").kind, thing(van, "F3").title, thing(van, "F2").title) == ("fuse", "pump", "")


def test_what_a_fuse_breaks(van: Described) -> None:
    """Pairs of current and voltage, in one spelling."""
    assert fact(van, "F1", "breaks").value == frozenset({"10000 A at 14 V"})
    assert fact(van, "F2", "breaks").value == frozenset({"10000 A at 14 V", "2000 A at 58 V"})


def test_sizes_come_with_area_and_system(van: Described) -> None:
    """A size without a system is every size it may be."""
    area = fact(van, "W3", "area").value
    assert isinstance(area, Range)
    assert math.isclose(area.low, 13.3e-6, rel_tol=1e-3)
    assert fact(van, "W3", "size").value == frozenset({"6 AWG"})
    assert fact(van, "W3", "size-system-known").value is Truth.YES
    assert fact(van, "main link", "size-system-known").value is Truth.NO
    open_area = fact(van, "main link", "area").value
    assert isinstance(open_area, Range)
    assert open_area.low < open_area.high


def test_lengths(van: Described) -> None:
    """From the run or from the wires block; a question mark and silence are no length."""
    assert fact(van, "W1", "length").value == Range(2, 2.5)
    assert fact(van, "W3", "length").value == Range(0.3, 0.3)
    assert fact(van, "W11n", "length").value == Range(1, 1)
    assert "length" not in thing(van, "W3n").facts


def test_a_wire_like_another_keeps_its_own_length(van: Described) -> None:
    """Size and place are taken over, the length is not."""
    assert fact(van, "W11n", "size").value == frozenset({"6 mm auto"})
    assert fact(van, "W11n", "passes").value == frozenset({"drawbar"})


def test_selector_switch_relay(van: Described) -> None:
    """Dial words stay words; positions say which studs they join."""
    dial = thing(van, "K1")
    assert dial.dial == ("off", "one", "both", "two")
    assert dial.joins == {"off": (), "one": (("common", "one"),), "both": (("common", "one"), ("common", "two")), "two": (("common", "two"),)}
    assert dial.studs == ("common", "one", "two")
    assert thing(van, "K2").taken_as == "on"
    assert [(s.subject, s.stands) for s in thing(van, "R1").closed_when] == [("engine", "runs")]
    assert thing(van, "R2").closed_when == ()
    assert [(s.subject, s.stands) for s in thing(van, "D1").runs_when] == [("engine", "runs"), ("K2", "on")]
    assert [(s.subject, s.stands) for s in thing(van, "pump").barred_when] == [("X1", "mated")]


def test_coupling(van: Described) -> None:
    """Halves may differ; contacts that are not listed are those the runs name."""
    plug = thing(van, "X1")
    assert (plug.between, plug.contacts) == (("van", "cart"), ("positive", "negative"))
    assert plug.halves["cart"]["cap"].value is Truth.NO
    assert plug.facts["cap"].value is Truth.YES


def test_route(van: Described) -> None:
    """In order; a fuse told beside a bar is bolted onto it."""
    assert said(route(van, "charge", 1).stops) == [
        ("terminal", "S1", "positive"),
        ("joint", "", ""),
        ("device", "F1", ""),
        ("conductor", "W1", ""),
        ("device", "R1", ""),
        ("conductor", "W2", ""),
        ("terminal", "D1", "in positive"),
    ]
    assert said(route(van, "charge", 2).stops)[-3:] == [("device", "F2", ""), ("joint", "", ""), ("node", "bar", "stud")]
    assert said(route(van, "shed").stops)[:3] == [("node", "bar", "stud"), ("joint", "", ""), ("device", "F3", "")]


def test_a_route_in_brackets_is_one_route(van: Described) -> None:
    """YAML splits it at the commas; it is put together again."""
    assert said(route(van, "bank").stops) == [
        ("terminal", "H1", "positive"),
        ("conductor", "W4", ""),
        ("device", "K2", ""),
        ("joint", "", ""),
        ("terminal", "K1", "one"),
    ]


def test_every_stop_has_its_own_column(van: Described) -> None:
    """A diagnostic about the third item points at the third item."""
    line = VAN.read_text(encoding="utf-8").splitlines()
    for one in van.routes:
        for stop in one.stops:
            if stop.sort in ("conductor", "device"):
                assert line[stop.at.line - 1][stop.at.column - 1 :].startswith(stop.element)


def test_chassis_and_loose_ends_need_no_part(van: Described) -> None:
    """ "van chassis" is the vehicle's metal; a capped end is a point nobody else meets."""
    assert thing(van, "van chassis").kind == "chassis"
    assert thing(van, "van chassis").facts["vehicle-of"].value == frozenset({"van"})
    assert said(route(van, "dial", 1).stops)[-1] == ("node", "W6 capped end", "stud")
    assert thing(van, "W6 capped end").kind == "junction"


def test_constraints_and_papers(van: Described) -> None:
    """Together, apart, attested, departures, readings."""
    assert [[(s.subject, s.stands) for s in group] for group in van.together] == [[("engine", "runs"), ("R1", "closed")]]
    assert [[(s.subject, s.stands) for s in group] for group in van.apart] == [[("X1", "mated"), ("engine", "runs")], [("K1", "both"), ("shore", "connected")]]
    assert van.attested[0].of == ("F1", "W1", "X1 cart")
    assert (van.departures[0].practice, van.departures[0].element, van.departures[0].until) == ("fuse-close-to-source", "F1", "2027-01-31")
    assert van.readings[0].said["reads"] == "12.6 V"


def test_a_wire_nobody_describes_is_still_a_wire() -> None:
    """Its facts are not known, and that is all."""
    van = good("parts: {B1: {kind: battery}, L1: {kind: load}}\nruns: {feed: ['B1 positive, W1 1.2m, L1 positive']}\n")
    assert dict(thing(van, "W1").facts).keys() == {"length"}


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("everything", {"element": True}),
        ("so far", {"element": False}),
        ("everything except holes and fuses", {"element": True, "hole": False, "fuse": False}),
        ("{is: so far, except: [batteries]}", {"element": False, "battery": True}),
        ("{everything, except: [wires]}", {"element": True, "conductor": False}),
    ],
)
def test_what_is_listed(text: str, listed: dict[str, bool]) -> None:
    """Whether silence means "none"."""
    described, diagnostics = describe(f"tugtest: 1\nlisted: {text}\n".encode(), "van.yaml")
    assert not diagnostics
    assert described is not None
    assert described.listed == listed


def test_silence_about_the_list_is_never_completeness() -> None:
    """Promise 1: what nobody said is not known; the survey goes on."""
    described, diagnostics = describe(b"tugtest: 1\n", "van.yaml")
    assert described is not None
    assert described.listed == {"element": False}
    assert [d.kind for d in diagnostics] == ["listing-not-said"]


def test_a_position_that_does_not_say_what_it_joins() -> None:
    """It is None, not nothing; then the studs may have any name."""
    van = good("parts: {B1: {kind: battery}, K1: {kind: selector, dial: [on, off], joins: {off: none}}}\nruns: {feed: ['B1 positive, W1 1 m, K1 whatever']}\n")
    assert thing(van, "K1").joins == {"on": None, "off": ()}


def test_a_wire_with_a_name_of_two_words_in_a_row_of_wires() -> None:
    """As long a run of words as is a wire of some run."""
    van = good(
        "parts: {B1: {kind: battery}, b: {kind: bus}, L1: {kind: load}}\nruns: {feed: ['B1 positive, bar 1 0.2 m, b, W2 3 m, L1 positive']}\n"
        "wires: {bar 1 W2: {bar: yes}}\n"
    )
    assert all(fact(van, name, "bar").value is Truth.YES for name in ("bar 1", "W2"))


class TestIncludes:
    """Files brought in from the same folder."""

    MAIN = (
        b"tugtest: 1\nlisted: everything\ninclude: [truck/all.yaml]\n"
        b"parts:\n  L1: {kind: load, place: tray}\nruns: {feed: ['B1 positive, W1 1 m, L1 positive']}\n"
    )
    FILES: ClassVar[dict[str, bytes]] = {
        "truck/all.yaml": b"include: [places.yaml]\nsystem: 24 V\nparts: {B1: {kind: battery}}\n",
        "truck/places.yaml": b"places: {tray: {}}\n",
    }

    def test_names_are_shared(self) -> None:
        """A part of one file may sit in a place of another; each knows its file."""
        described, diagnostics = describe(self.MAIN, "home/van.yaml", self.FILES.get)
        assert not diagnostics
        assert described is not None
        assert [(t.name, t.at.file) for t in described.things] == [
            ("tray", "home/truck/places.yaml"),
            ("L1", "home/van.yaml"),
            ("B1", "home/truck/all.yaml"),
            ("W1", "home/van.yaml"),
        ]
        assert described.facts["system-voltage"].value == Range(24, 24)

    def test_a_file_that_lists_only_so_far_opens_the_whole_list(self) -> None:
        """Completeness is as weak as its weakest file."""
        described, _ = describe(self.MAIN, "van.yaml", (self.FILES | {"truck/places.yaml": b"listed: so far\nplaces: {tray: {}}\n"}).get)
        assert described is not None
        assert described.listed == {"element": False}

    def test_a_file_that_brings_itself_in(self) -> None:
        """Told once, read once."""
        _, diagnostics = describe(self.MAIN, "van.yaml", (self.FILES | {"truck/places.yaml": b"include: [../van.yaml, all.yaml]\nplaces: {tray: {}}\n"}).get)
        assert [(d.kind, d.at.column) for d in diagnostics] == [("include", 11), ("include", 24)]

    @pytest.mark.parametrize("path", ["../a.yaml", "/etc/a.yaml", "a/../../b.yaml", "c:a.yaml", "a\\b.yaml", "file:///a.yaml", ".", "truck/.."])
    def test_nothing_outside_the_folder_is_asked_for(self, path: str) -> None:
        """The fetcher is not even called."""
        asked: list[str] = []
        _, diagnostics = describe(f"tugtest: 1\nlisted: so far\ninclude: ['{path}']\n".encode(), "van.yaml", lambda p: asked.append(p) or b"")  # type: ignore[func-returns-value]
        assert [d.kind for d in diagnostics] == ["include"]
        assert not asked

    def test_more_files_than_are_read(self) -> None:
        """A bound, with its number."""
        names = ", ".join(f"f{n}.yaml" for n in range(30))
        _, diagnostics = describe(f"tugtest: 1\nlisted: so far\ninclude: [{names}]\n".encode(), "van.yaml", lambda p: b"places: {}\n")
        assert ["16 files" in d.headline for d in diagnostics] == [True]

    def test_a_name_in_two_files(self) -> None:
        """Told with the other place."""
        _, diagnostics = describe(self.MAIN, "van.yaml", (self.FILES | {"truck/places.yaml": b"places: {tray: {}, L1: {}}\n"}).get)
        assert [d.kind for d in diagnostics] == ["name-taken"]
        assert diagnostics[0].because[0].at is not None


def test_a_misspelt_section_is_told_once() -> None:
    """Nobody complains that what stands in it is described nowhere."""
    _, diagnostics = describe(
        b"tugtest: 1\nlisted: so far\npart:\n  B1: {kind: battery, place: locker}\nruns: {feed: ['B1 positive, W1 1 m, L1 positive']}\n", "van.yaml"
    )
    assert [(d.headline, d.remedy) for d in diagnostics] == [('"part" is no section of a description', "Did you mean parts?")]


def test_the_ladders_are_those_the_facts_know() -> None:
    """A description cannot choose a table nobody reads."""
    assert set(keys.LADDERS) == {"own formula", *TABLES}
