"""From names to packs: parsed, joined from their files, with everything they build on, lowest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from linter.base.bounds import BUILDS_ON_DEPTH, PACKS
from linter.base.diagnostic import Diagnostic, Mark
from linter.base.span import Span
from linter.language.parse import joined, parse_pack
from linter.language.syntax import BuildsOn, Head, Pack, Source
from linter.packs.find import Folder, Places, read_folder
from linter.packs.manifest import Manifest, read_manifest


@dataclass(frozen=True)
class Loaded:
    """One pack, ready to be checked and merged.

    Attributes:
        folder: Where it was read, with its content mark.
        manifest: What pack.yaml says.
        pack: All its cards.
        house: Named by the owner as a house pack: only then may it adopt, loosen, lower or retire.
    """

    folder: Folder
    manifest: Manifest
    pack: Pack
    house: bool = False

    @property
    def name(self) -> str:
        """Of the pack."""
        return self.manifest.name


def given_places(given: Iterable[str], beside: str | None) -> tuple[tuple[str, ...], Places, list[Diagnostic]]:
    """What `--pack` was given: names and folders, as names, with where they lead. A path that is no word is a folder."""
    names: list[str] = []
    folders: list[tuple[str, str]] = []
    told: list[Diagnostic] = []
    for item in given:
        path = Path(item)
        if len(path.parts) > 1 or item.startswith(".") or path.is_dir():
            folder, trouble = read_folder(path, item)
            told += trouble
            if folder is not None:
                manifest, trouble = read_manifest(folder.manifest or b"", folder.name, f"{item}/pack.yaml")
                told += trouble
                if manifest is not None:
                    names.append(manifest.name)
                    folders.append((manifest.name, item))
        else:
            names.append(item)
    return tuple(dict.fromkeys(names)), Places(tuple(folders), beside), told


def load(names: Iterable[str], places: Places, house: Iterable[str] = (), *, examples: bool = False, moves: bool = False,
         read: Iterable[Loaded] = ()) -> tuple[tuple[Loaded, ...], list[Diagnostic]]:
    """The packs named, and what they build on, each after those it builds on.

    Args:
        names: In the order asked for.
        places: Where names may lead.
        house: Packs the owner of the installation has named as house packs.
        examples: Also read the packs' own examples; only proving needs them.
        moves: Also bring in packs whose limits these only move; for proving and printing them.
        read: Packs that were read before, which need not be parsed again while their content is the same.
    """
    loader = _Loader(places, frozenset(house), examples, moves, {(one.folder.shown, one.folder.content): one for one in read})
    for name in names:
        loader.visit(name, ())
    return tuple(loader.done.values()), loader.told


class _Loader:
    """Walks the builds-on graph depth first, with a cap and ring check."""

    def __init__(self, places: Places, house: frozenset[str], examples: bool, moves: bool, read: dict[tuple[str, str], Loaded]) -> None:
        self.places = places
        self.house = house
        self.examples = examples
        self.moves = moves
        self.read = read
        self.done: dict[str, Loaded] = {}
        self.failed: set[str] = set()
        self.told: list[Diagnostic] = []

    def visit(self, name: str, above: tuple[tuple[str, Span], ...]) -> None:
        """Loads one pack after those it builds on. `above` are the packs on the way down."""
        asked_at = above[-1][1] if above else Span("packs")
        way = [pack for pack, _ in above]
        if name in way:
            ring = [*way[way.index(name):], name]
            self._tell("pack-ring", f"packs build on one another in a ring: {' on '.join(ring)}", asked_at, "Take one of them out.")
            return
        if name in self.done or name in self.failed:
            return
        if len(above) >= BUILDS_ON_DEPTH.most:
            self._tell("pack-depth", f"packs build on packs more than {BUILDS_ON_DEPTH.most} deep", asked_at, None)
            return
        if len(self.done) >= PACKS.most:
            self._tell("pack-count", f"more than {PACKS.most} {PACKS.meaning}", asked_at, None)
            return
        folder, told = self.places.find(name)
        if folder is None:
            self.failed.add(name)
            self.told += [self._pointed(one, above) for one in told]
            return
        known = self.read.get((folder.shown, folder.content))
        loaded, told = (replace(known, house=name in self.house), []) if known is not None else \
            read_pack(folder, house=name in self.house, examples=self.examples)
        self.told += told
        if loaded is None:
            self.failed.add(name)
            return
        for base, _ in (*loaded.manifest.builds_on, *(loaded.manifest.moves if self.moves else ())):
            self.visit(base, (*above, (name, loaded.manifest.at)))
        self.done[name] = loaded

    def _tell(self, kind: str, headline: str, at: Span, remedy: str | None) -> None:
        self.told.append(Diagnostic(kind, headline, at, remedy=remedy))

    @staticmethod
    def _pointed(told: Diagnostic, above: tuple[tuple[str, Span], ...]) -> Diagnostic:
        """A pack that was not found is shown where it was asked for."""
        if not above:
            return told
        return Diagnostic(told.kind, told.headline, above[-1][1], told.because, told.remedy)


def read_pack(folder: Folder, *, house: bool = False, examples: bool = True) -> tuple[Loaded | None, list[Diagnostic]]:
    """A pack from its folder. Troubles of all its files are told together."""
    told: list[Diagnostic] = []
    manifest, trouble = read_manifest(folder.manifest or b"", folder.name, f"{folder.shown}/pack.yaml")
    told += trouble
    parts: list[Pack] = []
    for name, text in folder.files:
        part, trouble = parse_pack(text, f"{folder.shown}/{name}", examples=examples)
        told += trouble
        if part is not None:
            parts.append(part)
    if not folder.files:
        told.append(Diagnostic("pack-empty", f"{folder.shown} holds no practice file", Span(folder.shown), remedy="Add a file ending in .practice."))
    if manifest is None:
        return None, told
    pack, trouble = join(parts, manifest)
    told += trouble
    if any(one.fatal for one in told):
        return None, told
    return Loaded(folder, _with_head(manifest, pack), pack, house), told


def join(parts: list[Pack], manifest: Manifest) -> tuple[Pack, list[Diagnostic]]:
    """One pack from its files. The head may stand in any one of them, or be left to pack.yaml; where both speak they must agree."""
    told: list[Diagnostic] = []
    heads = [part.head for part in parts if part.head is not None]
    for extra in heads[1:]:
        told.append(Diagnostic("pack-head", "a second file of this pack has a pack head", extra.source.span(extra.at), remedy="Keep one of them.",
                               because=(Mark("First", f"{heads[0].source.file}"),)))
    for head in heads[:1]:
        at = head.source.span(head.at)
        if head.name != manifest.name:
            told.append(Diagnostic("pack-head", f'the pack calls itself "{head.name}", and its folder or pack.yaml "{manifest.name}"', at,
                                   remedy="Use one name."))
        if head.edition != manifest.edition:
            told.append(Diagnostic("pack-head", f"the head says edition {head.edition}, and pack.yaml edition {manifest.edition}", at,
                                   remedy="Raise both together."))
    head = heads[0] if heads else Head(manifest.name, manifest.edition, "1", manifest.says or manifest.title, (), 0, Source(manifest.at.file, ""))
    said = {base.pack for base in head.builds_on}
    more = tuple(BuildsOn(name, edition, head.at) for name, edition in manifest.builds_on if name not in said)
    moves = tuple(BuildsOn(name, edition, head.at) for name, edition in manifest.moves)
    return replace(joined(parts), head=replace(head, builds_on=(*head.builds_on, *more), moves=moves)), told


def _with_head(manifest: Manifest, pack: Pack) -> Manifest:
    """The manifest, with all that the head builds on; whether the editions fit is for the language to say."""
    if pack.head is None:
        return manifest
    return replace(manifest, builds_on=tuple((base.pack, base.edition) for base in pack.head.builds_on))
