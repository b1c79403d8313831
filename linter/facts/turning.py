"""Turning switches: states one action apart, and what happens between two positions of a selector (N19 of our notes)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from linter.base.reading import Reading
from linter.base.truth import Truth
from linter.circuit.model import Circuit, Constraint, Edge, Guard, Literal, Variable
from linter.circuit.network import Network
from linter.circuit.reach import Reach
from linter.circuit.states import States, StateSpace, space_of
from linter.facts.protection import doubtful
from linter.facts.registry import fact
from linter.facts.worked import worked

if TYPE_CHECKING:
    from linter.facts.book import Book

MAKES = "make before break"


def moves(space: StateSpace) -> Iterator[tuple[str, States, States]]:
    """Single actions: what is moved, the states from which it may be, and a set of the same states after the move.

    Each move is told once, one way. Plugs and switches tied by "together" move as one.
    """
    for variable in space.variables:
        for one, two in space.neighbours(variable.name):
            before = space.of(((variable.name, frozenset({one})),))
            after = space.with_value(before, variable.name, one) & space.of(((variable.name, frozenset({two})),))
            # States at `two` that are reachable, and whose fellow at `one` is reachable too.
            yield variable.name, _moved(space, after, {variable.name: one}), after
    for constraint in space.constraints:
        pairs = [(name, values, frozenset(space.named[name].values) - values) for name, values in constraint.literals if name in space.named]
        if constraint.kind == "together" and len({name for name, _, _ in pairs}) > 1 and all(len(v) == 1 and len(w) == 1 for _, v, w in pairs):
            inside = {name: next(iter(v)) for name, v, _ in pairs}
            outside = {name: next(iter(w)) for name, _, w in pairs}
            after = _moved(space, space.of(tuple((n, frozenset({v})) for n, v in inside.items())), outside)
            yield " and ".join(inside), _moved(space, after, inside), after


def _moved(space: StateSpace, states: States, to: dict[str, str]) -> States:
    """The states, with some variables turned, as far as they are then reachable."""
    literals: list[Literal] = [(name, frozenset({value})) for name, value in to.items()]
    for name in to:
        found = space.nothing
        for value in space.named[name].values:
            found = found | space.with_value(states, name, value)
        states = found
    return states & space.of(tuple(literals))


def count_moves(space: StateSpace) -> int:
    """How many single moves there are."""
    return sum(space.count(after) for _, _, after in moves(space))


def entering(space: StateSpace, states: States) -> dict[str, int]:
    """Moves that enter or leave a set of states, per thing moved."""
    found: dict[str, int] = {}
    for name, before, after in moves(space):
        # Two moves are counted apart by their end: in the set after but not before, or before but not after.
        variables = name.split(" and ") if name not in space.named else [name]
        here = {n: space.sample(after)[n] for n in variables} if after != space.nothing else {}
        if not here:
            continue
        inside_before = _moved(space, before & states, here) & after
        inside_after = after & states
        number = space.count(space.without(inside_after, inside_before)) + space.count(space.without(inside_before, inside_after))
        if number:
            found[name] = found.get(name, 0) + number
    return found


# ---- between two positions ----------------------------------------------------------------------------------------------------------------


def while_turning(circuit: Circuit, selector: str, makes: bool | None) -> tuple[Circuit, frozenset[str]]:
    """The circuit with one more position between each two neighbours on a dial, and those in which another part is moved along with it.

    Args:
        circuit: As described.
        selector: Whose dial is turned.
        makes: Make before break, the other way, or None if that is not known.
    """
    variable = next(v for v in circuit.variables if v.name == selector)
    pairs = list(zip(variable.values, variable.values[1:], strict=False))
    if variable.ring and len(variable.values) > 2:
        pairs.append((variable.values[-1], variable.values[0]))
    between = {f"{one} to {two}": (one, two) for one, two in pairs}

    def all_of(values: frozenset[str]) -> frozenset[str]:
        return values | {name for name, (one, two) in between.items() if one in values and two in values}

    def any_of(values: frozenset[str]) -> frozenset[str]:
        return values | {name for name, (one, two) in between.items() if one in values or two in values}

    def widened(guards: tuple[Guard, ...], any_end: bool) -> tuple[Guard, ...]:
        return tuple(tuple((n, (any_of(v) if any_end else all_of(v)) if n == selector else v) for n, v in guard) for guard in guards)

    edges: list[Edge] = []
    for edge in circuit.edges:
        if edge.element == selector and edge.kind != "joint":
            # A contact closed at both ends may still open on the way, unless it makes before it breaks.
            sure = widened(edge.guards, True) if makes else edge.guards
            maybe = widened(edge.maybe, makes is not False)
        else:
            sure, maybe = widened(edge.guards, False), widened(edge.maybe, True)
        edges.append(replace(edge, guards=sure, maybe=maybe))
    constraints: list[Constraint] = []
    mixed: set[str] = set()
    sizes = {v.name: frozenset(v.values) for v in circuit.variables}
    for constraint in circuit.constraints:
        if all(name != selector for name, _ in constraint.literals):
            constraints.append(constraint)
        elif constraint.kind == "apart":
            constraints.append(Constraint("apart", tuple((n, any_of(v) if n == selector else v) for n, v in constraint.literals)))
        else:
            # All or none, said pair by pair; a place in between two positions that differ in it is left free, and not counted as sure.
            for name, values in constraint.literals:
                if name == selector:
                    mixed |= any_of(values) - all_of(values) - values
            for i, (name, values) in enumerate(constraint.literals):
                for j, (other, theirs) in enumerate(constraint.literals):
                    if i != j:
                        rest = sizes[other] - theirs
                        constraints.append(Constraint("apart", ((name, all_of(values) if name == selector else values),
                                                                (other, all_of(rest) if other == selector else rest))))
    variables = tuple(Variable(v.name, (*v.values, *between)) if v.name == selector else v for v in circuit.variables)
    awake = {name: widened(guards, False) for name, guards in circuit.sources_awake.items()}
    turned = replace(circuit, edges=tuple(edges), variables=variables, constraints=tuple(constraints), sources_awake=awake)
    return turned, frozenset(mixed)


@fact("turns-safely", "selector")
def turns_safely(book: Book, selector: str) -> Reading:
    """Whether no running charger or alternator loses its battery in any position or while turning."""
    if selector not in book.space.named:
        return book.open("turns-safely", selector, "its positions are not described")
    said = book.reading("changes", selector)
    words = book.words("changes", selector)
    makes = (MAKES in words) if len(words) == 1 else None
    circuit, mixed = while_turning(book.circuit, selector, makes)
    space = space_of(circuit)
    network = Network(circuit, space, book.words_known)
    reach = Reach(network, book.spend)
    posts = network.outputs(network.batteries)
    free = space.of(((selector, mixed),)) if mixed else space.nothing
    value = Truth.YES if book.wiring_complete else Truth.UNKNOWN
    wants = said.wants | book.open_wiring | doubtful(book)
    backed = {sure: reach.spread(posts, sure=sure) for sure in (True, False)}
    for source in network.sources:
        output = network.output(source)
        if output is None or network.is_a(source, "battery", "solar-array"):
            continue
        awake = {sure: reach.awake(source, sure=sure) for sure in (True, False)}
        held = {sure: backed[sure].get(output, space.nothing) for sure in (True, False)}
        lost = space.without(space.without(awake[True], held[False]), free) & space.forget(awake[True] & held[True], selector)
        if lost != space.nothing and book.wiring_complete:
            return worked(Truth.NO, uses=said.uses, through=(source, space.describe(lost)))
        if space.without(awake[False], held[True]) & space.forget(awake[False] & held[False], selector) != space.nothing:
            value = Truth.UNKNOWN
    return worked(value, wants=wants, uses=said.uses)
