"""Operating states: every combination of switch positions, plugs, engine, sun and shore, and exact algebra on sets of them.

Two ways of holding a set, one interface. Few states (up to the bound): a plain int, one bit per combination. Many: a decision diagram, in
which only variables that matter cost anything. Either way sets support `&`, `|` and `==`; all else goes through the space.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from typing import Any

from linter.base import bounds
from linter.base.text import listed
from linter.circuit.decision import EMPTY, FULL, Diagram, TooManyNodes
from linter.circuit.model import Circuit, Constraint, Edge, Guard, Literal, Variable
from linter.language.world import TooMuchWork

States = Any
# Alternatives a description of states spells out before it counts the rest.
_SPELLED = 3


class TooManyStates(TooMuchWork):
    """A set of states outgrew its bound: the answer is "cannot tell", never a guess."""

    def __init__(self, names: Iterable[str] = ()) -> None:
        named = listed(sorted(names), most=6)
        super().__init__(f"too many states ({named})" if named else "too many states")


class BeyondBound(TooManyStates):
    """Something else would have to be looked at piece by piece, more often than its bound allows.

    Args:
        said: What there is too much of.
    """

    def __init__(self, said: str) -> None:
        TooMuchWork.__init__(self, f"too much to look at piece by piece: {said}")


class StateSpace:
    """All states of some variables under some constraints.

    Attributes:
        variables: In order.
        everything, nothing: All reachable states, and none.
    """

    everything: States
    nothing: States

    def __init__(self, variables: tuple[Variable, ...], constraints: tuple[Constraint, ...]) -> None:
        self.variables = variables
        self.constraints = constraints
        self.named = {v.name: v for v in variables}
        self._guards: dict[Guard, States] = {}
        self._said: dict[States, str] = {}

    # ---- what each backend does ------------------------------------------------------------------------------------------------------

    def without(self, states: States, less: States) -> States:
        """`states` less `less`."""
        raise NotImplementedError

    def count(self, states: States) -> int:
        """How many reachable states are in the set."""
        raise NotImplementedError

    def with_value(self, states: States, variable: str, value: str) -> States:
        """States that lie in `states` once `variable` is turned to `value`, whatever it is now (not held against the constraints)."""
        raise NotImplementedError

    def support(self, states: States) -> tuple[str, ...]:
        """Variables that matter to the set."""
        raise NotImplementedError

    def sample(self, states: States) -> dict[str, str]:
        """One full state of a set that is not empty."""
        raise NotImplementedError

    def _literal(self, name: str, values: frozenset[str]) -> States:
        raise NotImplementedError

    # ---- shared ---------------------------------------------------------------------------------------------------------------------

    def _constrain(self) -> None:
        """Holds everything against the constraints, one by one."""
        for constraint in self.constraints:
            inside = [self._literal(name, values) for name, values in constraint.literals]
            if not inside:
                continue
            all_true = reduce(lambda a, b: a & b, inside)
            if constraint.kind == "apart":
                self.everything = self.without(self.everything, all_true)
            else:
                some = reduce(lambda a, b: a | b, inside)
                self.everything = self.without(self.everything, self.without(some, all_true))

    def of(self, guard: Guard) -> States:
        """Reachable states in which every literal of the guard holds. A literal about an unknown variable holds in none."""
        found = self._guards.get(guard)
        if found is None:
            found = self.everything
            for name, values in guard:
                found = found & self._literal(name, values) if name in self.named else self.nothing
            self._guards[guard] = found
        return found

    def any_of(self, guards: Iterable[Guard]) -> States:
        """Reachable states in which some guard holds."""
        found = self.nothing
        for guard in guards:
            found = found | self.of(guard)
        return found

    def empty(self, states: States) -> bool:
        """Whether no state is in the set."""
        return bool(states == self.nothing)

    def inside(self, states: States, of: States) -> bool:
        """Whether every state of the first is in the second."""
        return bool(self.without(states, of) == self.nothing)

    def forget(self, states: States, variable: str) -> States:
        """States that lie in the set for some value of the variable, within everything."""
        found = self.nothing
        for value in self.named[variable].values:
            found = found | self.with_value(states, variable, value)
        return found & self.everything

    def neighbours(self, variable: str) -> list[tuple[str, str]]:
        """Pairs of positions one action apart, each once."""
        v = self.named[variable]
        pairs = list(zip(v.values, v.values[1:], strict=False))
        if v.ring and len(v.values) > 2:
            pairs.append((v.values[-1], v.values[0]))
        return pairs

    # ---- saying it in words ---------------------------------------------------------------------------------------------------------

    def describe(self, states: States) -> str:
        """"every state", "no state", "K1 both", "K1 both, X3 mated, K2 on", or a few such joined by "or"."""
        states = states & self.everything
        if states == self.nothing:
            return "no state"
        if states == self.everything:
            return "every state"
        found = self._said.get(states)
        if found is None:
            boxes: list[dict[str, tuple[str, ...]]] = []
            rest = states
            while rest != self.nothing and len(boxes) < _SPELLED:
                box, covered = self._widest(states, self.sample(rest))
                boxes.append(box)
                rest = self.without(rest, covered)
            found = self._spell(boxes, whole=rest == self.nothing)
            if rest != self.nothing:
                more = self.count(rest)
                found += f" or {more} more state" + ("s" if more > 1 else "")
            self._said[states] = found
        return found

    def _spell(self, boxes: list[dict[str, tuple[str, ...]]], *, whole: bool) -> str:
        """Alternatives in words; what all of them share is said once, and first."""
        shared = {name: values for name, values in boxes[0].items() if all(box.get(name) == values for box in boxes)} if whole and len(boxes) > 1 else {}
        alternatives = [", ".join(self._word(name, values) for name, values in box.items() if name not in shared) for box in boxes]
        first = ", ".join(self._word(name, values) for name, values in shared.items())
        return f"{first}, and {' or '.join(alternatives)}" if first else " or ".join(alternatives)

    def _widest(self, states: States, state: dict[str, str]) -> tuple[dict[str, tuple[str, ...]], States]:
        """A box around one state, as wide as still fits into the set: values per variable that matters, and the states in it."""
        box: dict[str, tuple[str, ...]] = {name: (state[name],) for name in self.support(states) if name in state}
        around = {name: self._literal(name, frozenset(values)) for name, values in box.items()}

        def within(sets: dict[str, States]) -> States:
            found = self.everything
            for one in sets.values():
                found = found & one
            return found

        # The last named is let go first: of two tied together the first is the one people know it by.
        for name in reversed(list(box)):
            rest = {n: s for n, s in around.items() if n != name}
            if self.inside(within(rest), states):
                box.pop(name)
                around = rest
                continue
            for value in self.named[name].values:
                if value in box[name]:
                    continue
                wider = (*box[name], value)
                attempt = {**around, name: self._literal(name, frozenset(wider))}
                gained = within(attempt)
                if self.inside(gained, states) and gained != within(around):
                    box[name], around = wider, attempt
        ordered = {v.name: tuple(x for x in v.values if x in box[v.name]) for v in self.variables if v.name in box}
        return ordered, within(around)

    def _word(self, name: str, values: tuple[str, ...]) -> str:
        every = self.named[name].values
        missing = [v for v in every if v not in values]
        if len(missing) == 1 and len(every) > 2:
            return f"{name} not {missing[0]}"
        return f"{name} {listed(list(values), 'or')}"


class ListedStates(StateSpace):
    """A set is an int, bit n for the n-th combination in mixed radix."""

    def __init__(self, variables: tuple[Variable, ...], constraints: tuple[Constraint, ...]) -> None:
        super().__init__(variables, constraints)
        self._stride: dict[str, int] = {}
        total = 1
        for v in variables:
            self._stride[v.name] = total
            total *= len(v.values)
        self._total = total
        self._places: dict[tuple[str, str], int] = {}
        for v in variables:
            stride, size = self._stride[v.name], len(v.values)
            period = stride * size
            # One bit at the start of each period; a block of `stride` bits is then laid at each of them by multiplication.
            comb = ((1 << total) - 1) // ((1 << period) - 1)
            for i, value in enumerate(v.values):
                self._places[v.name, value] = (((1 << stride) - 1) << (stride * i)) * comb
        self.everything = (1 << total) - 1
        self.nothing = 0
        self._constrain()

    def without(self, states: States, less: States) -> States:
        return states & ~less

    def count(self, states: States) -> int:
        return int((states & self.everything).bit_count())

    def _literal(self, name: str, values: frozenset[str]) -> States:
        found = 0
        for value in values:
            found |= self._places.get((name, value), 0)
        return found

    def with_value(self, states: States, variable: str, value: str) -> States:
        stride = self._stride[variable]
        values = self.named[variable].values
        inside = states & self._places[variable, value]
        at = values.index(value)
        found = 0
        for i in range(len(values)):
            found |= inside << (stride * (i - at)) if i >= at else inside >> (stride * (at - i))
        return found

    def support(self, states: States) -> tuple[str, ...]:
        # A variable matters if turning it can leave the set for another reachable state, or if others are tied to it.
        return tuple(v.name for v in self.variables if self._tied(v.name) or not self.inside(self.forget(states, v.name), states))

    def _tied(self, name: str) -> bool:
        return any(name == n for c in self.constraints for n, _ in c.literals)

    def sample(self, states: States) -> dict[str, str]:
        lowest = (states & -states).bit_length() - 1
        return {v.name: v.values[lowest // self._stride[v.name] % len(v.values)] for v in self.variables}


class DiagramSet:
    """One set of states in a decision diagram."""

    __slots__ = ("node", "space")

    def __init__(self, space: DiagramStates, node: int) -> None:
        self.space = space
        self.node = node

    def __and__(self, other: DiagramSet) -> DiagramSet:
        return self.space.made(self.space.both(self.node, other.node))

    def __or__(self, other: DiagramSet) -> DiagramSet:
        return self.space.made(self.space.either(self.node, other.node))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, DiagramSet) and self.node == other.node and self.space is other.space

    def __hash__(self) -> int:
        return self.node


class DiagramStates(StateSpace):
    """A set is a node of a decision diagram."""

    def __init__(self, variables: tuple[Variable, ...], constraints: tuple[Constraint, ...], order: tuple[str, ...] = (),
                 most: int = bounds.STATE_NODES.most) -> None:
        super().__init__(variables, constraints)
        # Variables that meet in the wiring are asked next to one another: diagrams of chains and trees then stay small.
        asked = [*order, *(v.name for v in variables if v.name not in order)]
        self._asked = asked
        self.index = {name: level for level, name in enumerate(asked)}
        self._diagram = Diagram(tuple(len(self.named[name].values) for name in asked), most)
        self.everything = self.made(FULL)
        self.nothing = self.made(EMPTY)
        self._constrain()

    def made(self, node: int) -> DiagramSet:
        """The set of a node."""
        return DiagramSet(self, node)

    def both(self, a: int, b: int) -> int:
        """Intersection, bounded."""
        return self._worked("both", a, b)

    def either(self, a: int, b: int) -> int:
        """Union, bounded."""
        return self._worked("either", a, b)

    def _worked(self, operation: str, a: int, b: int) -> int:
        diagram = self._diagram
        try:
            try:
                return diagram.both(a, b) if operation == "both" else diagram.either(a, b) if operation == "either" else diagram.less(a, b)
            except RecursionError:
                return diagram.deep(operation, a, b)
        except TooManyNodes:
            raise TooManyStates(self._names(a, b)) from None

    def _names(self, *nodes: int) -> set[str]:
        return {self._asked[level] for node in nodes for level in self._diagram.support(node)}

    def without(self, states: States, less: States) -> States:
        return self.made(self._worked("less", states.node, less.node))

    def count(self, states: States) -> int:
        return self._diagram.count((states & self.everything).node)

    def _literal(self, name: str, values: frozenset[str]) -> States:
        every = self.named[name].values
        try:
            return self.made(self._diagram.literal(self.index[name], frozenset(every.index(v) for v in values if v in every)))
        except TooManyNodes:
            raise TooManyStates((name,)) from None

    def with_value(self, states: States, variable: str, value: str) -> States:
        try:
            return self.made(self._diagram.with_value(states.node, self.index[variable], self.named[variable].values.index(value), {}))
        except (TooManyNodes, RecursionError):
            raise TooManyStates(self._names(states.node)) from None

    def support(self, states: States) -> tuple[str, ...]:
        found = {self._asked[level] for level in self._diagram.support(states.node)}
        return tuple(v.name for v in self.variables if v.name in found)

    def sample(self, states: States) -> dict[str, str]:
        # Within everything, so the state is a reachable one; values not asked are free, and the first will do.
        found = self._diagram.sample((states & self.everything).node)
        return {v.name: v.values[found.get(self.index[v.name], 0)] for v in self.variables}


def make_space(variables: tuple[Variable, ...], constraints: tuple[Constraint, ...] = (), order: tuple[str, ...] = (),
               most: int = bounds.STATES.most) -> StateSpace:
    """A space of the kind that suits its size."""
    total = 1
    for v in variables:
        total *= len(v.values)
        if total > most:
            return DiagramStates(variables, constraints, order)
    return ListedStates(variables, constraints)


def space_of(circuit: Circuit) -> StateSpace:
    """The space of a circuit's states. Variables that no edge follows are kept: a practice may name them."""
    return make_space(circuit.variables, circuit.constraints, order_along(circuit))


def order_along(circuit: Circuit) -> tuple[str, ...]:
    """Variables in the order a walk along the wiring meets them."""
    at: dict[str, list[Edge]] = {}
    for edge in circuit.edges:
        at.setdefault(edge.a, []).append(edge)
        at.setdefault(edge.b, []).append(edge)
    known = {v.name for v in circuit.variables}
    order: dict[str, None] = {}
    seen: set[str] = set()
    for start in at:
        stack = [start]
        while stack:
            here = stack.pop()
            if here in seen:
                continue
            seen.add(here)
            for edge in at[here]:
                for guard in edge.maybe:
                    order.update((name, None) for name, _ in guard if name in known)
                stack.append(edge.b if edge.a == here else edge.a)
    return tuple(order)


def literal(name: str, *values: str) -> Literal:
    """A literal, for builders."""
    return (name, frozenset(values))
