"""The one door for others: read a description, load packs, survey, ask, report, prove. Nothing here prints, and only packs are read from disk.

    found, told = api.read(text, "installation.yaml")
    packs, told = api.packs_for(found.described.packs)
    result = api.survey(found, packs, on=datetime.date.today())
    print(api.report("markdown")((result,)))

Names listed in `__all__` are promised; all else in this package may change.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from linter.base.diagnostic import Diagnostic, in_order
from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.circuit.supposing import suppose
from linter.description.build import describe
from linter.description.described import Described
from linter.facts.book import Book
from linter.packs.effect import Packs, in_effect
from linter.packs.find import on_the_shelf as own_packs
from linter.packs.load import given_places, load
from linter.reports import NAMES as REPORTS
from linter.reports import report
from linter.survey import apply
from linter.survey.ask import Asking, ask
from linter.survey.record import Survey, exit_status

__all__ = ["DEFAULT_PACK", "REPORTS", "Asking", "Diagnostic", "Installation", "Packs", "Survey", "ask", "exit_status", "own_packs", "packs_for", "read",
           "report", "survey"]

DEFAULT_PACK = "low-voltage-basics"


@dataclass(frozen=True)
class Installation:
    """A description that could be read: what it says, its circuit, and the book of its facts."""

    described: Described
    circuit: Circuit
    book: Book
    supposed: tuple[str, ...] = ()


def read(text: bytes, file: str, *, fetch: Callable[[str], bytes | None] | None = None, assume: bool = True,
         supposing: Iterable[str] = (), on: datetime.date | None = None) -> tuple[Installation | None, list[Diagnostic]]:
    """A description, from its bytes.

    Args:
        text: The bytes of the file.
        file: Its name, as the reader knows it.
        fetch: Gives files it includes, by a path relative to its folder.
        assume: Whether the vocabulary's safe assumptions may stand in for what is not stated.
        supposing: "F1.rating = 60 A" and the like, for this run only.
        on: Date of the run: a check signed for a later day counts for nothing.
    """
    described, told = describe(text, file, fetch)
    if described is None:
        return None, told
    circuit, more = circuit_of(described, on)
    supposed = tuple(supposing)
    if supposed and not any(one.fatal for one in (*told, *more)):
        circuit, doubts = suppose(circuit, supposed)
        more = [*more, *doubts]
    told = in_order([*told, *more])
    if any(one.fatal for one in told):
        return None, told
    return Installation(described, circuit, Book(circuit, assume=assume), supposed), told


def packs_for(names: Iterable[str], house: Iterable[str] = (), *, given: Iterable[str] = (), beside: str | None = None,
              on: datetime.date | None = None) -> tuple[Packs | None, list[Diagnostic]]:
    """Packs that a description asks for, with what they build on, checked and merged.

    Args:
        names: Of packs. With none at all, not even given ones, the default pack.
        house: Names of the owner's house packs: only these may loosen, lower or retire.
        given: More packs, by name or folder.
        beside: Folder of the description; packs may stand in it.
        on: Date of the run: what a house pack loosens lapses by it.
    """
    given_names, places, told = given_places(given, beside)
    house = tuple(house)
    wanted = tuple(dict.fromkeys((*names, *given_names, *house))) or (DEFAULT_PACK,)
    if told:
        return None, in_order(told)
    loaded, told = load(wanted, places, house)
    if any(one.fatal for one in told):
        return None, in_order(told)
    packs, more = in_effect(loaded, on)
    return packs, in_order([*told, *more])


def cards_of(packs: Packs) -> dict[str, str]:
    """Practice to the part of its card that decides: what it looks at, passes over and asks, as its author wrote it, laid out."""
    from linter.language.layout import card  # an authors' tool, not on the way of a plain check

    found = {}
    for practice in packs.checked.practices:
        kept, chosen = False, []
        for line in card(practice.card).splitlines()[1:]:
            if not line.startswith("    "):
                kept = line.strip().startswith(("look at", "passing over", "require", "forbid"))
            if kept:
                chosen.append(line)
        found[practice.name] = "\n".join(chosen)
    return found


def survey(found: Installation, packs: Packs, *, on: datetime.date, explain: bool = False) -> Survey:
    """Holds an installation against packs: every practice, every element.

    Args:
        found: The installation.
        packs: In effect.
        on: Date of the run.
        explain: Also fill in each finding's card, tell who set its limits, and where it would turn. Slower.
    """
    result = apply.survey(found.described, found.circuit, found.book, packs, on=on, supposed=found.supposed)
    if explain:
        from linter.survey.explained import explained  # not on the way of a plain check

        result = explained(result, packs, found.book)
    return result
