"""The refused descriptions under fixtures/, and what is expected of each.

    python -m tests.description.cases fixtures/refused/descriptions/no-date/no-such-day.yaml ...

writes the expectation of the named cases again; read the diff as carefully as code.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from linter.base.bounds import ELEMENTS, FILE_BYTES
from linter.base.diagnostic import Diagnostic
from linter.description.build import describe

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "fixtures" / "refused" / "descriptions"
GOOD = [*sorted((ROOT / "fixtures").glob("*/*.yaml")), Path(__file__).with_name("honey-shed-van.yaml")]


def cases() -> list[Path]:
    """Every refused description."""
    return sorted(FOLDER.rglob("*.yaml"))


def _too_many_parts() -> bytes:
    # One anchor for all, so that the bound on elements is met before the bound on values.
    names = "\n".join(f"  B{n}: *b" for n in range(ELEMENTS.most + 1))
    return f"tugtest: 1\nlisted: so far\nparts:\n  A: &b {{kind: bus}}\n{names}\n".encode()


# Cases too large to keep as files: kind of diagnostic to the bytes that bring it about.
MADE: dict[str, Callable[[], bytes]] = {
    "file-too-large": lambda: b"# " + b"x" * FILE_BYTES.most,
    "too-many-elements": _too_many_parts,
}


def told(diagnostics: list[Diagnostic]) -> str:
    """What an .expect file holds: line, headline and remedy of each diagnostic."""
    return "\n".join(f"line {d.at.line}\n{d.headline}\n{d.remedy or '-'}\n" for d in diagnostics)


if __name__ == "__main__":
    for name in sys.argv[1:]:
        path = Path(name)
        path.with_suffix(".expect").write_text(told(describe(path.read_bytes(), path.name, lambda _: None)[1]), encoding="utf-8")
