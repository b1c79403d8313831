"""Diagnostics as text: a headline, then short labels. No codes, no arrows, no source frames."""

from __future__ import annotations

from linter.base.diagnostic import Diagnostic
from linter.base.span import Span
from linter.base.text import clean
from linter.reports.page import WIDTH, labelled, paragraph

_GAP = 12


def _place(at: Span) -> str:
    where = f"{at.file}, line {at.line}"
    # A JSON pointer says more than a line in a file of one long line.
    return f"{where}, at {at.pointer}" if at.pointer else where


def telling(diagnostics: list[Diagnostic], width: int = WIDTH) -> str:
    """All of them, in order, with an empty line between."""
    lines: list[str] = []
    for diagnostic in diagnostics:
        if lines:
            lines.append("")
        lines += paragraph(diagnostic.headline, width)
        lines += labelled("In", _place(diagnostic.at), width, gap=_GAP)
        for mark in diagnostic.because:
            words = mark.text
            if mark.at is not None and (mark.at.file, mark.at.line) != (diagnostic.at.file, diagnostic.at.line):
                words += f" ({'line ' + str(mark.at.line) if mark.at.file == diagnostic.at.file else mark.at})"
            label = clean(mark.label, 60)
            if len(label) >= _GAP:
                lines += paragraph(f"{label}: {words}", width, 2, _GAP)
            else:
                lines += labelled(label, words, width, gap=_GAP)
        if diagnostic.remedy:
            lines += labelled("Mend", diagnostic.remedy, width, gap=_GAP)
        if not diagnostic.fatal:
            lines += labelled("Note", "this does not stop the run", width, gap=_GAP)
    return "\n".join(lines) + "\n" if lines else ""
