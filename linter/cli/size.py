"""`tugtest size`: the smallest conductor for a run, and the fuse that fits it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from linter.cli import screen
from linter.cli.reading import Reader

if TYPE_CHECKING:
    from linter.base.values import Range
    from linter.facts.size_from_book import Missing, Sized


@click.command("size")
@click.argument("file", metavar="[FILE WIRE]", required=False)
@click.argument("wire", metavar="", required=False)
@click.option("--amps", metavar="A", help="Worst steady current: \"30 A\".")
@click.option("--length", metavar="M", help="One way: \"4 m\".")
@click.option("--drop", metavar="%", help="Share of the voltage the run may lose, out and back: \"3 %\".")
@click.option("--voltage", metavar="V", help="Nominal voltage: \"12 V\".")
@click.option("--insulation", metavar="°C", help="Temperature class of the insulation.")
@click.option("--terminals", metavar="°C", help="Temperature class of the coolest terminal, if it is lower.")
@click.option("--ambient", metavar="°C", help="Hottest place the run passes.")
@click.option("--bundled", metavar="N", help="Loaded wires that lie together, negatives included.")
@click.option("--buried", metavar="M", help="Length in thermal insulation. [0 m]")
@click.option("--fuse-family", "family", metavar="NAME", help="Family of the fuse, such as \"terminal cube\".")
@click.option("--source", metavar="A", help="Short-circuit current where the run starts: \"5.6 kA\".")
@click.option("--capacity-by", "ladder", metavar="NAME", help="Own formula, or a table by name. [own formula]")
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", show_default=True, help="How to write the result.")
@click.option("--to", metavar="PATH", help="Write the result to a file, not to the screen.")
@click.option("--no-assume", is_flag=True, help="Take nothing for granted that the description does not say.")
def command(file: str | None, wire: str | None, form: str, to: str | None, no_assume: bool, **told: str | None) -> int:
    """The smallest standard conductor for current, heat and drop, the fuses that fit, what decides, and what the next size buys.

    Either every figure of one run on the command line, or a described conductor by name. A needed figure that is missing is named; then no
    size is given.

    Exit status 0; 2 if the input cannot be used; 3 if a figure is missing.
    """
    from linter.reports import sizing as report

    if file is not None and wire is None:
        raise screen.Unusable("No conductor is named", [("Mend", "Write the description and the conductor: tugtest size FILE W35. Or give every figure: "
                                                                 "--amps, --length, --voltage, --insulation, --ambient, --bundled.")])
    sized = _described(file, wire or "", told, assume=not no_assume) if file is not None else _alone(told)
    if sized is None:
        return 2
    screen.write(report.json_sized(sized) if form == "json" else report.text(sized, 80 if to else screen.columns()), to)
    return 3 if sized.missing else 0


def _described(file: str, wire: str, told: dict[str, str | None], *, assume: bool) -> Sized | None:
    from linter.base.near import nearest
    from linter.facts.size_from_book import size_of

    for name in told:
        if told[name] is not None and name not in ("drop", "family"):
            raise screen.Unusable(f'"--{name}" is in the description', [("Mend", "Leave it out; --drop and --fuse-family may be given beside a description.")])
    reader = Reader(assume=assume)
    found = reader.installation(file)
    screen.tell(reader.told)
    if found is None:
        return None
    conductors = found.book.members("conductor")
    if wire not in conductors:
        near = nearest(wire, list(conductors))
        raise screen.Unusable(f'No conductor called "{wire}" is described',
                              [("In", file), ("Mend", f'Did you mean "{near}"?' if near else "Name a wire or bar.")])
    share = _read(told, "drop", "share")
    return size_of(found.book, wire, share=share.low if share is not None else None, family=_family(told))


def _alone(told: dict[str, str | None]) -> Sized:
    from linter.base.values import Range, times
    from linter.facts.capacity import OWN
    from linter.facts.formulas.capacity import TABLES
    from linter.facts.size_from_book import Sized
    from linter.facts.sizing import Wanted, size

    asked = {name: _read(told, name, kind) for name, kind in (("amps", "current"), ("length", "length"), ("drop", "share"), ("voltage", "voltage"),
                                                              ("insulation", "temperature"), ("terminals", "temperature"), ("ambient", "temperature"),
                                                              ("bundled", "number"), ("buried", "length"), ("source", "current"))}
    missing = [_gap(name) for name in ("amps", "length", "voltage", "insulation", "ambient", "bundled") if asked[name] is None]
    if missing:
        return Sized("", "", "", None, None, tuple(missing), (), 0, "")
    amps, length, voltage, insulation, ambient, bundled = (asked[n] or Range(0, 0) for n in ("amps", "length", "voltage", "insulation", "ambient", "bundled"))
    terminals, share, buried = asked["terminals"], asked["drop"], asked["buried"]
    if terminals is not None:
        insulation = Range(min(insulation.low, terminals.low), min(insulation.high, terminals.high))
    ladder = told.get("ladder") or OWN
    if ladder != OWN and ladder not in TABLES:
        raise screen.Unusable(f'"{ladder}" is no way of finding capacity known here', [("Known", ", ".join((OWN, *TABLES)))])
    allowed = None if share is None else times(share, voltage).low
    wanted = Wanted(amps, length, insulation, ambient, ambient, bundled.high, buried.high if buried is not None else 0.0, allowed, voltage, _family(told),
                    asked["source"], ladder)
    return Sized("", "", "", None, size(wanted), (), (), 1, "")


def _read(told: dict[str, str | None], name: str, kind: str) -> Range | None:
    from linter.units.dimension import NAMED
    from linter.units.table import Unreadable, read_quantity

    written = told.get(name)
    if written is None:
        return None
    if kind != "number" and written.replace(".", "", 1).isdigit():
        # A bare number on the command line is in the option's own unit.
        written += {"current": " A", "length": " m", "voltage": " V", "temperature": " °C", "share": " %"}[kind]
    try:
        value = read_quantity(written, NAMED[kind], None if kind == "temperature" else 0.0)
    except Unreadable as wrong:
        raise screen.Unusable(f"--{name}: {wrong}", [("Mend", wrong.remedy)] if wrong.remedy else []) from None
    if kind not in ("temperature", "share") and name != "buried" and value.low <= 0:
        raise screen.Unusable(f"--{name} must be more than nothing", [])
    return value


def _family(told: dict[str, str | None]) -> str:
    from linter.base.near import nearest
    from linter.vocabulary import vocabulary

    family = told.get("family") or ""
    known = vocabulary().words["family"][0].choices
    if family and family not in known:
        near = nearest(family, known)
        raise screen.Unusable(f'"{family}" is no fuse family known here', [("Mend", f'Did you mean "{near}"?' if near else "Known: " + ", ".join(known) + ".")])
    return family


def _gap(name: str) -> Missing:
    from linter.base.gap import FactRef
    from linter.facts.size_from_book import Missing
    from linter.vocabulary import vocabulary

    word, kind, why = {"amps": ("current", "load", "the current it has to carry"), "length": ("length", "conductor", "its drop"),
                       "voltage": ("system-voltage", "installation", "the share it may lose"), "insulation": ("insulation", "conductor", "what it carries"),
                       "ambient": ("ambient", "place", "what it carries in the heat"),
                       "bundled": ("bundled-with", "conductor", "what it carries in a bundle")}[name]
    row = vocabulary().said_of(word, kind)
    return Missing(FactRef("", f"--{name}"), why, row.question if row else "", row.how if row else "")
