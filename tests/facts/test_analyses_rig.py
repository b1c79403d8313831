"""The analyses beyond currents and drops, through the facts, on the honey trailer: the numbers of the practice notes, and what widens them."""

from __future__ import annotations

from functools import cache

import pytest

from linter.base.gap import FactRef
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_description import circuit_of
from linter.description.build import describe
from linter.facts.book import Book
from linter.facts.saying import whole_working
from tests.facts.test_electrical_rig import FIXTURE, rig


@cache
def changed(*pairs: tuple[str, str]) -> Book:
    """The honey trailer with some text put in place of other text."""
    text = FIXTURE.read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1, (old, text.count(old))
        text = text.replace(old, new)
    described, troubles = describe(text.encode(), "installation.yaml")
    assert described is not None and not troubles, troubles
    return Book(circuit_of(described)[0])


def near(value: Range, printed: str, slack: float = 0.5) -> None:
    """The value is known and rounds to what is printed; `slack` in units of the last digit."""
    digits = len(printed.partition(".")[2])
    assert value.known, value
    assert abs(value.low - float(printed)) <= slack * 10.0 ** -digits * 1.001, (value, printed)


BANK_AT = ("    floor voltage: 12.8 V\n    management system: yes\n", "    floor voltage: 12.8 V\n    usual voltage: {} V\n    management system: yes\n")


def bank_at(volts: str) -> tuple[str, str]:
    return BANK_AT[0], BANK_AT[1].format(volts)


# ---- N6 -----------------------------------------------------------------------------------------------------------------------------

def test_converter_inputs() -> None:
    book = rig()
    near(book.quantity("input-power", "D1"), "610.8")
    # The notes count ten lugs on the feed, the drawing has twelve and a plug contact more: 20.3 instead of 20.11 mΩ.
    near(book.quantity("input-voltage", "D1"), "11.42", 1.5)
    near(book.quantity("usual-input-voltage", "D1"), "12.95", 1.5)
    near(book.quantity("usual-input-current", "D1"), "47.2")
    near(book.quantity("usual-input-current", "D2"), "11.9")
    near(book.quantity("input-current", "D1"), "53.5")
    assert book.truth_of("hunts", "D1") is Truth.NO
    assert book.truth_of("hunts", "D2") is Truth.UNKNOWN
    assert {str(w) for w in book.reading("hunts", "D2").wants} == {"starts-above of D2", "stops-below of D2"}


THIN = (("  W11:        {size: 25 mm²", "  W11:        {size: 10 mm²"), ("  W12:        {size: 25 mm²", "  W12:        {size: 10 mm²"),
        ("  W12n:       {size: 25 mm²", "  W12n:       {size: 10 mm²"), ("  W21 W21n:   {size: 25 mm²", "  W21 W21n:   {size: 10 mm²"))


def test_a_thin_charge_link_hunts() -> None:
    book = changed(*THIN)
    near(book.quantity("input-voltage", "D1"), "9.50", 5)
    near(book.quantity("usual-input-voltage", "D1"), "11.40", 3)
    assert book.truth_of("hunts", "D1") is Truth.YES
    near(book.quantity("greatest-input-power", "D1"), "838", 9)


def test_a_converter_the_supply_cannot_carry() -> None:
    book = changed(*THIN, ("    output current at most: 40 A", "    output current at most: 60 A"))
    value = book.reading("input-voltage", "D1")
    assert value.value.high < 6.3  # type: ignore[union-attr]
    assert value.working is not None and "cannot carry" in value.working()[0].numbers
    assert book.truth_of("hunts", "D1") is Truth.YES


def test_an_upgraded_converter() -> None:
    book = changed(("    output current at most: 40 A", "    output current at most: 80 A"))
    near(book.quantity("input-voltage", "D1"), "10.06", 4)
    near(book.quantity("input-current", "D1"), "121.5", 4)
    near(book.quantity("usual-input-current", "D1"), "103.3", 3)
    near(book.quantity("alternator-load", "alternator"), "139.2", 3)


def test_the_extractor_cannot_be_told() -> None:
    # 9.52 to 10.40 V in the notes, which leave out F13 and the lugs and take the copper at 50 and 70 °C; here everything on the way is in it.
    value = changed(bank_at("12.9")).quantity("start-voltage", "extractor motor")
    assert abs(value.low - 9.52) < 0.25 and abs(value.high - 10.40) < 0.25
    assert value.low < 10.0 < value.high
    reading = changed(bank_at("12.9")).reading("start-voltage", "extractor motor")
    assert {str(w) for w in reading.wants} == {"internal-resistance of T1", "internal-resistance of T2"}
    assert "inverter" in reading.through


