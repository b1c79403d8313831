"""Every worked number of the analyses N4 to N23 that a formula gives, within half a unit of its last printed digit.

The rig's values are written out here by hand (lengths, sizes, ratings of the honey trailer), independent of any fixture.
Counts of states (N1, N2, N19) belong to the tests of reach and protection.
"""

from __future__ import annotations

import math
import re

import pytest

from linter.facts.formulas import capacity, copper, drop, faults, solar, storage

M = 1e-3
MM2 = 1e-6
AH = 3600.0
LUG, CLASS_T, CUBE_SMALL, CUBE_BIG, CONTACT, RELAY = 0.05 * M, 0.15 * M, 0.6 * M, 0.4 * M, 0.2 * M, 0.3 * M
CHARGE_FEED = CUBE_SMALL + RELAY + 2 * CONTACT + 10 * LUG
LINK = CUBE_BIG + 2 * CONTACT + 0.2 * M + 8 * LUG
RI_B1 = faults.cranking_resistance(800)
RI_B2 = faults.battery_resistance(12.8, faults.planned_current(75 * AH, 4000))
RI_T = faults.battery_resistance(13.6, 5600)
INVERTER = drop.constant_power_current(2000, 0.90, 11.0)
EXTRACTOR, EXTRACTOR_START, PUMP, CABINET, LAMPS, LIFT, LIFT_START, BRAKES = 45.0, 120.0, 9.0, 30.0, 4.0, 85.0, 160.0, 11.6
ROOM = EXTRACTOR + PUMP + CABINET + LAMPS
D1_POWER, D2_POWER = 40 * 14.2 / 0.93, 10 * 14.6 / 0.90
FULL = INVERTER + ROOM


def agrees(text: str, value: float, slack: float | None = None) -> None:
    """The leading number of `text` equals `value` to half a unit of its last digit."""
    found = re.search(r"-?\d+(?:\.(\d+))?(?:e(\d+))?", text)
    assert found
    printed = float(found[0])
    tolerance = slack if slack is not None else 0.5 * 10.0 ** (int(found[2] or 0) - len(found[1] or ""))
    assert abs(value - printed) <= tolerance * (1 + 1e-9) + 1e-12, f"{text}: worked out {value!r}"


def pair(length: float, area: float, temperature: float = 20.0) -> float:
    return copper.out_and_back(length, area * MM2, temperature)


def branch(ri: float, t: float = 20.0) -> float:
    return ri + pair(0.8, 70, t) + CLASS_T + 4 * LUG


def bank(ri: float, t: float = 20.0) -> float:
    return faults.parallel((branch(ri, t), branch(ri, t))) + 0.1 * M + 0.1 * M


def lift_leg(ri: float, t: float = 20.0) -> float:
    return ri + CUBE_BIG + pair(0.9, 70, t) + 4 * LUG


def lift_link(t: float = 20.0) -> float:
    return pair(8.2, 35, t) + LINK


def base(area: float, insulation: float, ambient: float) -> float:
    return capacity.own_base(area * MM2, insulation, ambient)


def test_n4_worst_current() -> None:
    agrees("202.0 A", INVERTER)
    agrees("88 A", ROOM)
    agrees("290.0 A", FULL)
    agrees("145.0 A", FULL / 2)
    agrees("173 A", ROOM + LIFT)
    agrees("5.36 mohm", lift_leg(RI_B2) / M)
    agrees("10.49 mohm", lift_link() / M)
    agrees("1.81 mohm", bank(RI_T) / M)
    agrees("51.0 A", storage.closing_current(13.3 - 12.4, lift_leg(RI_B2) + lift_link() + bank(RI_T)))
    agrees("1.93 times", FULL / 150)
    agrees("1.29 times", FULL / 225)
    volts = 12.6 - drop.drop(LIFT + ROOM, lift_leg(3 * RI_B2, 50))
    agrees("10.19 V", volts)
    agrees("9.17 V", volts - drop.drop(ROOM, lift_link(50)))


