"""Voltage-sensing relays: they close by themselves while something charges on either side. Nobody drives them, so they stay variables of the
state; but with nothing that charges awake they are open, and a constraint says so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.circuit.model import Constraint, Edge, Element, Literal, Variable
from linter.vocabulary import Vocabulary

WORD = "voltage-sensing"
# What stops each of these for certain. A converter wakes by the volts at its input, so where one reaches the relay nothing is certain.
_ASLEEP: Mapping[str, Literal] = {
    "alternator": ("engine", frozenset({"stopped"})), "shore-charger": ("shore", frozenset({"absent"})),
    "solar-controller": ("sun", frozenset({"gone"})),
}


def constraints(elements: Mapping[str, Element], edges: Iterable[Edge], variables: Mapping[str, Variable], words: Vocabulary) -> list[Constraint]:
    """For each relay that senses volts: never closed while all that could charge at either of its sides is asleep."""
    found: list[Constraint] = []
    edges = tuple(edges)
    for name, element in elements.items():
        sensing: Reading | None = element.properties.get(WORD)
        if sensing is None or sensing.value is not Truth.YES or name not in variables or "closed" not in variables[name].values:
            continue
        near = _reach([f"{name} line", f"{name} load"], [edge for edge in edges if edge.element != name])
        asleep: dict[str, Literal] = {}
        certain = True
        for source in elements.values():
            if not words.is_a(source.kind, "charger") and source.kind != "alternator":
                continue
            output = f"{source.name} {'positive' if source.kind == 'alternator' else 'out positive'}"
            if output not in near:
                continue
            literal = _ASLEEP.get(source.kind)
            if literal is None or literal[0] not in variables:
                certain = False
            else:
                asleep[literal[0]] = literal
        if certain:
            found.append(Constraint("apart", ((name, frozenset({"closed"})), *asleep.values())))
    return found


def _reach(starts: list[str], edges: list[Edge]) -> set[str]:
    """Terminals that could ever be joined with some start, whatever is closed."""
    at: dict[str, list[str]] = {}
    for edge in edges:
        if edge.maybe:
            at.setdefault(edge.a, []).append(edge.b)
            at.setdefault(edge.b, []).append(edge.a)
    seen, queue = set(starts), list(starts)
    while queue:
        for other in at.get(queue.pop(), ()):
            if other not in seen:
                seen.add(other)
                queue.append(other)
    return seen
