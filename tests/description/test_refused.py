"""One bad description per kind of diagnostic, and what is said of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from linter.base import kinds
from linter.description.build import describe
from tests.description.cases import FOLDER, MADE, cases, told

KINDS = dict(kinds.DESCRIPTION)


@pytest.mark.parametrize("path", cases(), ids=lambda p: str(p.relative_to(FOLDER)))
def test_a_bad_description_is_told_as_expected(path: Path) -> None:
    """Line, headline and remedy are as the sibling .expect file says, and the kind is the folder's name."""
    described, diagnostics = describe(path.read_bytes(), path.name, lambda _: None)
    assert told(diagnostics) == path.with_suffix(".expect").read_text(encoding="utf-8")
    assert path.parent.name in {d.kind for d in diagnostics}
    assert (described is None) == any(d.fatal for d in diagnostics)


@pytest.mark.parametrize("kind", MADE)
def test_a_description_past_a_bound_is_refused(kind: str) -> None:
    """Cases too large to keep."""
    described, diagnostics = describe(MADE[kind](), "large.yaml")
    assert described is None
    assert [d.kind for d in diagnostics] == [kind]


def test_every_kind_of_diagnostic_has_a_case() -> None:
    """The list in base.kinds is closed: nothing is told that is not in it, nothing is in it without a case.

    "schema" has none: it is what remains if the reader overlooks something, and its own tests make it up.
    """
    assert {p.parent.name for p in cases()} | set(MADE) | {"schema"} == set(KINDS)


def test_the_words_for_people_hold_no_inside_names() -> None:
    """Headlines and remedies never speak of our classes or of YAML's own terms."""
    for path in cases():
        for text in path.with_suffix(".expect").read_text(encoding="utf-8").splitlines():
            assert not any(word in text for word in ("scalar", "mapping", "sequence", "node", "token", "None", "Traceback", "<class")), text
