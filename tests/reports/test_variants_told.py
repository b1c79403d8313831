"""What reports say of variants held against besides: the same in each format, escaped, and without touching what the run found."""

from __future__ import annotations

import json
import re
import unicodedata
import xml.etree.ElementTree as ET
from dataclasses import replace
from html import unescape

import jsonschema
import pytest

from linter import shelf
from linter.reports import NAMES, report
from linter.reports.page import columns
from linter.reports.text import text
from linter.survey.also import GROUPS, ONLY_HERE, Also, Figure
from linter.survey.moves import GONE, Move
from linter.survey.record import CANNOT_TELL, DOES_NOT_APPLY, MET, NOT_MET, PackUsed, Survey, exit_status
from tests.reports.conftest import HOSTILE


def besides(survey: Survey, name: str = "far-shore", title: str = "The far shore", element: str = "W7", practice: str = "fuse-close-to-source") -> Survey:
    """The survey with one variant that moves something of every sort."""
    moved = (
        Move(practice, "warning", element, MET, NOT_MET), Move("smaller-wire-own-fuse", "warning", "W34", NOT_MET, MET),
        Move("fuse-can-break", "warning", "F9", MET, CANNOT_TELL), Move("fuse-can-break", "warning", "F7", CANNOT_TELL, MET),
        Move("shore-card", "caution", "", GONE, NOT_MET), Move("string-fused", "notice", "A1", MET, GONE),
        Move("switch-in-reach", "caution", "S1", MET, DOES_NOT_APPLY))
    one = Also(PackUsed(name, title, "2.0", "77aa3c2a41d0e5b6", True), survey.summary, (Figure("fuse-reach", "457 mm", "200 mm", "looser"),), moved)
    return replace(survey, also=(one,))


def flat(words: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>|\\", " " if "<html" in words else "", words)).split())


def test_each_move_stands_in_one_group_at_most(everyday: Survey) -> None:
    """Newly not met, no longer, open, told, only here, not asked here; what is neither better nor worse in none."""
    one = besides(everyday).also[0]
    grouped = [move for group in GROUPS for move in one.group(group)]
    assert len(grouped) == len(set(grouped)) == 6
    assert [move.practice for move in one.group(ONLY_HERE)] == ["shore-card"]


@pytest.mark.parametrize("name", ["text", "markdown", "html"])
def test_reports_for_people_name_figures_practices_and_elements(name: str, everyday: Survey) -> None:
    """Title, edition, outcome, counts, and what differs from the run."""
    out = flat(report(name)((besides(everyday),)))
    assert "The far shore (far-shore), edition 2.0" in out
    assert "not met 3 (1 danger, 1 warning, 1 caution), cannot tell 2 (2 warning)" in out
    assert "fuse-reach 457 mm (200 mm); this run's in brackets" in out
    for said in ("fuse-close-to-source: W7", "smaller-wire-own-fuse (met): W34", "fuse-can-break: F9", "fuse-can-break (met): F7",
                 "shore-card (not met): the installation", "string-fused (was met): A1"):
        assert said in out, said


@pytest.mark.parametrize("name", NAMES)
def test_what_the_run_found_stands_as_it_was(name: str, everyday: Survey) -> None:
    """Nothing is lost from a report; outcome and exit status are the run's."""
    with_it = besides(everyday)
    before, after = report(name)((everyday,)).splitlines(), report(name)((with_it,)).splitlines()
    assert len(after) > len(before)
    if name == "json":
        a, b = (json.loads("\n".join(lines))["sources"][0] for lines in (before, after))
        assert b.pop("also") and a.pop("also") == [] and a == b
    elif name != "sarif":
        rest = iter(after)
        assert all(line in rest for line in before), "every line of the run, in order"
    assert exit_status((with_it,)) == exit_status((everyday,))


def test_json_keeps_its_schema(everyday: Survey) -> None:
    """`also` is in it; null where one side does not ask."""
    document = json.loads(report("json")((besides(everyday),)))
    jsonschema.Draft202012Validator(json.loads(shelf.text("findings.schema.json"))).validate(document)
    also = document["sources"][0]["also"][0]
    assert also["pack"]["name"] == "far-shore" and also["outcome"] == "not met"
    assert also["figures"] == [{"limit": "fuse-reach", "value": "457 mm", "in_run": "200 mm", "way": "looser"}]
    assert {"practice": "shore-card", "weight": "caution", "element": "", "was": None, "now": "not met"} in also["moved"]


def test_formats_of_others_carry_it_as_a_property(everyday: Survey) -> None:
    """No case, no result: a variant fails no build."""
    with_it = besides(everyday)
    suite = ET.fromstring(report("junit")((with_it,))).find("testsuite")
    assert suite is not None
    plain = ET.fromstring(report("junit")((everyday,))).find("testsuite")
    assert plain is not None and suite.attrib == plain.attrib and plain.find("properties") is None
    said = [(one.get("name"), one.get("value")) for one in suite.findall("properties/property")]
    assert said == [("also", "far-shore 2.0 77aa3c2a41d0e5b6: not met 3 (1 danger, 1 warning, 1 caution), cannot tell 2 (2 warning)")]
    run = json.loads(report("sarif")((with_it,)))["runs"][0]
    assert run["properties"]["also"] == [said[0][1]]
    assert run["results"] == json.loads(report("sarif")((everyday,)))["runs"][0]["results"]


@pytest.mark.parametrize("name", NAMES)
def test_no_strange_name_acts(name: str, hostile: Survey) -> None:
    """Titles come from pack.yaml and names from descriptions: neither acts."""
    out = report(name)((besides(hostile, title=HOSTILE, element=HOSTILE, practice=HOSTILE),))
    assert not {c for c in out if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Cs")}
    if name == "html":
        assert "<script" not in out
    if name == "junit":
        ET.fromstring(out)


@pytest.mark.parametrize("everything", [False, True])
@pytest.mark.parametrize("width", [60, 80])
def test_no_line_is_wider_than_the_screen(width: int, everything: bool, hostile: Survey) -> None:
    """As everywhere."""
    for line in text((besides(hostile, title=HOSTILE * 3, element=HOSTILE),), everything=everything, width=width).splitlines():
        assert columns(line) <= width and line == line.rstrip()


def test_long_lists_are_cut_on_a_screen_and_whole_with_all(everyday: Survey) -> None:
    """Six elements and five practices, then how many more; `--all` names every one."""
    survey = besides(everyday)
    moves = tuple(Move(f"card-{n}", "caution", f"W{m}", MET, NOT_MET) for n in range(9) for m in range(9))
    survey = replace(survey, also=(replace(survey.also[0], moved=moves),))
    short, full = flat(text((survey,))), flat(text((survey,), everything=True))
    assert "card-4: W0, W1, W2, W3, W4, W5 and 3 more and 4 practices more" in short and "card-5" not in short
    assert all(f"card-{n}: W0, W1, W2, W3, W4, W5, W6, W7 and W8" in full for n in range(9))


def test_a_variant_that_changes_nothing_says_so(everyday: Survey) -> None:
    """Not silence."""
    survey = besides(everyday)
    survey = replace(survey, also=(replace(survey.also[0], moved=(), figures=()),))
    assert "Beside this run nothing comes out worse or better" in flat(text((survey,)))
