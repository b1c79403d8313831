"""Two editions of a tiny pack over one small installation: what moved, which way, and what the edition is called."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest

from linter import api
from linter.packs.editions import edition
from linter.reports import weighing
from linter.survey.moves import GONE
from linter.survey.weigh import BOTH, LOOSER, SAME, TIGHTER, Weighed, weigh

ON = datetime.date(2026, 11, 24)
INSTALLATION = """\
tugtest: 1
title: Two boxes
system: 12 V
listed: everything
parts:
  B1: {kind: battery, mass: 18 kg}
  B2: {kind: battery, mass: 24 kg}
  B3: {kind: battery}
"""
LIFT = """\
limit lift-alone is LIMIT allowed 10 kg to 40 kg stricter when lower
  because "Lifted by one person, bent over."
practice NAME
  says "One person can lift each battery out."
  look at each battery B
  PASSING
  require mass of B at most lift-alone
  weight WEIGHT
  because "What cannot be lifted stays on board."
  follows "Take two small ones."
  remedy "Split the bank."
  FORMERLY
done
"""
NAMED = """\
practice two-batteries
  says "There are two batteries at least."
  look at each battery B
  require mass of B above 0 kg
  weight notice
  because "One battery is none."
  follows "Carry two."
  remedy "Carry another."
done
"""


def pack(folder: Path, number: str, *cards: str) -> Path:
    """A pack folder of its own; the pack is called the same whatever the folder."""
    folder.mkdir(exist_ok=True)
    (folder / "pack.yaml").write_text(f'pack: tiny\ntitle: Tiny\nedition: "{number}"\nspeaks: 1\n', encoding="utf-8")
    (folder / "tiny.practice").write_text("\n".join(cards), encoding="utf-8")
    return folder


def lift(limit: str = "20 kg", *, weight: str = "notice", name: str = "light-enough", passing: str = "", formerly: str = "") -> str:
    """The card, with what an edition may change."""
    text = LIFT.replace("LIMIT", limit).replace("WEIGHT", weight).replace("NAME", name)
    lines = text.replace("PASSING", passing and f"passing over {passing}").replace("FORMERLY", formerly and f"formerly {formerly}").splitlines()
    return "\n".join(line for line in lines if line.strip()) + "\n"


def weighed(tmp_path: Path, old: tuple[str, ...], new: tuple[str, ...], on: datetime.date = ON) -> Weighed:
    """Edition first, then its cards, of both."""
    sides = []
    for folder, (number, *cards) in (("old", old), ("new", new)):
        name, packs, told = edition(str(pack(tmp_path / folder, number, *cards)), on)
        assert name == "tiny" and packs is not None, told
        sides.append(packs)
    found, told = api.read(INSTALLATION.encode(), "two-boxes.yaml")
    assert found is not None, told
    return weigh("tiny", sides[0], sides[1], [(found.described, found.circuit, found.book)], on=on)


def pairs(done: Weighed) -> set[tuple[str, str, str]]:
    """Element, outcome before and after."""
    return {(move.element, move.was, move.now) for _, move in done.moved}


def test_the_same_edition_twice_moves_nothing(tmp_path: Path) -> None:
    """Not a single move, and nothing to be told."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.0", lift()))
    assert done.verdict == SAME and not done.moved and not done.shifts and not done.overstepped


def test_a_tightened_limit_is_tighter(tmp_path: Path) -> None:
    """18 kg was within 20 kg and is above 17 kg; 24 kg was above both; what nobody weighed is open on both sides."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift("17 kg")))
    assert done.verdict == TIGHTER and not done.overstepped
    assert pairs(done) == {("B1", "met", "not met")}
    assert [(shift.sort, shift.name, shift.was, shift.now, shift.way) for shift in done.shifts] == [("limit", "lift-alone", "20 kg", "17 kg", TIGHTER)]


def test_a_loosened_limit_is_looser_and_a_small_step_is_told(tmp_path: Path) -> None:
    """1.0 to 1.1 promises that nothing is let pass that was not before."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift("25 kg")))
    assert done.verdict == LOOSER and pairs(done) == {("B2", "not met", "met")}
    assert done.overstepped.startswith("Edition 1.0 to 1.1") and "2.0" in done.overstepped
    said = weighing.text(done)
    assert "LOOSER" in said and "Note: Edition 1.0 to 1.1" in said and "no longer not met" in said


def test_a_new_first_number_may_be_looser(tmp_path: Path) -> None:
    """Said out loud by its number."""
    done = weighed(tmp_path, ("1.9", lift()), ("2", lift("25 kg")))
    assert done.verdict == LOOSER and not done.overstepped


@pytest.mark.parametrize("number", ["1", "1.0"])
def test_one_number_for_two_texts_is_told(tmp_path: Path, number: str) -> None:
    """1 and 1.0 are one edition."""
    assert weighed(tmp_path, ("1.0", lift()), (number, lift("17 kg"))).overstepped.startswith("Both call themselves edition")


def test_tighter_here_and_looser_there_is_both(tmp_path: Path) -> None:
    """A practice gone is looser, a limit lowered tighter; together neither word would be true."""
    done = weighed(tmp_path, ("1.0", lift(), NAMED), ("1.1", lift("17 kg")))
    assert done.verdict == BOTH and "looser in part" in done.overstepped
    assert ("B1", "met", GONE) in pairs(done) and ("B1", "met", "not met") in pairs(done)
    assert ("practice", "two-batteries", "gone") in {(shift.sort, shift.name, shift.now) for shift in done.shifts}


def test_an_added_practice_is_tighter(tmp_path: Path) -> None:
    """Whatever it says of this folder."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift(), NAMED))
    assert done.verdict == TIGHTER
    assert ("B3", GONE, "cannot tell") in pairs(done)


def test_a_renamed_practice_did_not_go_and_come(tmp_path: Path) -> None:
    """Its earlier name is on the card, so its outcomes are compared, and nothing moved."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift(name="light-to-lift", formerly="light-enough")))
    assert done.verdict == SAME and not done.moved
    assert [(shift.sort, shift.was, shift.now) for shift in done.shifts] == [("name", "light-enough", "light-to-lift")]


def test_passing_over_more_is_looser_only_where_it_shows(tmp_path: Path) -> None:
    """The card's text cannot say which way it went; the installation can. B3 is open on both questions and stays so."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift(passing="mass of B above 22 kg")))
    assert done.by_text == SAME and done.by_folder == LOOSER
    assert pairs(done) == {("B2", "not met", "does not apply")}


def test_a_heavier_weight_is_tighter(tmp_path: Path) -> None:
    """Though no outcome moves."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift(weight="caution")))
    assert done.verdict == TIGHTER and not done.moved


def test_there_and_back_mirror_each_other(tmp_path: Path) -> None:
    """Old against new is new against old, turned round."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    there = weighed(tmp_path / "a", ("1.0", lift()), ("2.0", lift("25 kg"), NAMED))
    back = weighed(tmp_path / "b", ("2.0", lift("25 kg"), NAMED), ("1.0", lift()))
    assert pairs(there) == {(element, now, was) for element, was, now in pairs(back)}
    assert there.verdict == BOTH == back.verdict


def test_json_says_what_the_text_says(tmp_path: Path) -> None:
    """For programs."""
    done = weighed(tmp_path, ("1.0", lift()), ("1.1", lift("25 kg")))
    data = json.loads(weighing.json_weighed(done))
    assert data["verdict"] == LOOSER and data["on"] == "2026-11-24" and data["overstepped"] == done.overstepped
    assert data["old"]["edition"] == "1.0" and data["new"]["edition"] == "1.1"
