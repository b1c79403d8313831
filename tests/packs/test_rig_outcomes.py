"""What the first wave of practices must say of the honey trailer, as built and mended, by itself and among all topics.

The expected outcomes, elements, states and numbers are those of our reference rig: its sections 13 (what must be found), 14 (what must
not be found) and 17 (outcome of every practice of the first wave). What all topics find besides, and what they leave open, is in test_rig_all_topics.
"""

from __future__ import annotations

import datetime
import re
from functools import cache
from pathlib import Path

import pytest

from linter import api
from linter.survey.record import CANNOT_TELL, DOES_NOT_APPLY, MET, NOT_MET, NOTHING, Finding, Judged, Survey

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "honey-trailer"
ON = datetime.date(2026, 11, 24)
STATES = 192

# Section 13. Element to the number of states that spoil the practice there; None where no state is named.
ALL = STATES
FOUND: dict[str, dict[str, int | None]] = {
    "smaller-wire-own-fuse": {"W34": 104},
    "far-end-short-blows-fuse": {"W34": None, "W17": None, "W22": None},
    "fuse-within-wire": {"W34": 104, "W17": 48, "W22": 16, "W25b": ALL},
    "fuse-at-both-ends": {"W17": 48, "W22": 16},
    "plug-limits-the-fuse": {"X3": 48},
    "parted-contacts-safe": {"X3 flatbed": 32},
    "only-like-chemistry-joined": {"B2": 8, "T1": 8, "T2": 8},
    "charge-volts-fit-battery": {"B2": 7, "T1": 4, "T2": 4},
    "charge-amps-fit-battery": {"B2": 7},
    "profile-right-in-every-position": {"B2": 7, "T1": 4, "T2": 4},
    # The rig names F16. With K1 at both and K2 off B2 alone feeds lift and room through F4, 173 A of the 163.7 A it may carry for long:
    # the same fault two, and true.
    "fuse-carries-the-load": {"F16": None, "F4": 8},
    "plug-amps-enough": {"X3": None},
    "isolator-off-means-off": {"K2": 8},
    "charger-lead-fused-at-battery": {"W25b": ALL},
}
# Section 17.
PASSED_OVER = ("lead-acid-vented-outside", "ignition-safe-in-fuel-air")
NOTHING_THERE = ("breaker-is-dc-rated", "breaker-works-both-ways", "breaker-stays-open-once-tripped")
ALL_MET = (
    "battery-posts-covered", "battery-out-of-gas-locker", "lithium-has-bms", "charge-stops-in-frost", "fuse-close-to-source", "fuse-volts-enough",
    "fuse-can-break-the-short", "common-negative-unbroken", "limited-source-end-exempt", "each-parallel-battery-fused", "wire-carries-worst-load",
    "power-wire-is-copper", "size-means-copper-area", "return-as-fat-as-feed", "vital-circuits-keep-their-volts", "grommet-every-hole",
    "link-has-its-own-return", "lost-negative-harmless", "lithium-behind-a-limiter", "alternator-always-has-a-battery", "one-voltage-per-bus",
    "cold-panels-under-limit", "parallel-strings-fused", "selector-keeps-battery-connected", "switch-amps-enough", "inverter-wire-for-low-volts",
    "vital-loads-survive", "breakaway-always-fed",
)
# Asked for besides the first wave, and sound on the rig.
ALSO_MET = (
    "negatives-meet-on-one-bus", "charger-negatives-meet-on-one-bus", "all-negatives-through-shunt", "solar-input-protected", "strain-on-the-jacket",
    "plug-sealed-or-drained", "run-ends-on-its-own-pole",
)
# Numbers of section 13: practice, element, and what a finding must show: value with unit, in what it found, what it asked, or its mend.
NUMBERS = (
    ("smaller-wire-own-fuse", "W34", ("75 A", "18.8 A")),
    ("fuse-within-wire", "W34", ("75 A", "18.8 A")),
    ("fuse-within-wire", "W17", ("225 A", "145.6 A")),
    ("fuse-within-wire", "W22", ("225 A", "152.7 A")),
    ("fuse-within-wire", "W25b", ("225 A", "96.3 A", "1.45 m")),
    ("fuse-at-both-ends", "W17", ("225 A", "145.6 A")),
    ("fuse-at-both-ends", "W22", ("225 A", "152.7 A")),
    ("plug-limits-the-fuse", "X3", ("225 A", "175 A")),
    ("parted-contacts-safe", "X3 flatbed", ("225 A", "145.6 A")),
    ("charge-volts-fit-battery", "B2", ("14.2 V", "14.4 V")),
    ("charge-volts-fit-battery", "T1", ("14.6 V", "14.4 V")),
    ("charge-amps-fit-battery", "B2", ("110 A", "15 A")),
    ("profile-right-in-every-position", "B2", ("14.2 V", "14.4 V")),
    ("profile-right-in-every-position", "T2", ("14.6 V", "14.4 V")),
    ("fuse-carries-the-load", "F16", ("90.9 A",)),
    ("fuse-carries-the-load", "F4", ("173 A", "163.7 A")),
    ("plug-amps-enough", "X3", ("121.2 A",)),
    ("charger-lead-fused-at-battery", "W25b", ("1.45 m", "200 mm")),
)
# The contacts and joints a state may name for faults of the dial: never a state with the dial elsewhere.
OF_THE_DIAL = (
    "fuse-at-both-ends", "plug-limits-the-fuse", "parted-contacts-safe", "only-like-chemistry-joined", "charge-volts-fit-battery", "charge-amps-fit-battery",
    "profile-right-in-every-position", "fuse-carries-the-load", "plug-amps-enough", "isolator-off-means-off",
)
# The worst current through the link, by hand: a solve of two nodes (N4), within one percent because there the leads of F3 and K2 were left out.
LINK_AMPS = 123.7
# The far-end multiples, by hand (N9): the pump's lead from the bank, the whole link from B2. The fact takes the weakest source, and for the
# pump that is B2 by way of the link, weaker than the bank the rig quotes: so at most these, give or take a tenth.
FAR_END = {"W34": 2.2, "W22": 1.9}