def test_n5_capacity() -> None:
    agrees("143.5 A", base(25, 105, 30))
    agrees("117.2 A", base(25, 105, 55))
    agrees("64.2 A", base(25, 105, 90))
    bundle = capacity.bundle_factor(4)
    agrees("91.6 A", capacity.corrected(base(35, 105, 50), bundle, capacity.buried_factor(0)))
    agrees("73.7 A", capacity.corrected(base(25, 105, 50), bundle, 1.0))
    agrees("82.9 A", base(25, 75, 50))
    agrees("353 A", base(120, 105, 45))
    for insulation, factor in ((60, "0.577"), (75, "0.745"), (90, "0.816"), (105, "0.856")):
        agrees(factor, capacity.heat_factor(insulation, 50))
    published = {0.823: 20, 1.3087: 25, 2.0809: 35, 3.3088: 45, 5.2612: 60, 8.3656: 80, 13.3018: 120, 21.1506: 160, 33.6308: 210,
                 42.4077: 245, 53.4751: 285, 67.4309: 330, 107.2193: 445}
    below = [1 - base(area, 105, 30) / amps for area, amps in published.items()]
    agrees("11 percent", 100 * min(below))
    agrees("21 percent", 100 * max(below))
    # The table itself, read from the file: the 105 °C column of the federal boat table.
    for area, amps in published.items():
        assert capacity.tabled_base("capacity_federal_boat.csv", area * MM2, 105, 30) == amps


@pytest.mark.parametrize(("name", "area", "insulation", "ambient", "printed"), [
    ("W11", 25, 105, 55, "117.2"), ("W21", 25, 105, 50, "122.9"), ("W13", 6, 105, 55, "46.7"), ("W14", 6, 105, 45, "51.1"), ("W15", 70, 105, 45, "249.4"),
    ("W17", 35, 105, 55, "145.6"), ("W22", 35, 105, 50, "152.7"), ("W25b", 16, 105, 45, "96.3"), ("W26", 10, 105, 45, "71.1"), ("W29", 1, 70, 45, "10.4"),
    ("W31", 95, 105, 45, "303.7"), ("W34", 2.5, 70, 45, "18.8"), ("W41", 4, 90, 70, "22.7"), ("W42", 16, 90, 70, "55.6")])
def test_n5_the_wire_table_of_the_rig(name: str, area: float, insulation: float, ambient: float, printed: str) -> None:
    agrees(printed, base(area, insulation, ambient))


def test_n6_drop_and_converter_input() -> None:
    loop = pair(10.5, 25, 50) + CHARGE_FEED
    agrees("18.31 mohm", pair(10.5, 25, 50) / M)
    agrees("20.11 mohm", loop / M)
    agrees("610.8 W", D1_POWER)
    for source, volts, amps in ((13.9, "12.95 V", "47.2 A"), (12.5, "11.42 V", "53.5 A")):
        found = drop.converter_input(D1_POWER, source, loop)
        assert found
        agrees(volts, found[0])
        agrees(amps, found[1])
    agrees("54.6 A", 0.75 * capacity.fuse_heat_factor(45) * 75)
    thin = pair(10.5, 10, 50) + CHARGE_FEED
    agrees("46.64 mohm", thin / M)
    for source, volts, amps in ((13.9, "11.40 V", "53.6 A"), (12.5, "9.50 V", "64.3 A")):
        found = drop.converter_input(D1_POWER, source, thin)
        assert found
        agrees(volts, found[0])
        agrees(amps, found[1])
    agrees("838 W", drop.greatest_power(12.5, thin))
    assert drop.converter_input(900, 12.5, thin) is None

    lift = drop.drop(LIFT, lift_link(50) + pair(1.2, 70, 50) + 2 * LUG)
    agrees("1.05 V", lift)
    agrees("8.8 percent", 100 * lift / 12)
    motor = drop.drop(EXTRACTOR + PUMP, pair(3.5, 16, 70)) + drop.drop(EXTRACTOR, pair(1.5, 16, 70))
    agrees("0.74 V", motor)
    agrees("6.2 percent", 100 * motor / 12)
    agrees("0.45 V", drop.drop(CABINET, pair(3.2, 10, 75)))
    agrees("0.46 V", drop.drop(LAMPS, pair(6.0, 2.5, 70)))
    agrees("0.34 V", drop.drop(BRAKES, pair(3.5, 6, 75) + CUBE_SMALL + 4 * LUG))
    inverter = drop.drop(INVERTER, pair(1.1, 95, 75) + CLASS_T + 4 * LUG)
    agrees("0.18 V", inverter)
    roof = drop.drop(28.8, pair(4.5, 16, 60)) + drop.drop(9.6, pair(1.5, 4, 60))
    agrees("0.53 V", roof)
    agrees("2.7 percent", 100 * roof / 19.8)

    worst, best = bank(3 * RI_T, 50), bank(RI_T, 50)
    agrees("10.16 V", 13.2 - drop.drop(LIFT_START + ROOM, worst) - drop.drop(LIFT_START, lift_link(50) + pair(1.2, 70, 50) + 2 * LUG))
    others = INVERTER + PUMP + CABINET + LAMPS
    feed = drop.drop(EXTRACTOR_START, pair(5.0, 16, 70)) + drop.drop(PUMP, pair(3.5, 16, 70))
    agrees("9.52 V", 12.9 - drop.drop(EXTRACTOR_START + others, worst) - feed)
    agrees("10.40 V", 12.9 - drop.drop(EXTRACTOR_START + others, best) - feed)
    agrees("11.38 V", 12.8 - drop.drop(FULL, worst) - inverter)
    agrees("0.88 V", drop.drop(5, copper.out_and_back(9, 1.84 * MM2, 30)))
    agrees("0.46 V", drop.drop(5, pair(9, 4, 30)))
    assert drop.warm_copper(45, 105) == 75 and drop.warm_copper(45, 70) == 70


