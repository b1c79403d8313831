"""An example of a practice becomes a circuit, by way of the same builder a description goes through."""

from __future__ import annotations

from collections.abc import Iterable

from linter.base.diagnostic import Diagnostic
from linter.base.span import Span
from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.description.described import Described, Route, Said, Stop, Thing
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.stage import Fit, Stage


def circuit_of_example(example: t.Example) -> tuple[Circuit, list[Diagnostic]]:
    """The circuit of a checked example, and what it could not make sense of."""
    stage = example.stage
    assert isinstance(stage, Stage)
    return circuit_of(described_of(stage, example.name, example.card.source.span(example.card.at)))


def described_of(stage: Stage, name: str, at: Span) -> Described:
    """What an example says, put as a description. Lists are whole only for the kinds it says so of."""
    halves: dict[str, dict[str, Fit]] = {}
    for fit in stage.fits:
        if fit.kind == "coupling":
            for half in fit.between:
                own = next((one for one in stage.fits if one.name == f"{fit.name} {half}"), None)
                if own is not None:
                    halves.setdefault(fit.name, {})[half] = own
    names = sorted((fit.name for fit in stage.fits), key=len, reverse=True)

    def stop(terminal: str, where: Span) -> Stop:
        owner = next((one for one in names if terminal.startswith(one + " ")), terminal.rpartition(" ")[0])
        return Stop("terminal", owner, terminal[len(owner) + 1:], where)

    routes = tuple(Route(link.element, (stop(link.a, link.at), Stop("joint", "", "", link.at) if link.joint else Stop("conductor", link.element, "", link.at),
                                        stop(link.b, link.at)), link.at) for link in stage.links)
    things = tuple(_thing(fit, halves.get(fit.name, {}), _studs(fit, routes)) for fit in stage.fits if fit.kind != "coupling-half")
    return Described(name, at.file, {**dict.fromkeys(stage.listed, True), "element": "element" in stage.listed}, (), (), "own formula", stage.facts, things,
                     routes,
                     tuple(_said(stands, at) for stands in stage.together),
                     tuple(_said(stands, at) for stands in stage.apart), asked=stage.asked)


def _thing(fit: Fit, halves: dict[str, Fit], studs: tuple[str, ...]) -> Thing:
    return Thing(fit.name, fit.kind, facts=fit.facts, at=fit.at, dial=fit.dial, joins=fit.joins, closed_when=_said(fit.closed_when, fit.at),
                 runs_when=_said(fit.runs_when, fit.at), barred_when=_said(fit.barred_when, fit.at), taken_as=fit.taken_as, between=fit.between,
                 contacts=fit.contacts, asked=fit.asked, halves={half: own.facts for half, own in halves.items()}, studs=studs)


def _studs(fit: Fit, routes: Iterable[Route]) -> tuple[str, ...]:
    """Studs of a selector that wires end on, though no position names them."""
    if fit.kind != "selector":
        return ()
    return tuple(dict.fromkeys(stop.terminal for route in routes for stop in route.stops if stop.sort == "terminal" and stop.element == fit.name))


def _said(stands: Iterable[s.Stand], at: Span) -> tuple[Said, ...]:
    return tuple(Said(stand.subject, stand.stands, at) for stand in stands)
