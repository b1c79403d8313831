"""A place in a file that somebody wrote."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Where something is written.

    Attributes:
        file: As the reader named it; never crosses files.
        line: Counted from one.
        column: Counted from one.
        pointer: JSON pointer into a description, empty for a pack.
    """

    file: str
    line: int = 1
    column: int = 1
    pointer: str = ""

    def __str__(self) -> str:
        return f"{self.file}, line {self.line}"