def test_n7_charge_that_arrives() -> None:
    out = pair(1.6, 16, 50) + CUBE_SMALL + 4 * LUG
    agrees("5.13 mohm", out / M)
    agrees("148 A", drop.charge_that_arrives(1e9, 14.2, 13.2, out, branch(RI_T, 50) / 2))
    assert drop.charge_that_arrives(40, 14.2, 13.2, out, branch(RI_T, 50) / 2) == 40
    agrees("20.7 A", drop.charge_that_arrives(40, 14.2, 13.2, pair(10.5, 10, 50) + CHARGE_FEED, branch(RI_T, 50) / 2))


def test_n8_largest_fault() -> None:
    agrees("3.50 mohm", RI_B1 / M)
    agrees("4.27 mohm", RI_B2 / M)
    agrees("2.43 mohm", RI_T / M)
    agrees("3.7 kA", faults.fault_current(12.8, RI_B1) / 1000)
    agrees("3.0 kA", faults.fault_current(12.8, RI_B2) / 1000)
    agrees("5.6 kA", faults.fault_current(13.6, RI_T) / 1000)
    one = branch(RI_T)
    agrees("3.21 mohm", one / M)
    bank_bar = one / 2 + 0.1 * M
    load_bar = bank_bar + 0.1 * M
    agrees("8.0 kA", faults.fault_current(13.6, bank_bar) / 1000)
    agrees("7.5 kA", faults.fault_current(13.6, load_bar) / 1000)
    agrees("0.71 kA", faults.fault_current(13.6, load_bar + pair(2.5, 6) + CUBE_SMALL + 4 * LUG) / 1000)
    agrees("2.1 kA", faults.fault_current(13.6, load_bar + pair(1.0, 10) + CUBE_SMALL + 4 * LUG) / 1000)
    agrees("2.5 kA", faults.fault_current(13.6, bank_bar + pair(1.45, 16) + 4 * LUG) / 1000)
    unstated = faults.battery_resistance(13.6, faults.planned_current(140 * AH, faults.PLANNING["lithium iron phosphate"][1]))
    agrees("0.97 mohm", unstated / M)
    agrees("13.9 kA", faults.fault_current(13.6, branch(unstated) / 2 + 0.1 * M) / 1000)
    for n, text in ((1, "4.1 kA"), (3, "11.6 kA"), (4, "15.1 kA")):
        agrees(text, faults.fault_current(13.6, faults.parallel((one,) * n) + 0.1 * M) / 1000)


