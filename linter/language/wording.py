"""Small things the checker shares: the spelling of choices, written numbers, articles."""

from __future__ import annotations

from linter.base.values import Range, exactly
from linter.language import syntax as s
from linter.units import dimension as d
from linter.units.dimension import Dimension
from linter.units.size import read_size
from linter.units.table import Unreadable, unit_named
from linter.vocabulary import Word

# The terminal a source pushes out of, in the order we look for it.
FEEDING = ("positive", "out positive")


class Spoiled(Exception):
    """A piece of a card cannot be understood; the complaint is already noted."""


def hyphened(words: str) -> str:
    """A choice of the vocabulary as a pack writes it: "AGM lead-acid" is agm-lead-acid."""
    return words.replace(" ", "-").lower()


def choices_of(row: Word) -> dict[str, str]:
    """Choice words as a pack writes them, to the vocabulary's spelling."""
    return {hyphened(choice): choice for choice in row.choices}


def number_of(value: s.Value) -> tuple[Range, Dimension]:
    """A written amount in SI.

    Raises:
        Unreadable: a size that does not exist.
    """
    if value.sort == "num":
        return exactly(float(value.text)), d.NUMBER
    if value.sort == "gauge":
        return read_size(value.text).area, d.AREA
    digits = len(value.text)
    while not value.text[:digits].replace(".", "").lstrip("-").isdigit():
        digits -= 1
    unit = unit_named(value.text[digits:])
    if unit is None:
        raise Unreadable(f'"{value.text}" has no unit known here')
    return exactly(float(value.text[:digits]) * unit.factor), unit.dimension


def article(kind: str) -> str:
    """"a fuse", "an inverter"."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind.replace('-', ' ')}"
