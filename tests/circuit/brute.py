"""The same questions answered by walking every state and every completion: slow, plain, and the judge of the fast ones."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping

from linter.circuit.model import Circuit, Edge, Guard
from linter.circuit.network import Network

State = dict[str, str]


def holds(guard: Guard, state: Mapping[str, str]) -> bool:
    return all(state[name] in values for name, values in guard)


def states_of(circuit: Circuit) -> list[State]:
    found = []
    for values in itertools.product(*(v.values for v in circuit.variables)):
        state = dict(zip((v.name for v in circuit.variables), values, strict=True))
        good = True
        for constraint in circuit.constraints:
            true = [state[name] in values for name, values in constraint.literals]
            good &= not all(true) if constraint.kind == "apart" else all(true) or not any(true)
        if good:
            found.append(state)
    return found


def closed(edge: Edge, state: Mapping[str, str]) -> bool:
    return any(holds(guard, state) for guard in edge.guards)


def completions(circuit: Circuit) -> Iterator[Circuit]:
    """Every way doubtful contacts may be: never more than surely, or as much as possible, edge by edge."""
    doubtful = [i for i, e in enumerate(circuit.edges) if e.guards != e.maybe]
    for choice in itertools.product((False, True), repeat=len(doubtful)):
        edges = list(circuit.edges)
        for i, wide in zip(doubtful, choice, strict=True):
            guards = edges[i].maybe if wide else edges[i].guards
            edges[i] = Edge(edges[i].element, edges[i].a, edges[i].b, edges[i].kind, guards, guards)
        yield Circuit(**{**circuit.__dict__, "edges": tuple(edges)})


def reach(
    circuit: Circuit, starts: Iterable[str], state: State, gone: Callable[[Edge], bool] = lambda e: False, blocked: frozenset[str] = frozenset()
) -> set[str]:
    seen = set(starts) - blocked
    stack = list(seen)
    while stack:
        here = stack.pop()
        for edge in circuit.edges:
            if here in (edge.a, edge.b) and not gone(edge) and closed(edge, state):
                other = edge.b if edge.a == here else edge.a
                if other not in seen and other not in blocked:
                    seen.add(other)
                    stack.append(other)
    return seen


def awake(circuit: Circuit, network: Network, state: State) -> set[str]:
    found = {s for s in network.sources if s not in circuit.inputs and any(holds(g, state) for g in circuit.sources_awake.get(s, ((),)))}
    while True:
        live = reach(circuit, [t for t in network.outputs(found)], state)
        more = {s for s, entry in circuit.inputs.items() if entry in live and any(holds(g, state) for g in circuit.sources_awake.get(s, ((),)))} - found
        if not more:
            return found
        found |= more


def number_of(space_sample: Mapping[str, str], variables: Iterable[str]) -> tuple[str, ...]:
    return tuple(space_sample[name] for name in variables)
