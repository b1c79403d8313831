"""Two editions of a pack, weighed over a folder of installations: which way it moved, by its own text and by what it says of them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from linter.base.values import Range
from linter.circuit.model import Circuit
from linter.description.described import Described
from linter.facts.book import Book
from linter.language.layout import printed
from linter.language.merge import WEIGHTS as LIGHT_TO_HEAVY
from linter.language.merge import moved as limit_moved
from linter.language.typed import Checked, LimitInEffect, Practice
from linter.packs.effect import Packs
from linter.survey.apply import survey
from linter.survey.moves import Move, moves

TIGHTER, LOOSER, BOTH, SAME, OTHER = "tighter", "looser", "both", "same", "other"


@dataclass(frozen=True, slots=True)
class Shift:
    """Something in the pack itself that is not as it was.

    Attributes:
        sort: limit, practice, weight, name, card or reading.
        name: Of the limit or practice.
        was, now: In words, "" for not there.
        way: tighter, looser, other (neither way is stricter), or "" where the text alone cannot say.
    """

    sort: str
    name: str
    was: str
    now: str
    way: str


@dataclass(frozen=True, slots=True)
class Weighed:
    """The outcome.

    Attributes:
        name: Of the pack.
        old, new: Edition and content mark.
        on: Date both were held on.
        files: Installations, as named.
        shifts: What changed in the pack.
        moved: (file, move) for every practice and element that came out otherwise.
    """

    name: str
    old: tuple[str, str]
    new: tuple[str, str]
    on: datetime.date
    files: tuple[str, ...]
    shifts: tuple[Shift, ...]
    moved: tuple[tuple[str, Move], ...]

    @property
    def by_text(self) -> str:
        """The way the pack moved, read from its limits, weights and list of practices alone."""
        return together(shift.way for shift in self.shifts)

    @property
    def by_folder(self) -> str:
        """The way it moved for these installations."""
        return together(move.way for _, move in self.moved)

    @property
    def verdict(self) -> str:
        """tighter, looser, both or same: text and installations taken together."""
        return together((self.by_text, self.by_folder))

    @property
    def overstepped(self) -> str:
        """What its edition number hides, as a sentence; "" if nothing.

        A step inside one first number promises that whoever met the old edition is asked no less: a looser one is a new first number.
        """
        old, new = self.old[0], self.new[0]
        if self.old[1] == self.new[1]:
            return ""
        if _numbers(old) == _numbers(new):
            return f"Both call themselves edition {new}, and they are not alike: raise the edition with every change."
        if _numbers(old)[0] == _numbers(new)[0] and self.verdict in (LOOSER, BOTH):
            said = "looser" if self.verdict == LOOSER else "looser in part"
            return f"Edition {old} to {new} calls itself a small step, and it is {said}: a looser pack needs a new first number, {_numbers(old)[0] + 1}.0."
        return ""

    def way_of(self, practice: str) -> str:
        """The way one practice moved for these installations."""
        return together(move.way for _, move in self.moved if move.practice == practice)


def _numbers(edition: str) -> tuple[int, ...]:
    """"1.10" as (1, 10); ends of nothing but zeros count for nothing."""
    numbers = [int(part) for part in edition.split(".")]
    while len(numbers) > 1 and not numbers[-1]:
        numbers.pop()
    return tuple(numbers)


def together(ways: Iterable[str]) -> str:
    """One word for several ways. A change that is neither stricter nor looser counts as both: nobody should take it for harmless."""
    seen = set(ways)
    if OTHER in seen or BOTH in seen or {TIGHTER, LOOSER} <= seen:
        return BOTH
    return TIGHTER if TIGHTER in seen else LOOSER if LOOSER in seen else SAME


def weigh(name: str, old: Packs, new: Packs, installations: Iterable[tuple[Described, Circuit, Book]], *, on: datetime.date) -> Weighed:
    """Holds every installation against the old edition and the new one.

    Args:
        name: Of the pack; the same in both.
        old, new: The editions, each with what it builds on.
        installations: Read; consumed one by one, so that only one needs to be in memory.
        on: Date for both.
    """
    files: list[str] = []
    moved: list[tuple[str, Move]] = []
    for described, circuit, book in installations:
        files.append(described.file)
        before = survey(described, circuit, book, old, on=on)
        after = survey(described, circuit, book, new, on=on)
        moved += [(described.file, move) for move in moves(before, after, new.checked.renamed)]
    return Weighed(name, _mark(name, old), _mark(name, new), on, tuple(files), tuple(_shifts(old.checked, new.checked)), tuple(moved))


def _mark(name: str, packs: Packs) -> tuple[str, str]:
    loaded = next(one for one in packs.loaded if one.name == name)
    return loaded.manifest.edition, loaded.folder.content


def _shifts(old: Checked, new: Checked) -> Iterator[Shift]:
    for name in dict.fromkeys((*old.limits, *new.limits)):
        yield from _limit(name, old.limits.get(name), new.limits.get(name))
    before = {new.renamed.get(practice.name, practice.name): practice for practice in old.practices}
    after = {practice.name: practice for practice in new.practices}
    for name in dict.fromkeys((*before, *after)):
        yield from _practice(name, before.get(name), after.get(name), name in new.retired)
    for name in dict.fromkeys((*old.readings, *new.readings)):
        was, now = (printed(known[name].card.term) if name in known else "" for known in (old.readings, new.readings))
        if was != now:
            yield Shift("reading", name, was, now, "")


def _limit(name: str, was: LimitInEffect | None, now: LimitInEffect | None) -> Iterator[Shift]:
    """A limit that came or went says nothing by itself; the practice that uses it does."""
    if was is None or now is None:
        yield Shift("limit", name, was.text if was else "", now.text if now else "", "")
        return
    comparable = was.dimension == now.dimension and isinstance(was.value, Range) == isinstance(now.value, Range)
    way = limit_moved(was, now.value) if comparable else OTHER
    if way != "same":
        yield Shift("limit", name, was.text, now.text, {"stricter": TIGHTER, "looser": LOOSER}.get(way, OTHER))


def _practice(name: str, was: Practice | None, now: Practice | None, retired: bool) -> Iterator[Shift]:
    if was is None or now is None:
        if was is None:
            yield Shift("practice", name, "", "new", TIGHTER)
        else:
            yield Shift("practice", name, "in force", "retired" if retired else "gone", LOOSER)
        return
    if was.weight != now.weight:
        heavier = LIGHT_TO_HEAVY.index(now.weight) > LIGHT_TO_HEAVY.index(was.weight)
        yield Shift("weight", name, was.weight, now.weight, TIGHTER if heavier else LOOSER)
    if was.name != now.name:
        yield Shift("name", name, was.name, now.name, "")
    before, after = _asks(was), _asks(now)
    if before != after:
        yield Shift("card", name, before, after, "")


def _asks(practice: Practice) -> str:
    """What a card looks at and demands, in its own words."""
    card = practice.card
    passing = f" passing over {printed(card.passing)}" if card.passing is not None else ""
    return f"look at {printed(card.look)}{passing} {'forbid' if card.forbidden else 'require'} {printed(card.demand)}"
