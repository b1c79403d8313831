"""`tugtest ask`: what to find out first."""

from __future__ import annotations

import datetime

import click

from linter.cli import screen
from linter.cli.reading import Reader, day, pack_option
from linter.survey.ask import ask


@click.command("ask")
@click.argument("files", nargs=-1, required=True, metavar="FILE…")
@click.option("--as", "form", type=click.Choice(("text", "json", "markdown")), default="text", show_default=True, help="How to write the result.")
@click.option("--to", metavar="PATH", help="Write the result to a file, not to the screen.")
@pack_option
@click.option("--on", metavar="DATE", callback=day, help="Date of the run. [today]")
@click.option("--all", "everything", is_flag=True, help="Every question, not only the most useful dozen.")
@click.option("--no-assume", is_flag=True, help="Also ask what would otherwise be taken for granted.")
def command(files: tuple[str, ...], form: str, to: str | None, packs: tuple[str, ...], on: datetime.date, everything: bool, no_assume: bool) -> int:
    """The fewest facts to find out that settle the most, each with how to find it out.

    Exit status 0 if the description could be read, 2 if not.
    """
    from linter.reports import asking

    reader = Reader(packs, assume=not no_assume, tips=True)
    surveys = [survey for path in screen.descriptions(files) if (survey := reader.survey(path, on)) is not None]
    screen.tell(reader.told)
    if surveys:
        askings = tuple(ask(survey) for survey in surveys)
        if form == "text":
            screen.write(asking.text(askings, most=None if everything else 12, width=80 if to else screen.columns()), to)
        else:
            screen.write(asking.json_asking(askings) if form == "json" else asking.markdown(askings), to)
    return 2 if reader.unusable else 0
