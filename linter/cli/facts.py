"""`tugtest facts`: numbers with their working."""

from __future__ import annotations

import click

from linter.cli import screen
from linter.cli.reading import Reader


@click.command("facts")
@click.argument("file", metavar="FILE")
@click.argument("names", nargs=-1, metavar="[NAME…]")
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", show_default=True, help="How to write the result.")
@click.option("--to", metavar="PATH", help="Write the result to a file, not to the screen.")
@click.option("--no-assume", is_flag=True, help="Take nothing for granted that the description does not say.")
def command(file: str, names: tuple[str, ...], form: str, to: str | None, no_assume: bool) -> int:
    """Computed facts of the elements NAME, or of all: formula, numbers, and how each number is known.

    Exit status 0, or 2 if the description cannot be read or has no such element.
    """
    from linter.base.near import nearest
    from linter.reports import sheet as sheets_report
    from linter.survey.sheet import sheet_of

    reader = Reader(assume=not no_assume)
    found = reader.installation(file)
    screen.tell(reader.told)
    if found is None:
        return 2
    elements = list(found.circuit.elements)
    sheets = []
    for name in names or elements:
        sheet = sheet_of(found.book, name)
        if sheet is None:
            near = nearest(name, elements)
            remedy = f'Did you mean "{near}"?' if near else f"`tugtest facts {file}` without a name lists all."
            raise screen.Unusable(f'Nothing called "{name}" is described', [("In", file), ("Mend", remedy)])
        sheets.append(sheet)
    done = tuple(sheets)
    screen.write(sheets_report.json_sheets(done) if form == "json" else sheets_report.text(done, 80 if to else screen.columns()), to)
    return 0
