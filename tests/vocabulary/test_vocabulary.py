"""The vocabulary table is whole: every word has what the rooms above need of it."""

from __future__ import annotations

import re

import pytest

from linter.units.dimension import NAMED
from linter.vocabulary import vocabulary
from linter.vocabulary.table import Word, read_table

WORDS = [word for rows in vocabulary().words.values() for word in rows]


@pytest.mark.parametrize("word", WORDS, ids=lambda w: f"{w.word}-{w.of[0]}")
def test_every_word_is_complete(word: Word) -> None:
    """Meaning for all; question and how for what people state; a known type; hyphenated lower case."""
    assert re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", word.word)
    assert word.meaning
    assert word.sort in ("property", "attested", "fact", "relation")
    if word.sort == "attested":
        assert word.gives == "yes-no" and not word.assume, "nobody signed means nobody knows"
    assert word.sort == "attested" or not word.signers
    if word.stated:
        assert word.question, word.word
        assert word.question.endswith("?")
    if word.sort == "relation":
        assert word.state or word.other
    else:
        known = {"size", "ingress", "text", "yes-no", "fitting", "choice", "point"} | set(NAMED) | set(vocabulary().kinds)
        assert word.gives in known
    if word.gives == "choice":
        assert len(word.choices) > 1


@pytest.mark.parametrize("word", [word for word in WORDS if word.said], ids=lambda w: f"{w.word}-{w.of[0]}")
def test_what_people_say_has_the_places_it_needs(word: Word) -> None:
    """A yes-no is said both ways; a reading's sentence has a place for thing and value; a relation names its other thing."""
    if word.gives in ("yes-no", "fitting") or word.sort == "relation":
        assert len(word.said) == 2
        assert all(("{y}" in part) == (word.sort == "relation" and bool(word.other) and word.other != "state") for part in word.said)
    else:
        assert len(word.said) in (2, 3)
        assert "{x}" in word.said[0] and "{v}" in word.said[0]
        assert "{x}" in word.said[1] and "{v}" not in word.said[1]


def test_no_word_is_said_twice_of_one_kind() -> None:
    """One word has one meaning for one thing."""
    for rows in vocabulary().words.values():
        kinds = [kind for row in rows for kind in vocabulary().kinds if any(vocabulary().is_a(kind, of) for of in row.of)]
        assert len(kinds) == len(set(kinds)), rows[0].word


def test_kinds_form_a_tree() -> None:
    """A fuse is protection, a part and an element; a battery is no fuse."""
    assert vocabulary().is_a("fuse", "element")
    assert not vocabulary().is_a("battery", "protection")


def test_a_broken_table_is_refused() -> None:
    """A word said of something that is no kind is our mistake, and said so."""
    head = "word|sort|of|gives|under|other|floor|meaning|question|how|assume|said\n"
    with pytest.raises(ValueError, match="no kind"):
        read_table(head + "rating|property|fuze|current|||0|rated|What?|look|\n")