def test_n9_smallest_fault() -> None:
    source = bank(3 * RI_T, 70)
    agrees("4.28 mohm", source / M)
    box = source + pair(3.5, 16, 70) + CUBE_SMALL + 4 * LUG
    pump = faults.fault_current(11.5, box + pair(2.8, 2.5, 70) + 4 * LUG)
    agrees("167 A", pump)
    agrees("2.2 times", pump / 75)
    agrees("11.1 times", pump / 15)
    motor = faults.fault_current(11.5, box + pair(1.5, 16, 70) + 2 * LUG)
    agrees("585 A", motor)
    agrees("7.8 times", motor / 75)
    link = faults.fault_current(11.5, source + lift_link(70))
    agrees("695 A", link)
    agrees("5.6 times", link / 125)
    back = faults.fault_current(11.5, lift_leg(3 * RI_B2, 70) + lift_link(70))
    agrees("438 A", back)
    agrees("1.9 times", back / 225)
    agrees("3.50 times", back / 125)
    feed = faults.fault_current(11.5, 3 * RI_B1 + pair(10.5, 25, 70) + CHARGE_FEED)
    agrees("361 A", feed)
    agrees("4.8 times", feed / 75)
    lamps = faults.fault_current(11.5, source + pair(2.5, 6, 70) + CUBE_SMALL + 4 * LUG + pair(6.0, 2.5, 70) + 3 * M)
    agrees("81 A", lamps)
    agrees("8.1 times", lamps / 10)
    for area, rating, text in ((2.5, 10, "16.9 m"), (6, 30, "13.1 m"), (10, 50, "13.0 m"), (16, 75, "13.0 m"), (35, 125, "15.1 m")):
        agrees(text, faults.longest_run(11.5, 3.5, rating, source, 2 * M, copper.per_metre(area * MM2, 70)))


def test_n10_heat_of_a_fault() -> None:
    thin = faults.withstand(2.5 * MM2, faults.withstand_constant(70))
    agrees("82700 A2s", thin, 50)
    agrees("2.96 s", faults.withstand_time(thin, 167))
    lead = faults.withstand(16 * MM2, faults.withstand_constant(105))
    agrees("5.2e6 A2s", lead)
    agrees("0.84 s", faults.withstand_time(lead, 2500))
    agrees("5.6 times", 2500 / 2 / 225)


def test_n11_inrush() -> None:
    loop = bank(RI_T) + pair(1.1, 95) + CLASS_T + 4 * LUG + 3 * M
    agrees("5.61 mohm", loop / M)
    agrees("2.4 kA", faults.inrush_peak(13.4, loop) / 1000)
    agrees("135 us", loop * 0.024 * 1e6)
    agrees("384 A2s", faults.inrush_energy(13.4, loop, 0.024))
    agrees("93 us", faults.inrush_time_above(13.4, loop, 0.024, 1200) * 1e6)
    assert faults.inrush_time_above(13.4, loop, 0.024, 5000) == 0
    agrees("5.6 s", faults.precharge_time(47, 0.024))
    agrees("0.29 A", faults.inrush_peak(13.4, 47))
    agrees("2.2 J", faults.precharge_energy(13.4, 0.024))


def test_n12_sun_cold_and_hot() -> None:
    for series, text in ((1, "26.7 V"), (2, "53.3 V"), (3, "80.0 V")):
        agrees(text, solar.cold_voltage(series, 23.8, -0.0028, -18))
    agrees("-30.5 C", solar.coldest_allowed(55, 2, 23.8, -0.0028))
    factor = solar.table_factor(-18)
    assert factor
    agrees("56.2 V", 2 * 23.8 * factor)
    agrees("55.8 V", solar.cold_voltage(2, 23.8, solar.COEFFICIENT_UNKNOWN, -18))
    agrees("16.3 V", solar.hot_voltage(1, 19.8, -0.0039, 70))
    agrees("38.6 A", solar.bright_current(10.3, 3))
    agrees("48.2 A", solar.wire_current(10.3, 3))
    agrees("16.1 A", solar.wire_current(10.3, 1))
    agrees("25.8 A", solar.reverse_current(10.3, 3))
    agrees("15.5 A", 1.5 * 10.3)
    agrees("47.5 A", 570 / 12.0)
    assert solar.table_factor(25) == 1 and solar.table_factor(-41) is None


