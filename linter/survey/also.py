"""One installation held besides against variant packs: other trades' figures, beside the run that counts. Nothing here changes a verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from linter.language.merge import moved as limit_moved
from linter.survey import apply
from linter.survey.moves import GONE, Move, moves
from linter.survey.record import CANNOT_TELL, DEPARTED, MET, NOT_MET, PackUsed, Summary, Survey

if TYPE_CHECKING:
    from linter.circuit.model import Circuit
    from linter.description.described import Described
    from linter.facts.book import Book
    from linter.packs.effect import Packs


@dataclass(frozen=True, slots=True)
class Figure:
    """A limit that has another value against the variant than in the run.

    Attributes:
        name: Of the limit.
        value: Against the variant.
        run: In the run; for a pack the run does not hold against, as that pack sets it.
        way: stricter, looser or other.
    """

    name: str
    value: str
    run: str
    way: str


@dataclass(frozen=True, slots=True)
class Also:
    """How an installation stands against one variant.

    Attributes:
        pack: The variant, pinned by its content.
        summary: Counts and packs of the run against it.
        figures: Limits that differ from the run's.
        moved: What came out otherwise than in the run. Of practices the run does not ask at all, only what is not plainly met.
    """

    pack: PackUsed
    summary: Summary
    figures: tuple[Figure, ...]
    moved: tuple[Move, ...]

    @property
    def outcome(self) -> str:
        """met, not met or cannot tell, over all weights: not met goes before what cannot be told."""
        return next((outcome for outcome in (NOT_MET, CANNOT_TELL) if self.summary.count(outcome)), MET)

    def group(self, name: str) -> tuple[Move, ...]:
        """Moves of one of `GROUPS`."""
        return tuple(move for move in self.moved if _group(move) == name)


# In the order a reader wants them; each move is in one of them at most.
NEWLY_NOT_MET, NO_LONGER, NEWLY_OPEN, TOLD_NOW, ONLY_HERE, NOT_ASKED = GROUPS = (
    "newly not met", "no longer not met", "newly open", "can be told now", "asked only here", "not asked here")


def _group(move: Move) -> str:
    if move.now == GONE:
        return NOT_ASKED
    if move.was == GONE:
        return ONLY_HERE
    if move.now == NOT_MET:
        return NEWLY_NOT_MET
    if move.was == NOT_MET:
        return NO_LONGER
    if move.now == CANNOT_TELL:
        return NEWLY_OPEN
    return TOLD_NOW if move.was == CANNOT_TELL else ""


def also(run: Survey, described: Described, circuit: Circuit, book: Book, packs: Packs, variants: Iterable[Packs],
         supposed: tuple[str, ...] = ()) -> Survey:
    """The survey, with how the installation stands against each variant. Facts do not depend on packs, so one book serves all.

    Args:
        run: The survey that counts; its outcomes and numbers stay as they are.
        described, circuit, book: The installation.
        packs: Those of the run.
        variants: The run's packs and one variant each, made with `Packs.variant`.
        supposed: What was supposed for the run.
    """
    return replace(run, also=tuple(_one(run, described, circuit, book, packs, variant, supposed) for variant in variants))


def _one(run: Survey, described: Described, circuit: Circuit, book: Book, packs: Packs, variant: Packs, supposed: tuple[str, ...]) -> Also:
    other = apply.survey(described, circuit, book, variant, on=run.on, supposed=supposed)
    used = next(one for one in other.summary.packs if one.name == variant.variant)
    found = moves(run, other, variant.checked.renamed)
    return Also(used, other.summary, tuple(_figures(packs, variant)),
                tuple(move for move in found if move.was != GONE or move.now in (NOT_MET, CANNOT_TELL, DEPARTED)))


def _figures(packs: Packs, variant: Packs) -> list[Figure]:
    found = []
    for name, limit in variant.checked.limits.items():
        here = packs.checked.limits.get(name)
        if here is not None:
            way = limit_moved(here, limit.value)
        elif len(limit.chain) > 1:
            way = limit.chain[1].way
        else:
            continue
        if way != "same":
            found.append(Figure(name, limit.text, here.text if here is not None else limit.chain[0].text, way))
    return found
