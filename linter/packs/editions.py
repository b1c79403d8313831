"""One edition of a pack by its folder, whatever else is called the same: for weighing an edition against another."""

from __future__ import annotations

import datetime
from pathlib import Path

from linter.base.diagnostic import Diagnostic, in_order
from linter.packs.effect import NO_VARIANT, Packs, in_effect
from linter.packs.find import Folder, Places, read_folder
from linter.packs.load import given_places, load


class _Pinned(Places):
    """Places in which the folders given go before packs of the same name elsewhere: they are editions of those."""

    def find(self, name: str) -> tuple[Folder | None, list[Diagnostic]]:
        """As `Places`, the given folders first."""
        path = next((path for given, path in self.given if given == name), None)
        return super().find(name) if path is None else read_folder(Path(path), path)


def edition(folder: str, on: datetime.date) -> tuple[str, Packs | None, list[Diagnostic]]:
    """The pack in a folder (or of a name on our shelf) with what it builds on: its name, what is in effect (None if it cannot be used), what is wrong."""
    names, packs, told = together((folder,), on, examples=False)
    return names[0] if names else "", packs, told


def together(folders: tuple[str, ...], on: datetime.date, *, examples: bool = True) -> tuple[tuple[str, ...], Packs | None, list[Diagnostic]]:
    """Several packs, by folder or name, each as its owner's house pack: all they say is in effect. Packs they build on are also looked for beside them.

    Args:
        folders: Paths of folders, or names on our shelf.
        on: Date of the run.
        examples: Also read the examples.

    Returns:
        Names of the packs, all packs in effect (None if any cannot be used), and what is wrong with them.
    """
    names, given, told = given_places(folders, None)
    if told or not names:
        return names, None, told
    beside = str(Path(given.given[0][1]).resolve().parent) if given.given else None
    loaded, told = load(names, _Pinned(given.given, beside), names, examples=examples, moves=True)
    if any(one.fatal for one in told):
        return names, None, in_order(told)
    # Variants contradict one another by their nature: side by side, what each adopts is told and none of it is in effect.
    several = sum(any(said.verb == "adopt" for said in one.pack.house) for one in loaded) > 1
    packs, more = in_effect(loaded, on, despite=frozenset({"pack-unproved"}), variant=NO_VARIANT if several else "")
    return names, packs, in_order([*told, *more])
