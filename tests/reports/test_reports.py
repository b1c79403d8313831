"""Every report tells the same outcomes, lets no strange name act, and has the shape its readers expect."""

from __future__ import annotations

import json
import re
import unicodedata
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import jsonschema
import pytest

from linter import shelf
from linter.reports import NAMES, report
from linter.reports.page import columns, wrap
from linter.reports.text import text
from linter.survey.record import CANNOT_TELL, DEPARTED, NOT_MET, NOTHING, Survey, exit_status


@pytest.mark.parametrize("name", NAMES)
def test_no_strange_name_acts(name: str, hostile: Survey) -> None:
    """Control and direction-changing characters never leave a report, whatever the format."""
    out = report(name)((hostile,))
    acting = {f"U+{ord(c):04X}" for c in out if c != "\n" and (unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Cs"))}
    assert not acting


@pytest.mark.parametrize("name", NAMES)
def test_a_report_is_a_pure_function(name: str, everyday: Survey) -> None:
    """The same survey gives the same bytes, ending in one line end."""
    out = report(name)((everyday,))
    assert out == report(name)((everyday,))
    assert out.endswith("\n") and not out.endswith("\n\n")


@pytest.mark.parametrize("which", ["everyday", "hostile", "spotless"])
def test_json_keeps_its_schema(which: str, request: pytest.FixtureRequest) -> None:
    """What we print is what grammar/findings.schema.json promises."""
    document = json.loads(report("json")((request.getfixturevalue(which),)))
    schema = json.loads(shelf.text("findings.schema.json"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(document)


def test_json_keeps_names_exactly(hostile: Survey) -> None:
    """Escapes are for the screen: whoever reads the JSON gets the names as written."""
    document = json.loads(report("json")((hostile,)))
    assert document["sources"][0]["findings"][0]["element"] == hostile.findings[0].element


def outcomes_in_json(survey: Survey) -> set[tuple[str, str, str]]:
    document = json.loads(report("json")((survey,)))
    return {(f["practice"], f["element"], f["outcome"]) for f in document["sources"][0]["findings"]}


def test_every_report_tells_the_same_outcomes(everyday: Survey) -> None:
    """Findings of the survey, of the JSON and of each other format are the same set."""
    wanted = {(f.practice, f.element, f.outcome) for f in everyday.findings}
    assert outcomes_in_json(everyday) == wanted

    told = set()
    for case in ET.fromstring(report("junit")((everyday,))).iter("testcase"):
        skipped, failure = case.find("skipped"), case.find("failure")
        said = skipped if skipped is not None else failure
        if said is not None:
            told.add((case.get("classname"), case.get("name"), re.split("[,:] ", said.get("message") or "")[1]))
    assert told == wanted

    results = json.loads(report("sarif")((everyday,)))["runs"][0]["results"]
    assert {(r["ruleId"], r["locations"][0]["logicalLocations"][0]["name"], r["properties"]["outcome"]) for r in results} == wanted

    for name in ("markdown", "html"):
        flat = re.sub(r"<[^>]*>|\\", "", report(name)((everyday,)))
        for practice, element, outcome in wanted:
            assert re.search(rf"{outcome}: {practice}, {element}\b", flat), (name, practice)

    full = text((everyday,), everything=True)
    for practice, _, outcome in wanted:
        assert f"{outcome}   {practice}" in full


def test_the_worst_stands_first(everyday: Survey) -> None:
    """Danger; what is not met at warning; what cannot be told there; then the rest."""
    assert [(f.weight, f.outcome) for f in everyday.findings] == [
        ("danger", NOT_MET), ("warning", NOT_MET), ("warning", CANNOT_TELL), ("warning", CANNOT_TELL), ("caution", NOT_MET), ("caution", DEPARTED),
        ("notice", NOTHING)]


@pytest.mark.parametrize("everything", [False, True])
@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("which", ["everyday", "hostile", "spotless"])
def test_no_line_is_wider_than_the_screen(which: str, width: int, everything: bool, request: pytest.FixtureRequest) -> None:
    """80 columns, or what the screen has."""
    for line in text((request.getfixturevalue(which),), everything=everything, width=width).splitlines():
        assert columns(line) <= width, line
        assert line == line.rstrip()


def test_the_screen_names_what_was_not_looked_at(spotless: Survey) -> None:
    """No false comfort, even when nothing is wrong."""
    out = " ".join(text((spotless,)).split())
    assert "Nothing that was looked at is not met." in out
    assert "Not looked at: mains side, gas, weight and axle load" in out
    assert "not your local code" in out
    assert "Taken as, because not stated: insulation 60 to 105 °C (W1 and W2)." in out


def test_a_shortened_screen_still_names_every_finding(everyday: Survey) -> None:
    """Without --all, caution and cannot-tell are one line each, never silent."""
    out = text((everyday,))
    assert "caution   edge-protected  H1" in out
    assert "fuse-can-break" in out and "F7 and F8; not known: short circuit current of T1" in out
    assert "104 of 192 states" in out


def test_html_has_no_script_and_fetches_nothing(hostile: Survey) -> None:
    """One file, no script, no links."""
    seen = []

    class Walk(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            seen.append(tag)
            assert not [name for name, _ in attrs if name in ("src", "href", "style") or name.startswith("on")]

    Walk().feed(report("html")((hostile,)))
    assert not {"script", "img", "a", "link", "iframe", "object"} & set(seen)


def test_markdown_markup_in_names_is_shown_not_obeyed(hostile: Survey) -> None:
    """No link, no HTML, no table cell comes out of a name."""
    out = report("markdown")((hostile,))
    assert "<script>" not in out.replace("\\<", "")
    assert not re.search(r"(?<!\\)\[x", out)
    assert "http://" not in out


def test_sarif_levels_belong_to_failures_only(everyday: Survey) -> None:
    """SARIF 2.1.0, 3.27.10: a level other than none goes with kind fail."""
    for result in json.loads(report("sarif")((everyday,)))["runs"][0]["results"]:
        assert (result["level"] == "none") == (result["kind"] != "fail")
        assert (result["kind"] == "open") == (result["properties"]["outcome"] == CANNOT_TELL)
        assert bool(result.get("suppressions")) == (result["properties"]["outcome"] == DEPARTED)


def test_exit_status_follows_weights(everyday: Survey, spotless: Survey) -> None:
    """1 for not met at the fail weight, 3 for cannot tell alone, 0 otherwise."""
    assert exit_status((everyday,)) == 1
    assert exit_status((spotless,)) == 0
    import dataclasses
    only_open = dataclasses.replace(everyday, findings=tuple(f for f in everyday.findings if f.outcome == CANNOT_TELL))
    assert exit_status((only_open,)) == 3
    assert exit_status((only_open,), fail_on_unknown="danger") == 0
    assert exit_status((only_open,), fail_on_unknown=None) == 0
    cautions = dataclasses.replace(everyday, findings=tuple(f for f in everyday.findings if f.weight == "caution"))
    assert exit_status((cautions,)) == 0
    assert exit_status((cautions,), fail_at="caution") == 1


def test_wrapping_loses_nothing() -> None:
    """A word longer than the line is cut, not dropped."""
    word = "x" * 100
    assert "".join(wrap(f"a {word} b", 40)).replace(" ", "") == f"a{word}b"
