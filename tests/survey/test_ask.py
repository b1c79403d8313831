"""The fewest facts that settle the most, the heaviest first."""

from __future__ import annotations

import datetime
import json

from linter.base.span import Span
from linter.reports import asking
from linter.survey.ask import Asking, ask
from linter.survey.record import CANNOT_TELL, Finding, Question, Summary, Survey, in_order


def open_finding(practice: str, element: str, weight: str, *wants: tuple[str, str]) -> Finding:
    questions = tuple(Question(e, w, f"What is the {w}?", "look", f"{w} tips") for e, w in wants)
    return Finding(practice, "p", weight, CANNOT_TELL, element, "fuse", "", "", Span("a.yaml"), "h", (), "", "", "", questions=questions,
                   remarks=() if wants else ("too much work",))


def asked_of(*findings: Finding) -> Asking:
    return ask(Survey("a.yaml", "t", datetime.date(2026, 11, 24), in_order(list(findings), {}), (), Summary(())))


def order(asking_: Asking) -> list[tuple[str, tuple[str, ...]]]:
    return [(a.word, a.elements) for a in asking_.asked]


def test_the_fact_that_settles_most_goes_first() -> None:
    """One fact that settles three cautions goes before one that settles one."""
    result = asked_of(open_finding("a", "F1", "caution", ("T1", "short")), open_finding("a", "F2", "caution", ("T1", "short")),
                      open_finding("a", "F3", "caution", ("T1", "short")), open_finding("b", "W1", "caution", ("W1", "length")))
    assert order(result) == [("short", ("T1",)), ("length", ("W1",))]
    assert len(result.asked[0].settles) == 3


def test_a_warning_outweighs_many_notices() -> None:
    """What could hurt is asked first, however many small things wait."""
    result = asked_of(*(open_finding("n", f"L{i}", "notice", ("T1", "float")) for i in range(20)), open_finding("w", "F1", "warning", ("W9", "length")))
    assert order(result)[0] == ("length", ("W9",))


def test_a_finding_is_settled_only_when_all_it_wants_is_known() -> None:
    """Promises are kept small: a fact that only helps is not said to settle."""
    result = asked_of(open_finding("a", "F1", "warning", ("T1", "short"), ("T1", "resistance")))
    assert [(a.word, len(a.settles), len(a.helps)) for a in result.asked] == [("resistance", 0, 1), ("short", 1, 0)]


def test_one_walk_for_one_word() -> None:
    """The same word of several things is one item."""
    result = asked_of(open_finding("a", "W1", "caution", ("W1", "insulation")), open_finding("a", "W2", "caution", ("W2", "insulation")))
    assert order(result) == [("insulation", ("W1", "W2"))]


def test_open_findings_that_no_fact_settles_are_named() -> None:
    """They are not dropped from the count."""
    result = asked_of(open_finding("a", "W1", "danger"))
    assert result.without == (("a", "W1", "too much work"),) and result.open_findings == 1


def test_every_format_names_every_question() -> None:
    """Text in full, JSON and Markdown ask the same."""
    result = asked_of(open_finding("a", "W1", "caution", ("W1", "insulation")), open_finding("b", "F1", "warning", ("T1", "short-circuit-current")))
    text, markdown = asking.text((result,), most=None), asking.markdown((result,))
    document = json.loads(asking.json_asking((result,)))
    assert [q["word"] for q in document["sources"][0]["questions"]] == ["short-circuit-current", "insulation"]
    for words in ("short circuit current", "insulation"):
        assert words in text and words in markdown
    assert max(len(line) for line in text.splitlines()) <= 80


def test_a_thousand_open_questions_are_all_asked() -> None:
    """The search is bounded; the facts that many findings wait for are all among the questions."""
    findings = [open_finding(f"p{i % 40}", f"W{i}", "caution", (f"W{i}", "length"), (f"T{i % 13}", "short")) for i in range(1000)]
    result = asked_of(*findings)
    assert result.open_findings == 1000
    assert {f"T{i}" for i in range(13)} <= {element for one in result.asked for element in one.elements}
