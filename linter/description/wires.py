"""The wires block: what is known of the conductors the runs name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linter.base.diagnostic import Mark
from linter.base.text import clean
from linter.description import keys
from linter.description.described import Thing
from linter.description.names import Names
from linter.description.parts import Parts
from linter.description.routes import Led
from linter.description.tree import Node, Table, Text, Troubles, quoted
from linter.description.values import Facts, agree, nothing, plain

_MOST_WORDS = 200


@dataclass(slots=True)
class _Block:
    """One line of the block: what is said of one wire or several."""

    key: Text
    facts: Facts
    title: str
    like: Text | None


class Wires:
    """Wires as the block describes them; the routes say where they run.

    Attributes:
        named: Every name the block may mean, with its place.
    """

    def __init__(self, names: Names, parts: Parts, troubles: Troubles) -> None:
        self.names, self.parts, self.troubles = names, parts, troubles
        self.named: dict[str, Node] = {}
        self._blocks: list[_Block] = []

    def describe(self, tables: list[Table]) -> None:
        """Reads the blocks. "W11 W12" is two wires, unless a run leads a wire called so ("bar 1")."""
        for table in tables:
            for key, node in table.values.items():
                at = table.keys[key]
                if not isinstance(node, Table):
                    if isinstance(node, Text) and node.missing:
                        nothing(node, at, "wires", self.troubles)
                    else:
                        self.troubles.add(
                            "wrong-shape", f"{quoted(key)} must be a table of what is said of the wire", node, "Write {size: 25 mm², insulation: 105 °C}."
                        )
                    continue
                facts, nodes = Facts(), dict[str, tuple[Text, Node]]()
                self.parts.read_facts("conductor", node, key, facts, nodes)
                title = plain(nodes["title"][1], nodes["title"][0], key, self.troubles) if "title" in nodes else None
                like = nodes["like"][1] if "like" in nodes else None
                if like is not None and (not isinstance(like, Text) or like.missing):
                    self.troubles.add("wrong-shape", f"like of {clean(key, 40)} is one name", like, "Name one wire.")
                    like = None
                self._blocks.append(_Block(at, facts, title or "", like if isinstance(like, Text) else None))
                whole = " ".join(key.split())
                words = whole.split(" ")
                for begin in range(min(len(words), _MOST_WORDS)):
                    for end in range(begin + 1, min(len(words), begin + 3) + 1):
                        self.named.setdefault(" ".join(words[begin:end]), at)

    def things(self, led: Mapping[str, Led]) -> list[Thing]:
        """The conductors, in the order of the runs."""
        said: dict[str, list[_Block]] = {}
        for block in self._blocks:
            for name in self._meant(block.key, led):
                if name not in led:
                    if self.names.known.get(name) is not None and self.names.known[name].section != "wires":
                        self.troubles.add(
                            "name-taken",
                            f"{quoted(name)} is described as a wire and as a {self.names.known[name].kind.replace('-', ' ') or 'part'}",
                            block.key,
                            "Give one of them another name.",
                        )
                    elif self.names.whole:
                        near = self.troubles.near(name, led)
                        self.troubles.add(
                            "wire-in-no-run",
                            f"The wire {quoted(name)} is described, but no run leads it anywhere",
                            block.key,
                            f"Did you mean {near}?" if near and near not in self.named else "Name it in a run, or take it out.",
                        )
                    continue
                if name not in self.names.known and not self.names.add(name, "conductor", "wires", block.key):
                    continue
                said.setdefault(name, []).append(block)
        return [self._thing(wire, said, led) for wire in led.values()]

    def _meant(self, key: Text, led: Mapping[str, Led]) -> list[str]:
        """The names of a block: as long a run of words as is a wire, from left to right ("bar 1 bar 2" is two)."""
        words = key.value.split()
        names: list[str] = []
        while words:
            take = next((n for n in (3, 2) if len(words) >= n and " ".join(words[:n]) in led), 1)
            names.append(" ".join(words[:take]))
            del words[:take]
        for name in names:
            if names.count(name) > 1:
                self.troubles.add("written-twice", f"{quoted(name)} is named twice here", key, "Take one out.")
        return list(dict.fromkeys(names))

    def _own(self, name: str, said: Mapping[str, list[_Block]], tell: bool) -> Facts:
        """What the blocks say of one wire; two blocks may add to one another but not speak of the same fact."""
        facts = Facts()
        for block in said.get(name, []):
            for word, reading in block.facts.readings.items():
                before = facts.readings.get(word)
                if before is None:
                    facts.readings[word] = reading
                elif tell and not agree(before, reading) and word not in ("area", "size-system-known"):
                    self.troubles.add(
                        "stated-twice",
                        f"{clean(word.replace('-', ' '), 40)} of {clean(name, 40)} is stated in two ways",
                        reading.at or block.key,
                        "Keep one of them.",
                        (Mark("first", f"line {before.at.line}", before.at),) if before.at else (),
                    )
            facts.told.update(block.facts.told)
            facts.asked |= block.facts.asked
        return facts

    def _thing(self, wire: Led, said: Mapping[str, list[_Block]], led: Mapping[str, Led]) -> Thing:
        blocks = said.get(wire.name, [])
        facts = self._own(wire.name, said, True)
        if wire.length is not None:
            before = facts.readings.get("length")
            if before is not None and not agree(before, wire.length):
                self.troubles.add(
                    "stated-twice",
                    f"The length of {clean(wire.name, 40)} is stated in two ways: in its run, and under wires",
                    wire.at,
                    "Keep the measured one.",
                    (Mark("also", f"line {before.at.line}", before.at),) if before.at else (),
                )
            elif before is None:
                facts.readings["length"] = wire.length
                facts.asked.discard("length")
        likes = [block.like for block in blocks if block.like is not None]
        seen = {wire.name}
        while likes:
            like = likes.pop(0)
            other = " ".join(like.value.split())
            if other in seen:
                self.troubles.add("like-in-a-ring", f"{clean(wire.name, 40)} is said to be like itself", like, "Describe one of them in full.")
                break
            seen.add(other)
            if other not in led:
                if self.names.whole:
                    self.troubles.add("unknown-name", f"{clean(wire.name, 40)} is said to be like {quoted(other)}, which is no wire of any run", like, None)
                break
            # A length belongs to one wire alone.
            facts.fill_from(self._own(other, said, False), lambda word: word != "length")
            likes.extend(block.like for block in said.get(other, []) if block.like is not None)
        for of, defaults in self.parts.defaults:
            if of in ("conductor", "element"):
                facts.fill_from(defaults, lambda word: keys.said_of(word, "conductor"))
        at = blocks[0].key.span if blocks else wire.at
        return Thing(wire.name, "conductor", next((b.title for b in blocks if b.title), ""), facts.readings, at, told=facts.told, asked=frozenset(facts.asked))
