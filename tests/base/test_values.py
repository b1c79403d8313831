"""Ranges are never narrower than the truth, and never narrower for a wider operand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linter.base.truth import Truth, all_of, any_of
from linter.base.values import GRACE, Range, at_most, below, divided_by, equal, exactly, minus, plus, times

numbers = st.floats(-1e6, 1e6, allow_nan=False)


@st.composite
def ranges(draw: st.DrawFn) -> Range:
    low, high = sorted((draw(numbers), draw(numbers)))
    return Range(low, draw(st.sampled_from((high, math.inf))) if low >= 0 else high)


@st.composite
def inside(draw: st.DrawFn, whole: Range) -> Range:
    """A range inside another."""
    top = whole.high if math.isfinite(whole.high) else whole.low + 1e6
    a, b = sorted((draw(st.floats(whole.low, top)), draw(st.floats(whole.low, top))))
    return Range(a, b)


@given(st.data(), ranges(), ranges(), st.sampled_from((plus, minus, times, divided_by)))
def test_a_narrower_operand_gives_a_result_inside(data: st.DataObject, a: Range, b: Range, operation) -> None:
    """Inclusion: what is worked out from less knowledge holds what is worked out from more."""
    wide = operation(a, b)
    narrow = operation(data.draw(inside(a)), data.draw(inside(b)))
    slack = 1e-6 * (1 + abs(narrow.low if math.isfinite(narrow.low) else 0))
    assert wide.low <= narrow.low + slack
    slack = 1e-6 * (1 + abs(narrow.high if math.isfinite(narrow.high) else 0))
    assert narrow.high <= wide.high + slack


@given(st.data(), ranges(), ranges(), st.sampled_from((at_most, below, equal)))
def test_more_knowledge_never_overturns_a_comparison(data: st.DataObject, a: Range, b: Range, compare) -> None:
    """A settled comparison stays settled when either side is known better."""
    before = compare(a, b)
    after = compare(data.draw(inside(a)), data.draw(inside(b)))
    assert before in (Truth.UNKNOWN, after)


def test_the_limit_itself_is_met() -> None:
    """At the limit counts as met, one part in a thousand million beyond still, a millionth no longer."""
    assert at_most(exactly(0.2), exactly(0.2)) is Truth.YES
    assert at_most(exactly(0.2 * (1 + GRACE / 2)), exactly(0.2)) is Truth.YES
    assert at_most(exactly(0.2 * (1 + 1e-6)), exactly(0.2)) is Truth.NO
    assert below(exactly(0.2), exactly(0.2)) is Truth.NO


def test_a_range_across_the_limit_cannot_be_told() -> None:
    """3 m to 4 m against 3.5 m, 4 m and 2.9 m, as the language page works it."""
    run = Range(3.0, 4.0)
    assert at_most(run, exactly(3.5)) is Truth.UNKNOWN
    assert at_most(run, exactly(4.0)) is Truth.YES
    assert at_most(run, exactly(2.9)) is Truth.NO


@pytest.mark.parametrize("divisor", [Range(-1, 1), Range(-1, 0)])
def test_a_divisor_round_zero_has_no_ends(divisor: Range) -> None:
    """Nothing is claimed of a quotient whose divisor may be 0."""
    assert divided_by(exactly(1.0), divisor) == Range(-math.inf, math.inf)


def test_a_truth_refuses_to_be_a_boolean() -> None:
    """`if truth:` would take UNKNOWN for YES."""
    with pytest.raises(TypeError):
        bool(Truth.UNKNOWN)


@given(st.lists(st.sampled_from(Truth)))
def test_and_and_or_are_each_others_mirror(parts: list[Truth]) -> None:
    """De Morgan, three-valued."""
    assert ~all_of(parts) is any_of([~part for part in parts])
