"""`tugtest begin`: lays out what a person starts from."""

from __future__ import annotations

import os

import click

from linter.cli import screen


@click.command("begin")
@click.option("--practice", "folder", required=True, metavar="FOLDER", help="Lay out a new house pack in this folder, which must be new or empty.")
@click.option("--name", metavar="NAME", help="What the pack is called. [the folder's own name]")
def command(folder: str, name: str | None) -> int:
    """Lay out a first house pack: pack.yaml, one practice card, and its examples. It proves as it stands; then change it.

    Exit status 0, or 2 if something is already there or the folder cannot be written.
    """
    from linter.packs.beginning import BASICS, beginning, is_name
    from linter.packs.find import Places
    from linter.packs.manifest import read_manifest

    folder = folder.rstrip("/" + os.sep) or folder
    name = name or os.path.basename(os.path.abspath(folder))
    if not is_name(name):
        raise screen.Unusable(f'"{name}" cannot be the name of a pack',
                              [("Mend",
                                "Names are words in small letters, joined by hyphens, such as hill-farm-shop. Say --name if the folder is called otherwise.")])
    basics, _ = Places().find(BASICS)
    manifest = read_manifest(basics.manifest or b"", BASICS, "pack.yaml")[0] if basics is not None else None
    if name == BASICS:
        raise screen.Unusable(f"{BASICS} is the pack yours will build on", [("Mend", "Say another --name.")])
    files = beginning(name, manifest.edition if manifest is not None else "1.0")
    _write(folder, files)
    screen.write(_told(folder, name, list(files)), None)
    return 0


def _write(folder: str, files: dict[str, str]) -> None:
    """Writes into a new or empty folder; what is there is never touched.

    Raises:
        screen.Unusable: it is not empty, or cannot be written.
    """
    try:
        if os.path.lexists(folder) and (not os.path.isdir(folder) or os.listdir(folder)):
            raise screen.Unusable(f"{folder} is already there and not empty" if os.path.isdir(folder) else f"{folder} is already there and is no folder",
                                  [("Mend", "Name a new folder. Nothing was written.")])
        os.makedirs(folder, exist_ok=True)
        for name, text in files.items():
            # "x": should somebody have been quicker, their file stays.
            with open(os.path.join(folder, name), "x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    except OSError as trouble:
        raise screen.Unusable(f"{folder} cannot be written", [("Because", screen.why_not(trouble))]) from None
    except ValueError:
        raise screen.Unusable("The folder cannot be written", [("Because", "it is no folder name")]) from None


def _told(folder: str, name: str, files: list[str]) -> str:
    from linter.base.text import clean, listed
    from linter.reports.page import labelled, paragraph

    shown = clean(folder, 200)
    lines = paragraph(f"The house pack {name} is laid out in {shown}: {listed(files)}.")
    for label, words in (("Prove it", f"tugtest pack prove {shown}"), ("Read it", f"tugtest pack book {shown} --to handbook.html"),
                         ("Use it", f'put its folder beside a description, write "house packs: [{name}]" there, and check that')):
        lines += labelled(label, words, gap=12)
    return "\n".join(lines) + "\n"
