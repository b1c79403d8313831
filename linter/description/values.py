"""One stated fact: the text of a value to a Reading, by what the vocabulary says the word gives."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache

from linter.base.reading import Reading
from linter.base.span import Span
from linter.base.text import clean, listed
from linter.base.truth import Truth
from linter.base.values import INF, Range, less_or_equal
from linter.description.described import Told
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.units.dimension import CURRENT, VOLTAGE, Dimension
from linter.units.size import Size, read_size
from linter.units.table import Unreadable, read_quantity
from linter.vocabulary import Word

# How somebody knows a thing, and the word a reading carries for it.
HOW: Mapping[str, str] = {
    "stated": "stated",
    "measured": "measured",
    "marked": "marked",
    "plate": "marked",
    "label": "marked",
    "maker's sheet": "maker's sheet",
    "manual": "maker's sheet",
    "seller": "seller",
    "planning value": "planning value",
    "guess": "guess",
    "guessed": "guess",
}
TOLD_KEYS = ("is", "how", "on", "by", "with")
YES = ("yes", "true")
NO = ("no", "false")
FITTED = (*YES, "fitted", "both halves")
NOT_FITTED = (*NO, "none", "not fitted")
ASKED = "?"
# Words of which a place or part may well have several at once: then a list means "all of these".
SEVERAL = frozenset({"exposure"})
_INGRESS = re.compile(r"IP ?([0-6X])([0-9X])(K?)\Z", re.IGNORECASE)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}\Z")
_BREAKS = re.compile(r"(.{1,40}?)\s{1,3}at\s{1,3}(.{1,40})\Z")
_OPEN = re.compile(r"(at least|at most)\s{1,3}(.{1,50})\Z")

# Resolves the name of a place, vehicle or part: gives the name, or None after telling what is wrong.
Lookup = Callable[[str, str, Text], str | None]


@dataclass(slots=True)
class Facts:
    """What is stated of one thing.

    Attributes:
        readings: Word to what is known.
        told: Word to how, when and by whom it came to be known, where that was written.
        asked: Words written as "?": known to be unknown, so no default fills them.
    """

    readings: dict[str, Reading] = field(default_factory=dict)
    told: dict[str, Told] = field(default_factory=dict)
    asked: set[str] = field(default_factory=set)

    def has(self, word: str) -> bool:
        """Whether something was said of it, be it "?"."""
        return word in self.readings or word in self.asked

    def fill_from(self, other: Facts, fits: Callable[[str], bool]) -> None:
        """What is not said here is taken from `other`, as far as it fits."""
        had = set(self.readings) | self.asked
        for word, reading in other.readings.items():
            if word not in had and fits(word):
                self.readings[word] = reading
                if word in other.told:
                    self.told[word] = other.told[word]
        self.asked |= {word for word in other.asked if word not in had and fits(word)}


def state(facts: Facts, word: Word, key: Text, value: Node, owner: str, lookup: Lookup, troubles: Troubles) -> None:
    """Adds what `value` says of `word` to `facts`.

    Args:
        facts: Filled.
        word: What is asked.
        key: As the reader wrote it; used in messages.
        value: A text, or {is:, how:, on:, by:}.
        owner: Of whom; used in messages.
        lookup: Finds places, vehicles and parts.
        troubles: What cannot be read goes here.
    """
    how, told, inner = _how(word, key, value, owner, troubles)
    if inner is None:
        return
    value = inner
    if isinstance(value, Text) and value.missing:
        nothing(value, key, owner, troubles)
        return
    if isinstance(value, Text) and value.value.strip() == ASKED:
        facts.asked.update(("size", "area", "size-system-known") if word.word == "size" else (word.word,))
        return
    before = len(facts.readings)
    at = value.span
    if word.word == "size":
        _size(facts, key, value, owner, how, at, troubles)
    elif word.word == "breaks":
        _breaks(facts, key, value, owner, how, at, troubles)
    elif word.dimension is not None:
        found = quantity(value, word.dimension, word.floor, f"{key.value} of {owner}", troubles)
        if found is not None:
            facts.readings[word.word] = Reading(found, how, at)
    elif word.gives in ("yes-no", "fitting"):
        _yes_no(facts, word, key, value, owner, how, at, troubles)
    elif word.gives == "choice":
        _choice(facts, word, key, value, owner, how, at, troubles)
    elif word.gives == "ingress":
        _ingress(facts, word, key, value, owner, how, at, troubles)
    else:
        _names(facts, word, key, value, owner, how, at, lookup, troubles)
    if told is not None and len(facts.readings) > before:
        facts.told[word.word] = told


def nothing(value: Node, key: Text, owner: str, troubles: Troubles) -> None:
    """A key that has no value."""
    table = value.up
    if isinstance(table, Table) and table.flow:
        if ":" in key.value.strip(":"):
            troubles.add(
                "key-without-value", f"{quoted(key.value)} has no blank after its colon", key, f"Write: {clean(re.sub(':(?! )', ': ', key.value, count=1), 60)}"
            )
            return
        troubles.add(
            "key-without-value",
            f"{quoted(key.value)} has no value" + (f" ({clean(owner, 40)})" if owner else ""),
            key,
            "Inside braces a comma ends a value, so what comes after it became a key. Put a text that holds a comma in quotes.",
        )
        return
    troubles.add(
        "key-without-value",
        f"{quoted(key.value)} has no value" + (f" ({clean(owner, 40)})" if owner else ""),
        key,
        "Write the value, or ? if it is not known, or leave the line out.",
    )


def _how(word: Word, key: Text, value: Node, owner: str, troubles: Troubles) -> tuple[str, Told | None, Node | None]:
    """Unwraps {is: 4.8 m, how: measured, on: 2026-05-03, by: owner}."""
    if not isinstance(value, Table):
        return "stated", None, value
    for name, at in value.keys.items():
        if name not in TOLD_KEYS:
            near = troubles.near(name, TOLD_KEYS)
            troubles.add(
                "unknown-key",
                f"{quoted(name)} is no word for how {clean(key.value, 40)} of {clean(owner, 40)} is known",
                at,
                f"Did you mean {near}?" if near else "Known here: is, how, on, by, with.",
            )
    inner = value.values.get("is")
    if inner is None:
        troubles.add(
            "missing-key",
            f"{clean(key.value, 40)} of {clean(owner, 40)} is a table without is",
            value,
            "Write {is: the value, how: measured, on: 2026-05-03, by: owner}.",
        )
        return "stated", None, None
    if isinstance(inner, Table):
        troubles.add("wrong-shape", f"{clean(key.value, 40)} of {clean(owner, 40)}: after is comes a plain value", inner, "Write it as text, such as 4.8 m.")
        return "stated", None, None
    how, on, by, using = "stated", "", "", ""
    for name in ("how", "on", "by", "with"):
        node = value.values.get(name)
        if node is None:
            continue
        said = plain(node, value.keys[name], f"{key.value} of {owner}", troubles)
        if said is None:
            continue
        if name == "how":
            if said in HOW:
                how = HOW[said]
            else:
                near = troubles.near(said, tuple(HOW))
                troubles.add(
                    "unknown-choice",
                    f"{quoted(said)} is no way of knowing a value",
                    node,
                    f"Did you mean {near}?" if near else f"Write one of: {listed(list(HOW), 'or', 12)}.",
                )
        elif name == "on":
            on = day(said, node, f"{key.value} of {owner}", troubles) or ""
        elif name == "by":
            by = said
        else:
            using = said
    return how, Told(how, on, by, using), inner


def plain(node: Node, key: Text, owner: str, troubles: Troubles) -> str | None:
    """A single text."""
    if isinstance(node, Text):
        if node.missing:
            nothing(node, key, owner, troubles)
            return None
        return " ".join(node.value.split())
    troubles.add(
        "wrong-shape",
        f"{quoted(key.value)} takes one text, not a {'list' if isinstance(node, Many) else 'table'}",
        node,
        "Put quotes around a text that holds commas or braces.",
    )
    return None


def texts(node: Node, key: Text, owner: str, troubles: Troubles) -> list[Text]:
    """One text or a list of them."""
    if isinstance(node, Text):
        if node.missing:
            nothing(node, key, owner, troubles)
            return []
        return [node]
    if isinstance(node, Table):
        troubles.add("wrong-shape", f"{quoted(key.value)} takes a text or a list of texts, not a table", node, "Write [one, another].")
        return []
    assert isinstance(node, Many)
    good = []
    for item in node.items:
        if isinstance(item, Text) and not item.missing:
            good.append(item)
        else:
            troubles.add("wrong-shape", f"{quoted(key.value)} takes a list of texts, and this is not a text", item, "Write [one, another].")
    return good


def day(text: str, at: Node, owner: str, troubles: Troubles) -> str | None:
    """A date, as 2026-05-03."""
    if _DATE.match(text):
        try:
            date.fromisoformat(text)
        except ValueError:
            troubles.add("no-date", f"{quoted(text)} is no day of the calendar ({clean(owner, 60)})", at, "Write year, month and day: 2026-05-03.")
            return None
        return text
    troubles.add("no-date", f"{quoted(text)} is not a date ({clean(owner, 60)})", at, "Write year, month and day: 2026-05-03.")
    return None


@lru_cache(maxsize=4096)
def amount(text: str, dimension: Dimension, floor: float | None) -> Range | tuple[str, str | None]:
    """A quantity in SI, or what is wrong with it and a remedy. "at least 3 m" and "at most 3 m" are open to one side.

    A pure function of its text, remembered: the same few lengths and ratings come up again and again.
    """
    least = _OPEN.match(text)
    try:
        if least:
            found = read_quantity(least[2], dimension, floor)
            return Range(found.low, INF) if least[1] == "at least" else Range(-INF if floor is None else floor, found.high)
        return read_quantity(text, dimension, floor)
    except Unreadable as wrong:
        return str(wrong), wrong.remedy


def quantity(value: Node, dimension: Dimension, floor: float | None, owner: str, troubles: Troubles) -> Range | None:
    """A quantity in SI, or None after telling what is wrong."""
    if not isinstance(value, Text):
        troubles.add(
            "unreadable-quantity",
            f"{clean(owner, 60)} is one quantity, not a {'list' if isinstance(value, Many) else 'table'}",
            value,
            "Write a number and a unit; a range is written 3 to 4 m, a decimal with a point.",
        )
        return None
    text = " ".join(value.value.split())
    found = amount(text, dimension, floor) if len(text) <= 80 else ("this is too long for a quantity", "Write a number and a unit, such as 5.2 m.")
    if isinstance(found, Range):
        return found
    message, remedy = found
    if text in NOT_FITTED or text in YES:
        message, remedy = f"{quoted(text)} is no quantity", "Leave it out, or write ?, if it is not known."
    troubles.add("unreadable-quantity", f"{clean(owner, 60)}: {clean(message, 160)}", value, None if remedy is None else clean(remedy, 160))
    return None


def _size(facts: Facts, key: Text, value: Node, owner: str, how: str, at: Span, troubles: Troubles) -> None:
    size = conductor_size(value, f"{key.value} of {owner}", troubles)
    if size is not None:
        facts.readings["size"] = Reading(frozenset({size.written}), how, at)
        facts.readings["area"] = Reading(size.area, how, at)
        facts.readings["size-system-known"] = Reading(Truth.NO if size.system is None else Truth.YES, how, at)


def conductor_size(value: Node, owner: str, troubles: Troubles) -> Size | None:
    """A conductor size, or None after telling what is wrong."""
    if not isinstance(value, Text):
        troubles.add(
            "unreadable-size",
            f"{clean(owner, 60)} is one size, not a {'list' if isinstance(value, Many) else 'table'}",
            value,
            "Write 35 mm², 2/0 AWG, 8 SAE or 6 mm auto.",
        )
        return None
    text = " ".join(value.value.split())
    if re.match(r"\d+,\d", text):
        troubles.add(
            "unreadable-size",
            f"{clean(owner, 60)}: {quoted(text)} uses a comma",
            value,
            f"Write the decimal with a point: {clean(text.replace(',', '.', 1), 40)}.",
        )
        return None
    try:
        return read_size(text[:80])
    except Unreadable as wrong:
        troubles.add("unreadable-size", f"{clean(owner, 60)}: {clean(str(wrong), 120)}", value, wrong.remedy)
        return None


def _breaks(facts: Facts, key: Text, value: Node, owner: str, how: str, at: Span, troubles: Troubles) -> None:
    """ "10 kA at 14 V", or several: what it breaks falls as the voltage rises."""
    pairs = set()
    for item in texts(value, key, owner, troubles):
        match = _BREAKS.match(" ".join(item.value.split()))
        if not match:
            troubles.add(
                "unreadable-quantity",
                f"{quoted(item.value)} does not say at which voltage {clean(owner, 40)} breaks it",
                item,
                "Write what it breaks and at what: 10 kA at 14 V.",
            )
            continue
        ends = []
        for text, dimension in ((match[1], CURRENT), (match[2], VOLTAGE)):
            found = amount(text, dimension, 0.0)
            if not isinstance(found, Range):
                troubles.add("unreadable-quantity", f"{clean(key.value, 40)} of {clean(owner, 40)}: {clean(found[0], 120)}", item, found[1])
            elif not found.known:
                troubles.add(
                    "unreadable-quantity",
                    f"{clean(key.value, 40)} of {clean(owner, 40)} is a marked value, not a range",
                    item,
                    "Write the one that is marked: 10 kA at 14 V.",
                )
            else:
                ends.append(found.low)
        if len(ends) == 2:
            pairs.add(f"{ends[0]:.10g} A at {ends[1]:.10g} V")
    if pairs:
        facts.readings["breaks"] = Reading(frozenset(pairs), how, at)


def _yes_no(facts: Facts, word: Word, key: Text, value: Node, owner: str, how: str, at: Span, troubles: Troubles) -> None:
    yes, no = (FITTED, NOT_FITTED) if word.gives == "fitting" else (YES, NO)
    text = " ".join(value.value.split()) if isinstance(value, Text) else ""
    if text in yes or text in no:
        facts.readings[word.word] = Reading(Truth.YES if text in yes else Truth.NO, how, at)
        return
    said = quoted(text) if text else "This"
    troubles.add(
        "not-yes-or-no",
        f"{said} is neither yes nor no ({clean(key.value, 40)} of {clean(owner, 40)})",
        value,
        f"Write yes or {'none' if word.gives == 'fitting' else 'no'}, or ? if nobody knows. It means: {word.meaning}.",
    )


def _choice(facts: Facts, word: Word, key: Text, value: Node, owner: str, how: str, at: Span, troubles: Troubles) -> None:
    if isinstance(value, Many) and word.word not in SEVERAL:
        troubles.add(
            "unknown-choice", f"{clean(key.value, 40)} of {clean(owner, 40)} is one word, not a list", value, "If it may be one of two, write: one or another."
        )
        return
    said: set[str] = set()
    for item in texts(value, key, owner, troubles):
        for part in item.value.split(" or "):
            text = " ".join(part.split())
            if text in word.choices:
                said.add(text)
                continue
            near = troubles.near(text, word.choices)
            troubles.add(
                "unknown-choice",
                f"{quoted(text)} is not known here as {clean(key.value, 40)} of {clean(owner, 40)}",
                item,
                f"Did you mean {near}?" if near else f"Write one of: {listed(list(word.choices), 'or', 14)}.",
            )
            return
    if said:
        facts.readings[word.word] = Reading(frozenset(said), how, at)


def _ingress(facts: Facts, word: Word, key: Text, value: Node, owner: str, how: str, at: Span, troubles: Troubles) -> None:
    text = " ".join(value.value.split()) if isinstance(value, Text) else ""
    match = _INGRESS.match(text)
    if match:
        facts.readings[word.word] = Reading(frozenset({f"IP{match[1]}{match[2]}{match[3]}".upper()}), how, at)
    else:
        troubles.add(
            "unknown-choice",
            f"{quoted(text) if text else 'This'} is not a protection code ({clean(key.value, 40)} of {clean(owner, 40)})",
            value,
            "Write it as it is on the housing, such as IP67.",
        )


def _names(facts: Facts, word: Word, key: Text, value: Node, owner: str, how: str, at: Span, lookup: Lookup, troubles: Troubles) -> None:
    several = word.word in ("passes",)
    if isinstance(value, Many) and not several:
        troubles.add("wrong-shape", f"{clean(key.value, 40)} of {clean(owner, 40)} is one name, not a list", value, "Name one.")
        return
    found = set()
    for item in texts(value, key, owner, troubles):
        name = " ".join(item.value.split())
        wanted = "place" if word.word == "passes" else "" if word.gives == "text" else word.gives
        resolved = lookup(name, wanted, item) if wanted else name
        if resolved is not None:
            found.add(resolved)
    if found:
        facts.readings[word.word] = Reading(frozenset(found), how, at)


def agree(one: Reading, other: Reading) -> bool:
    """Whether two statements of one fact say the same."""
    a, b = one.value, other.value
    if isinstance(a, Range) and isinstance(b, Range):
        return all(less_or_equal(x, y) and less_or_equal(y, x) for x, y in ((a.low, b.low), (a.high, b.high)))
    return a == b
