"""Conditions in a few words: "engine runs", "K1 both", "X3 mated and R1 closed"."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import chain

from linter.base.text import clean, listed
from linter.description.described import Said
from linter.description.names import MOST_WORDS, Names
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted

FREE: Mapping[str, tuple[str, ...]] = {"engine": ("runs", "stopped"), "sun": ("shines", "gone"), "shore": ("connected", "absent")}
STANDS: Mapping[str, tuple[str, ...]] = {"switch": ("on", "off"), "coupling": ("mated", "parted"), "relay": ("closed", "open")}
_ALSO = {"running": "runs", "is running": "runs", "off": "stopped", "shining": "shines", "is connected": "connected", "plugged in": "connected"}

# Positions of a selector by name; None if its dial is not known.
Dial = Callable[[str], tuple[str, ...] | None]


class Conditions:
    """Reads conditions against the names of one description."""

    def __init__(self, names: Names, dial: Dial, troubles: Troubles) -> None:
        self.names, self.dial, self.troubles = names, dial, troubles

    def read(self, node: Node) -> tuple[Said, ...]:
        """All of these, from a text ("A and B") or a list."""
        if isinstance(node, Table):
            self.troubles.add("unreadable-condition", "A condition is a few words, not a table", node, "Write: engine runs, or: X3 mated and K1 both.")
            return ()
        if isinstance(node, Many):
            found: list[Said] = []
            for item in node.items:
                if isinstance(item, Text):
                    found.extend(self.read(item))
                else:
                    self.troubles.add("unreadable-condition", "A condition is a few words", item, "Write: engine runs.")
            return tuple(found)
        assert isinstance(node, Text)
        return self._text(node)

    def _text(self, node: Text) -> tuple[Said, ...]:
        text = " ".join(node.value.split())
        found = []
        pieces = text.split(" and ")
        start = 0
        # A name may hold "and" itself ("knife and pump"), so the shortest run of pieces that is a condition is taken.
        while start < len(pieces) and not self.troubles.full:
            for end in range(start + 1, min(len(pieces), start + 4) + 1):
                said = self._one(" and ".join(pieces[start:end]), node)
                if said is not None:
                    found.append(said)
                    start = end
                    break
            else:
                self._unreadable(pieces[start], node)
                start += 1
        return tuple(found)

    def _stands(self, subject: str) -> tuple[str, ...] | None:
        """How a subject can stand; () if it cannot stand any way, None if it may be anything."""
        if subject in FREE:
            return FREE[subject]
        entry = self.names.known.get(subject)
        if entry is None:
            return ()
        if entry.kind == "":
            return None
        return self.dial(subject) if entry.kind == "selector" else STANDS.get(entry.kind, ())

    def _one(self, text: str, node: Text) -> Said | None:
        words = text.split(" ")
        for cut in range(min(len(words) - 1, MOST_WORDS), 0, -1):
            subject, stands = " ".join(words[:cut]), " ".join(words[cut:])
            can = self._stands(subject)
            if can is None or stands in can:
                return Said(subject, stands, node.span)
        return None

    def _unreadable(self, text: str, node: Text) -> None:
        words = text.split(" ")
        for cut in range(min(len(words), MOST_WORDS), 0, -1):
            subject, stands = " ".join(words[:cut]), " ".join(words[cut:])
            known = subject in FREE or subject in self.names.known
            if not known:
                continue
            can = self._stands(subject) or ()
            if not can:
                kind = self.names.known[subject].kind.replace("-", " ")
                self.troubles.add(
                    "unreadable-condition",
                    f"{quoted(text)}: {clean(subject, 40)} is a {kind}, which stands only one way",
                    node,
                    "Conditions are about switches, selectors, relays, couplings, engine, sun and shore.",
                )
                return
            near = _ALSO.get(stands, "")
            near = near if near in can else self.troubles.near(stands, can) or ""
            remedy = f"Did you mean {subject} {near}?" if near else f"Write one of: {listed([f'{subject} {c}' for c in can], 'or')}."
            self.troubles.add("unreadable-condition", f"{quoted(text)} does not say how {clean(subject, 40)} stands", node, clean(remedy, 160))
            return
        if not self.names.whole:
            return
        guess = self.troubles.near(words[0], chain(FREE, self.names.known))
        self.troubles.add(
            "unreadable-condition",
            f"{quoted(text)} is not a condition: nothing is named so",
            node,
            f"Did you mean {clean(guess, 40)}?"
            if guess
            else "Write: engine runs, sun shines, shore connected, K1 on, X3 mated, R1 closed; join several by and.",
        )
