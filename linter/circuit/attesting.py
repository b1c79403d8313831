"""Checks somebody signed for, as readings of the elements they speak of. A record counts only if it says when, by whom and by what means,
and it lapses when the same circuit is worked on after its day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping

from linter.base.gap import FactRef, Gap
from linter.base.reading import Reading
from linter.base.text import clean, listed
from linter.base.truth import Truth, truth
from linter.circuit.model import Circuit, Element, with_stated
from linter.description.described import Attested, Change
from linter.vocabulary import Vocabulary, Word, vocabulary

INSTALLATION = ""
# A circuit ends where others begin: work behind a bar or a battery does not disturb what lies before it.
_ENDS = ("battery", "bus", "junction", "chassis")
# What is no place in a circuit: any work may have disturbed what was seen there.
_WHOLE = ("vehicle", "place")


def attested(circuit: Circuit, records: Iterable[Attested], changes: Iterable[Change], on: datetime.date | None) -> Circuit:
    """The circuit, with what was signed for among the stated facts.

    Args:
        circuit: As drawn.
        records, changes: As described.
        on: Date of the run: nobody can have signed for a later day. None: not looked at.
    """
    words = vocabulary()
    checks = words.checks()
    found: dict[tuple[str, str], tuple[tuple[bool, str, bool], Attested, Word]] = {}
    for record in records:
        for row in checks.get(record.what, ()):
            # Who may sign goes before who may not; then the later record counts, and of two of one day the one that failed.
            rank = (_may_sign(row, record), record.on, not record.passed)
            for name in _covered(circuit, words, row, record):
                if (name, row.word) not in found or found[name, row.word][0] < rank:
                    found[name, row.word] = rank, record, row
    if not found:
        return circuit
    worked_on = _worked_on(circuit, words, tuple(changes))
    readings: dict[str, dict[str, Reading]] = {}
    for (name, word), (_, record, row) in found.items():
        readings.setdefault(name, {})[word] = _reading(record, FactRef(name, word), row, worked_on.get(name), on)
    return with_stated(circuit, readings)


def _may_sign(row: Word, record: Attested) -> bool:
    """Whether whoever signed has the role the check asks for."""
    role = f"{record.role} {record.by}".lower()
    return not row.signers or any(word in role for word in row.signers)


def _covered(circuit: Circuit, words: Vocabulary, row: Word, record: Attested) -> Iterable[str]:
    """Elements a record speaks of, as far as the check is said of them."""
    fits = {kind for kind in words.kinds if any(words.is_a(kind, of) for of in row.of)}
    if not record.of:
        everything = (name for name, element in circuit.elements.items() if element.kind in fits)
        return (*everything, INSTALLATION) if "installation" in fits else tuple(everything)
    named = dict.fromkeys(other for name in record.of for other in (name, *_halves(circuit.elements, name)))
    return tuple(name for name in named if name in circuit.elements and circuit.elements[name].kind in fits)


def _halves(elements: Mapping[str, Element], name: str) -> Iterable[str]:
    """Halves of a coupling: what was seen of the whole was seen of each."""
    if name not in elements or elements[name].kind != "coupling":
        return ()
    return tuple(other for other, element in elements.items() if element.kind == "coupling-half" and other.startswith(f"{name} "))


def _worked_on(circuit: Circuit, words: Vocabulary, changes: tuple[Change, ...]) -> dict[str, Change]:
    """Element to the last change that may have disturbed it."""
    found: dict[str, Change] = {}
    if not changes:
        return found
    whole = [name for name, element in circuit.elements.items() if any(words.is_a(element.kind, kind) for kind in _WHOLE)]
    neighbours = _neighbours(circuit)
    for change in sorted(changes, key=lambda change: change.on):
        touched = _same_circuit(circuit, words, neighbours, change.of) if change.of else set(circuit.elements)
        for name in (*touched, *whole, INSTALLATION):
            found[name] = change
    return found


def _neighbours(circuit: Circuit) -> dict[str, set[str]]:
    """Element to those it touches: what ends on the terminals of one part hangs together by that part, not directly."""
    found: dict[str, set[str]] = {}
    for edge in circuit.edges:
        for terminal in (edge.a, edge.b):
            owner = circuit.terminals[terminal][0] if terminal in circuit.terminals else terminal
            found.setdefault(owner, set()).add(edge.element)
            found.setdefault(edge.element, set()).add(owner)
    return found


def _same_circuit(circuit: Circuit, words: Vocabulary, neighbours: Mapping[str, set[str]], names: Iterable[str]) -> set[str]:
    """The elements named, and all that hangs together with them up to the next battery, bar, splice or chassis, those included: a joint on
    them was opened. Where such an end is itself named, what is bolted to it was touched, and the search goes on from there."""
    start = [other for name in names for other in (name, *_halves(circuit.elements, name))]
    reached = set(start)
    queue = list(start)
    while queue:
        here = queue.pop()
        for other in neighbours.get(here, ()):
            if other in reached:
                continue
            reached.add(other)
            if other in circuit.elements and not any(words.is_a(circuit.elements[other].kind, end) for end in _ENDS):
                queue.append(other)
    return reached


def _reading(record: Attested, ref: FactRef, row: Word, change: Change | None, on: datetime.date | None) -> Reading:
    def lapsed(reason: str) -> Reading:
        return Reading(Truth.UNKNOWN, "unknown", record.at, Gap(reason, record.at), wants=frozenset({ref}))

    if not record.how:
        return lapsed(f"the record of {record.on} does not say by what means")
    if not _may_sign(row, record):
        return lapsed(f"signed by {clean(record.role or record.by, 40)}; it takes the role of {listed(list(row.signers), 'or')}")
    if on is not None and record.on > on.isoformat():
        return lapsed(f"signed for {record.on}, a day that is still to come")
    if change is not None and change.on > record.on and not row.lasting:
        return lapsed(f"signed on {record.on}, and worked on since: {clean(change.what, 60)}, {change.on}")
    return Reading(truth(record.passed), f"signed on {record.on} by {clean(record.by, 40)}", record.at, uses=frozenset({ref}))
