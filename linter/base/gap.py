"""A value we do not have, and the fact that would give it."""

from __future__ import annotations

from dataclasses import dataclass

from linter.base.span import Span


@dataclass(frozen=True, slots=True, order=True)
class FactRef:
    """One fact of one element: the unit of every question we ask.

    Attributes:
        element: Name as in the description; "" for the installation itself.
        word: The word of the vocabulary, such as "length".
    """

    element: str
    word: str

    def __str__(self) -> str:
        return f"{self.word} of {self.element}" if self.element else self.word


@dataclass(frozen=True, slots=True)
class Gap:
    """Why a value is missing.

    Attributes:
        reason: Plain words: "not stated", "outside the table's range (size 150 mm², table ends at 120 mm²)".
        at: Where it would be written, if that can be said.
    """

    reason: str
    at: Span | None = None
