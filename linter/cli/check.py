"""`tugtest check`: the main job."""

from __future__ import annotations

import datetime

import click

from linter.cli import screen
from linter.cli.reading import Reader, day, pack_option
from linter.reports import NAMES, report
from linter.survey.record import WEIGHTS, Survey, exit_status

_WEIGHT = click.Choice(WEIGHTS)


@click.command("check")
@click.argument("files", nargs=-1, required=True, metavar="FILE…")
@click.option("--as", "form", type=click.Choice(NAMES), default="text", show_default=True, help="How to write the result.")
@click.option("--to", metavar="PATH", help="Write the result to a file, not to the screen.")
@pack_option
@click.option("--also", "also", multiple=True, metavar="NAME or FOLDER",
              help="Besides, hold against this variant, such as recreational-vehicle, and say what differs. Changes no outcome, no exit status. Repeatable.")
@click.option("--fail-at", type=_WEIGHT, default="warning", show_default=True, help="Exit 1 if something of this weight or more is not met.")
@click.option("--fail-on-unknown", type=click.Choice((*WEIGHTS, "never")), default="warning", show_default=True,
              help="Exit 3 if something of this weight or more cannot be told.")
@click.option("--on", metavar="DATE", callback=day, help="Date of the run, such as 2026-11-24; agreed departures lapse by it. [today]")
@click.option("--all", "everything", is_flag=True, help="Show every finding in full, with the facts it rests on.")
@click.option("--suppose", "supposing", multiple=True, metavar="ELEMENT.FACT = VALUE",
              help="What if? Replace a fact for this run, such as \"F1.rating = 60 A\". Repeatable; nothing is saved.")
@click.option("--explain", is_flag=True, help="As --all, and with each finding its card filled in, who set its limits, and the values at which it turns.")
@click.option("--no-assume", is_flag=True, help="Take nothing for granted that the description does not say.")
@click.pass_context
def command(ctx: click.Context, files: tuple[str, ...], form: str, to: str | None, packs: tuple[str, ...], also: tuple[str, ...], fail_at: str,
            fail_on_unknown: str, on: datetime.date, everything: bool, supposing: tuple[str, ...], explain: bool, no_assume: bool) -> int:
    """Hold descriptions against practices, in every operating state.

    FILE is a description, a folder (every .yaml or .yml in it that holds a `tugtest:` key), or - for standard input.

    \b
    Exit status
      0  nothing at or above the fail weight is not met
      1  something is
      2  some input cannot be used; what is wrong stands on standard error
      3  nothing is, but something at or above --fail-on-unknown cannot be told
    """
    reader = Reader(packs, assume=not no_assume, supposing=supposing, explain=explain, also=also)
    paths = screen.descriptions(files)
    surveys: list[Survey] = []
    for number, path in enumerate(paths, 1):
        screen.progress(number, len(paths), path)
        survey = reader.survey(path, on)
        if survey is not None:
            surveys.append(survey)
    screen.progress(len(paths) + 1, len(paths), "")
    screen.tell(reader.told)
    done = tuple(surveys)
    if done:
        if form == "text":
            from linter.reports.text import text

            screen.write(text(done, everything=everything or explain, width=80 if to else screen.columns()), to)
        else:
            screen.write(report(form)(done), to)
    if reader.unusable:
        return 2
    return exit_status(done, fail_at, None if fail_on_unknown == "never" else fail_on_unknown)
