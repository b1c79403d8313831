"""Finding packs: by name on our own shelf, or in a folder the user points at. Names are words, never paths."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from linter import shelf
from linter.base.bounds import PACK_BYTES, Bound
from linter.base.diagnostic import Diagnostic, Mark
from linter.base.near import nearest
from linter.base.span import Span
from linter.base.text import clean
from linter.packs.manifest import MANIFEST, NAME

PACK_FILES = Bound("number of practice files", 200, "files ending in .practice in one pack")
SUFFIX = ".practice"


@dataclass(frozen=True)
class Folder:
    """A pack's folder, read.

    Attributes:
        name: Of the folder.
        path: Where it is; "" for one given as values.
        shown: How a reader may call it: a path as given, or "rules/NAME" for our own.
        manifest: Bytes of pack.yaml, None if there is none.
        files: Name and bytes of each practice file, sorted by name.
    """

    name: str
    path: str
    shown: str
    manifest: bytes | None
    files: tuple[tuple[str, bytes], ...]

    @cached_property
    def content(self) -> str:
        """SHA-256 over every file that counts, with line ends made alike: the same pack has the same mark on every machine."""
        mark = hashlib.sha256()
        for name, text in ((MANIFEST, self.manifest or b""), *self.files):
            body = text.replace(b"\r\n", b"\n")
            mark.update(f"{name}\0{len(body)}\0".encode("utf-8", "surrogatepass"))
            mark.update(body)
        return mark.hexdigest()[:16]


def _trouble(kind: str, headline: str, shown: str, remedy: str | None = None, because: tuple[Mark, ...] = ()) -> Diagnostic:
    return Diagnostic(kind, headline, Span(shown), because, remedy)


def read_folder(path: Path, shown: str) -> tuple[Folder | None, list[Diagnostic]]:
    """A folder with a pack.yaml and its practice files; not the folders inside it."""
    try:
        manifest = _bytes(path / MANIFEST) if (path / MANIFEST).is_file() else None
        names = sorted(file.name for file in path.iterdir() if file.name.endswith(SUFFIX) and file.is_file())
        if len(names) > PACK_FILES.most:
            return None, [_trouble("pack-folder", f"the pack {clean(shown)} has too many files: at most {PACK_FILES.most} {PACK_FILES.meaning}", shown)]
        files = tuple((name, _bytes(path / name)) for name in names)
    except (OSError, ValueError) as trouble:
        words = getattr(trouble, "strerror", None) or "it is no folder name"
        return None, [_trouble("pack-folder", f"the pack folder {clean(shown)} cannot be read: {words.lower()}", shown)]
    if manifest is None:
        remedy = f"Add a {MANIFEST} with title, edition and speaks."
        return None, [_trouble("pack-folder", f"{clean(shown)} holds no {MANIFEST}, so it is no pack", shown, remedy)]
    return Folder(path.resolve().name, str(path), shown, manifest, files), []


def _bytes(path: Path) -> bytes:
    with open(path, "rb") as file:
        return file.read(PACK_BYTES.most + 1)


def on_the_shelf() -> tuple[str, ...]:
    """Names of our own packs."""
    rules = shelf.folder("rules")
    return tuple(sorted(entry.name for entry in rules.iterdir() if (entry / MANIFEST).is_file()))


@dataclass(frozen=True, slots=True)
class Places:
    """Where a name may lead.

    Attributes:
        given: Folders the user pointed at, by the folder's name.
        beside: Folder of the description, whose sub-folders (and those of its `packs` folder) may be packs; None if there is none.
    """

    given: tuple[tuple[str, str], ...] = ()
    beside: str | None = None

    def find(self, name: str) -> tuple[Folder | None, list[Diagnostic]]:
        """The one pack of this name. Two different ones of one name are refused: nobody could say which was meant."""
        if not NAME.match(name):
            remedy = "Names are words in small letters, such as our-shop."
            return None, [_trouble("pack-name", f'"{clean(name, 60)}" is not the name of a pack', "packs", remedy)]
        candidates: list[tuple[Path, str]] = [(Path(path), path) for given, path in self.given if given == name]
        if self.beside is not None:
            candidates += [(Path(self.beside, *inner, name), str(Path(self.beside, *inner, name))) for inner in ((), ("packs",))
                           if Path(self.beside, *inner, name, MANIFEST).is_file()]
        own = on_the_shelf()
        if name in own:
            candidates.append((shelf.folder("rules") / name, f"rules/{name}"))
        found: list[Folder] = []
        seen: set[Path] = set()
        for path, shown in candidates:
            if path.resolve() in seen:
                continue
            seen.add(path.resolve())
            folder, told = read_folder(path, shown)
            if folder is None:
                return None, told
            found.append(folder)
        if not found:
            known = sorted({*own, *(given for given, _ in self.given)})
            near = nearest(name, known)
            return None, [_trouble("pack-unknown", f'there is no pack called "{name}"', "packs",
                                   f'Did you mean "{near}"?' if near else f"Known here: {', '.join(known)}. Give another's folder with --pack FOLDER.")]
        if len({folder.content for folder in found}) > 1:
            return None, [_trouble("pack-twice", f'two different packs are called "{name}"', found[0].shown, "Rename one, or name only one.",
                                   tuple(Mark("Also", f"{folder.shown}, content {folder.content[:12]}") for folder in found[1:]))]
        return found[0], []
