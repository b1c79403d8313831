"""`tugtest pack`: for those who write practices."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from linter.cli import screen
from linter.cli.reading import Reader, day

if TYPE_CHECKING:
    from linter.circuit.model import Circuit
    from linter.description.described import Described
    from linter.facts.book import Book


@click.group("pack")
def command() -> None:
    """Prove, look up, tidy, weigh and print packs of practices."""


@command.command("prove")
@click.argument("packs", nargs=-1, required=True, metavar="PACK…")
@click.option("--on", metavar="DATE", callback=day, help="Date of the run: what the pack loosens lapses by it. [today]")
@click.option("--no-faults", is_flag=True, help="Only run the examples; plant no faults.")
@click.option("--noticed", type=click.IntRange(0, 100), default=100, metavar="PERCENT",
              help="Exit 1 if fewer of the planted faults are noticed; excused ones count as noticed. [100]")
@click.option("--all", "everything", is_flag=True, help="Show every planted fault that no example notices.")
def prove(packs: tuple[str, ...], on: datetime.date, no_faults: bool, noticed: int, everything: bool) -> int:
    """Run a pack's examples, and plant faults in its practices that the examples should notice.

    PACK is one of ours by name, or a folder with a pack.yaml.

    \b
    Exit status
      0  every practice has examples and every one comes out as it says
      1  some do not, or fewer planted faults are noticed or excused than --noticed asks
      2  a pack cannot be used
    """
    from linter.packs.proving import prove as run
    from linter.reports.proof import text

    status = 0
    for name in packs:
        proof, told = run(name, faults=not no_faults, on=on, progress=screen.progress)
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
    """The vocabulary: all kinds of things, what may be said of one kind, what one word means, or every word that speaks of something."""
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
        searched = report.found(known, word, width)
        if searched:
            screen.write(searched, None)
            return 0
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


@command.command("weigh")
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@click.argument("folder", metavar="FOLDER")
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", show_default=True, help="How to write the result.")
@click.option("--to", metavar="PATH", help="Write the result to a file, not to the screen.")
@click.option("--on", metavar="DATE", callback=day, help="Date both editions are held on. [today]")
def weigh(old: str, new: str, folder: str, form: str, to: str | None, on: datetime.date) -> int:
    """Weigh two editions of a pack over a folder of installations: tighter, looser, both or same, and what moved where.

    OLD and NEW are folders with a pack.yaml; FOLDER is a folder of descriptions, or one description. Every installation is held against the
    edition and what it builds on, and against nothing else, whatever packs its description names.

    Exit status 0, or 2 if a pack or a description cannot be used.
    """
    from linter.packs.editions import edition
    from linter.reports import weighing
    from linter.survey.weigh import weigh as weighed

    editions = []
    for path in (old, new):
        name, packs, told = edition(path, on)
        screen.tell([one for one in told if one.fatal])
        editions.append((name, packs))
    (first, before), (second, after) = editions
    if before is None or after is None:
        return 2
    if first != second:
        raise screen.Unusable(f"{first} and {second} are two packs, not two editions of one",
                              [("Mend", "A folder may have any name; `pack:` in its pack.yaml says which pack it is.")])
    reader = Reader()
    paths = screen.descriptions([folder])

    def installations() -> Iterator[tuple[Described, Circuit, Book]]:
        for number, path in enumerate(paths, 1):
            screen.progress(number, len(paths), path)
            found = reader.installation(path)
            if found is not None:
                yield found.described, found.circuit, found.book
        screen.progress(len(paths) + 1, len(paths), "")

    done = weighed(first, before, after, installations(), on=on)
    screen.tell(reader.told)
    screen.write(weighing.json_weighed(done) if form == "json" else weighing.text(done, 80 if to else screen.columns()), to)
    return 2 if reader.unusable else 0


@command.command("book")
@click.argument("packs", nargs=-1, required=True, metavar="PACK…")
@click.option("--as", "form", type=click.Choice(("html", "markdown")), default="html", show_default=True, help="One HTML file, or Markdown.")
@click.option("--to", metavar="PATH", help="Write the handbook to a file, not to the screen.")
@click.option("--all", "everything", is_flag=True, help="Also the practices of the packs these build on.")
@click.option("--on", metavar="DATE", callback=day, help="Date of the handbook: what a pack loosens lapses by it. [today]")
def book(packs: tuple[str, ...], form: str, to: str | None, everything: bool, on: datetime.date) -> int:
    """Print a handbook made from the cards: what each asks in plain words, why, limits and who set them, what to find out, examples, sources.

    PACK is one of ours by name, or a folder with a pack.yaml.

    Exit status 0, or 2 if a pack cannot be used.
    """
    from linter.packs.editions import together
    from linter.packs.handbook import handbook

    names, effect, told = together(packs, on)
    screen.tell([one for one in told if one.fatal or one.kind == "pack-date"])
    if effect is None:
        return 2
    made = handbook(effect, tuple(one.name for one in effect.loaded) if everything else names)
    if form == "html":
        from linter.reports.handbook_html import html as laid_out
    else:
        from linter.reports.handbook_markdown import markdown as laid_out
    screen.write(laid_out(made), to)
    return 0
