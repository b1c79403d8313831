"""Diagnostics and fact sheets on paper."""

from __future__ import annotations

import json

from linter.base.diagnostic import Diagnostic, Mark
from linter.base.reading import Step
from linter.base.span import Span
from linter.reports import sheet as report
from linter.reports.telling import telling
from linter.survey.sheet import FactLine, Sheet


def test_a_diagnostic_is_a_headline_and_short_labels() -> None:
    """Headline first and alone; other places by line; what to do last."""
    told = telling([Diagnostic("k", "A current cannot be compared with a voltage", Span("van.yaml", 7, 3, "/parts/F1"),
                               (Mark("Written", "rating of F at most 12 V"), Mark("Limit", "set here", Span("van.yaml", 3)),
                                Mark("A label that is long", "other", Span("b.yaml", 9))), "Write an ampere.")])
    assert told == ("A current cannot be compared with a voltage\n"
                    "  In          van.yaml, line 7, at /parts/F1\n"
                    "  Written     rating of F at most 12 V\n"
                    "  Limit       set here (line 3)\n"
                    "  A label that is long: other (b.yaml, line 9)\n"
                    "  Mend        Write an ampere.\n")


def test_hostile_text_in_a_diagnostic_is_shown_as_escapes() -> None:
    """A file cannot paint on the screen through its own error."""
    told = telling([Diagnostic("k", "found \x1b[2J\u202e", Span("a\x07.yaml"), (Mark("\x1b", "\r\x1b"),), "\x9b")])
    assert all(c == "\n" or c.isprintable() for c in told)


def test_a_fact_shows_its_working() -> None:
    """Formula, numbers, how each is known, after whom."""
    step = Step("base", "18·A^0.645", "18·35^0.645 = 178 A", "a handbook, table 5", (("size of W17", "35 mm²", "stated, line 96"),))
    fact = FactLine("corrected-capacity", "what it carries", "145.6 A", "worked out", None, "", "", ("length of W17",), ("B1",), (step,))
    made = (Sheet("W17", "conductor", "", Span("a.yaml", 4), (FactLine("size", "", "35 mm²", "stated", Span("a.yaml", 96), "", "", (), (), ()),), (fact,)),)
    text = report.text(made)
    for part in ("W17  conductor", "corrected capacity  145.6 A", "base: 18·A^0.645", "= 18·35^0.645 = 178 A", "size of W17 35 mm² (stated, line 96)",
                 "after a handbook, table 5", "stated, line 96"):
        assert part in text
    assert json.loads(report.json_sheets(made))["elements"][0]["computed"][0]["working"][0]["formula"] == "18·A^0.645"
