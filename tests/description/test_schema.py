"""The generated schema, and that it and the reader do not drift apart."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from linter import shelf
from linter.description import schema
from linter.description.build import describe
from linter.description.read import read_text
from linter.description.tree import Table, Troubles
from tests.description.cases import FOLDER, GOOD, ROOT, cases

# What a schema can see: shapes, keys and spellings. The rest is about names, order and sense.
SEEN = {
    "wrong-shape",
    "unknown-key",
    "missing-key",
    "unknown-kind",
    "unknown-choice",
    "not-yes-or-no",
    "unreadable-quantity",
    "unreadable-size",
    "key-without-value",
    "edition",
}
UNSEEN = {
    "unknown-kind/listed",
    "unknown-kind/unlike",
    "unreadable-quantity/negative-length",
    "unreadable-quantity/negative-rating",
    "unreadable-quantity/decimal-comma-in-a-route",
    "unreadable-quantity/decimal-comma-in-brackets",
    "unreadable-quantity/backwards",
    "unreadable-quantity/length-without-unit",
    "unreadable-quantity/breaks-at-no-voltage",
    "missing-key/dial",
    "missing-key/between",
    "unknown-key/default-title",
    "edition/missing",
}


def tree(path: Path) -> Table:
    written = read_text(path.read_bytes(), path.name, Troubles())
    assert written.tree is not None
    return written.tree


def test_the_file_is_fresh() -> None:
    """Mend with: python -m linter.description.schema."""
    assert shelf.text(schema.FILE) == schema.rendered()


def test_the_schema_is_a_schema() -> None:
    """By the rules of draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(schema.schema())


@pytest.mark.parametrize("path", GOOD, ids=lambda p: str(p.relative_to(ROOT)))
def test_what_the_reader_accepts_the_schema_accepts(path: Path) -> None:
    """Every sound description of ours."""
    described, diagnostics = describe(path.read_bytes(), path.name, lambda name: (path.parent / name).read_bytes())
    assert described is not None, diagnostics
    assert not [(list(e.absolute_path), e.message) for e in schema.errors(tree(path))]


@pytest.mark.parametrize("path", [p for p in cases() if p.parent.name in SEEN], ids=lambda p: str(p.relative_to(FOLDER)))
def test_what_a_schema_can_see_it_sees(path: Path) -> None:
    """An editor with the schema shows the slip while it is typed."""
    written = read_text(path.read_bytes(), path.name, Troubles())
    if written.tree is not None:
        assert bool(schema.errors(written.tree)) == (f"{path.parent.name}/{path.stem}" not in UNSEEN)


def test_a_refused_description_is_refused_by_the_reader_alone() -> None:
    """The schema only adds: no case of ours needs it."""
    for path in cases():
        _, diagnostics = describe(path.read_bytes(), path.name, lambda _: None)
        assert "schema" not in {d.kind for d in diagnostics}, path


def test_what_the_reader_missed_is_told_in_plain_words() -> None:
    """Made up: nothing told yet, so everything the schema finds is new."""
    troubles = Troubles()
    written = read_text(b"parts:\n  B1: {kind: battery, colour: red, capacity: 95 V}\n  F1: {rating: 50 A}\nruns: 5\n", "van.yaml", troubles)
    assert written.tree is not None
    schema.beyond(written.tree, troubles)
    told = [(d.kind, d.headline, d.at.line, d.at.pointer) for d in troubles.sorted()]
    assert ("schema", '"95 V" is not what is asked for here (capacity)', 2, "/parts/B1/capacity") in told
    assert ("schema", '"colour" cannot be said here (B1)', 2, "/parts/B1") in told
    assert ("schema", "This table is not in a form that is read here (F1)", 3, "/parts/F1") in told
    assert ("schema", '"5" is not what is asked for here (runs)', 4, "/runs") in told


def test_what_was_told_is_not_told_again() -> None:
    """A place the reader spoke of, or one above or below it, is left alone."""
    _, diagnostics = describe(b"tugtest: 1\nlisted: so far\nparts:\n  B1: {kind: battery, capacity: 95 V, colour: red}\n", "van.yaml")
    assert [d.kind for d in diagnostics] == ["unreadable-quantity", "unknown-key"]


def test_a_sound_description_never_brings_jsonschema_in() -> None:
    """Nor does the reader bring lark, click, or numpy."""
    code = (
        "import sys, pathlib\nfrom linter.description.build import describe\n"
        "described, _ = describe(pathlib.Path(sys.argv[1]).read_bytes(), 'van.yaml')\nassert described\n"
        "print(sorted({'jsonschema', 'lark', 'click', 'numpy'} & set(sys.modules)))"
    )
    van = Path(__file__).with_name("honey-shed-van.yaml")
    assert subprocess.run([sys.executable, "-c", code, str(van)], capture_output=True, text=True, check=True, cwd=ROOT).stdout == "[]\n"
