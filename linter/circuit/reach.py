"""What reaches what, in all states at once: sets of states spread along the edges until nothing is new.

`sure` follows edges only when they are surely closed; otherwise also when they may be. The truth lies between the two.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property

from linter.base.groups import Groups
from linter.circuit.model import ALWAYS, Edge
from linter.circuit.network import Network
from linter.circuit.states import States

_NONE: frozenset[str] = frozenset()
# Terminals that searches with something taken out may hold together before they are let go.
_KEPT = 50_000


class Clusters:
    """Terminals joined for good, by edges that are never open, drawn together: only contacts are left between them.

    Attributes:
        of: Terminal to the number of its cluster; a terminal nothing is joined to is absent.
        members: Terminals of each.
        pushing: Cluster to the terminals in it that sources push from.
        at: Cluster to (edge, other cluster) of its contacts.
    """

    def __init__(self, network: Network, barring: frozenset[str]) -> None:
        everything = network.space.everything
        together = Groups()
        contacts: list[int] = []
        for number, edge in enumerate(network.edges):
            if network.taken_by[number] in barring:
                continue
            if network.sure(number) == everything:
                together.join(edge.a, edge.b)
            elif network.closable(number):
                contacts.append(number)
        numbers: dict[str, int] = {}
        self.of = {t: numbers.setdefault(together.find(t), len(numbers)) for t in network.at}
        self.members: list[list[str]] = [[] for _ in numbers]
        for terminal, number in self.of.items():
            self.members[number].append(terminal)
        self.pushing: dict[int, list[str]] = {}
        for terminal in network.pushing:
            if terminal in self.of:
                self.pushing.setdefault(self.of[terminal], []).append(terminal)
        self.at: dict[int, list[tuple[int, int]]] = {}
        for number in contacts:
            a, b = self.of[network.edges[number].a], self.of[network.edges[number].b]
            if a != b:
                self.at.setdefault(a, []).append((number, b))
                self.at.setdefault(b, []).append((number, a))


class Reached(Mapping[str, States]):
    """Terminal to the states in which it is reached, held once per cluster."""

    __slots__ = ("_alone", "_clusters", "found")

    def __init__(self, clusters: Clusters, found: dict[int, States], alone: dict[str, States]) -> None:
        self._clusters = clusters
        self.found = found
        self._alone = alone

    def __getitem__(self, terminal: str) -> States:
        number = self._clusters.of.get(terminal)
        return self._alone[terminal] if number is None else self.found[number]

    def get(self, terminal: str, default: States = None) -> States:
        """As of a dict."""
        number = self._clusters.of.get(terminal)
        return self._alone.get(terminal, default) if number is None else self.found.get(number, default)

    def __contains__(self, terminal: object) -> bool:
        number = self._clusters.of.get(terminal) if isinstance(terminal, str) else None
        return terminal in self._alone if number is None else number in self.found

    def __iter__(self) -> Iterator[str]:
        for number in self.found:
            yield from self._clusters.members[number]
        yield from self._alone

    def __len__(self) -> int:
        return sum(len(self._clusters.members[number]) for number in self.found) + len(self._alone)


class Reach:
    """Searches of one network, remembered.

    Args:
        network: Where.
        spend: Counts work, and stops us when the budget is used up.
    """

    def __init__(self, network: Network, spend: Callable[[int], None]) -> None:
        self.network = network
        self.space = network.space
        self._spend = spend
        self._found: dict[tuple[frozenset[str], bool, frozenset[str], frozenset[str], frozenset[str]], Mapping[str, States]] = {}
        self._clusters: dict[frozenset[str], Clusters] = {}
        self._pushing: dict[tuple[int, bool, frozenset[str]], Mapping[str, States]] = {}
        self._kept = 0

    def spread(self, starts: Iterable[str], *, sure: bool, without: frozenset[str] = _NONE, blocked: frozenset[str] = _NONE,
               barring: frozenset[str] = _NONE) -> Mapping[str, States]:
        """Terminal to the states in which some start reaches it.

        Args:
            starts: Terminals.
            sure: Edges surely closed, or those that may be.
            without: Elements taken out: their edges, and the terminals of buses, junctions and chassis.
            blocked: Terminals taken out.
            barring: More elements taken out, devices only: a set that many searches share, and that is not copied for each.
        """
        key = (frozenset(starts), sure, without, blocked, barring)
        found = self._found.get(key)
        if found is None:
            labels = {s: self.space.everything for s in key[0]}
            if without or blocked:
                found = self._flood(labels, sure, without, blocked | self.network.removed(without), barring)
                self._kept += len(found)
                if self._kept > _KEPT:
                    # A big wiring has as many of these searches as wires; what is asked again is asked soon.
                    self._found.clear()
                    self._kept = len(found)
            else:
                found = self._flood_whole(labels, sure, barring)
            self._found[key] = found
        return found

    def clusters(self, barring: frozenset[str] = _NONE) -> Clusters:
        """The wiring drawn together, with some devices taken out."""
        if barring not in self._clusters:
            self._clusters[barring] = Clusters(self.network, barring)
        return self._clusters[barring]

    def _flood_whole(self, labels: Mapping[str, States], sure: bool, barring: frozenset[str] = _NONE,
                     onward: Mapping[str, tuple[tuple[str, States], ...]] | None = None) -> Reached:
        """As `_flood`, with devices taken out at most: terminals that are never parted are walked as one."""
        space, network = self.space, self.network
        nothing = space.nothing
        closed = network.sure if sure else network.maybe
        clusters = self.clusters(barring)
        steps: dict[int, list[tuple[str, States]]] = {}
        for terminal, others in (onward or {}).items():
            number = clusters.of.get(terminal)
            if number is not None:
                steps.setdefault(number, []).extend(others)
        reached: dict[int, States] = {}
        alone: dict[str, States] = {}
        fresh: dict[int, States] = {}
        queue: deque[int] = deque()
        walked = 0

        def add(number: int, states: States) -> None:
            old = reached.get(number)
            new = states if old is None else space.without(states, old)
            if new == nothing:
                return
            reached[number] = new if old is None else old | new
            if number in fresh:
                fresh[number] = fresh[number] | new
            else:
                fresh[number] = new
                queue.append(number)

        def start(terminal: str, states: States) -> None:
            number = clusters.of.get(terminal)
            if number is not None:
                add(number, states)
            elif states != nothing:
                # Nothing is joined to it, so nothing goes on from here but what the converter itself passes on.
                more = space.without(states, alone.get(terminal, nothing))
                alone[terminal] = alone.get(terminal, nothing) | states
                for other, guard in (onward or {}).get(terminal, ()) if more != nothing else ():
                    start(other, more & guard)

        for terminal, states in labels.items():
            start(terminal, states)
        while queue:
            here = queue.popleft()
            states = fresh.pop(here)
            for number, other in clusters.at.get(here, ()):
                walked += 1
                add(other, states & closed(number))
            for terminal, guard in steps.get(here, ()):
                start(terminal, states & guard)
        self._spend(walked)
        return Reached(clusters, reached, alone)

    def pushing(self, start: str, *, sure: bool, barring: frozenset[str] = _NONE) -> Mapping[str, States]:
        """Terminals that sources push from, met past some devices, to the states in which they are."""
        clusters = self.clusters(barring)
        number = clusters.of.get(start)
        key = (-1 if number is None else number, sure, barring)
        found = self._pushing.get(key)
        if found is None or number is None:
            reached = self._flood_whole({start: self.space.everything}, sure, barring)
            found = self._pushing[key] = {t: states for n, states in reached.found.items() for t in clusters.pushing.get(n, ())}
        return found

    def hard(self, *, sure: bool, barring: frozenset[str] = _NONE) -> Mapping[str, States]:
        """Terminal to the states in which a battery or a running alternator reaches it past some devices: one search for all terminals."""
        labels: dict[str, States] = {}
        for output, source in self.network.hard_outputs.items():
            labels[output] = labels.get(output, self.space.nothing) | self.awake(source, sure=sure)
        return self._flood_whole(labels, sure, barring)

    def meets(self, start: str, goals: Mapping[str, States], *, sure: bool, without: frozenset[str] = _NONE) -> bool:
        """Whether some goal is reached in one of its own states; the search ends at the first that is."""
        found = self._flood({start: self.space.everything}, sure, without, self.network.removed(without), goals=goals)
        return any(terminal in goals and found[terminal] & goals[terminal] != self.space.nothing for terminal in found)

    def _flood(self, labels: Mapping[str, States], sure: bool, without: frozenset[str], blocked: frozenset[str], barring: frozenset[str] = _NONE,
               goals: Mapping[str, States] | None = None) -> dict[str, States]:
        space, network = self.space, self.network
        nothing, everything = space.nothing, space.everything
        closed = network.sure if sure else network.maybe
        taken_by = network.taken_by
        reached: dict[str, States] = {}
        fresh: dict[str, States] = {}
        queue: deque[str] = deque()

        def add(terminal: str, states: States) -> None:
            old = reached.get(terminal)
            new = states if old is None else space.without(states, old)
            if new == nothing:
                return
            reached[terminal] = new if old is None else old | new
            if terminal in fresh:
                fresh[terminal] = fresh[terminal] | new
            else:
                fresh[terminal] = new
                queue.append(terminal)

        for terminal, states in labels.items():
            if terminal not in blocked:
                add(terminal, states)
        steps = 0
        while queue:
            here = queue.popleft()
            states = fresh.pop(here)
            for number, other in network.at.get(here, ()):
                steps += 1
                if other not in blocked and taken_by[number] not in without and taken_by[number] not in barring:
                    contact = closed(number)
                    # What is always closed passes the very same set on: one object for all it reaches.
                    add(other, states if contact is everything else states & contact)
            if goals is not None and here in goals and states & goals[here] != nothing:
                break
        self._spend(steps)
        return reached

    def onward(self, labels: Mapping[str, States], *, sure: bool, onward: Mapping[str, tuple[tuple[str, States], ...]]) -> Mapping[str, States]:
        """Terminal to the states in which some start, in its own states, reaches it, also by one-way steps: from a terminal on to others, in given states."""
        return self._flood_whole(labels, sure, _NONE, onward)

    def between(self, start: str, goal: str, *, sure: bool, without: frozenset[str] = _NONE) -> States:
        """States in which two terminals are joined."""
        return self.spread((start,), sure=sure, without=without).get(goal, self.space.nothing)

    def may_run(self, user: str) -> States:
        """States in which nothing wired bars a load, or the input of a charger."""
        return self.space.without(self.space.everything, self.space.any_of(self.network.circuit.barred.get(user, ())))

    # ---- sources --------------------------------------------------------------------------------------------------------------------

    def _live(self, sure: bool) -> Mapping[str, States]:
        """Terminal to states in which an awake source reaches it. A charger's output wakes with its input, so this is one flood in which the
        step from input to output goes one way only; being the least such answer, no converter keeps itself awake."""
        network, space = self.network, self.space
        circuit = network.circuit
        labels: dict[str, States] = {}
        onward: dict[str, tuple[tuple[str, States], ...]] = {}
        for source in network.sources:
            output = network.output(source)
            if output is None:
                continue
            awake = space.any_of(circuit.sources_awake.get(source, ALWAYS))
            entry = circuit.inputs.get(source)
            if entry is None:
                labels[output] = labels.get(output, space.nothing) | awake
            else:
                onward[entry] = (*onward.get(entry, ()), (output, awake))
        return self._flood_whole(labels, sure, _NONE, onward)

    @cached_property
    def live_sure(self) -> Mapping[str, States]:
        """Terminal to states in which it is surely live."""
        return self._live(True)

    @cached_property
    def live_maybe(self) -> Mapping[str, States]:
        """Terminal to states in which it may be live."""
        return self._live(False)

    def live(self, terminal: str, *, sure: bool) -> States:
        """States in which a source reaches a terminal."""
        return (self.live_sure if sure else self.live_maybe).get(terminal, self.space.nothing)

    def awake(self, source: str, *, sure: bool) -> States:
        """States in which a source pushes or is ready to."""
        circuit = self.network.circuit
        awake = self.space.any_of(circuit.sources_awake.get(source, ALWAYS))
        entry = circuit.inputs.get(source)
        return awake if entry is None else awake & self.live(entry, sure=sure)

    # ---- without states -------------------------------------------------------------------------------------------------------------

    def joined(self, starts: Iterable[str], *, sure: bool = False, without: frozenset[str] = _NONE, blocked: frozenset[str] = _NONE) -> dict[str, int]:
        """Terminals reached with everything closed that surely can close, or that may, whatever the state; each with the number of the edge it
        was first reached by (-1 for a start)."""
        network = self.network
        gone = blocked | network.removed(without)
        seen = {s: -1 for s in starts if s not in gone}
        queue = deque(seen)
        steps = 0
        while queue:
            here = queue.popleft()
            for number, other in network.at.get(here, ()):
                steps += 1
                if other not in seen and other not in gone and network.taken_by[number] not in without and network.closes(number, sure=sure):
                    seen[other] = number
                    queue.append(other)
        self._spend(steps)
        return seen

    def parts(self, *, sure: bool, without: frozenset[str]) -> dict[str, int]:
        """Terminal to the number of its part, as `joined` sees it, with some elements taken out."""
        found: dict[str, int] = {}
        for number, start in enumerate(self.network.at):
            if start not in found:
                found.update(dict.fromkeys(self.joined((start,), sure=sure, without=without), number))
        return found

    def trail(self, starts: Iterable[str], goals: Iterable[str], state: Mapping[str, str], *, sure: bool, without: frozenset[str] = _NONE) -> tuple[str, ...]:
        """Elements along a shortest way in one state, from the start's owner to the goal's; empty if there is none."""
        network = self.network
        gone = network.removed(without)
        came: dict[str, tuple[int, str]] = {s: (-1, "") for s in starts if s not in gone}
        wanted = set(goals)
        queue = deque(came)
        at = next((s for s in came if s in wanted), None)
        while queue and at is None:
            here = queue.popleft()
            for number, other in network.at.get(here, ()):
                edge = network.edges[number]
                if other not in came and other not in gone and network.taken_by[number] not in without and closed_in(edge, state, sure=sure):
                    came[other] = (number, here)
                    if other in wanted:
                        at = other
                        break
                    queue.append(other)
        if at is None:
            return ()
        names = [network.owner(at)]
        while came[at][0] >= 0:
            number, before = came[at]
            names += [network.edges[number].element, network.owner(before)]
            at = before
        trail: list[str] = []
        for name in reversed(names):
            if name and (not trail or trail[-1] != name):
                trail.append(name)
        return tuple(trail)


def closed_in(edge: Edge, state: Mapping[str, str], *, sure: bool) -> bool:
    """Whether an edge is (or may be) closed in one full state."""
    guards = edge.guards if sure else (*edge.guards, *edge.maybe)
    return any(all(state.get(name) in values for name, values in guard) for guard in guards)