def test_a_measured_battery_settles_the_extractor() -> None:
    book = changed(bank_at("12.9"), ("    # Without its electronics. Its internal resistance nobody has measured yet.\n", "    internal resistance: 2.5 mΩ\n"))
    value = book.quantity("start-voltage", "extractor motor")
    assert value.known and value.low > 10.0
    worn = changed(bank_at("12.9"), ("    # Without its electronics. Its internal resistance nobody has measured yet.\n", "    internal resistance: 7 mΩ\n"))
    assert worn.quantity("start-voltage", "extractor motor").high < 10.0


def test_the_inverter_holds_up() -> None:
    value = rig().quantity("lowest-voltage", "inverter")
    assert abs(value.low - 11.38) < 0.04 and value.low > 11.0


# ---- N7, N13 ------------------------------------------------------------------------------------------------------------------------

def test_charge_arrives() -> None:
    book = rig()
    assert [book.quantity("charge-arriving", c) for c in ("D1", "D2", "solar controller", "shore charger")] == [Range(x, x) for x in (40, 10, 35, 25)]
    # A converter in the truck: its charge comes through ten metres of thin wire.
    far = changed(("    - D1 out positive, W25a 150 mm, F7, W25b 1.45 m, bank bar", "    - D1 out positive, W25a 9.05 m, F7, W25b 1.45 m, bank bar"),
                  ("    - D1 out negative, W25n 1.6 m, common negative bar", "    - D1 out negative, W25n 10.5 m, common negative bar"),
                  ("  W25a W25b W25n: {size: 16 mm²", "  W25a W25b W25n: {size: 10 mm²"), ("    rest voltage: 13.4 V", "    rest voltage: 13.2 V"))
    value = far.quantity("charge-arriving", "D1")
    assert value.high < 40 and value.low < 20.7 < value.high + 2


def test_a_bank_shares() -> None:
    book = rig()
    near(book.quantity("share-ratio", "T1"), "1.00")
    assert book.quantity("share-of-worst", "T1").high == pytest.approx(145.0, abs=0.05)
    # Bridged post to post, the loads at T1.
    ladder = changed(("    - T2 positive, W24a 185 mm, F6, W24b 0.615 m, bank bar", "    - T2 positive, W24a 150 mm, F6, W24b 0.15 m, T1 positive"),
                     ("    - T2 negative, W24n 0.8 m, bank negative bar", "    - T2 negative, W24n 0.3 m, T1 negative"))
    # Wire 0.36 mΩ in the notes, and here a class T fuse with its lugs.
    value = ladder.quantity("share-ratio", "T2")
    near(value, "1.15", 10)
    assert value.low > 1.1


# ---- N10, N12, N15, N21, N23 --------------------------------------------------------------------------------------------------------

def test_withstand() -> None:
    book = rig()
    near(book.quantity("withstand", "W34"), "82656")
    assert book.truth_of("outlasts-its-fuse", "W34") is Truth.NO
    assert book.quantity("opening-time", "W34").low > book.quantity("withstand-time", "W34").high
    near(book.quantity("withstand", "W25b"), "5234944")
    assert book.truth_of("outlasts-its-fuse", "W25b") is Truth.UNKNOWN
    for wire in ("W35", "W31", "W33", "W28", "W37", "W11"):
        assert book.truth_of("outlasts-its-fuse", wire) is Truth.YES, wire


def test_sun_when_hot() -> None:
    book = rig()
    near(book.quantity("hot-voltage", "P1"), "16.3")
    near(book.quantity("string-current", "P1"), "16.1")
    open_ = changed(("    power coefficient: -0.39 %/K\n", ""))
    value = open_.quantity("hot-voltage", "P1")
    assert value.low < 16.33 < value.high and [str(w) for w in open_.reading("hot-voltage", "P1").wants] == ["power-coefficient of P1"]


def test_alternator() -> None:
    book = rig()
    near(book.quantity("alternator-load", "alternator"), "83.1")
    near(book.quantity("alternator-share", "alternator"), "0.59")
    near(book.quantity("cruise-output", "alternator"), "105")
    near(book.quantity("idle-output", "alternator"), "70")
    near(book.quantity("idle-shortfall", "alternator"), "13.1")


