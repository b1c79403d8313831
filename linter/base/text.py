"""Making strangers' text harmless on a screen."""

from __future__ import annotations

import unicodedata

_KEEP = {"\n"}


def clean(text: str, limit: int = 200) -> str:
    """Text from a file with control and direction-changing characters shown as escapes, and cut to `limit` characters."""
    out = []
    for character in text[: limit + 1]:
        if character == " " or (character.isprintable() and unicodedata.category(character) not in {"Cf", "Zl", "Zp"}):
            out.append(character)
        else:
            out.append(f"\\u{ord(character):04x}")
    cut = "".join(out[:limit])
    return cut + "…" if len(text) > limit else cut


def listed(words: list[str], last: str = "and", most: int = 8) -> str:
    """"a, b and c"; past `most` the rest is counted."""
    if len(words) > most:
        words = [*words[:most], f"{len(words) - most} more"]
    if len(words) <= 1:
        return "".join(words)
    return ", ".join(words[:-1]) + f" {last} " + words[-1]


def plural(noun: str) -> str:
    """Batteries, switches, buses, fuses; hyphens become blanks."""
    noun = noun.replace("-", " ")
    if noun.endswith("y") and noun[-2] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "es" if noun.endswith(("ch", "s")) else noun + "s"