# Packs that a fixture is held against besides those it asks for itself.
BY_ITSELF: tuple[str, ...] = ()
ALL_TOPICS = ("all-topics",)


@pytest.fixture(params=[BY_ITSELF, ALL_TOPICS], ids=["by itself", "all topics"])
def besides(request: pytest.FixtureRequest) -> tuple[str, ...]:
    """The first wave says the same, whatever else is asked."""
    found: tuple[str, ...] = request.param
    return found


@cache
def survey_of(name: str, besides: tuple[str, ...]) -> Survey:
    """The survey of one fixture with its own packs, and some besides."""
    text = (FIXTURES / name).read_bytes()
    found, told = api.read(text, name, on=ON)
    assert found is not None and not told, [one.headline for one in told]
    packs, told = api.packs_for(found.described.packs, found.described.house_packs, given=besides)
    assert packs is not None, [one.headline for one in told]
    return api.survey(found, packs, on=ON)


def judged(name: str, practice: str, besides: tuple[str, ...]) -> Judged:
    found = next((one for one in survey_of(name, besides).judged if one.practice == practice), None)
    assert found is not None, f"{practice} is not in the pack"
    return found


def finding(practice: str, element: str, besides: tuple[str, ...]) -> Finding:
    found = [one for one in survey_of("installation.yaml", besides).findings if (one.practice, one.element) == (practice, element)]
    assert len(found) == 1, f"{practice} on {element}: {[one.outcome for one in found]}"
    return found[0]


def words(of: Finding) -> str:
    """Everything a finding says with numbers in it."""
    return " ".join((of.headline, of.found, of.asked, of.mend))


def test_there_are_192_states(besides: tuple[str, ...]) -> None:
    """The rig has 192 operating states."""
    assert survey_of("installation.yaml", besides).summary.states == STATES


def test_the_first_wave_is_whole(besides: tuple[str, ...]) -> None:
    """All 47 practices of the first wave are judged, each listed once in section 17, and nothing else but what was asked for besides."""
    first = [*FOUND, *PASSED_OVER, *NOTHING_THERE, *ALL_MET]
    assert len(first) == len(set(first)) == 47
    assert {one.practice for one in survey_of("installation.yaml", besides).judged} >= {*first, *ALSO_MET}


@pytest.mark.parametrize("practice", FOUND)
def test_every_fault_is_found_on_its_elements(practice: str, besides: tuple[str, ...]) -> None:
    """Section 13: not met on these elements, in this order of no importance, and on no other; nothing is left open."""
    said = judged("installation.yaml", practice, besides)
    assert set(said.of(NOT_MET)) == set(FOUND[practice])
    assert said.of(CANNOT_TELL) == ()


@pytest.mark.parametrize(("practice", "element"), [(p, e) for p, elements in FOUND.items() for e, count in elements.items() if count is not None])
def test_every_fault_names_its_states(practice: str, element: str, besides: tuple[str, ...]) -> None:
    """Section 13: how many of the 192 states spoil it. A fault that no switch interrupts may leave the states unsaid."""
    when = finding(practice, element, besides).when
    wanted = FOUND[practice][element]
    assert (when.count, when.of) == (wanted, STATES) or (wanted == ALL and when.count is None)


@pytest.mark.parametrize("practice", OF_THE_DIAL)
def test_faults_of_the_dial_name_the_dial(practice: str, besides: tuple[str, ...]) -> None:
    """Fault two: every state named has K1 at both."""
    for element in FOUND[practice]:
        said = finding(practice, element, besides).when.said
        if FOUND[practice][element] is not None:
            assert "K1 both" in said
        assert not re.search(r"K1 (flatbed|trailer|off)", said)


@pytest.mark.parametrize(("practice", "element", "numbers"), NUMBERS)
def test_every_fault_shows_its_numbers(practice: str, element: str, numbers: tuple[str, ...], besides: tuple[str, ...]) -> None:
    """Section 13: the numbers stand in what was found, what was asked or the mend."""
    said = words(finding(practice, element, besides))
    for number in numbers:
        assert re.search(rf"(?<![\d.]){re.escape(number)}(?![\d.])", said), f"{number} is not in: {said}"


