"""Small circuits for tests, told like a description but without its reader."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from linter.base.reading import Reading
from linter.base.span import Span
from linter.base.truth import Truth
from linter.base.values import Range
from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.description.described import Described, Route, Said, Stop, Thing
from linter.vocabulary import vocabulary

HERE = Span("tests")
_WIRE = re.compile(r"(\S+) ([\d.]+)(?: to ([\d.]+))? (mm|m)\Z")


def known(value: object) -> Reading:
    """A number, a pair (low, high), a bool or a word as a stated reading."""
    if isinstance(value, bool):
        return Reading(Truth.YES if value else Truth.NO)
    if isinstance(value, (int, float)):
        return Reading(Range(float(value), float(value)))
    if isinstance(value, tuple):
        return Reading(Range(float(value[0]), float(value[1])))
    if isinstance(value, frozenset):
        return Reading(value)
    return Reading(frozenset({str(value)}))


def said(text: str) -> tuple[Said, ...]:
    """ "engine runs and K1 both"."""
    return tuple(Said(*part.rsplit(" ", 1), HERE) for part in text.split(" and ")) if text else ()


def part(
    name: str,
    kind: str,
    *,
    dial: Sequence[str] = (),
    joins: Mapping[str, object] | None = None,
    closed: str = "",
    runs: str = "",
    barred: str = "",
    taken: str = "",
    between: Sequence[str] = (),
    contacts: Sequence[str] = ("positive", "negative"),
    halves: Mapping[str, Mapping[str, Reading]] | None = None,
    **facts: object,
) -> Thing:
    """One thing; facts with underscores for hyphens."""
    return Thing(
        name,
        kind,
        facts={word.replace("_", "-"): known(value) for word, value in facts.items() if value is not None},
        dial=tuple(dial),
        joins=dict(joins or {}),
        closed_when=said(closed),
        runs_when=said(runs),
        barred_when=said(barred),
        taken_as=taken,
        between=tuple(between),  # type: ignore[arg-type]
        contacts=tuple(contacts) if kind == "coupling" else (),
        halves=dict(halves or {}),
        at=HERE,
    )


def described(
    things: Sequence[Thing],
    routes: Sequence[str],
    *,
    wires: Mapping[str, Mapping[str, object]] | None = None,
    together: Sequence[str] = (),
    apart: Sequence[str] = (),
    complete: bool = True,
    facts: Mapping[str, object] | None = None,
) -> Described:
    """Things and routes, "B1 positive, 0 mm, F1, W11 1.2 m, R1". `wires` maps names separated by blanks to facts."""
    by_name = {thing.name: thing for thing in things}
    told: dict[str, dict[str, object]] = {}
    for names, about in (wires or {}).items():
        for name in names.split():
            told[name] = dict(about)
    every = list(things)
    made: list[Route] = []
    is_a = vocabulary().is_a
    for number, route in enumerate(routes):
        stops: list[Stop] = []
        for item in (one.strip() for one in route.split(",")):
            match = _WIRE.match(item)
            if item == "0 mm":
                stops.append(Stop("joint", "", "", HERE))
            elif item in by_name:
                stops.append(Stop("node" if is_a(by_name[item].kind, "bus") or by_name[item].kind in ("junction", "chassis") else "device", item, "", HERE))
            elif match:
                name = match[1]
                scale = 1.0 if match[4] == "m" else 1e-3
                length = Range(float(match[2]) * scale, float(match[3] or match[2]) * scale)
                facts_of = {word.replace("_", "-"): known(value) for word, value in told.get(name, {}).items() if value is not None}
                every.append(Thing(name, "conductor", facts={"length": Reading(length), **facts_of}, at=HERE))
                stops.append(Stop("conductor", name, "", HERE))
            else:
                words = item.split(" ")
                owner = next(name for n in range(len(words) - 1, 0, -1) if (name := " ".join(words[:n])) in by_name)
                stops.append(Stop("terminal", owner, item[len(owner) + 1 :], HERE))
        made.append(Route(f"run {number}", tuple(stops), HERE))
    return Described(
        "test",
        "tests",
        {"element": complete},
        (),
        (),
        "own formula",
        {w: known(v) for w, v in (facts or {}).items()},
        tuple(every),
        tuple(made),
        tuple(said(t) for t in together),
        tuple(said(t) for t in apart),
    )


def circuit(*args: object, **more: object) -> Circuit:
    """As `described`, made into a circuit; diagnostics are not expected."""
    made, troubles = circuit_of(described(*args, **more))  # type: ignore[arg-type]
    assert not troubles, troubles
    return made
