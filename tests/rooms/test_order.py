"""Rooms import only from rooms below them, and each outside library lives in one room."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

LINTER = Path(__file__).resolve().parents[2] / "linter"

# Height of each room. Two rooms of one height never meet; a room sees only rooms of lower height.
HEIGHT = {
    "base": 0, "shelf": 0, "units": 1, "vocabulary": 2, "language": 3, "description": 3, "circuit": 4, "facts": 5, "packs": 6, "survey": 7,
    "reports": 8, "api": 9, "cli": 10,
}
# Outside library -> where it may be imported: a room, or one module of a room.
OUTSIDE = {
    "lark": ("language/",),
    "yaml": ("description/read.py", "packs/"),
    "click": ("cli/",),
    "jsonschema": ("description/schema.py",),
}


def imports(source: str) -> list[tuple[int, str]]:
    """Every import of a module with its line: at the top, inside functions, and for annotations only."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                found.append((node.lineno, "." * node.level + (node.module or "")))
            elif node.module == "linter":
                found += [(node.lineno, f"linter.{alias.name}") for alias in node.names]
            else:
                found.append((node.lineno, node.module or ""))
        elif (isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant) and isinstance(node.args[0].value, str)
              and getattr(node.func, "id", getattr(node.func, "attr", "")) in ("import_module", "__import__")):
            found.append((node.lineno, node.args[0].value))
    return found


def offences(path: str, source: str) -> list[str]:
    """What a module looks up to, in words. `path` is relative to `linter/`."""
    room = path.partition("/")[0]
    if "/" not in path:
        # linter/__init__.py imports nothing; linter/__main__.py is the command.
        return [f"{path}, line {line}, imports {name}" for line, name in imports(source)
                if name.startswith("linter") and not (path == "__main__.py" and name.startswith("linter.cli"))]
    told = []
    for line, name in imports(source):
        top, _, rest = name.partition(".")
        if name.startswith("."):
            told.append(f"{path}, line {line}, imports {name} by a relative path; write the whole name")
        elif top == "linter":
            other = rest.partition(".")[0]
            if other not in HEIGHT:
                continue  # linter itself: the version
            if other != room and HEIGHT[other] >= HEIGHT[room]:
                told.append(f"{path}, line {line}, looks {'up' if HEIGHT[other] > HEIGHT[room] else 'across'} to {other}")
        elif top in OUTSIDE:
            if not any(path.startswith(allowed) for allowed in OUTSIDE[top]):
                told.append(f"{path}, line {line}, imports {top}, which belongs to {' and '.join(OUTSIDE[top])}")
        elif top not in sys.stdlib_module_names:
            told.append(f"{path}, line {line}, imports {top}, which is no dependency of ours")
    return told


def test_every_room_looks_only_downwards() -> None:
    """Annotation-only imports count: a circle "only for typing" is still two rooms that cannot be understood apart."""
    told = [offence for file in sorted(LINTER.rglob("*.py")) for offence in offences(file.relative_to(LINTER).as_posix(), file.read_text(encoding="utf-8"))]
    assert not told, "\n".join(told)


def test_every_folder_is_a_known_room() -> None:
    """A new room says its height here before it is used."""
    rooms = {file.relative_to(LINTER).parts[0] for file in LINTER.rglob("*.py") if file.parent != LINTER}
    assert rooms <= set(HEIGHT)


@pytest.mark.parametrize(("path", "source", "said"), [
    ("facts/drop.py", "import math\n\nfrom linter.survey.record import Survey\n", "facts/drop.py, line 3, looks up to survey"),
    ("facts/drop.py", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from linter import cli\n", "facts/drop.py, line 3, looks up to cli"),
    ("language/words.py", "def f() -> None:\n    import linter.description.read\n", "language/words.py, line 2, looks across to description"),
    ("reports/html.py", "import yaml\n", "reports/html.py, line 1, imports yaml, which belongs to description/read.py and packs/"),
    ("base/text.py", "from ..units import table\n", "base/text.py, line 1, imports ..units by a relative path; write the whole name"),
    ("facts/nodal.py", "import numpy as np\n", "facts/nodal.py, line 1, imports numpy, which is no dependency of ours"),
])
def test_an_offender_is_named(path: str, source: str, said: str) -> None:
    """File, line, and the room looked up to."""
    assert offences(path, source) == [said]
