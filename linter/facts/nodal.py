"""Currents in a resistor network, as linear functions of what is injected and of the batteries' voltages.

No installation here: nodes are numbers, branches have two ends, a resistance and perhaps a voltage of their own. Trees hanging on the
network are peeled by Kirchhoff's current law alone, which is exact whatever their resistance; what remains is eliminated node by node
(star to mesh), which only adds and divides positive numbers and so loses nothing to cancellation.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

Column = Hashable
# A joint without resistance: far below any real one (a lug has 50 µΩ), far above what would spoil the arithmetic.
LEAST_RESISTANCE = 1e-9
_DROPPED = 1e-15


@dataclass(frozen=True, slots=True)
class Branch:
    """One branch. Its current counts as positive from `a` to `b`.

    Attributes:
        a, b: Nodes.
        resistance: [Ω]
        voltage: Column of its own voltage, which pushes from `a` to `b`; None for a plain resistance.
    """

    a: int
    b: int
    resistance: float
    voltage: Column | None = None


def branch_currents(nodes: int, branches: Sequence[Branch], injected: Sequence[dict[Column, float]]) -> list[dict[Column, float]]:
    """Current of each branch per unit of each column.

    Args:
        nodes: How many.
        branches: Of the network; may fall into several unconnected parts.
        injected: Per node, column to what one unit of it pushes into the node; per column and connected part they must add up to zero.

    Returns:
        Per branch, column to amperes per unit (ampere per ampere, or ampere per volt).

    Source:
        Kirchhoff's laws.

    Holds for:
        Direct current, linear resistances.
    """
    at: list[set[int]] = [set() for _ in range(nodes)]
    for number, branch in enumerate(branches):
        if branch.a != branch.b:
            at[branch.a].add(number)
            at[branch.b].add(number)
    result: list[dict[Column, float]] = [{} for _ in branches]
    pushed = [dict(one) for one in injected]
    leaves = [node for node in range(nodes) if len(at[node]) == 1]
    while leaves:
        leaf = leaves.pop()
        if len(at[leaf]) != 1:
            continue
        number = at[leaf].pop()
        branch = branches[number]
        other = branch.b if branch.a == leaf else branch.a
        sign = 1.0 if branch.a == leaf else -1.0
        total = pushed[other]
        for column, amount in pushed[leaf].items():
            if amount:
                result[number][column] = sign * amount
                total[column] = total.get(column, 0.0) + amount
        at[other].discard(number)
        if len(at[other]) == 1:
            leaves.append(other)
    core = [node for node in range(nodes) if at[node]]
    if core:
        _solve_core(core, at, branches, pushed, result)
    return result


def _solve_core(core: list[int], at: list[set[int]], branches: Sequence[Branch], pushed: list[dict[Column, float]],
                result: list[dict[Column, float]]) -> None:
    numbers = sorted({number for node in core for number in at[node]})
    columns: dict[Column, int] = {}
    for node in core:
        for column, amount in pushed[node].items():
            if amount:
                columns.setdefault(column, len(columns))
    for number in numbers:
        voltage = branches[number].voltage
        if voltage is not None:
            columns.setdefault(voltage, len(columns))
    width = len(columns)
    right = {node: [0.0] * width for node in core}
    joined: dict[int, dict[int, float]] = {node: {} for node in core}
    for node in core:
        for column, amount in pushed[node].items():
            if amount:
                right[node][columns[column]] += amount
    for number in numbers:
        branch = branches[number]
        g = 1 / max(branch.resistance, LEAST_RESISTANCE)
        joined[branch.a][branch.b] = joined[branch.a].get(branch.b, 0.0) + g
        joined[branch.b][branch.a] = joined[branch.b].get(branch.a, 0.0) + g
        if branch.voltage is not None:
            right[branch.b][columns[branch.voltage]] += g
            right[branch.a][columns[branch.voltage]] -= g
    # Star to mesh, least-joined node first; the last node of each connected part stays at 0 V.
    order: list[tuple[int, list[tuple[int, float]], float]] = []
    left = set(core)
    while left:
        node = min(left, key=lambda n: (len(joined[n]), n))
        left.discard(node)
        arms = list(joined[node].items())
        total = sum(g for _, g in arms)
        order.append((node, arms, total))
        mine = right[node]
        for n, (other, g) in enumerate(arms):
            share = g / total
            theirs = right[other]
            for k in range(width):
                theirs[k] += share * mine[k]
            near = joined[other]
            del near[node]
            for third, h in arms[n + 1:]:
                bridge = share * h
                near[third] = near.get(third, 0.0) + bridge
                joined[third][other] = joined[third].get(other, 0.0) + bridge
    volts: dict[int, list[float]] = {}
    for node, arms, total in reversed(order):
        if not arms:
            volts[node] = [0.0] * width
            continue
        mine = right[node]
        around = [(volts[other], g) for other, g in arms]
        volts[node] = [(mine[k] + sum(v[k] * g for v, g in around)) / total for k in range(width)]
    names = list(columns)
    for number in numbers:
        branch = branches[number]
        g = 1 / max(branch.resistance, LEAST_RESISTANCE)
        va, vb = volts[branch.a], volts[branch.b]
        own = columns[branch.voltage] if branch.voltage is not None else -1
        for k, name in enumerate(names):
            amount = g * (va[k] - vb[k] + (1.0 if k == own else 0.0))
            if abs(amount) > _DROPPED:
                result[number][name] = amount
