"""A small World without wiring, whose unknowns can be filled in every possible way: the oracle's playground."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.language.world import Answer, Ways

# What an unknown quantity may be in a completion; its reading is "0 to no end".
AMOUNTS = (0.0, 5.0, 10.0, 20.0, 40.0)


@dataclass(frozen=True)
class FakeWorld:
    """Elements, facts with all their possible values, and relations in a few states.

    Attributes:
        kinds: Element to kind.
        facts: (element, word) to possible values: floats, booleans or choice words. Missing: not known at all.
        relations: (word, element, other) to (states of yes, states of no), as bit sets.
        open_kinds: Kinds whose list may not be whole.
        states: How many operating states.
        ancestors: Kind to kinds it also is.
    """

    kinds: dict[str, str]
    facts: dict[tuple[str, str], tuple[Any, ...]]
    relations: dict[tuple[str, str, str | None], tuple[int, int]] = field(default_factory=dict)
    open_kinds: frozenset[str] = frozenset()
    states: int = 3
    parts: dict[tuple[str, str], str] = field(default_factory=dict)

    @property
    def everything(self) -> int:
        return (1 << self.states) - 1

    @property
    def nothing(self) -> int:
        return 0

    def without(self, states: int, less: int) -> int:
        return states & ~less

    def members(self, kind: str) -> tuple[str, ...]:
        return ("",) if kind == "installation" else tuple(e for e, k in self.kinds.items() if k == kind)

    def complete(self, kind: str) -> bool:
        return kind not in self.open_kinds

    def kind_of(self, element: str) -> str:
        return self.kinds.get(element, "installation")

    def reading(self, word: str, element: str) -> Reading:
        ref = frozenset({FactRef(element, word)})
        values = self.facts.get((element, word))
        if values is None:
            return Reading(Range(0.0, INF) if word in ("current", "capacity", "length") else Truth.UNKNOWN if word != "chemistry" else frozenset(),
                           "unknown", wants=ref)
        wants = ref if len(set(values)) > 1 else frozenset()
        if isinstance(values[0], bool):
            return Reading(Truth.UNKNOWN if len(set(values)) > 1 else Truth.YES if values[0] else Truth.NO, wants=wants)
        if isinstance(values[0], str):
            return Reading(frozenset(values), wants=wants)
        return Reading(Range(min(values), max(values)), wants=wants)

    def readings(self, word: str, element: str) -> tuple[tuple[int, Reading], ...]:
        """A word said under a state is kept as one fact for each state: "flow 0", "flow 1"."""
        found: list[tuple[int, Reading]] = []
        for state in range(self.states):
            values = self.facts.get((element, f"{word} {state}"))
            ref = frozenset({FactRef(element, word)})
            reading = Reading(Range(0.0, INF), wants=ref) if values is None else Reading(
                Range(min(values), max(values)), wants=ref if len(set(values)) > 1 else frozenset())
            found.append((1 << state, reading))
        return tuple(found)

    def relation(self, word: str, element: str, other: str | None) -> Answer:
        yes, no = self.relations.get((word, element, other), (0, 0))
        wants = frozenset({FactRef(element, word)}) if yes | no != self.everything else frozenset()
        return Answer(yes, no, wants)

    def part(self, word: str, element: str) -> tuple[str | None, Reading]:
        name = self.parts.get((element, word))
        return name, Reading(frozenset({name}) if name else frozenset(), wants=frozenset() if name else frozenset({FactRef(element, word)}))

    def ways(self, question: Ways) -> Answer:
        """No wiring here: every way meets a device if one surely qualifies, none does if none may."""
        truths = set(question.meets.values())
        wants = frozenset(ref for refs in question.wanting.values() for ref in refs)
        if Truth.YES in truths:
            return Answer(self.everything, 0)
        return Answer(0, 0, wants) if Truth.UNKNOWN in truths else Answer(0, self.everything, through=question.starts)

    def spend(self, steps: int) -> None:
        pass

    # ---- completions ----------------------------------------------------------------------------------------------------------------------

    def completions(self, domains: dict[str, tuple[tuple[str, tuple[Any, ...]], ...]]) -> Iterator[FakeWorld]:
        """Every world this one may turn out to be. `domains`: kind to its words and what each may be."""
        for extra in itertools.product(*((False, True) if kind in self.open_kinds else (False,) for kind in domains)):
            kinds = dict(self.kinds)
            for kind, added in zip(domains, extra, strict=True):
                if added:
                    kinds[f"extra {kind}"] = kind
            slots: list[tuple[tuple[str, str], tuple[Any, ...]]] = []
            for element, kind in kinds.items():
                for word, domain in domains.get(kind, ()):
                    slots.append(((element, word), tuple(dict.fromkeys(self.facts.get((element, word), domain)))))
            doubts = []
            for key, (yes, no) in self.relations.items():
                for bit in range(self.states):
                    if not (yes | no) >> bit & 1:
                        doubts.append((key, bit))
            for values in itertools.product(*(domain for _, domain in slots)):
                facts = {key: (value,) for (key, _), value in zip(slots, values, strict=True)}
                for bits in itertools.product((False, True), repeat=len(doubts)):
                    relations = dict(self.relations)
                    for (key, bit), on in zip(doubts, bits, strict=True):
                        yes, no = relations[key]
                        relations[key] = (yes | (1 << bit), no) if on else (yes, no | (1 << bit))
                    yield replace(self, kinds=kinds, facts=facts, relations=relations, open_kinds=frozenset())
