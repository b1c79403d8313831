"""What if, and why: `check --suppose` and `check --explain`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from linter.cli.app import tugtest

DEMO = str(Path(__file__).resolve().parents[2] / "fixtures" / "honey-trailer" / "installation.yaml")


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit status, what was printed, what was told."""
    done = CliRunner().invoke(tugtest, ["check", "--on", "2026-11-24", DEMO, *arguments], standalone_mode=False)
    assert done.exception is None, done.exception
    return done.return_value, done.stdout, done.stderr


def not_met(*arguments: str) -> set[tuple[str, str]]:
    """Practice and element."""
    _, out, _ = run("--as", "json", *arguments)
    return {(f["practice"], f["element"]) for f in json.loads(out)["sources"][0]["findings"] if f["outcome"] == "not met"}


def test_a_smaller_fuse_cures_what_it_can_and_nothing_else() -> None:
    """Our notes on the rig: F4 of 125 A cures the first five practices of fault two."""
    before, after = not_met(), not_met("--suppose", "F4.rating = 125 A")
    assert ("fuse-within-wire", "W17") in before - after
    assert ("plug-limits-the-fuse", "X3") in before - after
    assert ("only-like-chemistry-joined", "B2") in after


def test_the_report_says_what_was_supposed_and_the_file_is_left_alone() -> None:
    """At the top, in every format; nothing is saved."""
    text = Path(DEMO).read_bytes()
    for form in ("text", "markdown", "html", "json"):
        assert "F13.rating = 15 A" in run("--as", form, "--suppose", "F13.rating = 15 A")[1]
    assert Path(DEMO).read_bytes() == text


def test_a_fact_of_the_installation_and_names_with_blanks() -> None:
    """Colder than the panels' limit allows; and an element whose name holds a blank."""
    colder = ("--suppose", "P1.modules in series = 2", "--suppose", "coldest = -40 °C", "--suppose", "roof.coldest = -40 °C")
    assert ("cold-panels-under-limit", "P1") in not_met(*colder)
    assert run("--suppose", "bar 1.rated-current = 100 A")[0] == 1


def test_taking_a_fact_away_is_never_a_pass() -> None:
    """"?" forgets a fact: what was not met may become "cannot tell", never met."""
    before, after = not_met(), not_met("--suppose", "F13.rating = ?")
    assert after <= before
    _, out, _ = run("--as", "json", "--suppose", "F13.rating = ?")
    open_ones = {(f["practice"], f["element"]) for f in json.loads(out)["sources"][0]["findings"] if f["outcome"] == "cannot tell"}
    assert before - after <= open_ones


@pytest.mark.parametrize(("said", "told"), [
    ("F4.ratting = 5 A", "Did you mean rating?"), ("T9.rating = 5 A", 'Nothing here is called "T9"'), ("F4.rating = 5 V", "Write it in"),
    ("F4.rating", "does not say what to suppose"), ("= 5 A", "does not say what to suppose"), ("F4.prospective-short = 5 A", "is not stated of F4"),
    ("F4.place = moon\x1b[31m", "is called"), ("rating = 5 A", "is not stated of the installation"),
])
def test_what_cannot_be_supposed_is_told(said: str, told: str) -> None:
    """With a place and, where we are sure, a remedy; nothing is checked then, and nothing acts on the terminal."""
    status, out, err = run("--suppose", said)
    assert status == 2
    assert out == ""
    assert told in err
    assert "\x1b" not in err


def test_explaining_shows_the_card_the_way_and_the_limit() -> None:
    """Why: the card filled in, the way as a list, the limit and the pack that set it, the value of a stated fact at which it turns."""
    _, out, _ = run("--explain")
    assert "looked at when W25b is the lead of a charger: yes" in out
    assert "length of W25b: 200 mm or less is met, more is not" in out
    assert "limit fuse-reach 200 mm" in out
    assert "By way of" in out
