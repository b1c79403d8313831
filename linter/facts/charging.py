"""N14 and voltages: what a bank accepts, and the highest voltage that can stand on a thing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.reading import Reading, Step
from linter.base.values import INF, Range
from linter.facts.registry import fact
from linter.facts.resistance import nominal, short_current
from linter.facts.saying import amps, volts
from linter.facts.trunks import always_maybe
from linter.facts.worked import uses_of, wants_of, worked

if TYPE_CHECKING:
    from linter.facts.book import Book

# Highest voltage of a circuit under charge, per volt of its nominal voltage: 14.8, 29.6, 59.2 V for 12, 24, 48 V.
UNDER_CHARGE = 14.8 / 12


@fact("bank-charge-limit", "battery")
def bank_charge_limit(book: Book, battery: str) -> Reading:
    """Sum of the charge currents allowed to every battery it is permanently joined with, itself included. [A]"""
    mates = [battery]
    doubtful: list[str] = []
    # With every connection known, what lies in another part of the wiring is never joined with it.
    near = always_maybe(book, battery) if book.wiring_complete else book.members("battery")
    for other in near:
        if other == battery:
            continue
        answer = book.relation("joined-with", battery, other)
        if answer.yes == book.everything:
            mates.append(other)
        elif answer.no == book.nothing and answer.yes != book.everything:
            doubtful.append(other)
    found = [book.reading("charge-current-at-most", b) for b in mates]
    values = [r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in found]
    # Batteries that may be joined for good: the sum with them is only an upper end.
    extra = sum((r.high for r in (book.quantity("charge-current-at-most", b) for b in doubtful)), 0.0)
    value = Range(sum(v.low for v in values), sum(v.high for v in values) + extra)

    def working() -> tuple[Step, ...]:
        parts = " + ".join(f"{b} {amps(v)}" for b, v in zip(mates, values, strict=True))
        return (Step(f"charge current the bank of {battery} accepts", "sum over batteries always joined", f"{parts} = {amps(value)}", "the batteries' sheets",
                     tuple((str(FactRef(b, "charge-current-at-most")), amps(v), r.how) for b, v, r in zip(mates, values, found, strict=True))),)

    return worked(value, wants=wants_of(*found) | book.open_wiring, uses=uses_of(*found), through=tuple(mates), working=working)


@fact("battery-short", "battery")
def battery_short(book: Book, battery: str) -> Reading:
    """Short-circuit current at the posts: stated, else between the least and the most that planning values allow. [A]"""
    value, wants = short_current(book, battery)
    return worked(value, wants=wants, uses={FactRef(battery, w) for w in ("short-circuit-current", "capacity", "chemistry", "cranking-current")
                                            if book.reading(w, battery).gap is None})


def array_voltage(book: Book, element: str) -> Reading | None:
    """Cold open-circuit voltage of the arrays that can stand on an element's own terminals; None if none can."""
    network = book.network
    own = set(network.ends(element))
    if book.is_a(element, "charger"):
        own = {t for t in own if not network.circuit.terminals[t][1].startswith("out")}
    parts = {network.part_of(t) for t in own} - {-1}
    found: list[Reading] = []
    for array in book.members("solar-array"):
        post = network.terminal(array, "positive")
        if post is not None and (post in own or network.part_of(post) in parts):
            found.append(book.reading("cold-voltage", array))
    if not found:
        return None
    values = [r.value if isinstance(r.value, Range) else Range(0.0, INF) for r in found]
    return worked(Range(max(v.low for v in values), max(v.high for v in values)), wants=wants_of(*found), uses=uses_of(*found))


@fact("highest-voltage", "part")
def highest_voltage(book: Book, part: str) -> Reading:
    """14.8, 29.6 or 59.2 V by nominal voltage; on array circuits the cold open-circuit voltage. [V]"""
    if not book.is_a(part, "charger"):
        from_sun = array_voltage(book, part)
        if from_sun is not None:
            return from_sun
    rated, wants = circuit_nominal(book, part)
    value = Range(rated.low * UNDER_CHARGE, rated.high * UNDER_CHARGE)

    def working() -> tuple[Step, ...]:
        return (Step(f"highest voltage on {part}", "nominal × 14.8 / 12", f"{volts(rated)}: {volts(value)}", "voltage under charge, trade figure"),)

    return worked(value, wants=wants, uses=frozenset({FactRef("", "system-voltage")}), working=working)


def circuit_nominal(book: Book, part: str) -> tuple[Range, frozenset[FactRef]]:
    """Nominal voltage of the circuit a part is in: of the batteries and chargers whose positives reach it, else its own. [V]"""
    network = book.network
    if part in network.batteries or book.is_a(part, "load"):
        own = nominal(book, part)
        return own, frozenset() if own.known else frozenset({FactRef("", "system-voltage")})
    parts = frozenset(network.part_of(t) for t in network.ends(part)) - {-1}
    found = book.memo(("nominal around", parts), lambda: [
        nominal(book, s) for s in network.sources
        if (t := network.output(s)) is not None and network.part_of(t) in parts and not book.is_a(s, "solar-array")]) or [nominal(book, part)]
    value = Range(max(v.low for v in found), max(v.high for v in found))
    return value, frozenset() if value.known else frozenset({FactRef("", "system-voltage")})
