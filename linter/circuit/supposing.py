"""What if? One fact of a circuit replaced for one run, written as people say it: "F1.rating = 60 A", "coldest = -30 °C". Nothing is saved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from linter.base.diagnostic import Diagnostic
from linter.base.near import nearest
from linter.base.text import clean
from linter.circuit.model import Circuit
from linter.description.keys import properties
from linter.description.tree import Text, Troubles
from linter.description.values import ASKED, Facts, state

SHOWN_AS = "what is supposed"


def suppose(circuit: Circuit, said: Iterable[str]) -> tuple[Circuit, list[Diagnostic]]:
    """The circuit as it would be.

    Args:
        circuit: As described; left as it is.
        said: ELEMENT.FACT = VALUE, or FACT = VALUE for the installation itself. The last dot before the sign counts, as names may hold
            dots. The value is written as in a description; "?" takes the fact away.

    Returns:
        The changed circuit, and what could not be understood.
    """
    troubles = Troubles()
    elements = dict(circuit.elements)
    stated = dict(circuit.stated)
    for number, text in enumerate(said, 1):
        key, sign, value = (part.strip() for part in text.partition("="))
        place = Text(SHOWN_AS, number, 1, None, "", key)
        if not sign or not key or not value:
            troubles.add("supposed", f'"{clean(text, 60)}" does not say what to suppose', place, "Write it like F1.rating = 60 A, or coldest = -30 °C.")
            continue
        name, _, word = key.rpartition(".")
        name, word = name.strip(), word.strip()
        if name and name not in elements:
            near = nearest(name, elements)
            troubles.add("supposed", f'Nothing here is called "{clean(name, 40)}"', place, f"Did you mean {clean(near, 40)}?" if near else None)
            continue
        kind = elements[name].kind if name else "installation"
        known = properties(kind)
        row = known.get(word.replace("-", " ")) or next((w for key, w in known.items() if key.replace(" ", "-") == word), None)
        if row is None:
            near = nearest(word.replace("-", " "), known)
            troubles.add("supposed", f'"{clean(word, 40)}" is not stated of {clean(name, 40) or "the installation"}', place,
                         f"Did you mean {near}?" if near else "Name a fact that a description states; what is worked out follows from those.")
            continue
        facts = Facts()
        state(facts, row, Text(SHOWN_AS, number, 1, None, "", row.key), Text(SHOWN_AS, number, 1, None, "", value), name or "the installation",
              lambda _, wanted, at: wanted if wanted in elements else troubles.add("supposed", f'Nothing here is called "{clean(wanted, 40)}"', at), troubles)
        holder = dict(elements[name].properties) if name else stated
        for gone in ("size", "area", "size-system-known") if row.word == "size" else (row.word,):
            if value == ASKED or facts.readings:
                holder.pop(gone, None)
        holder.update({w: replace(reading, how="supposed", at=None) for w, reading in facts.readings.items()})
        if name:
            elements[name] = replace(elements[name], properties=holder)
        else:
            stated = holder
    return replace(circuit, elements=elements, stated=stated), list(troubles.found)
