"""Who is called what: every part, wire, hole, place and vehicle has a name of its own."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from linter.base.bounds import NAME_LENGTH
from linter.base.diagnostic import Mark
from linter.base.text import clean, listed
from linter.description.tree import Node, Text, Troubles, quoted
from linter.vocabulary import vocabulary

MOST_WORDS = 30  # No name has more words than this: it has at most sixty characters.
_NAME = re.compile(r"[^\W_][\w .\-/()'+#&°²³½]*\Z")
_LENGTH_LIKE = re.compile(r"\d+(\.\d+)?( ?(mm|cm|m|in|ft|A|V|W|Ah))?\Z")
_ENDS_IN_LENGTH = re.compile(r" \d+(\.\d+)? ?(mm|cm|m|in|ft)\Z")
# Subjects of conditions that are no parts.
RESERVED = ("engine", "sun", "shore")
_SECTION_SAID = {"vehicles": "a vehicle", "places": "a place", "parts": "a part", "wires": "a wire", "holes": "a hole"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One name.

    Attributes:
        kind: Of the vocabulary; "" where the description does not say it in a way we know.
        section: Where it is described.
        at: The name as written.
    """

    kind: str
    section: str
    at: Node


@dataclass(slots=True)
class Names:
    """Names in file order, and whether all of them are here.

    Attributes:
        taken_twice: Names with two meanings, told; nobody complains about them a second time.
        whole: False if part of the file could not be read: then nobody complains about names that may be there.
    """

    troubles: Troubles
    whole: bool = True
    known: dict[str, Entry] = field(default_factory=dict)
    taken_twice: set[str] = field(default_factory=set)
    _folded: dict[str, str] = field(default_factory=dict)

    def good(self, name: str, at: Node, what: str) -> bool:
        """Whether a text may be a name at all."""
        if len(name) > NAME_LENGTH.most:
            self.troubles.add(
                "bad-name",
                f"The name of {what} has {len(name)} characters; {NAME_LENGTH.most} are read",
                at,
                "Use the marker on it, and write the rest as title.",
            )
            return False
        if not name.isprintable() or not _NAME.match(name):
            bad = next((c for i, c in enumerate(name) if not _NAME.match(name[i] if i == 0 else "a" + c)), "")
            self.troubles.add(
                "bad-name",
                f"{quoted(name)} cannot be the name of {what}" + (f": {quoted(bad)} has no place in a name" if bad.strip() else ""),
                at,
                "Begin with a letter or digit; use letters, digits, blanks, hyphens, dots; no comma, no colon.",
            )
            return False
        if (_LENGTH_LIKE.match(name) or _ENDS_IN_LENGTH.search(name)) and not name.isdigit():
            self.troubles.add("bad-name", f"{quoted(name)} reads like a quantity, not like the name of {what}", at, "Use the marker on it, such as W12.")
            return False
        return True

    def add(self, name: str, kind: str, section: str, at: Node) -> bool:
        """A new name; False if it is taken or no name."""
        what = _SECTION_SAID.get(section, "a thing")
        if not self.good(name, at, what):
            return False
        if section == "parts" and name in RESERVED:
            self.troubles.add(
                "name-taken", f'{quoted(name)} cannot name a part: conditions such as "engine runs" use the word', at, "Use another name, such as its marker."
            )
            return False
        before = self._folded.get(name.casefold())
        if before is not None:
            self.taken_twice.add(name)
            first = self.known[before]
            where = Mark("first", f"{_SECTION_SAID.get(first.section, 'a thing')} in line {first.at.line}", first.at.span)
            if before == name:
                self.troubles.add(
                    "name-taken",
                    f"{quoted(name)} already names {_SECTION_SAID.get(first.section, 'something')}, in line {first.at.line}",
                    at,
                    "Give one of them another name.",
                    (where,),
                )
            else:
                self.troubles.add(
                    "name-taken",
                    f"{quoted(name)} and {quoted(before)} differ only in capitals",
                    at,
                    "Write both alike if they are one thing, or rename one.",
                    (where,),
                )
            return False
        self.known[name] = Entry(kind, section, at)
        self._folded[name.casefold()] = name
        return True

    def lookup(self, name: str, wanted: str, at: Text) -> str | None:
        """The name if it is described and of the wanted kind; else None, told."""
        entry = self.known.get(name)
        words = vocabulary()
        if name in self.taken_twice:
            return name
        if entry is not None:
            if not entry.kind or wanted == "element" or words.is_a(entry.kind, wanted):
                return name
            self.troubles.add("unknown-name", f"{quoted(name)} is a {entry.kind.replace('-', ' ')}, and a {wanted.replace('-', ' ')} is asked for", at)
            return None
        if not self.whole:
            return None
        if self.troubles.full:
            return None
        pool = [n for n, e in self.known.items() if wanted == "element" or words.is_a(e.kind, wanted)]
        said = wanted.replace("-", " ") if wanted != "element" else "thing"
        near = self._folded.get(name.casefold()) or self.troubles.near(name, pool)
        remedy = f"Did you mean {near}?" if near else f"Described: {listed([clean(n, 30) for n in pool])}." if pool else f"No {said} is described."
        self.troubles.add("unknown-name", f"No {said} is named {quoted(name)}", at, remedy)
        return None
