"""What the commands share: options, and the way from a path to a survey with every problem collected."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable
from typing import Any, TypeVar

import click

from linter import api
from linter.base.diagnostic import Diagnostic
from linter.cli import screen
from linter.survey.record import Survey

_F = TypeVar("_F", bound=Callable[..., Any])


def pack_option(function: _F) -> _F:
    """`--pack NAME_OR_FOLDER`, as often as wanted."""
    return click.option("--pack", "packs", multiple=True, metavar="NAME or FOLDER",
                        help="Also hold against this pack: one of ours by name, or any folder with a pack.yaml. Repeatable.")(function)


def day(ctx: click.Context, parameter: click.Parameter, value: str | None) -> datetime.date:
    """A date as written on the command line; today if none. The clock is read here and nowhere else."""
    if value is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(f'"{value}" is no date; write it like 2026-11-24', ctx, parameter) from None


class Reader:
    """Reads descriptions one after the other and remembers what is wrong with any of them. Packs are loaded once per set of names."""

    def __init__(self, packs: tuple[str, ...] = (), *, assume: bool = True, supposing: tuple[str, ...] = (), explain: bool = False, tips: bool = False,
                 also: tuple[str, ...] = ()) -> None:
        self.packs = packs
        self.also = tuple(dict.fromkeys(also))
        self.assume = assume
        self.supposing = supposing
        self.explain = explain
        self.tips = tips
        self.told: list[Diagnostic] = []
        self.unusable = False
        self._loaded: dict[Any, api.Packs | None] = {}

    def installation(self, path: str, on: datetime.date | None = None) -> api.Installation | None:
        """The description at a path, as a circuit; None if it cannot be used, which is then remembered."""
        try:
            text = screen.read(path)
        except screen.Unusable as unusable:
            screen.tell_plainly(unusable.headline, unusable.labels)
            self.unusable = True
            return None
        found, told = api.read(text, "standard input" if path == "-" else path, fetch=screen.fetcher(path), assume=self.assume,
                               supposing=self.supposing, on=on)
        self._remember(told, found is None)
        return found

    def packs_of(self, path: str, found: api.Installation, on: datetime.date, also: str = "", run: api.Packs | None = None) -> api.Packs | None:
        """The packs a description is to be held against, or those and a variant besides; None if they cannot be used."""
        beside = os.getcwd() if path == "-" else os.path.dirname(os.path.abspath(path))
        key = (found.described.packs, found.described.house_packs, beside if self._names_own_packs(found, also) else "", also)
        if key not in self._loaded:
            packs, told = api.packs_for(found.described.packs, found.described.house_packs, given=self.packs, beside=beside, on=on, also=also, read=run)
            # Small remarks on a pack's writing are for `pack prove`; that an agreed loosening has lapsed is for everybody.
            self._remember([one for one in told if one.fatal or one.kind == "pack-date"], packs is None)
            self._loaded[key] = packs
        return self._loaded[key]

    def variants_of(self, path: str, found: api.Installation, on: datetime.date, run: api.Packs) -> list[api.Packs]:
        """The run's packs with each variant that was asked for besides; one that cannot be used is remembered."""
        return [packs for item in self.also if (packs := self.packs_of(path, found, on, item, run)) is not None]

    def survey(self, path: str, on: datetime.date) -> Survey | None:
        """The description at a path, held against its packs."""
        found = self.installation(path, on)
        if found is None:
            return None
        packs = self.packs_of(path, found, on)
        if packs is None:
            self.unusable = True
            return None
        return api.survey(found, packs, on=on, explain=self.explain, tips=self.tips, also=self.variants_of(path, found, on, packs))

    @staticmethod
    def _names_own_packs(found: api.Installation, also: str) -> bool:
        """Whether a pack may be found beside the description: then the folder matters."""
        own = set(api.own_packs())
        return bool({*found.described.packs, *found.described.house_packs, *((also,) if also else ())} - own)

    def _remember(self, told: list[Diagnostic], unusable: bool) -> None:
        self.told += [one for one in told if one not in self.told]
        self.unusable = self.unusable or unusable
