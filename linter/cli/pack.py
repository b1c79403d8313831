"""`tugtest pack`: for those who write practices."""

from __future__ import annotations

import datetime
import os

import click

from linter.cli import screen


@click.group("pack")
def command() -> None:
    """Prove, look up and tidy packs of practices."""


@command.command("prove")
@click.argument("packs", nargs=-1, required=True, metavar="PACK…")
@click.option("--no-faults", is_flag=True, help="Only run the examples; plant no faults.")
@click.option("--noticed", type=click.IntRange(0, 100), default=0, metavar="PERCENT", help="Exit 1 if fewer of the planted faults are noticed. [0]")
@click.option("--all", "everything", is_flag=True, help="Show every planted fault that no example notices.")
def prove(packs: tuple[str, ...], no_faults: bool, noticed: int, everything: bool) -> int:
    """Run a pack's examples, and plant faults in its practices that the examples should notice.

    PACK is one of ours by name, or a folder with a pack.yaml.

    \b
    Exit status
      0  every practice has examples and every one comes out as it says
      1  some do not, or fewer planted faults are noticed than --noticed asks
      2  a pack cannot be used
    """
    from linter.packs.proving import prove as run
    from linter.reports.proof import text

    status = 0
    for name in packs:
        proof, told = run(name, faults=not no_faults, on=datetime.date.today(), progress=screen.progress)
        screen.tell(told)
        if proof is None:
            status = 2
            continue
        screen.write(text(proof, everything=everything, width=screen.columns()), None)
        if (not proof.sound or any(one.fatal for one in told) or proof.noticed * 100 < noticed) and status == 0:
            status = 1
    return status


@command.command("words")
@click.argument("word", required=False, metavar="[WORD]")
def words(word: str | None) -> int:
    """The vocabulary: all kinds of things, what may be said of one kind, or what one word means."""
    from linter.base.near import nearest
    from linter.reports import words as report
    from linter.vocabulary import vocabulary

    known = vocabulary()
    width = screen.columns()
    if word is None:
        screen.write(report.overview(known, width), None)
        return 0
    name = "-".join(word.lower().replace("-", " ").split())
    if name in known.kinds:
        screen.write(report.of_kind(known, name, width), None)
    if name in known.words:
        screen.write(("\n" if name in known.kinds else "") + report.of_word(known.words[name], width), None)
    if name not in known.kinds and name not in known.words:
        near = nearest(name, (*known.kinds, *known.words))
        raise screen.Unusable(f'"{word}" is not a word of the vocabulary',
                              [("Mend", f'Did you mean "{near}"?' if near else "`tugtest pack words` lists all kinds.")])
    return 0


@command.command("tidy")
@click.argument("files", nargs=-1, required=True, metavar="FILE…")
@click.option("--look", is_flag=True, help="Change nothing; exit 1 if a file is not tidy.")
def tidy(files: tuple[str, ...], look: bool) -> int:
    """Lay out practice files alike. Changes blanks and line ends only: words and comments stay as they are, or the file is left alone.

    FILE is a practice file, or a folder of them.
    """
    from linter.language.layout import Untidy
    from linter.language.layout import tidy as laid_out

    paths: list[str] = []
    for path in files:
        paths += sorted(os.path.join(path, name) for name in os.listdir(path) if name.endswith(".practice")) if os.path.isdir(path) else [path]
    status = changed = 0
    for path in paths:
        try:
            before = screen.read(path).decode("utf-8")
            after = laid_out(before)
        except UnicodeDecodeError:
            screen.tell_plainly(f"{path} is not UTF-8 text", [])
            status = 2
            continue
        except Untidy as trouble:
            screen.tell_plainly(f"{path} is left as it is: {trouble}", [("Mend", "`tugtest pack prove` says what is wrong with it.")])
            status = 2
            continue
        except screen.Unusable as unusable:
            screen.tell_plainly(unusable.headline, unusable.labels)
            status = 2
            continue
        if before == after:
            continue
        changed += 1
        if not look:
            screen.write(after, path)
        screen.tell_plainly(f"{path} {'is not tidy' if look else 'laid out'}", [])
    if look and changed and status == 0:
        status = 1
    return status
