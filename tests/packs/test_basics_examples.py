"""The shipped pack stands up: every practice has examples, each comes out as it says, and planted faults are noticed."""

from __future__ import annotations

from functools import cache

from linter.packs.proving import Proof, prove

# Faults that no example can notice: wherever every way to a wire is protected its unfused length is zero. The ways stand in the cards all
# the same, because they name the source, the device and the states.
_ANY_WAY = '"every way from each source S with (S is hard) into C meets a" dropped'
EXCUSED = {practice: (_ANY_WAY,) for practice in ("fuse-at-both-ends", "fuse-within-wire", "smaller-wire-own-fuse")}


@cache
def proof() -> Proof:
    """The basics, proved with planted faults."""
    found, told = prove("low-voltage-basics")
    assert found is not None, [one.headline for one in told]
    assert [one.headline for one in told if one.fatal] == []
    return found


def test_every_example_comes_out_as_it_says() -> None:
    """Outcome, found number and questions of every example."""
    assert [(one.example, one.expected, one.came) for one in proof().slips] == []


def test_every_practice_is_tried() -> None:
    """54 practices, none without an example."""
    assert proof().practices == 54
    assert proof().untried == ()


def test_planted_faults_are_noticed() -> None:
    """No planted fault survives but those excused."""
    assert [(one.practice, one.change) for one in proof().survivors if one.change not in EXCUSED.get(one.practice, ())] == []
