"""`check --explain`: the card filled in, who set each limit, and the values at which it turns; and that they do turn there."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from linter import api
from linter.cli.app import tugtest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures" / "honey-trailer" / "installation.yaml"
ON = datetime.date(2026, 11, 24)
# A small one, with a fault supposed.
PUNT = ("--suppose", "bilge pump.current = 40 A", str(ROOT / "fixtures" / "house-pack" / "pond-punt.yaml"))


def run(*arguments: str) -> str:
    """What `check` prints."""
    done = CliRunner().invoke(tugtest, ["check", "--on", "2026-11-24", *arguments], standalone_mode=False)
    assert done.exception is None, done.exception
    return done.stdout


def outcomes(*supposing: str) -> dict[tuple[str, str], str]:
    """Practice and element to outcome, with some facts supposed."""
    found, told = api.read(DEMO.read_bytes(), "installation.yaml", supposing=supposing)
    assert found is not None, told
    packs, _ = api.packs_for(found.described.packs, on=ON)
    assert packs is not None
    survey = api.survey(found, packs, on=ON)
    return {(judged.practice, element): outcome for judged in survey.judged for outcome, elements in judged.outcomes for element in elements}


@pytest.fixture(scope="module")
def findings() -> dict[tuple[str, str], dict[str, Any]]:
    document = json.loads(run("--explain", "--as", "json", str(DEMO)))
    jsonschema.validate(document, json.loads((ROOT / "grammar" / "findings.schema.json").read_text(encoding="utf-8")))
    return {(f["practice"], f["element"]): f for f in document["sources"][0]["findings"]}


def test_every_finding_on_an_element_is_filled_in(findings: dict[tuple[str, str], dict[str, Any]]) -> None:
    """And what does not apply to anything is left as it was."""
    for finding in findings.values():
        assert ("explained" in finding) == (finding["outcome"] != "nothing to look at"), finding["headline"]
        if "explained" in finding:
            demand = [clause for clause in finding["explained"]["card"] if clause["part"] == "demand"]
            wanted = {"not met": ("no",), "cannot tell": ("cannot tell", "in some states", "no")}[finding["outcome"]]
            assert demand[0]["outcome"] in wanted, finding["headline"]
            assert all(clause["outcome"] in ("yes", "no", "cannot tell", "in some states", "") for clause in finding["explained"]["card"])


def test_values_way_and_turn(findings: dict[tuple[str, str], dict[str, Any]]) -> None:
    """W17 of the demo: B2 feeds it through F4, 225 A; it carries 145.6 A."""
    told = findings["fuse-within-wire", "W17"]["explained"]
    assert told["way"] == ["B2", "F4", "W15", "K1"]
    assert {"element": "F4", "word": "rating", "text": "145.6 A or less is met, more is not"} in told["turns"]
    assert {"part": "applies", "depth": 0, "text": "passed over when W17 is untouched factory loom", "values": "", "outcome": "no"} in told["card"]
    carried = next(clause for clause in findings["fuse-carries-the-load", "F4"]["explained"]["card"] if clause["values"])
    assert carried["values"] == "173 A against 163.7 A" and carried["outcome"] == "no"


def test_a_limit_names_all_who_set_it() -> None:
    """The basics, then the house pack with its reason."""
    text = run("--explain", *PUNT)
    words = " ".join(text.split())
    assert "set to 0.75 by low-voltage-basics" in words and "tightened to 0.7 by our-yard: Our boats lie in the sun all day" in words


def test_where_it_is_said_to_turn_it_turns() -> None:
    """A fuse just at the tipping value is met, one just above is not."""
    key = ("fuse-within-wire", "W17")
    assert outcomes("F4.rating = 145.5 A")[key] == "met"
    assert outcomes("F4.rating = 145.7 A")[key] == "not met"


def test_text_shows_it_and_a_plain_check_does_not() -> None:
    """In every form that is read by people; nowhere unasked."""
    for form, mark in (("text", "Filled in"), ("html", "<dt>Turns</dt>"), ("markdown", "**Turns:**")):
        assert mark in run("--explain", "--as", form, *PUNT)
    assert "Filled in" not in run("--all", str(DEMO))


def test_explaining_changes_no_outcome(findings: dict[tuple[str, str], dict[str, Any]]) -> None:
    """The same findings, the same words."""
    plain = {(f["practice"], f["element"]): f for f in json.loads(run("--as", "json", str(DEMO)))["sources"][0]["findings"]}
    assert plain == {key: {name: value for name, value in finding.items() if name != "explained"} for key, finding in findings.items()}
