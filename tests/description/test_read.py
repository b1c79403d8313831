"""Bytes to a tree: places, core words, bounds."""

from __future__ import annotations

import time

import pytest

import linter.description.read as read
from linter.description.build import describe
from linter.description.read import read_text
from linter.description.tree import Many, Node, Table, Text, Troubles


def tree(text: str) -> Table:
    troubles = Troubles()
    written = read_text(text.encode(), "van.yaml", troubles)
    assert not troubles.found
    assert written.tree is not None
    return written.tree


def at(node: Node, *steps: str | int) -> Node:
    for step in steps:
        node = node.values[str(step)] if isinstance(node, Table) else node.items[int(step)] if isinstance(node, Many) else node
    return node


def value(node: Node, *steps: str | int) -> str:
    found = at(node, *steps)
    assert isinstance(found, Text)
    return found.value


@pytest.mark.parametrize("word", ["on", "off", "no", "yes", "Yes", "y", "012", "0o14", "1_000", "2026-05-03", "12:30:45", "1e3", ".inf", "0x1F", "=", "true"])
def test_words_stay_what_was_written(word: str) -> None:
    """No dial position becomes a boolean, no wire an octal number, no date an object."""
    found = tree(f"{word}: {word}\nlist: [{word}, a]\n")
    assert value(found, word) == word
    assert value(found, "list", 0) == word


@pytest.mark.parametrize("text", ["a: ?\nb: 1\n", "a:   ?   # not known\nb: 1\n", "{a: ?, b: 1}", "a: ?\r\nb: 1\r\n"])
def test_a_question_mark_is_a_value(text: str) -> None:
    """YAML takes a lone question mark for its own sign; a reader takes it for "not known"."""
    assert value(tree(text), "a") == "?"
    assert value(tree(text), "b") == "1"


def test_a_question_mark_in_a_list_is_a_value_and_moves_nothing() -> None:
    """The stand-in is one character wide, and is put back."""
    found = tree("a: [?, b?, c ?, 'is it?, or not']\n")
    assert [value(found, "a", n) for n in range(4)] == ["?", "b?", "c ?", "is it?, or not"]
    assert at(found, "a", 3).column == 17


def test_every_key_and_value_has_its_place() -> None:
    """Line, column and JSON pointer, counted from one."""
    found = tree("a:\n  b/c: [x, {d~: y}]\n")
    node = at(found, "a", "b/c", 1, "d~")
    assert (node.span.line, node.span.column, node.span.pointer) == (2, 17, "/a/b~1c/1/d~0")
    table = at(found, "a")
    assert isinstance(table, Table)
    assert (table.keys["b/c"].span.line, table.keys["b/c"].span.column, table.keys["b/c"].span.pointer) == (2, 3, "/a/b~1c")


def test_anchors_that_stay_small_are_read() -> None:
    """Repeating a value by its anchor is fine."""
    found = tree("a: &x {b: 1}\nc: *x\nd: &y text\n*y : e\n")
    assert value(found, "c", "b") == "1"
    assert value(found, "text") == "e"


def test_the_slow_scanner_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without libyaml the same tree comes out, only later."""
    import yaml

    text = "a: [1, {b: 'c, d'}]\ne: &x\n  - f: ?\n  - g\nh: *x\n"
    fast = tree(text)
    monkeypatch.setattr(read, "_LOADER", yaml.SafeLoader)
    slow = tree(text)

    def shape(node: Node) -> object:
        place = (node.line, node.column, node.pointer)
        if isinstance(node, Table):
            return place, {key: shape(child) for key, child in node.values.items()}
        if isinstance(node, Many):
            return place, [shape(child) for child in node.items]
        return place, node.value if isinstance(node, Text) else ""

    assert shape(fast) == shape(slow)


def test_a_broken_section_does_not_hide_the_others() -> None:
    """Every section that can be read is read; all slips are told in one run."""
    troubles = Troubles()
    written = read_text(b"a: [1\nb: {c: 2}\nd: 'e\nf: g\n", "van.yaml", troubles)
    assert written.broken == {"a", "d"}
    assert written.tree is not None
    assert list(written.tree.values) == ["b", "f"]
    assert [(d.kind, d.at.line) for d in troubles.sorted()] == [("broken-yaml", 1), ("broken-yaml", 3)]
    assert at(written.tree, "b", "c").span.pointer == "/b/c"


def test_a_large_file_is_refused_by_its_size() -> None:
    """50 MB are not looked at."""
    text = b"a: [" + b"x, " * 17_000_000
    troubles = Troubles()
    start = time.perf_counter()
    assert read_text(text, "large.yaml", troubles).tree is None
    assert time.perf_counter() - start < 0.05
    assert [d.kind for d in troubles.found] == ["file-too-large"]


@pytest.mark.parametrize(
    "text",
    [
        b"a: &a [" + b"x, " * 9 + b"x]\n" + b"".join(b"%c: &%c [%s]\n" % (98 + n, 98 + n, b", ".join([b"*%c" % (97 + n)] * 10)) for n in range(20)),
        b"[" * 3_000_000,
        b"{a: " * 900_000,
        b"- " * 1_900_000,
        b"? " * 1_900_000,
        b"a:\n" * 1_300_000,
        b'"' + b"\\" * 3_000_000,
        b"x" * 3_900_000,
        b"a: b\n" * 750_000,
        b"-" * 3_900_000 + b"?",
        b": " * 1_900_000,
        b"&a " * 1_200_000,
        b"a: [" + b"?, " * 1_200_000 + b"]\n",
        b"a: " + b"\t" * 3_900_000,
        b"#" * 3_900_000,
        b"\n" * 3_900_000,
        b"a: |\n" + b" x\n" * 1_200_000,
    ],
    ids=[
        "doubling",
        "brackets",
        "braces",
        "dashes",
        "questions",
        "keys",
        "backslashes",
        "one word",
        "same key",
        "one dash",
        "colons",
        "anchors",
        "asked",
        "tabs",
        "remark",
        "empty lines",
        "block",
    ],
)
def test_hostile_text_is_refused_in_bounded_time(text: bytes) -> None:
    """The worst we could think of, each near the bound on size."""
    start = time.perf_counter()
    described, diagnostics = describe(text, "hostile.yaml")
    assert described is None
    assert diagnostics
    assert time.perf_counter() - start < 8
