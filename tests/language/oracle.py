"""A second, naive meaning of the language: the syntax tree walked state by state on a world in which everything is known.

Shares no code with `judge`. None stands for "undefined": the largest of an empty list.
"""

from __future__ import annotations

from typing import Any

from linter.language import syntax as s
from linter.units.table import unit_named
from tests.language.fake_world import FakeWorld

_CHOICES = {"gel-lead-acid": "gel lead-acid", "lithium": "lithium", "lithium-iron-phosphate": "lithium iron phosphate"}


def holds(node: Any, world: FakeWorld, env: dict[str, Any]) -> bool | None:
    """Whether a formula holds."""
    if isinstance(node, s.Bracketed):
        return holds(node.formula, world, env)
    if isinstance(node, s.Negate):
        return _not(holds(node.formula, world, env))
    if isinstance(node, s.AllOf):
        return _all([holds(part, world, env) for part in node.parts])
    if isinstance(node, s.AnyOf):
        return _not(_all([_not(holds(part, world, env)) for part in node.parts]))
    if isinstance(node, s.Compare):
        a, b = value(node.left, world, env), value(node.right, world, env)
        if a is None or b is None:
            return None
        return {"at most": a <= b, "at least": a >= b, "below": a < b, "above": a > b, "equal to": a == b}[node.how]
    if isinstance(node, s.HasWord):
        return bool(world.facts[(env[node.phrase.name], node.word)][0]) == node.positive
    if isinstance(node, s.IsWord):
        return _is(node, world, env) == node.positive
    if isinstance(node, s.ThereIs):
        found = _not(_all([_not(inside) for inside, _ in _members(node.each, world, env)]))
        return found if node.positive else _not(found)
    assert isinstance(node, s.EachKeeps)
    return _all([_not(_all([inside, _not(holds(node.formula, world, own))])) for inside, own in _members(node.each, world, env)])


def _is(node: s.IsWord, world: FakeWorld, env: dict[str, Any]) -> bool:
    if isinstance(node.phrase, s.Part):
        return bool(world.facts[(env[node.phrase.of.name], node.phrase.word)][0] == _CHOICES[node.word])
    element = env[node.phrase.name]
    if node.other is not None:
        assert isinstance(node.other, s.Placed)
        other = env[node.other.place.name]
        state = env[node.other.companions[0][1].name]
        return bool(world.relations.get((node.word, element, other), (0, 0))[0] >> state & 1)
    return bool(world.facts[(element, node.word)][0])


def _members(each: s.Each, world: FakeWorld, env: dict[str, Any]) -> list[tuple[bool | None, dict[str, Any]]]:
    found: Any = range(world.states) if each.kind == "state" else world.members(each.kind)
    owns = [{**env, each.tag: member} for member in found]
    return [(holds(each.condition, world, own) if each.condition is not None else True, own) for own in owns]


def value(node: Any, world: FakeWorld, env: dict[str, Any]) -> float | None:
    """The number a term is."""
    if isinstance(node, s.BracketedTerm):
        return value(node.term, world, env)
    if isinstance(node, s.Value):
        number, _, unit = node.text.partition(" ")
        known = unit_named(unit) if unit else None
        return float(number) * (known.factor if known else 1.0)
    if isinstance(node, s.Placed):
        return float(world.facts[(env[node.place.of.name], f"{node.place.word} {env[node.companions[0][1].name]}")][0])
    if isinstance(node, s.Part) and node.word == "worst-flow":
        return max(float(world.facts[(env[node.of.name], f"flow {state}")][0]) for state in range(world.states))
    if isinstance(node, s.Part):
        return float(world.facts[(env[node.of.name], node.word)][0])
    if isinstance(node, s.Arithmetic):
        a, b = value(node.left, world, env), value(node.right, world, env)
        if a is None or b is None:
            return None
        return {"plus": a + b, "minus": a - b, "times": a * b}[node.op]
    if isinstance(node, s.Count):
        return float(sum(inside is True for inside, _ in _members(node.each, world, env)))
    assert isinstance(node, s.Pick)
    if node.over is None:
        return _picked(node.which, [value(term, world, env) for term in node.terms])
    return _picked(node.which, [value(node.terms[0], world, own) for inside, own in _members(node.over, world, env) if inside is True])


def _picked(which: str, values: list[float | None]) -> float | None:
    if any(v is None for v in values):
        return None
    numbers = [v for v in values if v is not None]
    if which == "total":
        return sum(numbers)
    return None if not numbers else max(numbers) if which == "largest" else min(numbers)


def _not(a: bool | None) -> bool | None:
    return None if a is None else not a


def _all(parts: list[bool | None]) -> bool | None:
    return False if False in parts else None if None in parts else True
