"""Which keys a description may use where: the vocabulary's properties, the short forms people prefer, and what builds the drawing."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from linter.base.text import plural
from linter.vocabulary import Word, vocabulary

# Section to what it holds.
SECTIONS: Mapping[str, str] = {
    "tugtest": "the format of this file; always 1",
    "title": "what the installation is",
    "system": "nominal voltage, such as 12 V",
    "listed": "everything, or so far: whether what is not written is not there",
    "packs": "the packs it is held against",
    "house packs": "folders of packs of one's own",
    "capacity by": "which ladder judges what a conductor carries",
    "conditions": "coldest and hottest weather it is used in",
    "vehicles": "truck, trailer, van: one chassis each",
    "places": "where parts sit and wires pass",
    "defaults": "what holds for every wire, fuse, place ... unless it says otherwise",
    "parts": "batteries, chargers, loads, fuses, switches, plugs, bars",
    "runs": "ways a finger follows, told in order",
    "wires": "what is known of the wires named in the runs",
    "holes": "holes that wires pass",
    "together": "things that are only ever true together",
    "apart": "things that are never true at once",
    "attested": "checks somebody made and signed for",
    "changes": "work done on it since, with its day: a check signed for before then lapses",
    "departures": "agreed departures from a practice",
    "readings": "what instruments showed",
    "include": "further files of the same folder",
}
LADDERS: Mapping[str, str] = {
    "own formula": "our own base formula with its heat, bundle and terminal factors",
    "federal boat table": "the published federal table for boats",
    "small craft metric table": "the published metric table for small craft",
}
# Kinds a part may be; the others of the vocabulary only group these.
PART_KINDS = (
    "battery",
    "alternator",
    "solar-array",
    "converter",
    "solar-controller",
    "shore-charger",
    "load",
    "inverter",
    "fuse",
    "breaker",
    "switch",
    "selector",
    "relay",
    "shunt",
    "coupling",
    "bus",
    "junction",
    "chassis",
)
TWO_SIDED = frozenset({"fuse", "breaker", "switch", "relay", "shunt"})
NODES = frozenset({"bus", "junction", "chassis"})
# Section to the kind of what stands in it.
SECTION_KIND: Mapping[str, str] = {"vehicles": "vehicle", "places": "place", "wires": "conductor", "holes": "hole"}

# Keys that build the drawing instead of stating a fact: kind they belong to, key, meaning.
STRUCTURE: tuple[tuple[str, str, str], ...] = (
    ("element", "title", "a few words for people"),
    ("element", "like", "another of the same kind; what is not said here is taken from it"),
    ("part", "kind", "what it is"),
    ("selector", "dial", "its positions in order round the dial"),
    ("selector", "joins", "which studs each position joins; none, or several groups"),
    ("selector", "studs", "all its studs, where the positions do not name them"),
    ("relay", "closed when", "what closes it, such as: engine runs; ? if that is not known. One that senses volts says voltage sensing: yes instead"),
    ("switch", "taken as", "on or off, if it is to be taken as always so"),
    ("coupling", "between", "its two halves, such as [truck, trailer]"),
    ("coupling", "contacts", "its contacts, such as [positive, negative]"),
    ("coupling", "halves", "what holds for one half only"),
    ("charger", "runs when", "a condition without which it does not run"),
    ("load", "runs when", "a condition without which it does not run"),
    ("load", "barred when", "a wired interlock: it cannot run then"),
)
# Short form of a key: kind it may be said of, short form, word.
SHORT: tuple[tuple[str, str, str], ...] = (
    ("place", "hottest", "ambient"),
    ("place", "sleeping", "living-space"),
    ("place", "vehicle", "vehicle-of"),
    ("part", "place", "place-of"),
    ("part", "vehicle", "vehicle-of"),
    ("hole", "vehicle", "vehicle-of"),
    ("vehicle", "chassis", "chassis-metal"),
    ("conductor", "place", "passes"),
)


def _word(name: str, of: str, gives: str, meaning: str, question: str) -> Word:
    return Word(name, "property", (of,), gives, (), False, "", None, meaning, question, "", "", ())


# Stated, but not words a practice may say.
OWN: tuple[tuple[str, Word], ...] = (
    (
        "breaks",
        _word(
            "breaks",
            "protection",
            "text",
            "current it can break, at which DC voltage: 10 kA at 14 V, or a list of such",
            "What can it break, at which voltage?",
        ),
    ),
    ("kind", _word("vehicle-kind", "vehicle", "text", "truck, car, van, trailer, boat ...", "What is it?")),
    ("tows behind", _word("tows-behind", "vehicle", "vehicle", "the vehicle that tows it", "Which vehicle tows it?")),
)
# Remedies for keys people bring from elsewhere.
HINTS: Mapping[str, str] = {
    "<<": "Write like: and the name of another part.",
    "inputs": "Write the limits beside the part: input voltage at least: 9 V, input voltage at most: 16 V.",
    "outputs": "Write the limits beside the part: output current at most: 40 A.",
    "voltage": "Say which: voltage rating, nominal voltage, absorption, float ...",
    "amps": "Say which: rating (of a fuse), current (of a load), current at most (of a switch, plug or bar).",
    "name": "The name is the key it stands under; write title for a few words more.",
    "breaking capacity": "Write breaks: 10 kA at 14 V.",
    "coldest": "Write the coldest weather under conditions.",
}


@cache
def properties(kind: str) -> Mapping[str, Word]:
    """Key to word, for everything that may be stated of a thing of `kind`."""
    words = vocabulary()
    found = dict(words.properties_of(kind))
    by_word = {word.word: word for word in found.values()}
    for of, short, name in SHORT:
        if words.is_a(kind, of) and name in by_word:
            found[short] = by_word[name]
    for key, word in OWN:
        if words.is_a(kind, word.of[0]):
            found[key] = word
    return found


@cache
def structure(kind: str) -> Mapping[str, str]:
    """Key to meaning, for what builds the drawing."""
    words = vocabulary()
    return {key: meaning for of, key, meaning in STRUCTURE if words.is_a(kind, of)}


@cache
def said_of(word: str, kind: str) -> bool:
    """Whether a fact fits a kind."""
    return any(w.word == word for w in properties(kind).values()) or (kind == "conductor" and word in ("area", "size-system-known"))


@cache
def plurals() -> Mapping[str, str]:
    """Key of `defaults` (and of `listed: everything except ...`) to kind: wires, batteries, fuses."""
    words = vocabulary()
    found = {"wires": "conductor"}
    for kind in words.kinds:
        if words.is_a(kind, "element") and kind not in ("element", "coupling-half"):
            found[plural(kind.replace("-", " "))] = kind
    return found


@cache
def kind_named(text: str) -> str | None:
    """A kind from singular, with blanks or hyphens, or plural."""
    kind = text.replace(" ", "-")
    if kind in vocabulary().kinds:
        return kind
    return "conductor" if text == "wire" else plurals().get(text)
