"""The first look at a pack's text: bytes, characters, caps. Everything here is linear in the text and knows nothing of the grammar."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from linter.base import bounds
from linter.base.bounds import Bound
from linter.base.text import clean
from linter.language.tables import Token

# Anything that is not a plain printable character, a newline, a tab or a carriage return.
_ODD = re.compile(r"[^\x20-\x7e\n\r\t]")
_SENTENCE = re.compile(r'"[^"\n\r]*"|#[^\n]*')
_EXAMPLE = re.compile(r'"[^"\n\r]*"|#[^\n]*|(?<![A-Za-z0-9_-])(?:example|done)(?![A-Za-z0-9_-])')
_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019\u00ab\u00bb"
MOST_ODD = 20


@dataclass(frozen=True, slots=True)
class Odd:
    """Something wrong with the text at one place."""

    kind: str
    headline: str
    remedy: str | None
    at: int


def decode(data: bytes) -> tuple[str, Odd | None]:
    """The text of a file, strictly. On a fault the text up to it, and the fault."""
    if len(data) > bounds.PACK_BYTES.most:
        return "", too_much(bounds.PACK_BYTES, len(data), 0)
    try:
        return data.decode("utf-8"), None
    except UnicodeDecodeError as fault:
        before = data[: fault.start].decode("utf-8", "replace")
        return before, Odd("pack-not-text", "this is not plain text in UTF-8", "Save the file as plain text, UTF-8.", len(before))


def too_much(bound: Bound, found: int, at: int) -> Odd:
    """Over one of the caps."""
    return Odd("pack-too-large", f"too large: the {bound.name} is {found:,}, at most {bound.most:,} {bound.meaning} are read",
               "Split the pack into several files or packs.", at)


def _odd(character: str, at: int) -> Odd | None:
    """What to say of one character outside a sentence; None if it is harmless where it stands."""
    code = f"U+{ord(character):04X}"
    category = unicodedata.category(character)
    if character == "\ufeff":
        return Odd("pack-character", f"an invisible byte-order mark ({code})", "Save the file as UTF-8 without a byte-order mark.", at)
    if character in _CURLY:
        return Odd("pack-character", f"a curly quote ({code}), pasted from a word processor", 'Use straight " marks.', at)
    if category in ("Zs", "Zl", "Zp"):
        return Odd("pack-character", f"a space that is not the plain space ({code})", "Retype it.", at)
    if category.startswith("C"):
        return Odd("pack-character", f"an invisible control character ({code})", "Take it out.", at)
    if category.startswith(("L", "N", "M")):
        return Odd("pack-character", f'"{clean(character)}" ({code}) is not a plain letter, though it may look like one',
                   "Outside sentences use plain letters and digits.", at)
    return Odd("pack-character", f'"{clean(character)}" ({code}) is not used here', "Outside sentences use plain letters, digits, commas and brackets.", at)


def characters(text: str) -> list[Odd]:
    """Characters that do not belong, in order; at most a handful, the rest is counted."""
    if text.isascii() and _ODD.search(text) is None:
        return []
    found: list[Odd] = []
    sentences = [(m.start(), m.end()) for m in _SENTENCE.finditer(text)]
    position, more = 0, 0
    for match in _ODD.finditer(text):
        at, character = match.start(), match.group()
        while position < len(sentences) and sentences[position][1] <= at:
            position += 1
        inside = position < len(sentences) and sentences[position][0] < at
        if inside and not unicodedata.category(character).startswith("C") and unicodedata.category(character) not in ("Zl", "Zp"):
            continue
        odd = _odd(character, at)
        if odd is None:
            continue
        if len(found) >= MOST_ODD:
            more += 1
        else:
            found.append(odd)
    if more:
        found.append(Odd("pack-character", f"{more} more characters that do not belong here", None, found[-1].at))
    return found


def without_examples(text: str) -> str:
    """The text with its examples blanked out, places kept (lines are not): a check of an installation has no use for them.

    A word of the language is reserved everywhere, so `example` outside a sentence or comment always opens one and `done` closes it.
    """
    if "example" not in text:
        return text
    pieces: list[str] = []
    kept, opened = 0, -1
    for match in _EXAMPLE.finditer(text):
        word = match.group()
        if word == "example" and opened < 0:
            opened = match.start()
        elif word == "done" and opened >= 0:
            pieces.append(text[kept:opened])
            pieces.append(" " * (match.end() - opened))
            kept, opened = match.end(), -1
    pieces.append(text[kept:])
    return "".join(pieces)


_ARITHMETIC = frozenset({"PLUS", "MINUS", "TIMES", "DIVIDED"})


def caps(item: list[Token]) -> Odd | None:
    """The caps on one item, counted on its tokens, before anything recursive sees it."""
    depth = deepest = operators = run = longest = joined = 0
    for sort, _, _ in item:
        if sort == "LPAR":
            depth += 1
            deepest = max(deepest, depth)
        elif sort == "RPAR":
            depth -= 1
        elif sort in _ARITHMETIC:
            operators += 1
        elif sort in ("AND", "OR"):
            joined += 1
        elif sort in ("OF", "OFWORD"):
            run += 1
            longest = max(longest, run)
        elif sort != "WORD":
            run = 0
    at = item[0][2]
    if deepest > bounds.NESTING.most:
        return too_much(bounds.NESTING, deepest, at)
    for chain in (operators, longest, joined):
        if chain > bounds.CHAIN.most and item[0][0] != "EXAMPLE":
            return too_much(bounds.CHAIN, chain, at)
    if longest > bounds.CHAIN.most:
        return too_much(bounds.CHAIN, longest, at)
    if len(item) > bounds.CARD_NODES.most * (4 if item[0][0] == "EXAMPLE" else 1):
        return too_much(bounds.CARD_NODES, len(item), at)
    return None