def test_n13_sharing_in_a_bank() -> None:
    bridge = pair(0.30, 70) + 4 * LUG
    agrees("0.36 mohm", bridge / M)
    near, far = storage.ladder_shares(FULL, RI_T, bridge, 2)
    agrees("155.1 A", near)
    agrees("134.9 A", far)
    agrees("1.15", near / far)
    for text, share in zip(("117.8 A", "92.1 A", "80.1 A"), storage.ladder_shares(FULL, RI_T, bridge, 3), strict=True):
        agrees(text, share)
    three = storage.ladder_shares(FULL, RI_T, bridge, 3)
    agrees("1.47", three[0] / three[2])
    agrees("62 A", storage.closing_current(0.4, 2 * branch(RI_T)))


def test_n15_alternator() -> None:
    first = drop.converter_input(D1_POWER, 13.9, pair(10.5, 25, 50) + CHARGE_FEED)
    second = drop.converter_input(D2_POWER, 13.9, pair(3.0, 6, 50) + CUBE_SMALL + 6 * LUG)
    low = drop.converter_input(D2_POWER, 12.5, pair(3.0, 6, 50) + CUBE_SMALL + 6 * LUG)
    assert first and second and low
    agrees("11.9 A", second[1])
    agrees("13.3 A", low[1])
    total = 24 + first[1] + second[1]
    agrees("83.1 A", total)
    agrees("0.59 of 140 A", total / 140)
    agrees("84 A", storage.alternator_allowed(140, 0.6))
    agrees("105 A", storage.alternator_allowed(140, 0.75))
    agrees("70 A", storage.alternator_allowed(140, 0.5))
    agrees("13.1 A short", total - storage.alternator_allowed(140, 0.5))


def test_n16_energy() -> None:
    wh = 3600.0
    used = {"1728 Wh": storage.energy(45 * 12.8, 3), "960 Wh": storage.energy(30 * 12.8, 2.5), "1500 Wh": storage.energy(900 / 0.90, 1.5),
            "112 Wh": storage.energy(14, 8), "138 Wh": storage.energy(9 * 12.8, 1.2), "154 Wh": storage.energy(4 * 12.8, 3),
            "163 Wh": storage.energy(85 * 12.8, 0.15), "25 Wh": storage.energy(0.080 * 12.8, 24)}
    for text, joules in used.items():
        agrees(text, joules / wh)
    total = sum(used.values())
    agrees("4780 Wh", total / wh)
    usable = 280 * AH * 12.8 * 0.8
    agrees("2867 Wh", usable / wh)
    summer, autumn, winter = (storage.solar_yield(570, hours, 0.70) for hours in (5.6, 3.2, 0.9))
    agrees("2234 Wh", summer / wh)
    agrees("1277 Wh", autumn / wh)
    agrees("359 Wh", winter / wh)
    agrees("0.60 days", storage.days_lasting(usable, total))
    agrees("1.13 days", storage.days_lasting(usable, total, summer))
    agrees("0.82 days", storage.days_lasting(usable, total, autumn))
    assert storage.days_lasting(usable, 1, 2) == math.inf
    drive, shore = storage.energy(40 * 13.2, 1.5), storage.energy(25 * 13.2, 8)
    agrees("792 Wh", drive / wh)
    agrees("2640 Wh", shore / wh)
    agrees("887 Wh over", (summer + drive + shore - total) / wh)
    agrees("71 Wh short", (total - autumn - drive - shore) / wh)


def test_n17_storage() -> None:
    agrees("72.9 days", storage.storage_days(140 * AH, 0.080))
    agrees("63.6 days", storage.storage_days(140 * AH, 0.080, 280 * AH, 0.03))
    agrees("35.2 days", storage.storage_days(38 * AH, 0.045))
    agrees("30.7 days", storage.storage_days(38 * AH, 0.045, 95 * AH, 0.05))


