"""A description becomes a circuit: terminals, edges, halves of couplings, and the variables that make the operating states."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from linter.base.diagnostic import Diagnostic
from linter.base.groups import Groups
from linter.base.reading import Reading
from linter.base.span import Span
from linter.base.text import clean, listed
from linter.base.truth import Truth
from linter.circuit import sensing
from linter.circuit.attesting import attested
from linter.circuit.model import ALWAYS, Circuit, Constraint, Edge, Element, Guard, Literal, Variable
from linter.description.described import Described, Route, Said, Stop, Thing
from linter.vocabulary import Vocabulary, vocabulary

# What follows nothing drawn: name and its two ways of standing.
WEATHER: Mapping[str, tuple[str, str]] = {"engine": ("runs", "stopped"), "sun": ("shines", "gone"), "shore": ("connected", "absent")}
_AWAKE = {"alternator": ("engine", "runs"), "solar-array": ("sun", "shines"), "solar-controller": ("sun", "shines"), "shore-charger": ("shore", "connected")}
_TWO_SIDED = ("protection", "switch", "relay", "shunt")
NEVER: tuple[Guard, ...] = ()


def circuit_of(described: Described, on: datetime.date | None = None) -> tuple[Circuit, list[Diagnostic]]:
    """The circuit of a description, and what it could not make sense of.

    Args:
        described: What was read.
        on: Date of the run, for checks that were signed for.
    """
    made = _Builder(described, vocabulary())
    circuit = made.build()
    if described.attested:
        circuit = attested(circuit, described.attested, described.changes, on)
    return circuit, made.troubles


@dataclass(slots=True)
class _Builder:
    described: Described
    words: Vocabulary
    troubles: list[Diagnostic] = field(default_factory=list)
    things: dict[str, Thing] = field(default_factory=dict)
    elements: dict[str, Element] = field(default_factory=dict)
    terminals: dict[str, tuple[str, str]] = field(default_factory=dict)
    edges: list[Edge] = field(default_factory=list)
    variables: dict[str, Variable] = field(default_factory=dict)
    second: dict[str, int] = field(default_factory=dict)

    def build(self) -> Circuit:
        """All of it, in an order in which each step finds what it needs."""
        self.things = {thing.name: thing for thing in self.described.things}
        self._weather()
        for thing in self.described.things:
            self._element(thing)
        for thing in self.described.things:
            self._inside(thing)
        poles = _poles(self.described.routes)
        runs: dict[str, tuple[str, ...]] = {}
        for number, route in enumerate(self.described.routes):
            key = route.run
            while key in runs:
                key = f"{route.run}, {sum(name == route.run or name.startswith(route.run + ', ') for name in runs) + 1}"
            runs[key] = tuple(stop.element for stop in route.stops if stop.element)
            self._route(route, poles[number])
        constraints = tuple(Constraint(kind, tuple(literals)) for kind, groups in (("together", self.described.together), ("apart", self.described.apart))
                            for group in groups if (literals := self._literals(group)))
        constraints += tuple(sensing.constraints(self.elements, self.edges, self.variables, self.words))
        return Circuit(
            title=self.described.title, elements=self.elements, edges=tuple(self.edges), variables=tuple(self.variables.values()), constraints=constraints,
            terminals=self.terminals, complete=dict(self.described.listed), runs=runs, settings={"capacity by": self.described.capacity_by},
            stated=dict(self.described.facts), sources_awake=self._awake(), inputs={
                t.name: f"{t.name} in positive" for t in self.described.things if self._is(t, "charger") and f"{t.name} in positive" in self.terminals},
            barred={t.name: (tuple(self._literals(t.barred_when)),) for t in self.described.things if t.barred_when},
            asked=self.described.asked)

    def _is(self, thing: Thing, *kinds: str) -> bool:
        return any(self.words.is_a(thing.kind, kind) for kind in kinds)

    def _trouble(self, kind: str, headline: str, at: Span, remedy: str | None = None) -> None:
        self.troubles.append(Diagnostic(kind, headline, at, remedy=remedy))

    # ---- variables --------------------------------------------------------------------------------------------------------------------

    def _weather(self) -> None:
        named = {said.subject for thing in self.described.things for said in (*thing.closed_when, *thing.runs_when, *thing.barred_when)}
        named |= {said.subject for group in (*self.described.together, *self.described.apart) for said in group}
        for thing in self.described.things:
            if thing.kind in _AWAKE:
                named.add(_AWAKE[thing.kind][0])
        for name, values in WEATHER.items():
            if name in named:
                self.variables[name] = Variable(name, values)

    def _variable(self, thing: Thing, values: tuple[str, ...], *, ring: bool = False, breaks: str | None = None) -> None:
        self.variables[thing.name] = Variable(thing.name, values, ring, breaks)

    def _literals(self, group: Iterable[Said]) -> list[Literal]:
        """A condition, as literals. A relay that follows a condition is put as that condition."""
        found: list[Literal] = []
        for said in group:
            thing = self.things.get(said.subject)
            if said.subject in self.variables:
                if said.stands in self.variables[said.subject].values:
                    found.append((said.subject, frozenset({said.stands})))
                else:
                    self._trouble("unreadable-condition", f"{clean(said.subject)} never stands {clean(said.stands)}", said.at,
                                  f"It may be: {', '.join(self.variables[said.subject].values)}.")
            elif thing is not None and self._is(thing, "relay") and thing.closed_when:
                inner = self._literals(thing.closed_when)
                if said.stands == "closed":
                    found += inner
                elif len(inner) == 1:
                    name, values = inner[0]
                    found.append((name, frozenset(self.variables[name].values) - values))
                else:
                    self._trouble("unreadable-condition", f"{clean(said.subject)} is open for more than one reason, and that cannot be said here", said.at,
                                  "Say the reasons one by one.")
            elif thing is not None and self._is(thing, "switch") and thing.taken_as:
                if said.stands != thing.taken_as:
                    self._trouble("unreadable-condition", f"{clean(said.subject)} is taken as always {thing.taken_as}", said.at, "Take out one of the two.")
            else:
                self._trouble("unreadable-condition", f"{clean(said.subject)} has no states of its own", said.at,
                              "Name a switch, selector, relay or coupling, or engine, sun, shore.")
        return found

    def _awake(self) -> dict[str, tuple[Guard, ...]]:
        awake: dict[str, tuple[Guard, ...]] = {}
        for thing in self.described.things:
            if not self._is(thing, "source"):
                continue
            guard: list[Literal] = []
            if thing.kind in _AWAKE:
                name, value = _AWAKE[thing.kind]
                guard.append((name, frozenset({value})))
            guard += [literal for literal in self._literals(thing.runs_when) if literal not in guard]
            if guard:
                awake[thing.name] = (tuple(guard),)
        return awake

    # ---- elements and what is inside them -----------------------------------------------------------------------------------------------

    def _element(self, thing: Thing) -> None:
        self.elements[thing.name] = Element(thing.name, thing.kind, thing.title, thing.facts, thing.at, thing.asked)
        row = self.words.kinds.get(thing.kind)
        for word in row.terminals if row is not None and not self._is(thing, "conductor") else ():
            self._terminal(thing.name, word)
        if self._is(thing, "selector"):
            for stud in _studs(thing):
                self._terminal(thing.name, stud)
        if self._is(thing, "coupling"):
            for half in thing.between:
                name = f"{thing.name} {half}"
                facts = {word: reading for word, reading in thing.facts.items() if self.words.said_of(word, "coupling-half") and word != "vehicle-of"}
                other = self.things.get(half)
                if other is not None and other.kind == "vehicle":
                    facts["vehicle-of"] = Reading(frozenset({half}), at=thing.at)
                facts |= thing.halves.get(half, {})
                asked = frozenset(word for word in thing.asked if word not in facts)
                self.elements[name] = Element(name, "coupling-half", thing.title, facts, thing.at, asked)
                for contact in thing.contacts:
                    self._terminal(name, contact)

    def _terminal(self, element: str, word: str) -> str:
        name = f"{element} {word}"
        self.terminals[name] = (element, word)
        return name

    def _inside(self, thing: Thing) -> None:
        """Edges within a part, and its variable."""
        if self._is(thing, "switch") and not thing.taken_as:
            self._variable(thing, ("on", "off"))
        if self._is(thing, "relay") and not thing.closed_when:
            self._variable(thing, ("closed", "open"))
        if self._is(thing, *_TWO_SIDED):
            self._edge(thing, f"{thing.name} line", f"{thing.name} load", *self._closed(thing))
        elif self._is(thing, "selector"):
            self._selector(thing)
        elif self._is(thing, "coupling"):
            self._variable(thing, ("mated", "parted"))
            for contact in thing.contacts if len(thing.between) == 2 else ():
                one, two = (f"{thing.name} {half} {contact}" for half in thing.between)
                guards = (((thing.name, frozenset({"mated"})),),)
                self._edge(thing, one, two, guards, guards)
        elif self._is(thing, "converter", "solar-controller"):
            stated = thing.facts.get("isolated")
            isolated = stated.value if stated is not None else Truth.UNKNOWN
            if isolated is not Truth.YES:
                self._edge(thing, f"{thing.name} in negative", f"{thing.name} out negative", ALWAYS if isolated is Truth.NO else NEVER, ALWAYS)

    def _closed(self, thing: Thing) -> tuple[tuple[Guard, ...], tuple[Guard, ...]]:
        """When a two-sided part surely passes current, and when it may."""
        guards = ALWAYS
        if self._is(thing, "switch"):
            guards = NEVER if thing.taken_as == "off" else ALWAYS if thing.taken_as == "on" else (((thing.name, frozenset({"on"})),),)
        elif self._is(thing, "relay"):
            guards = (tuple(self._literals(thing.closed_when)),) if thing.closed_when else (((thing.name, frozenset({"closed"})),),)
        return guards, guards

    def _edge(self, thing: Thing, a: str, b: str, guards: tuple[Guard, ...], maybe: tuple[Guard, ...]) -> None:
        self.edges.append(Edge(thing.name, a, b, thing.kind, guards, maybe))

    def _selector(self, thing: Thing) -> None:
        stated = thing.facts.get("changes")
        breaks = next(iter(stated.value)) if stated is not None and isinstance(stated.value, frozenset) and len(stated.value) == 1 else None
        dial = thing.dial or tuple(thing.joins)
        if not dial:
            return
        # A dial is told in order round it, so its last position lies beside its first.
        self._variable(thing, dial, ring=len(dial) > 2, breaks=breaks)
        studs = _studs(thing)
        often = {stud: sum(stud in group for groups in thing.joins.values() if groups for group in groups) for stud in studs}
        sure: dict[tuple[str, str], set[str]] = {}
        open_positions = [position for position in dial if thing.joins.get(position) is None]
        for position in dial:
            for group in thing.joins.get(position) or ():
                # A star round the stud that most positions use: as few edges as join the group, and no ring of them.
                hub = max(group, key=lambda stud: (often[stud], -studs.index(stud)))
                for stud in group:
                    if stud != hub:
                        sure.setdefault(_pair(hub, stud, studs), set()).add(position)
        pairs = dict.fromkeys(sure)
        if open_positions and studs:
            hub = max(studs, key=lambda stud: (often[stud], -studs.index(stud)))
            pairs.update(dict.fromkeys(_pair(hub, stud, studs) for stud in studs if stud != hub))
        for pair in pairs:
            at = sure.get(pair, set())
            guards: tuple[Guard, ...] = (((thing.name, frozenset(at)),),) if at else NEVER
            maybe: tuple[Guard, ...] = (((thing.name, frozenset(at | set(open_positions))),),)
            self._edge(thing, f"{thing.name} {pair[0]}", f"{thing.name} {pair[1]}", guards, maybe if open_positions else guards)

    # ---- routes -----------------------------------------------------------------------------------------------------------------------

    def _route(self, route: Route, pole: int) -> None:
        here: str | None = None
        before: Stop | None = None
        link: Stop | None = None
        for stop in route.stops:
            if stop.sort in ("conductor", "joint"):
                if link is not None:
                    self._trouble("two-wires-meet", f"nothing is named between {clean(link.element or '0 mm')} and {clean(stop.element or '0 mm')}",
                                  stop.at, "Name the terminal, bus or junction where they meet.")
                    return
                link = stop
                if here is None and stop.sort == "conductor":
                    here = self._terminal(stop.element, "start")
                continue
            ends = self._sides(stop, pole)
            if ends is None:
                return
            if here is not None:
                self._link(here, ends[0], link, stop if stop.sort == "device" or before is None else before if before.sort == "device" else stop)
            here, before, link = ends[1], stop, None
        if link is not None and link.sort == "conductor" and here is not None:
            self._link(here, self._terminal(link.element, "finish"), link, link)

    def _sides(self, stop: Stop, pole: int) -> tuple[str, str] | None:
        """The terminals at which a route enters and leaves a stop."""
        thing = self.things.get(stop.element)
        if stop.sort == "device" and thing is not None:
            first = self.second.get(stop.element, 0)
            if first == 0:
                self.second[stop.element] = pole
            if first * pole < 0:
                # Told once in a positive and once in a negative: the other pole of the same part, moved by the same handle.
                line, load = self._terminal(stop.element, "other line"), self._terminal(stop.element, "other load")
                if not any(edge.a == line for edge in self.edges):
                    self._edge(thing, line, load, *self._closed(thing))
                return line, load
            return f"{stop.element} line", f"{stop.element} load"
        name = f"{stop.element} stud" if stop.sort == "node" else f"{stop.element} {stop.terminal}"
        if name not in self.terminals:
            half = next((e for e in self.elements.values() if e.kind == "coupling-half" and name.startswith(e.name + " ")), self.elements.get(stop.element))
            if half is not None and half.kind == "coupling-half":
                # A contact the coupling did not list; runs may name more.
                self._terminal(half.name, name[len(half.name) + 1:])
            elif half is not None and half.kind == "selector":
                self._terminal(half.name, stop.terminal)
            else:
                own = [word for element, word in self.terminals.values() if element == stop.element]
                self._trouble("unknown-terminal", f"{clean(name)} is no terminal", stop.at, f"{clean(stop.element)} has: {listed(own)}." if own else None)
                return None
        return name, name

    def _link(self, a: str, b: str, link: Stop | None, beside: Stop) -> None:
        if a == b:
            self._trouble("run-goes-nowhere", f"{clean(a)} is joined to itself", beside.at, "Name the two ends.")
            return
        if link is not None and link.sort == "conductor":
            if link.element not in self.elements:
                self.elements[link.element] = Element(link.element, "conductor", at=link.at)
            self.edges.append(Edge(link.element, a, b, self.elements[link.element].kind))
        else:
            self.edges.append(Edge(beside.element, a, b, "joint"))


def _pair(a: str, b: str, order: tuple[str, ...]) -> tuple[str, str]:
    return (a, b) if order.index(a) < order.index(b) else (b, a)


def _studs(thing: Thing) -> tuple[str, ...]:
    named = dict.fromkeys(stud for groups in thing.joins.values() if groups for group in groups for stud in group)
    return tuple(dict.fromkeys((*thing.studs, *named)))


def _poles(routes: tuple[Route, ...]) -> list[int]:
    """Per route +1, -1, or 0 if its ends do not say: poles named at an end spread over buses and junctions to other routes."""
    together = Groups()
    said: dict[str, int] = {}
    for number, route in enumerate(routes):
        own = f"route {number}"
        for stop in route.stops:
            if stop.sort == "node":
                together.join(own, f"node {stop.element}")
    for number, route in enumerate(routes):
        for stop in route.stops:
            if stop.sort == "terminal" and stop.terminal.endswith(("positive", "negative")):
                said.setdefault(together.find(f"route {number}"), 1 if stop.terminal.endswith("positive") else -1)
    return [said.get(together.find(f"route {number}"), 0) for number in range(len(routes))]