def test_gas_and_heat() -> None:
    book = changed(("    cranking current: 800 A\n", "    cranking current: 800 A\n    limits charge voltage: yes\n"))
    near(Range(*(x * 3600 for x in (book.quantity("gas-flow", "B1").low, book.quantity("gas-flow", "B1").high))), "0.57")
    near(Range(*(x * 1e4 for x in (book.quantity("vent-opening-needed", "B1").low, book.quantity("vent-opening-needed", "B1").high))), "16.0")
    near(Range(*(x * 1e4 for x in (rig().quantity("vent-opening-needed", "B1").high,) * 2)), "47.9")
    assert rig().quantity("gas-flow", "T1") == Range(0, 0)
    near(book.quantity("heat-made", "D1"), "42.8")
    near(book.quantity("heat-made", "inverter"), "222")


def test_who_opens_first() -> None:
    book = rig()
    for device, multiple in (("F12", "1.5"), ("F13", "6.0"), ("F17", "3.0"), ("F16", "1.8")):
        near(book.quantity("upstream-multiple", device), multiple)
    assert book.truth_of("upstream-alike", "F16") is Truth.NO or book.truth_of("upstream-alike", "F16") is Truth.YES
    assert book.truth_of("upstream-alike", "F12") is Truth.YES and book.truth_of("upstream-alike", "F13") is Truth.NO
    assert book.quantity("upstream-multiple", "F4").low == float("inf")


# ---- N11 ----------------------------------------------------------------------------------------------------------------------------

def test_inrush() -> None:
    book = rig()
    # 5.61 mΩ in the notes; the drawing has the lugs of the bars' ends in it.
    near(Range(*(x / 1000 for x in (book.quantity("inrush-current", "inverter").low, book.quantity("inrush-current", "inverter").high))), "2.4")
    assert abs(book.quantity("inrush-melting", "inverter").high - 384) < 8
    assert abs(book.quantity("inrush-time", "inverter").high - 135e-6) < 3e-6
    near(book.quantity("precharge-time", "inverter"), "5.6")
    near(book.quantity("precharge-energy", "inverter"), "2.2")
    unread = changed(("    input capacitance: 24 mF\n", ""))
    assert [str(w) for w in unread.reading("inrush-current", "inverter").wants] == ["input-capacitance of inverter"]


# ---- N16, N17 -----------------------------------------------------------------------------------------------------------------------

# Hours a day, idling and what is usable stand in the file; the notes add the seasons, and reckon with 12.8 V and 13.2 V.
DAY = (
    ("conditions:\n", "conditions:\n  summer sun: 5.6 h\n  autumn sun: 3.2 h\n"
     "  winter sun: 0.9 h\n  sun yield: 70 %\n  drive a day: 1.5 h\n  shore a day: 8 h\n"),
    ("    rest voltage: 13.4 V\n", "    rest voltage: 13.2 V\n"),
    bank_at("12.8"),
)


def test_energy_over_a_day() -> None:
    book = changed(*DAY)
    used = book.quantity("daily-use", "T1")
    wh = 3600.0
    # D2's 5 mA stand on the bank in BOTH, and the inverter's 25 mA only with K2 on. Of loads whose average nobody stated only the most is known.
    assert abs(used.high / wh - 4780) < 3 and used.low < used.high
    averages = [FactRef(load, "average-power") for load in book.members("load") if book.reading("average-power", load).gap is not None]
    assert set(averages) & book.reading("daily-use", "T1").wants
    near(Range(*(x / wh for x in (book.quantity("usable-energy", "T1").low, book.quantity("usable-energy", "T1").high))), "2867")
    assert abs(book.quantity("days-in-reserve", "T2").low / 86400 - 0.60) < 0.005
    for season, over in (("summer", 887.0), ("autumn", -71.0), ("winter", -990.0)):
        assert abs(book.quantity(f"{season}-balance", "T1").low / wh - over) < 3, season


def test_storage() -> None:
    book = changed(*DAY)
    standing, days = book.quantity("standing-current", "T1"), book.quantity("storage-days", "T1")
    # 80 mA in the notes; D2's 5 mA join in BOTH.
    assert standing.low < 0.080 < standing.high < 0.0851
    assert days.low / 86400 < 63.6 < days.high / 86400 and days.low / 86400 > 60


