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
from dataclasses import dataclass, replace

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
              on: datetime.date | None = None, also: str = "", read: Packs | None = None) -> tuple[Packs | None, list[Diagnostic]]:
    """Packs that a description asks for, with what they build on, checked and merged.

    Args:
        names: Of packs. With none at all, not even given ones, the default pack.
        house: Names of the owner's house packs: only these may adopt, loosen, lower or retire.
        given: More packs, by name or folder.
        beside: Folder of the description; packs may stand in it.
        on: Date of the run: what a house pack loosens lapses by it.
        also: A variant, by name or folder, to hold against besides: it counts as a house pack, and what other packs adopt stands aside. See `survey`.
        read: The packs of the run proper; what they have read is not read again.
    """
    given_names, places, told = given_places(given, beside)
    variant, house = "", tuple(house)
    if also:
        besides, folder, trouble = given_places((also,), beside)
        given_names, places = (*given_names, *besides), replace(places, given=(*places.given, *folder.given))
        told = [*told, *trouble]
        variant = besides[0] if besides else ""
    wanted = tuple(dict.fromkeys((*names, *given_names, *house))) or (DEFAULT_PACK,)
    if told:
        return None, in_order(told)
    if variant:
        house = (*house, variant)
        if wanted == (variant,):
            wanted = (DEFAULT_PACK, variant)
    loaded, told = load(wanted, places, house, read=read.loaded if read is not None else ())
    if any(one.fatal for one in told):
        return None, in_order(told)
    packs, more = in_effect(loaded, on, variant=variant)
    return packs, in_order([*told, *more])


def survey(found: Installation, packs: Packs, *, on: datetime.date, explain: bool = False, tips: bool = False,
           also: Iterable[Packs] = ()) -> Survey:
    """Holds an installation against packs: every practice, every element.

    Args:
        found: The installation.
        packs: In effect.
        on: Date of the run.
        explain: Also fill in each finding's card, tell who set its limits, and where it would turn. Slower.
        tips: Also find by trial, for questions, the value at which a verdict would turn. Slower.
        also: Variants to hold against besides, each from `packs_for(…, also=…)`. They change no outcome and no exit status; see `Survey.also`.
    """
    result = apply.survey(found.described, found.circuit, found.book, packs, on=on, supposed=found.supposed)
    if tips or explain:
        from linter.survey.turning import with_tips

        result = with_tips(result, packs.checked, found.book)
    if explain:
        from linter.survey.explained import explained  # not on the way of a plain check

        result = explained(result, packs, found.book)
    variants = tuple(also)
    if variants:
        from linter.survey import also as besides  # only when asked for

        result = besides.also(result, found.described, found.circuit, found.book, packs, variants, found.supposed)
    return result
