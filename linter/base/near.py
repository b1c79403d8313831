"""The almost-right word, for "did you mean"."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The closest of `words`, or None if none is close enough to offer.

    Long input is cut first: strangers' files must not make this slow.
    """
    pool = [w for w in words if abs(len(w) - len(word)) <= max(3, len(word) // 2)]
    found = difflib.get_close_matches(word[:60].lower(), pool[:2000], n=1, cutoff=0.7)
    return found[0] if found else None
