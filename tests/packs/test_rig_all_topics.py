"""What all topics must say of the honey trailer besides the first wave, as built and mended.

Whatever is not met beyond section 13 of our reference rig follows from one of its three faults, or is a plain truth of the rig, and stands here with
its reason. So does whatever is left open. What section 14 calls sound stays sound, whoever asks.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from linter.survey.record import CANNOT_TELL, MET, NOT_MET, heavy_enough
from tests.packs.test_rig_outcomes import ALL_TOPICS, FOUND, judged, survey_of

BUILT, MENDED = "installation.yaml", "mended.yaml"
# The installation itself, among elements.
WHOLE = ""

Said = Mapping[str, tuple[tuple[str, ...], str]]

# Practice to elements, and why that is no false alarm.
BY_A_FAULT: Said = {
    "armoured-while-unfused": (("W34", "W25b"), "faults one and three: both lie unfused, in a jacket only"),
    "cable-outlasts-the-fuse": (("W34",), "fault one: section 13 names it"),
    "every-branch-fused": (("bank bar",), "fault three: section 13 names it; W25b leaves the bar without a fuse"),
    "link-live-only-with-engine": (("X3 flatbed",), "fault two: with K1 at both it is live from B2 behind 225 A"),
    "chargers-agree-on-full": (("D2",), "fault two: its 14.6 V meet the 14.2 V of the trailer's chargers"),
    "lead-acid-temperature-compensated": ((WHOLE,), "fault two: B2 wants compensation, and chargers of the bank reach it"),
}
FUSES_OF_THE_BANK = "section 13, advice: F5 and F6 are 1.5 times F12"
TRUE_OF_BOTH: Said = {
    "days-in-reserve": ((WHOLE,), "analysis N16: 0.60 days without sun; it stands in the sun and by a farm"),
    "fuse-types-few-and-common": ((WHOLE,), "section 7: five families"),
    "inverter-cut-above-bms": (("inverter",), "sections 3 and 5: 11.0 V against 10.8 V"),
    "lvd-order-sensible": (("inverter",), "the same two tenths of a volt"),
}

NOT_MET_BUILT: Said = {
    **BY_A_FAULT, **TRUE_OF_BOTH,
    "big-fuse-waits-for-small": (("F12", "F16"), f"{FUSES_OF_THE_BANK}; fault two: F4 is 1.8 times F16"),
}
NOT_MET_MENDED: Said = {
    **TRUE_OF_BOTH,
    "big-fuse-waits-for-small": (("F12",), FUSES_OF_THE_BANK),
    "second-way-to-charge": (("B2",), "only D2 charges it once BOTH is gone"),
}

OPEN_IN_BOTH: Said = {
    "motor-gets-start-volts": (("extractor motor", "hive lift"), "section 13, the one question: nobody measured the batteries' resistance"),
    "charger-input-stays-awake": (("D2",), "section 4 does not say where it stops"),
    "alternator-temp-watched": (("alternator",), "nobody has watched it on a hot day"),
    "dry-after-first-rain": ((WHOLE,), "nobody has opened the outdoor joints"),
    "parasitic-measured": (("B2",), "nobody has put a clamp on it at night"),
}
OPEN_BUILT: Said = {
    **OPEN_IN_BOTH,
    "cable-outlasts-the-fuse": (("W22", "W25b"), "faults two and three: it hangs on how quick a fuse of that family is, and how warm the bank"),
    "isolator-proves-dead": ((WHOLE,), "nobody went round with a voltmeter, or the load bar would have been found live"),
    "parted-plug-measured": ((WHOLE,), "the same, at X3"),
    "charge-verified-each-position": (("K1",), "nobody went through the positions; BOTH would have told"),
    "small-drains-counted": ((WHOLE,), "fault two: the same chargers' standby on B2 alone, 0.12 to 0.84 Ah a day of 75 Ah"),
    "storage-drain-known": ((WHOLE,), "fault two: with K1 at both the bank's chargers stand on B2 too"),
    "works-at-empty": ((WHOLE,), "fault two: B2 alone under lift and room, its resistance not measured"),
}
OPEN_MENDED: Said = OPEN_IN_BOTH

# Section 14, and what else stands beside it: nothing is found on these, and nothing open, at caution or above.
QUIET = {
    "starter cable without a fuse": ("W01", "W01n", "W02", "W03", "W03n", "starter motor"),
    "the D1 end without need of a fuse": ("W25a", "D1"),
    "X1 flatbed half live while parted": ("X1", "X1 flatbed", "W11", "W12", "F1"),
    "X1 trailer half": ("X1 trailer", "W21"),
    "X3 trailer half live while parked": ("X3 trailer",),
    "charger or alternator without a battery": ("alternator", "solar controller", "shore charger"),
    "brakes behind the isolator": ("brake unit", "W28", "W28n", "F10"),
    "lost charge-link negative": ("W12n", "W21n", "W25n"),
    "lost lift-link negative": ("W17n", "W22n"),
    "lift negative bar without a chassis bond": ("lift negative bar", "truck chassis", "hive lift", "W16n", "W15n"),
    "two 225 A fuses on one 500 A bar": ("F5", "F6", "load bar", "bar 1", "bar 2", "W23a", "W24a", "W23b", "W24b"),
    "array clipped by its controller": ("P1", "P2", "P3", "W42"),
    "fuses F1 and F2 on the post of a flooded battery": ("F1", "F2", "B1"),
}
# Practices beyond the first wave that ask the same thing, and where they must come out met.
SOUND: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("busbar-big-enough", ("bank bar", "load bar")),
    ("negative-bus-big-enough", ("bank negative bar", "common negative bar", "lift negative bar")),
    ("controller-big-enough", ("solar controller",)),
    ("panels-can-be-cut-off", ("solar controller",)),
    ("converter-output-has-a-battery", ("D1", "D2")),
    ("alternator-has-headroom", ("alternator",)),
    ("breakaway-battery-healthy", ("brake unit",)),
    ("breakaway-ends-on-brakes", ("brake unit",)),
    ("brakes-have-own-return", ("brake unit",)),
    ("brakes-and-lights-well-fed", ("brake unit",)),
    ("vital-fuse-carries-its-load", ("brake unit",)),
    ("one-bond-per-vehicle", ("truck chassis", "trailer chassis")),
    ("house-returns-wired", ("hive lift",)),
    ("insulation-checked", (WHOLE,)),
    ("link-fused-in-both-vehicles", ("X1", "X3")),
    ("bms-carries-the-load", ("T1", "T2")),
    ("equal-lead-bank", ("T1", "T2")),
    ("fuses-dry-and-cool", ("cab tray",)),
    ("inverter-holds-up", ("inverter",)),
)


def outcome(name: str, wanted: str, weight: str = "notice") -> set[tuple[str, str]]:
    """Practice and element of every finding of an outcome, of a weight or above; the installation itself without its name."""
    survey = survey_of(name, ALL_TOPICS)
    return {(one.practice, one.element) for one in survey.findings if one.outcome == wanted and heavy_enough(one.weight, weight)}


def pairs(of: Said) -> set[tuple[str, str]]:
    return {(practice, element) for practice, (elements, _) in of.items() for element in elements}


def test_every_reason_is_given() -> None:
    """No row without one."""
    assert all(elements and why for said in (NOT_MET_BUILT, NOT_MET_MENDED, OPEN_BUILT, OPEN_MENDED) for elements, why in said.values())


def test_what_else_is_not_met() -> None:
    """Section 13, and what is listed here with its reason: nothing more, nothing less."""
    first = {(practice, element) for practice, elements in FOUND.items() for element in elements}
    assert not first & pairs(NOT_MET_BUILT)
    assert outcome(BUILT, NOT_MET) == first | pairs(NOT_MET_BUILT)


def test_only_faults_are_not_met_at_caution_or_above() -> None:
    """What is merely true of the rig weighs a notice."""
    first = {(practice, element) for practice, elements in FOUND.items() for element in elements}
    assert outcome(BUILT, NOT_MET, "caution") <= first | pairs(BY_A_FAULT)


@pytest.mark.parametrize(("name", "said"), [(BUILT, OPEN_BUILT), (MENDED, OPEN_MENDED)])
def test_what_is_left_open(name: str, said: Said) -> None:
    """A dozen practices at most."""
    assert outcome(name, CANNOT_TELL) == pairs(said)
    assert len(said) <= 12


def test_mended_only_notices_are_left() -> None:
    """Section 16: nothing at caution or above, all topics asked; and every notice has its reason."""
    assert outcome(MENDED, NOT_MET, "caution") == set()
    assert outcome(MENDED, NOT_MET) == pairs(NOT_MET_MENDED)


def test_mended_nothing_is_open_at_warning() -> None:
    """A build that asks for all topics passes with it."""
    assert outcome(MENDED, CANNOT_TELL, "warning") == set()


@pytest.mark.parametrize("name", [BUILT, MENDED])
@pytest.mark.parametrize("trap", QUIET)
def test_the_traps_stay_quiet(name: str, trap: str) -> None:
    """Section 14: not found and not open at caution or above on any of them, whoever asks."""
    loud = outcome(name, NOT_MET, "caution") | outcome(name, CANNOT_TELL, "caution")
    assert {(practice, element) for practice, element in loud if element in QUIET[trap]} == set()


@pytest.mark.parametrize(("practice", "elements"), SOUND)
def test_the_traps_are_sound(practice: str, elements: tuple[str, ...]) -> None:
    """Section 14: asked and met, not passed over."""
    assert set(elements) <= set(judged(BUILT, practice, ALL_TOPICS).of(MET))


@pytest.mark.parametrize("practice", ["live-positions-adjacent", "off-guarded-under-charge", "off-guarded-by-more-than-a-label"])
def test_turning_the_dial_through_off_is_no_fault(practice: str) -> None:
    """Section 14: only the lift stops; the dial strands no source, so these have nothing to say of it."""
    for name in (BUILT, MENDED):
        assert judged(name, practice, ALL_TOPICS).of(NOT_MET) == judged(name, practice, ALL_TOPICS).of(CANNOT_TELL) == ()
        assert "K1" not in judged(name, practice, ALL_TOPICS).of(MET)