@pytest.mark.parametrize(("practice", "element"), [("fuse-carries-the-load", "F16"), ("plug-amps-enough", "X3")])
def test_the_link_carries_124_amps_at_worst(practice: str, element: str, besides: tuple[str, ...]) -> None:
    """Section 13: 123.7 A through the link at worst."""
    amps = [float(a) for a in re.findall(r"(\d+(?:\.\d+)?) A", finding(practice, element, besides).found)]
    assert max(amps) == pytest.approx(LINK_AMPS, rel=0.01)


@pytest.mark.parametrize("element", FAR_END)
def test_far_ends_are_as_weak_as_reckoned_by_hand(element: str, besides: tuple[str, ...]) -> None:
    """Section 13: 167 A is 2.2 times 75 A, 438 A is 1.9 times 225 A; 3.5 is asked."""
    said = finding("far-end-short-blows-fuse", element, besides)
    lowest = min(float(n) for n in re.findall(rf"far end of {element} pushes (\d+(?:\.\d+)?)", said.found))
    assert 1.0 < lowest <= FAR_END[element] * 1.1
    assert "3.5" in said.asked


@pytest.mark.parametrize("practice", PASSED_OVER)
def test_what_does_not_apply(practice: str, besides: tuple[str, ...]) -> None:
    """Section 17: no living space, no fuel air."""
    assert {outcome for outcome, elements in judged("installation.yaml", practice, besides).outcomes if elements} == {DOES_NOT_APPLY}


@pytest.mark.parametrize("practice", NOTHING_THERE)
def test_where_there_is_nothing_to_look_at(practice: str, besides: tuple[str, ...]) -> None:
    """Section 17: no breakers are fitted."""
    assert {outcome for outcome, elements in judged("installation.yaml", practice, besides).outcomes if elements} == {NOTHING}


@pytest.mark.parametrize("practice", [*ALL_MET, *ALSO_MET])
def test_what_is_met(practice: str, besides: tuple[str, ...]) -> None:
    """Section 17: met, on at least one element, and everywhere it applies; section 14 is among these."""
    said = judged("installation.yaml", practice, besides)
    assert said.of(NOT_MET) == () and said.of(CANNOT_TELL) == ()
    assert said.of(MET)


@pytest.mark.parametrize(("practice", "elements"), [
    ("fuse-close-to-source", ("B1", "B2", "T1", "T2")),
    ("fuse-within-wire", ("W23a", "W24a", "W25a", "W16", "bar 1", "bar 2")),
    ("fuse-at-both-ends", ("W23a", "W24a", "W23b", "W24b", "bar 1", "bar 2")),
    ("charger-lead-fused-at-battery", ("W25a", "W14", "W26", "W27")),
    ("limited-source-end-exempt", ("W25a", "W25b")),
    ("parted-contacts-safe", ("X1 flatbed", "X1 trailer", "X3 trailer")),
    ("alternator-always-has-a-battery", ("alternator",)),
    ("selector-keeps-battery-connected", ("K1",)),
    ("breakaway-always-fed", ("brake unit",)),
    ("vital-loads-survive", ("brake unit",)),
    ("fuse-within-wire", ("W15", "W11", "W12", "W21")),
    ("battery-out-of-gas-locker", ("F1", "F2")),
    ("lost-negative-harmless", ("W12n", "W21n", "W17n", "W22n")),
])
def test_the_traps_are_no_faults(practice: str, elements: tuple[str, ...], besides: tuple[str, ...]) -> None:
    """Section 14: sound for a reason, and not reported."""
    said = judged("installation.yaml", practice, besides)
    for element in elements:
        if (practice, element) == ("limited-source-end-exempt", "W25b"):
            assert element not in said.of(NOT_MET) + said.of(CANNOT_TELL)
        else:
            assert element in said.of(MET)


def test_the_factory_starter_cable_is_no_fault(besides: tuple[str, ...]) -> None:
    """Section 14: factory loom is left to its maker."""
    looms = {"W01", "W01n", "W02", "W03", "W03n"}
    assert not looms & {one.element for one in survey_of("installation.yaml", besides).findings if one.outcome in (NOT_MET, CANNOT_TELL)}


def test_nothing_else_is_found_at_danger_or_warning() -> None:
    """Everything not met or open at danger or warning is in section 13."""
    loud = {(one.practice, one.element) for one in survey_of("installation.yaml", BY_ITSELF).findings
            if one.weight in ("danger", "warning") and one.outcome in (NOT_MET, CANNOT_TELL)}
    assert loud <= {(practice, element) for practice, elements in FOUND.items() for element in elements}


def test_the_mended_trailer_has_nothing_not_met(besides: tuple[str, ...]) -> None:
    """Section 16: after the three mends nothing is not met at caution or above, and nothing of the first wave is open."""
    survey = survey_of("mended.yaml", besides)
    assert [(one.practice, one.element) for one in survey.findings if one.outcome == NOT_MET and one.weight != "notice"] == []
    assert [(one.practice, one.element) for one in survey.findings if one.outcome == CANNOT_TELL and one.weight in ("danger", "warning")] == []
