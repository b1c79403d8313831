"""The shipped pack stands up: every practice has examples, each comes out as it says, and planted faults are noticed."""

from __future__ import annotations

from functools import cache

from linter.packs.proving import Proof, prove


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
    """No planted fault survives but those pack.yaml excuses with a reason, and no excuse has lapsed."""
    assert [(one.practice, one.change) for one in proof().survivors] == []
    assert proof().lapsed == ()


def test_every_condition_is_seen_both_ways_nearly_everywhere() -> None:
    """What no example shows is said in words; in our own pack that is little."""
    unshown = [one for one in proof().unshown if not one.open]
    assert len(unshown) <= 10, [(one.practice, one.situation) for one in unshown]
