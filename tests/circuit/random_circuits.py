"""Random small networks: a few junctions joined by wires, fuses, switches, selectors, relays, plugs and converters."""

from __future__ import annotations

import os

from hypothesis import strategies as st

from linter.circuit.from_description import circuit_of
from linter.circuit.model import Circuit
from linter.description.described import Thing
from tests.circuits import described, known, part

# Random circuits per question; TUGTEST_THOROUGH=10 tries ten times as many.
EXAMPLES = 25 * int(os.environ.get("TUGTEST_THOROUGH", "1"))
RATINGS = (None, 10, 20, 40, (5, 15), (15, 60))
CAPACITIES = ((0, 1000), 12, 25, 50, (10, 30))


@st.composite
def circuits(draw: st.DrawFn, *, max_edges: int = 10, doubt: bool = True) -> Circuit:
    """A circuit of 3 to 6 junctions with batteries, loads, at most 8 two-way things, constraints, and some things not known."""
    nodes = [f"N{i}" for i in range(draw(st.integers(3, 6)))]
    things: list[Thing] = [part(n, "junction") for n in nodes]
    routes: list[str] = []
    wires: dict[str, dict[str, object]] = {}
    wire_count = 0
    node = st.sampled_from(nodes)

    def wire() -> str:
        nonlocal wire_count
        wire_count += 1
        wires[f"W{wire_count}"] = {
            "corrected_capacity": draw(st.sampled_from(CAPACITIES if doubt else CAPACITIES[1:4])),
            "area": draw(st.sampled_from((1e-6, 4e-6, 1e-5))),
        }
        length = draw(st.sampled_from(("0.1", "0.2", "0.5", "1", "0.1 to 0.3") if doubt else ("0.1", "0.2", "0.5", "1")))
        return f"W{wire_count} {length} m"

    for i in range(draw(st.integers(1, 3))):
        things.append(part(f"B{i}", "battery"))
        routes.append(f"B{i} positive, {wire()}, {draw(node)}")
    if draw(st.booleans()):
        things.append(part("A1", "alternator"))
        routes.append(f"A1 positive, {wire()}, {draw(node)}")
    for i in range(draw(st.integers(0, 2))):
        things.append(part(f"L{i}", "load"))
        routes.append(f"{draw(node)}, {wire()}, L{i} positive")
    switches: list[str] = []
    for i in range(draw(st.integers(2, max_edges))):
        a, b = draw(node), draw(node)
        if a == b:
            continue
        sort = draw(st.sampled_from(("fuse", "fuse", "wire", "switch", "selector", "plug", "relay", "converter")))
        if len(switches) >= 5 and sort in ("switch", "selector", "plug"):
            sort = "fuse"
        if sort == "wire":
            routes.append(f"{a}, {wire()}, {b}")
        elif sort == "fuse":
            things.append(part(f"F{i}", "fuse", rating=draw(st.sampled_from(RATINGS if doubt else RATINGS[1:4]))))
            routes.append(f"{a}, 0 mm, F{i}, {wire()}, {b}")
        elif sort == "switch":
            switches.append(f"S{i} on")
            things.append(part(f"S{i}", "switch"))
            routes.append(f"{a}, {wire()}, S{i}, 0 mm, {b}")
        elif sort == "relay":
            things.append(part(f"R{i}", "relay", closed="engine runs"))
            routes.append(f"{a}, {wire()}, R{i}, {wire()}, {b}")
        elif sort == "plug":
            switches.append(f"X{i} mated")
            things.append(part(f"X{i}", "coupling", between=("one", "two"), contacts=("positive",)))
            routes += [f"{a}, {wire()}, X{i} one positive", f"X{i} two positive, {wire()}, {b}"]
        elif sort == "selector":
            switches.append(f"K{i} both")
            third = draw(node)
            both: object = (("c", "p", "q"),)
            joins = {"one": (("c", "p"),), "both": draw(st.sampled_from((both, None))) if doubt else both, "two": (("c", "q"),), "off": ()}
            things.append(
                part(f"K{i}", "selector", dial=list(joins), joins=joins, changes=draw(st.sampled_from(("make before break", "break before make", None))))
            )
            routes += [f"{a}, {wire()}, K{i} c", f"K{i} p, {wire()}, {b}", f"K{i} q, {wire()}, {third}"]
        else:
            things.append(part(f"D{i}", "converter", isolated=True, output_current_at_most=20))
            routes += [f"{a}, {wire()}, D{i} in positive", f"D{i} out positive, {wire()}, {b}"]
    if draw(st.booleans()):
        # The way back as well: two bars, a shunt perhaps, chargers whose isolation may not be known, plugs with a negative contact.
        things += [part("M0", "bus", common_negative=draw(st.sampled_from((True, False, None)))), part("M1", "bus"), part("SH", "shunt")]
        minus = st.sampled_from(("M0", "M1"))
        routes.append(f"M0, {wire()}, SH, {wire()}, M1")
        for i, thing in enumerate(list(things)):
            name = thing.name
            if thing.kind in ("battery", "alternator", "load"):
                routes.append(f"{name} negative, {wire()}, {draw(minus)}")
            elif thing.kind == "converter":
                things[i] = part(name, "converter", isolated=draw(st.sampled_from((True, False, None))) if doubt else True, output_current_at_most=20)
                routes += [f"{name} in negative, {wire()}, {draw(minus)}", f"{name} out negative, {wire()}, {draw(minus)}"]
            elif thing.kind == "coupling":
                things[i] = part(name, "coupling", between=("one", "two"))
                routes += [f"{name} one negative, {wire()}, {draw(minus)}", f"{name} two negative, {wire()}, {draw(minus)}"]
        if draw(st.booleans()):
            routes.append(f"{draw(minus)}, {wire()}, {draw(node)}")
    pairs = [f"{x} and {y}" for x in switches for y in switches if x < y]
    together = draw(st.lists(st.sampled_from(pairs), max_size=1)) if pairs else []
    apart = draw(st.lists(st.sampled_from(pairs), max_size=2)) if pairs else []
    made, troubles = circuit_of(described(things, routes, wires=wires, together=together, apart=apart))
    assert not troubles, troubles
    return made


def settled_capacity(circuit: Circuit, word: str, name: str, value: float) -> Circuit:
    """The circuit with one more fact stated."""
    elements = dict(circuit.elements)
    old = elements[name]
    elements[name] = type(old)(old.name, old.kind, old.title, {**old.properties, word: known(value)}, old.at)
    return Circuit(**{**circuit.__dict__, "elements": elements})