# ---- N18, N20 -----------------------------------------------------------------------------------------------------------------------

THIN_CORE = ("  W21 W21n:   {size: 25 mm², sheath: conduit, passes: [drawbar, locker]}",
             "  W21 W21n:   {size: 25 mm², sheath: conduit, passes: [drawbar, locker]}\n"
             "  core:       {size: 2.5 mm², insulation: 70 °C, passes: drawbar, bundled with: 8}")


def test_lost_negative_of_the_charge_link() -> None:
    # D1 not isolated, contact 11 of the road socket tied to the common negative bar.
    d1 = "    isolated: {}\n    input voltage at least: 9 V\n    input voltage at most: 16 V\n    starts above: 12.0 V"
    book = changed(THIN_CORE, (d1.format("yes"), d1.format("no")),
                   ("  lift battery charging:\n", "  contact 11: [\"B1 negative, core 10.5 m, common negative bar\"]\n  lift battery charging:\n"))
    near(book.quantity("corrected-capacity", "core"), "8.4")
    # 5.6 times with D1's usual 47.2 A; at the low 12.5 V it asks more, and through the thin core more still.
    usual = book.quantity("usual-input-current", "D1").high / book.quantity("corrected-capacity", "core").low
    assert abs(usual - 5.6) < 0.051
    multiple = book.quantity("lost-return-multiple", "W12n")
    assert multiple.high >= 5.6 and multiple.low >= 5.6
    assert book.quantity("other-return-capacity", "W12n").high <= 8.5
    healthy = book.quantity("worst-current", "core")
    assert 3 < healthy.high < 7
    assert rig().quantity("lost-return-multiple", "W12n") == Range(0, 0)


def test_lost_negative_of_the_lift_link() -> None:
    # Lift bar bonded to the truck chassis, contact 3 to the trailer chassis.
    book = changed(THIN_CORE, ("  lift battery charging:\n",
                               "  contact 3: [\"lift negative bar, core 10.5 m, common negative bar\"]\n  lift battery charging:\n"))
    near(Range(*(85 / book.quantity("corrected-capacity", "core").low,) * 2), "10.1", 0.6)
    assert book.quantity("lost-return-multiple", "W17n").high >= 10.1
    assert rig().quantity("lost-return-multiple", "W17n") == Range(0, 0)


def test_one_battery_opens() -> None:
    book = rig()
    alone = book.quantity("current-if-mates-open", "T1")
    near(alone, "290.0")
    near(Range(*(alone.high / 150,) * 2), "1.93")
    near(Range(*(alone.high / 225,) * 2), "1.29")


def test_a_welded_relay() -> None:
    book = rig()
    answer = book.relation("live-if-welded-in", "R1", None)
    parted = book.space.of((("X1", frozenset({"parted"})),))
    # All states with the engine off; with those in which it runs anyway, 64 of the 64 parted states.
    assert book.describe_states(answer.yes) == "engine stopped"
    assert book.count(answer.yes & parted) == 32


def test_loops() -> None:
    book = rig()
    for charger in book.members("charger"):
        answer = book.relation("feeds-itself-in", charger, None)
        assert answer.yes == book.nothing and answer.no == book.everything, charger
    plugged = changed(("    title: runs from a farm socket\n", "    title: runs from the inverter's outlet\n    fed by: inverter\n"))
    answer = plugged.relation("feeds-itself-in", "shore charger", None)
    assert plugged.describe_states(answer.yes) == "shore connected, K2 on"


# ---- working ------------------------------------------------------------------------------------------------------------------------

def test_every_computed_quantity_shows_where_it_comes_from() -> None:
    """Formula in words, numbers put in, source; and how each input is known, where it rests on any."""
    book = rig()
    for element, thing in book.circuit.elements.items():
        for row in book.words_known.words_of(thing.kind):
            if row.sort != "fact" or row.dimension is None:
                continue
            for _, reading in book.readings(row.word, element):
                if reading.how != "worked out" or reading.gap is not None:
                    continue
                steps = whole_working(book, row.word, element, reading)
                assert steps and all(s.name and s.formula and s.numbers and s.source for s in steps), (row.word, element)
                assert any(s.known for s in steps) or not reading.uses - {FactRef(element, row.word)}, (row.word, element)