def test_n18_negative_side() -> None:
    heavy = copper.one_way(10.5, 25 * MM2, 40) + 0.2 * M + 6 * LUG
    thin = copper.one_way(10.5, 2.5 * MM2, 40) + 5 * M
    agrees("9.33 mohm", heavy / M)
    agrees("95.4 mohm", thin / M)
    agrees("4.2 A", storage.thin_share(47.2, heavy, thin))
    carries = capacity.corrected(base(2.5, 70, 50), capacity.bundle_factor(7), 1.0)
    agrees("8.4 A", carries)
    agrees("5.6 times", 47.2 / carries, 0.051)
    lift = copper.one_way(8.2, 35 * MM2, 40) + 0.2 * M + 6 * LUG
    agrees("5.40 mohm", lift / M)
    agrees("4.6 A", storage.thin_share(85, lift, thin))
    agrees("10.1 times", 85 / carries, 0.051)
    feed = copper.one_way(10.5, 25 * MM2, 40) + CUBE_SMALL + RELAY + CONTACT + 6 * LUG
    feed_thin = copper.one_way(10.5, 2.5 * MM2, 40) + 8 * M
    agrees("4.4 A", storage.thin_share(47.2, feed, feed_thin))
    agrees("5.0 A", storage.thin_share(53.5, feed, feed_thin))


def test_n21_gas_and_heat() -> None:
    for capacity_ah, current, flow, opening in ((95, 2, "0.57 m3/h", "16.0 cm2"), (75, 1, "0.225 m3/h", "6.3 cm2"), (95, 6, "1.71 m3/h", "47.9 cm2")):
        air = storage.hydrogen(6, current, capacity_ah * AH)
        agrees(flow, air)
        agrees(opening, storage.vent_opening(air) * 1e4)
    agrees("42.8 W", storage.loss(0.93, 568))
    agrees("222 W", storage.loss(0.90, 2000))
    agrees("7.2 W", storage.joint_heat(85, 1 * M))
    agrees("122 W", storage.joint_heat(INVERTER, 3 * M))


def test_n22_upgrade() -> None:
    loop = pair(10.5, 25, 50) + CHARGE_FEED
    power = 80 * 14.2 / 0.93
    usual, low = drop.converter_input(power, 13.9, loop), drop.converter_input(power, 12.5, loop)
    other = drop.converter_input(D2_POWER, 13.9, pair(3.0, 6, 50) + CUBE_SMALL + 6 * LUG)
    assert usual and low and other
    agrees("103.3 A", usual[1])
    agrees("121.5 A", low[1])
    agrees("10.06 V", low[0])
    agrees("139.2 A", 24 + usual[1] + other[1])
    agrees("83.1 A", 0.8 * 120 * capacity.contact_heat_factor(45))
    agrees("121.2 A", 0.8 * 175 * capacity.contact_heat_factor(45))
    agrees("0.7275", 0.75 * capacity.fuse_heat_factor(45))


def test_n23_who_opens_first() -> None:
    for text, up, down in (("1.5", 450, 300), ("6.0", 450, 75), ("3.0", 30, 10), ("1.8", 225, 125)):
        agrees(text, faults.rating_ratio(up, down))


def test_a_table_ends_where_it_ends() -> None:
    assert capacity.tabled_base("capacity_federal_boat.csv", 150 * MM2, 105, 30) is None
    assert capacity.tabled_base("capacity_federal_boat.csv", 0.3 * MM2, 105, 30) is None
    assert capacity.tabled_base("capacity_federal_boat.csv", 10 * MM2, 55, 30) is None
    # Between rows the thinner one counts, between classes the cooler.
    assert capacity.tabled_base("capacity_federal_boat.csv", 35 * MM2, 100, 30) == 180
    assert capacity.tabled_base("capacity_small_craft_metric.csv", 35 * MM2, 90, 20) == 185


def test_factors() -> None:
    assert [capacity.bundle_factor(n) for n in (1, 2, 3, 4, 6, 7, 24, 25)] == [1, 1, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4]
    assert [capacity.buried_factor(n) for n in (0, 0.05, 0.06, 0.3, 0.45, 0.6)] == [1, 0.89, 0.81, 0.55, 0.5, 0.5]
