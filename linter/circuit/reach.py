"""What reaches what, in all states at once: sets of states spread along the edges until nothing is new.

`sure` follows edges only when they are surely closed; otherwise also when they may be. The truth lies between the two.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property

from linter.circuit.model import ALWAYS, Edge
from linter.circuit.network import Network
from linter.circuit.states import States

_NONE: frozenset[str] = frozenset()


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
            found = self._found[key] = self._flood({s: self.space.everything for s in key[0]}, sure, without, blocked | self.network.removed(without),
                                                   barring=barring)
        return found

    def _flood(self, labels: Mapping[str, States], sure: bool, without: frozenset[str], blocked: frozenset[str],
               onward: Mapping[str, tuple[tuple[str, States], ...]] | None = None, barring: frozenset[str] = _NONE) -> dict[str, States]:
        space, network = self.space, self.network
        nothing = space.nothing
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
                    add(other, states & closed(number))
            if onward is not None:
                for other, guard in onward.get(here, ()):
                    add(other, states & guard)
        self._spend(steps)
        return reached

    def onward(self, labels: Mapping[str, States], *, sure: bool, onward: Mapping[str, tuple[tuple[str, States], ...]]) -> Mapping[str, States]:
        """Terminal to the states in which some start, in its own states, reaches it, also by one-way steps: from a terminal on to others, in given states."""
        return self._flood(labels, sure, _NONE, _NONE, onward)

    def between(self, start: str, goal: str, *, sure: bool, without: frozenset[str] = _NONE) -> States:
        """States in which two terminals are joined."""
        return self.spread((start,), sure=sure, without=without).get(goal, self.space.nothing)

    # ---- sources --------------------------------------------------------------------------------------------------------------------

    def _live(self, sure: bool) -> dict[str, States]:
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
        return self._flood(labels, sure, _NONE, _NONE, onward)

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
