"""The star-to-mesh solver against an independent dense modified nodal analysis, on random meshed networks."""

from __future__ import annotations

import random

from linter.facts.nodal import Branch, branch_currents


def dense(nodes: int, branches: list[Branch], pushed: list[dict[str, float]], values: dict[str, float]) -> list[float]:
    """Branch currents by a full set of equations: node volts and branch currents unknown, Gaussian elimination with pivoting."""
    seen: set[int] = set()
    grounds = []
    near: dict[int, list[int]] = {n: [] for n in range(nodes)}
    for b in branches:
        near[b.a].append(b.b)
        near[b.b].append(b.a)
    for n in range(nodes):
        if n not in seen:
            grounds.append(n)
            stack = [n]
            seen.add(n)
            while stack:
                for m in near[stack.pop()]:
                    if m not in seen:
                        seen.add(m)
                        stack.append(m)
    size = nodes + len(branches)
    rows = [[0.0] * (size + 1) for _ in range(size)]
    for n in range(nodes):
        if n in grounds:
            rows[n][n] = 1.0
            continue
        for k, b in enumerate(branches):
            rows[n][nodes + k] += (b.a == n) - (b.b == n)
        rows[n][size] = sum(values[c] * x for c, x in pushed[n].items())
    for k, b in enumerate(branches):
        rows[nodes + k][b.a] += 1.0
        rows[nodes + k][b.b] -= 1.0
        rows[nodes + k][nodes + k] = -b.resistance
        rows[nodes + k][size] = -(values[str(b.voltage)] if b.voltage is not None else 0.0)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(size):
            if r != i and rows[r][i]:
                factor = rows[r][i] / rows[i][i]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[i], strict=True)]
    return [rows[nodes + k][size] / rows[nodes + k][nodes + k] for k in range(len(branches))]


def random_network(rng: random.Random) -> tuple[int, list[Branch], list[dict[str, float]], dict[str, float]]:
    nodes = rng.randint(2, 9)
    branches = []
    for n in range(1, nodes):
        branches.append(Branch(rng.randrange(n), n, 10 ** rng.uniform(-4, -1)))
    for k in range(rng.randint(0, 7)):
        a, b = rng.sample(range(nodes), 2)
        branches.append(Branch(a, b, 10 ** rng.uniform(-4, -1), f"E{k}" if rng.random() < 0.5 else None))
    rng.shuffle(branches)
    pushed: list[dict[str, float]] = [{} for _ in range(nodes)]
    values = {f"E{k}": rng.uniform(11, 14) for k in range(7)}
    for k in range(rng.randint(1, 4)):
        a, b = rng.sample(range(nodes), 2)
        pushed[a][f"I{k}"] = pushed[a].get(f"I{k}", 0.0) + 1
        pushed[b][f"I{k}"] = pushed[b].get(f"I{k}", 0.0) - 1
        values[f"I{k}"] = rng.uniform(0, 300)
    return nodes, branches, pushed, values


def total(currents: list[dict[str, float]], values: dict[str, float]) -> list[float]:
    return [sum(values[c] * x for c, x in one.items()) for one in currents]


def test_agrees_with_a_dense_solve_on_300_networks() -> None:
    rng = random.Random(7)
    for _ in range(300):
        nodes, branches, pushed, values = random_network(rng)
        ours = total(branch_currents(nodes, branches, pushed), values)  # type: ignore[arg-type]
        theirs = dense(nodes, branches, pushed, values)
        scale = max(1.0, *(abs(x) for x in theirs))
        assert all(abs(x - y) <= 1e-9 * scale for x, y in zip(ours, theirs, strict=True))


def test_energy_is_conserved_and_currents_add_up() -> None:
    rng = random.Random(11)
    for _ in range(200):
        nodes, branches, pushed, values = random_network(rng)
        currents = total(branch_currents(nodes, branches, pushed), values)  # type: ignore[arg-type]
        flow = [sum(values[c] * x for c, x in one.items()) for one in pushed]
        for i, b in zip(currents, branches, strict=True):
            flow[b.a] -= i
            flow[b.b] += i
        scale = max(1.0, *(abs(i) for i in currents))
        assert all(abs(x) <= 1e-9 * scale for x in flow)
        # Power of the sources equals the heat: node volts are found along a tree of branches.
        volts = {0: 0.0}
        while len(volts) < nodes:
            for i, b in zip(currents, branches, strict=True):
                rise = i * b.resistance - (values[str(b.voltage)] if b.voltage is not None else 0.0)
                if b.a in volts and b.b not in volts:
                    volts[b.b] = volts[b.a] - rise
                elif b.b in volts and b.a not in volts:
                    volts[b.a] = volts[b.b] + rise
        given = sum(volts[n] * values[c] * x for n, one in enumerate(pushed) for c, x in one.items())
        given += sum(i * values[str(b.voltage)] for i, b in zip(currents, branches, strict=True) if b.voltage is not None)
        heat = sum(i * i * b.resistance for i, b in zip(currents, branches, strict=True))
        assert abs(given - heat) <= 1e-7 * max(1.0, heat)


def test_order_of_branches_is_irrelevant() -> None:
    rng = random.Random(13)
    for _ in range(50):
        nodes, branches, pushed, values = random_network(rng)
        first = total(branch_currents(nodes, branches, pushed), values)  # type: ignore[arg-type]
        order = list(range(len(branches)))
        rng.shuffle(order)
        second = total(branch_currents(nodes, [branches[k] for k in order], pushed), values)  # type: ignore[arg-type]
        for place, k in enumerate(order):
            assert abs(first[k] - second[place]) <= 1e-9 * max(1.0, abs(first[k]))


def test_a_joint_without_resistance_carries_its_share() -> None:
    branches = [Branch(0, 1, 0.0), Branch(1, 2, 0.001), Branch(1, 2, 0.003), Branch(2, 0, 0.002, "E")]
    found = branch_currents(3, branches, [{}, {}, {}])
    amps = 1 / (0.002 + 0.00075)
    assert abs(found[0]["E"] - amps) < 1e-3
    assert abs(found[1]["E"] - 0.75 * amps) < 1e-3 and abs(found[2]["E"] - 0.25 * amps) < 1e-3
