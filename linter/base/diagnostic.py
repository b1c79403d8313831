"""What we tell people about input that cannot be used."""

from __future__ import annotations

from dataclasses import dataclass

from linter.base.span import Span


@dataclass(frozen=True, slots=True)
class Mark:
    """Another place that explains a diagnostic, with a short label."""

    label: str
    text: str
    at: Span | None = None


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """A rule or description that cannot be understood.

    Attributes:
        kind: From the closed list in `linter.base.kinds`; each kind has a case under fixtures/refused/.
        headline: Stands alone and names things in the reader's words.
        at: Where.
        because: Other labels and places that explain it.
        remedy: What to do, when we are sure enough to say.
        fatal: False for a remark that does not stop the run.
    """

    kind: str
    headline: str
    at: Span
    because: tuple[Mark, ...] = ()
    remedy: str | None = None
    fatal: bool = True


def in_order(diagnostics: list[Diagnostic]) -> list[Diagnostic]:
    """Sorted by place, each said once."""
    seen: dict[tuple[Span, str], Diagnostic] = {}
    for diagnostic in diagnostics:
        seen.setdefault((diagnostic.at, diagnostic.headline), diagnostic)
    return sorted(seen.values(), key=lambda d: (d.at.file, d.at.line, d.at.column, d.headline))
