"""Proving a pack: its own examples must come out as they say, and faults planted in its practices must be noticed by some example."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from linter.base.diagnostic import Diagnostic, in_order
from linter.base.span import Span
from linter.base.text import listed
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_example import circuit_of_example
from linter.facts.book import Book
from linter.language.coverage import coverage
from linter.language.explain import Explanation, absent, explain, truths
from linter.language.judge import compile_practice
from linter.language.mutate import Mutant, mark, mutants, survivors
from linter.language.stage import Expect, Stage
from linter.language.typed import Checked, Example, Formula, Practice
from linter.packs.effect import Packs, in_effect
from linter.packs.load import given_places, load
from linter.packs.manifest import Excused
from linter.units.table import write_range


@dataclass(frozen=True, slots=True)
class Slip:
    """An example that did not come out as it says."""

    example: str
    practice: str
    expected: str
    came: str
    at: Span


@dataclass(frozen=True, slots=True)
class Survivor:
    """A planted fault that no example noticed: what was changed, and the sentence it made. `card` is the mark an excuse for it names."""

    practice: str
    change: str
    sentence: str
    at: Span
    card: str = ""


@dataclass(frozen=True, slots=True)
class Unshown:
    """A situation no example of a practice shows, in words."""

    practice: str
    situation: str
    at: Span
    open: bool = False


@dataclass(frozen=True, slots=True)
class Proof:
    """How a pack stood up.

    Attributes:
        name, edition, content: Of the pack.
        practices, examples, faults: How many.
        slips, survivors: What went wrong.
        untried: Practices without any example.
        excused: Planted faults that pack.yaml excuses.
        lapsed: Excuses that no longer hold, in words.
        situations: How many ways the formulas of the cards can come out.
        unshown: Those no example shows; `open` when it is only that they cannot be told.
    """

    name: str
    edition: str
    content: str
    practices: int
    examples: int
    faults: int
    slips: tuple[Slip, ...]
    survivors: tuple[Survivor, ...]
    untried: tuple[str, ...]
    excused: int = 0
    lapsed: tuple[str, ...] = ()
    situations: int = 0
    unshown: tuple[Unshown, ...] = ()

    @property
    def sound(self) -> bool:
        """Every practice is tried, and every example comes out as it says."""
        return not self.slips and not self.untried

    @property
    def noticed(self) -> float:
        """Share of the planted faults that some example noticed; 1 if none were planted."""
        return 1 - len(self.survivors) / self.faults if self.faults else 1.0


def prove(name: str, *, faults: bool = True, on: datetime.date | None = None,
          progress: Callable[[int, int, str], None] | None = None) -> tuple[Proof | None, list[Diagnostic]]:
    """Proves one pack, by name or folder. The pack counts as its owner's house pack, so that all it says is in effect.

    A practice that lacks an example is told, and the rest is proved all the same.

    Args:
        name: Of a pack, or its folder.
        faults: Whether to plant faults as well.
        on: Date of the run.
        progress: Called with (done, total, practice).
    """
    names, places, told = given_places([name], None)
    if told:
        return None, told
    loaded, told = load(names, places, names, examples=True, moves=True)
    if any(one.fatal for one in told):
        return None, in_order(told)
    packs, more = in_effect(loaded, on, despite=frozenset({"pack-unproved"}))
    told = in_order([*told, *more])
    if packs is None:
        return None, told
    return _proof(packs, names[0], faults, progress), told


def _proof(packs: Packs, name: str, faults: bool, progress: Callable[[int, int, str], None] | None) -> Proof:
    checked = packs.checked
    pack = next(one for one in packs.loaded if one.name == name)
    practices = [practice for practice in checked.practices if practice.pack == name]
    examples = [example for example in checked.examples if example.pack == name]
    by_practice: dict[str, list[_Tried]] = {}
    slips: list[Slip] = []
    for example in examples:
        tried, trouble = _set_up(example)
        if tried is None:
            slips.append(trouble)
            continue
        by_practice.setdefault(example.tries, []).append(tried)
    survived: list[Survivor] = []
    unshown: list[Unshown] = []
    planted = situations = 0
    for number, practice in enumerate(practices, 1):
        if progress is not None:
            progress(number, len(practices), practice.name)
        mine = by_practice.get(practice.name, [])
        wrong = [slip for tried in mine for slip in _slips(tried, practice, checked)]
        slips += wrong
        if mine:
            more, missing = _unshown(practice, checked, mine)
            situations += more
            unshown += missing
        if not faults or wrong or not mine:
            continue  # a practice whose examples already fail proves nothing about its faults
        found = mutants(practice, checked)
        planted += len(found)
        survived += [Survivor(practice.name, mutant.what, mutant.now, practice.at, mark(practice.card))
                     for mutant in survivors(found, partial(_noticed, mine, checked))]
    if progress is not None:
        progress(len(practices) + 1, len(practices), "")
    untried = tuple(practice.name for practice in practices if practice.name not in by_practice)
    left, lapsed = _excused(survived, pack.manifest.excused if faults else ())
    return Proof(name, pack.manifest.edition, pack.folder.content, len(practices), len(examples), planted, tuple(slips), left, untried,
                 len(survived) - len(left), lapsed, situations, tuple(unshown))


def _excused(survived: list[Survivor], excuses: tuple[Excused, ...]) -> tuple[tuple[Survivor, ...], tuple[str, ...]]:
    """Survivors no excuse speaks for, and excuses that speak for nothing or for a card that has changed."""
    left = list(survived)
    lapsed: list[str] = []
    for excuse in excuses:
        found = next((one for one in left if (one.practice, one.change) == (excuse.practice, excuse.change)), None)
        if found is None:
            lapsed.append(f"pack.yaml, line {excuse.line}: nothing to excuse in {excuse.practice}: {excuse.change}")
        elif found.card != excuse.card:
            lapsed.append(f"pack.yaml, line {excuse.line}: {excuse.practice} has changed since {excuse.change} was excused; its mark is {found.card} now")
        else:
            left.remove(found)
    return tuple(left), tuple(lapsed)


def _unshown(practice: Practice, checked: Checked, tried: list[_Tried]) -> tuple[int, list[Unshown]]:
    """How many ways the formulas of a card can come out, and those no example shows."""
    seen: dict[Formula, set[Truth]] = {}
    for one in tried:
        for expect in one.expected:
            if expect.element or practice.look.kind == "installation":
                one.book.begin()
                for node, came in truths(practice, checked, one.book, expect.element).items():
                    seen.setdefault(node, set()).update(came)
    covered = coverage(practice, {node: frozenset(came) for node, came in seen.items()})
    missing = [Unshown(practice.name, situation, practice.card.source.span(one.at), what == "open")
               for one in covered for what, situation in zip(one.missing, one.situations, strict=True)]
    return 3 * len(covered), missing


@dataclass(frozen=True, slots=True)
class _Tried:
    """An example with its circuit built, so that every planted fault is tried on the same one."""

    example: Example
    expected: tuple[Expect, ...]
    book: Book


def _set_up(example: Example) -> tuple[_Tried | None, Slip]:
    at = example.card.source.span(example.card.at)
    circuit, told = circuit_of_example(example)
    if any(one.fatal for one in told):
        return None, Slip(example.name, example.tries, "a circuit", "; ".join(one.headline for one in told), at)
    assert isinstance(example.stage, Stage)
    return _Tried(example, example.stage.expected, Book(circuit)), Slip(example.name, example.tries, "", "", at)


def _outcome(practice: Practice, checked: Checked, book: Book, element: str) -> str:
    book.begin()
    if element == "" and practice.look.kind != "installation":
        return absent(practice, book).outcome
    if element not in book.members(practice.look.kind):
        return "not looked at"
    return compile_practice(practice, checked)(book, element).outcome


def _explained(practice: Practice, checked: Checked, book: Book, element: str) -> Explanation:
    book.begin()
    return absent(practice, book) if element == "" and practice.look.kind != "installation" else explain(practice, checked, book, element)


def _slips(tried: _Tried, practice: Practice, checked: Checked) -> list[Slip]:
    """Where an example does not come out as it says: outcome, number found, facts asked for."""
    slips = []
    for expect in tried.expected:
        outcome = _outcome(practice, checked, tried.book, expect.element)
        if outcome != expect.outcome:
            more = ""
            if outcome != "not looked at":
                told = _explained(practice, checked, tried.book, expect.element)
                parts = [*told.found, *(f"wants {question.ref}" for question in told.questions), *told.notes]
                more = f": {'; '.join(parts)}" if parts else ""
            slips.append(_slip(tried, expect, expect.outcome, outcome + more))
        elif expect.found is not None or expect.wanting is not None:
            told = _explained(practice, checked, tried.book, expect.element)
            slips += _closer(tried, expect, told)
    return slips


def _closer(tried: _Tried, expect: Expect, told: Explanation) -> list[Slip]:
    slips = []
    if expect.found is not None and not any(_fits(value.value, expect) for value in told.values):
        said = write_range(expect.found, expect.dimension) if expect.dimension is not None else str(expect.found)
        slips.append(_slip(tried, expect, f"{expect.outcome} with {said} found", "; ".join(told.found) or "nothing was found"))
    if expect.wanting is not None:
        wanted = {question.ref for question in told.questions}
        if wanted != expect.wanting:
            slips.append(_slip(tried, expect, f"cannot tell wanting {listed(sorted(map(str, expect.wanting)))}",
                               f"wanting {listed(sorted(map(str, wanted))) or 'nothing'}"))
    return slips


def _fits(value: object, expect: Expect) -> bool:
    """The number found, to half a unit of the last place the example writes."""
    return isinstance(value, Range) and expect.found is not None and all(
        abs(a - b) <= expect.digits + 1e-9 * max(abs(a), abs(b)) if abs(a) != float("inf") else a == b
        for a, b in ((value.low, expect.found.low), (value.high, expect.found.high)))


def _slip(tried: _Tried, expect: Expect, expected: str, came: str) -> Slip:
    return Slip(tried.example.name, tried.example.tries, f"{expect.element or 'the installation'} {expected}", came, expect.at)


def _noticed(tried: list[_Tried], checked: Checked, mutant: Mutant) -> bool:
    """Whether some example comes out otherwise with the fault planted: another outcome, another number found, other facts asked for."""
    changed = replace(checked, limits=mutant.limits)
    return any(_slips(one, mutant.practice, changed) for one in tried)
