"""Laying out plain text on a narrow page: labels, wrapped paragraphs, two-ended lines. No colour, no cursor tricks."""

from __future__ import annotations

import unicodedata

from linter.base.text import clean
from linter.units.table import UNITS

WIDTH = 80
_UNITS = frozenset(unit.name for unit in UNITS)
LABEL = 10


def columns(text: str) -> int:
    """How many columns a terminal needs for `text`."""
    return len(text) if text.isascii() else sum(_column(character) for character in text)


def _column(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrap(text: str, width: int, first: int = 0) -> list[str]:
    """Words on lines of at most `width` columns; a word longer than a line is cut, never lost.

    Args:
        text: Any text; line ends in it count as blanks.
        width: Columns of a line.
        first: Columns already taken on the first line.
    """
    width = max(width, 12)
    lines: list[str] = []
    line, room = "", width - first
    for word in _words(text):
        while columns(word) > width:
            head, word = _cut(word, width)
            if line:
                lines.append(line)
            lines.append(head)
            line, room = "", width
        if line and columns(line) + 1 + columns(word) > room:
            lines.append(line)
            line, room = word, width
        elif not line and columns(word) > room:
            lines.append("")
            line, room = word, width
        else:
            line = f"{line} {word}" if line else word
    lines.append(line)
    return lines


def _words(text: str) -> list[str]:
    """Words of a text; a number keeps its unit beside it."""
    words: list[str] = []
    for word in text.split():
        if words and words[-1][-1].isdigit() and word.rstrip(".,;:)") in _UNITS:
            words[-1] += " " + word
        else:
            words.append(word)
    return words


def _cut(word: str, width: int) -> tuple[str, str]:
    used = 0
    for at, character in enumerate(word):
        used += _column(character)
        if used > width:
            return word[:at], word[at:]
    return word, ""


def labelled(label: str, text: str, width: int = WIDTH, indent: int = 2, gap: int = LABEL) -> list[str]:
    """A label, and beside it a paragraph that keeps its left edge."""
    if not text:
        return []
    left = indent + gap
    lines = wrap(clean(text, 2000), width - left)
    return [" " * indent + label.ljust(gap) + lines[0], *(" " * left + line for line in lines[1:])]


def paragraph(text: str, width: int = WIDTH, indent: int = 0, hang: int = 0) -> list[str]:
    """A wrapped paragraph; lines after the first stand `hang` further in."""
    lines = wrap(clean(text, 4000), width - indent - hang, first=-hang)
    return [(" " * indent + lines[0]).rstrip(), *(" " * (indent + hang) + line for line in lines[1:])]


def two_ends(left: str, right: str, width: int = WIDTH, indent: int = 0) -> list[str]:
    """`left` and, at the right edge, `right`; on two lines if they do not fit on one."""
    left, right = clean(left, 400), clean(right, 400)
    # A single short piece keeps the blanks its caller set; a longer one is wrapped.
    lines = [left] if columns(left) <= width - indent else wrap(left, width - indent - 2)
    lines = [" " * (indent + (2 if number else 0)) + line for number, line in enumerate(lines)]
    if not right:
        return lines
    if columns(right) > width - 4:
        return [*lines, *paragraph(right, width, indent + 4)]
    room = width - columns(lines[-1]) - columns(right)
    if room >= 2:
        return [*lines[:-1], lines[-1] + " " * room + right]
    return [*lines, " " * (width - columns(right)) + right]
