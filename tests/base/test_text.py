"""Strangers' text is harmless on a screen, and near words are found."""

from __future__ import annotations

import time

from hypothesis import given
from hypothesis import strategies as st

from linter.base.near import nearest
from linter.base.text import clean, listed


@given(st.text())
def test_no_control_or_direction_character_gets_through(text: str) -> None:
    """Whatever a file says, what we print is printable."""
    assert clean(text).replace("…", "").isprintable() or text == ""


def test_an_escape_sequence_is_shown_not_obeyed() -> None:
    """A name that tries to colour the terminal."""
    assert clean("B1\x1b[31m") == "B1\\u001b[31m"


def test_a_list_reads_like_a_sentence() -> None:
    """And it is counted past eight."""
    assert listed(["B1"]) == "B1"
    assert listed(["B1", "B2", "T1"]) == "B1, B2 and T1"
    assert listed([str(i) for i in range(20)]).endswith("and 12 more")


def test_the_nearest_word_is_offered_and_a_far_one_is_not() -> None:
    """"ratting" is rating; "zebra" is nothing here; a megabyte of letters costs nothing."""
    words = ["rating", "capacity", "chemistry"]
    assert nearest("ratting", words) == "rating"
    assert nearest("zebra", words) is None
    start = time.perf_counter()
    assert nearest("r" * 1_000_000, words) is None
    assert time.perf_counter() - start < 1
