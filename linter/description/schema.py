"""The JSON Schema of descriptions: generated from the vocabulary, kept in `grammar/description.schema.json`.

The only module that knows jsonschema, and it brings it in late. The reader in this room finds what is wrong by itself, in plain words and
in a few milliseconds; importing jsonschema and holding a description against the schema takes longer than the whole check. So a sound
description never meets it. It serves three other ends: editors complete and check keys from the schema; the tests hold everything the
reader accepts against it, so that the two cannot drift; and where the reader found something wrong, what the schema finds at places the
reader did not mention is told too.

`python -m linter.description.schema` writes the file again.
"""

from __future__ import annotations

import json
import re
from functools import cache
from typing import TYPE_CHECKING, Any

from linter import shelf
from linter.base.text import clean, listed
from linter.description import keys
from linter.description.papers import ATTESTED_KEYS, CHANGE_KEYS, DEPARTURE_KEYS, FAILED, PASSED, READING_KEYS
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.description.values import FITTED, HOW, NO, NOT_FITTED, SEVERAL, YES
from linter.units.dimension import NAMED, NUMBER
from linter.units.table import UNITS
from linter.vocabulary import Word, vocabulary

if TYPE_CHECKING:
    from jsonschema import ValidationError

Schema = dict[str, Any]
FILE = "description.schema.json"
_MOST_VALUES = 5_000  # Past this the schema is not asked: it would take seconds.
_MOST_TOLD = 20
_NUMBER = r"[-−]?\d{1,9}(\.\d{1,9})?"
_INTEGER = re.compile(r"[-+]?\d{1,18}\Z")
_FLOAT = re.compile(r"[-+]?(\.\d{1,18}|\d{1,18}(\.\d{0,18})?)([eE][-+]?\d{1,3})?\Z")


# ---- making it ----------------------------------------------------------------------------------------------------------------------


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name.replace(' ', '-')}"}


def _known(value: Schema) -> Schema:
    """A value, or the value with how it came to be known."""
    return {
        "anyOf": [
            value,
            {
                "type": "object",
                "required": ["is"],
                "additionalProperties": False,
                "properties": {"is": value, "how": {"enum": list(HOW)}, "on": _ref("day"), "by": _ref("text"), "with": _ref("text")},
            },
        ]
    }


def _amount(gives: str) -> Schema:
    names = [name for unit in UNITS if unit.dimension == NAMED[gives] for name in (unit.name, *unit.also)]
    unit = "(" + "|".join(re.escape(name) for name in names) + ")" if names else ""
    optional = unit + "?" if unit and NAMED[gives] == NUMBER else unit
    ranged = rf"^({_NUMBER}\s{{0,3}}{unit}?\s{{1,3}}to\s{{1,3}})?(at (least|most)\s{{1,3}})?{_NUMBER}\s{{0,3}}{optional}$"
    forms: list[Schema] = [{"type": "string", "pattern": ranged}, {"const": "?"}]
    if NAMED[gives] == NUMBER:
        forms.insert(0, {"type": "number"})
    return {"anyOf": forms}


def _choice(word: Word) -> Schema:
    one = "(" + "|".join(re.escape(choice) for choice in word.choices) + ")"
    forms: list[Schema] = [{"enum": [*word.choices, "?"]}, {"type": "string", "pattern": f"^{one}( or {one})*$"}]
    if word.word in SEVERAL:
        forms.append({"type": "array", "items": {"type": "string", "pattern": f"^{one}( or {one})*$"}})
    return {"anyOf": forms}


def _value(word: Word) -> str:
    """The name of the definition of what a word takes."""
    if word.word in ("breaks", "passes"):
        return word.word
    if word.gives == "choice":
        return f"{word.word} of {word.of[0]}"
    if word.gives in NAMED or word.gives in ("size", "ingress", "yes-no", "fitting"):
        return word.gives
    return "text" if word.gives == "text" else "name"


def _definitions() -> dict[str, Schema]:
    text: Schema = {"type": ["string", "number", "boolean"]}
    found: dict[str, Schema] = {
        "text": text,
        "name": text,
        "day": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        "texts": {"anyOf": [_ref("text"), {"type": "array", "items": _ref("text")}]},
        "condition": {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}], "description": "engine runs; X3 mated and K1 both"},
        "size": {
            "anyOf": [{"type": "number"}, {"type": "string", "pattern": r"^(\?|\d{1,3}(\.\d{1,2})?|[1-4]/0)\s{0,3}[²&/A-Za-z0-9 ]{0,12}$"}],
            "description": "35 mm², 2/0 AWG, 8 SAE, 6 mm auto",
        },
        "ingress": {"type": "string", "pattern": r"^(\?|[Ii][Pp] ?[0-6Xx][0-9Xx][Kk]?)$"},
        "yes-no": {"enum": [*YES, *NO, "?", True, False]},
        "fitting": {"enum": [*FITTED, *NOT_FITTED, "?", True, False]},
        "breaks": {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}], "description": "10 kA at 14 V"},
        "passes": _ref("texts"),
    }
    found |= {gives: _amount(gives) for gives in NAMED}
    for rows in vocabulary().words.values():
        for word in rows:
            if word.stated and word.gives == "choice":
                found[_value(word)] = _choice(word)
    made = {name.replace(" ", "-"): schema for name, schema in found.items()}
    return made | {f"{name}-known": _known(_ref(name)) for name in made if name not in ("condition", "day", "texts")}


def _structure(key: str) -> Schema:
    stud = {"type": "array", "items": _ref("text")}
    return {
        "title": _ref("text"),
        "like": _ref("name"),
        "kind": _ref("text"),
        "dial": stud,
        "studs": stud,
        "between": stud,
        "contacts": stud,
        "joins": {
            "type": "object",
            "additionalProperties": {"anyOf": [{"enum": ["none", "nothing", "?"]}, {"type": "array", "items": {"anyOf": [_ref("text"), stud]}}]},
        },
        "closed when": _ref("condition"),
        "runs when": _ref("condition"),
        "barred when": _ref("condition"),
        "taken as": {"enum": ["on", "off", "?"]},
        "halves": {"type": "object", "additionalProperties": _ref("coupling-half")},
    }[key]


def _thing(kind: str) -> Schema:
    properties: Schema = {}
    spelt: Schema = {}
    for key, word in keys.properties(kind).items():
        said = word.meaning + (f". {word.question}" if word.question else "") + (f" Find out: {word.how}." if word.how else "")
        properties[key] = {**_ref(f"{_value(word)} known"), "description": said}
        if " " in key:
            # "short-circuit current": hyphens and blanks are one to the reader.
            spelt[f"^{_spelling(key)}$"] = _ref(f"{_value(word)} known")
    for key, meaning in keys.structure(kind).items():
        properties.setdefault(key, {**_structure(key), "description": meaning})
    return {
        "type": "object",
        "description": vocabulary().kinds[kind].meaning,
        "properties": properties,
        "patternProperties": spelt,
        "additionalProperties": False,
    }


def _spelling(key: str) -> str:
    return key.replace(" ", "[ -]")


def _records(known: dict[str, bool]) -> Schema:
    special = {"on": _ref("day"), "until": _ref("day"), "result": {"enum": [PASSED, FAILED]}}
    if known in (ATTESTED_KEYS, CHANGE_KEYS):
        special["of"] = _ref("texts")
    if known is ATTESTED_KEYS:
        special["what"] = _ref("texts")
    if known is DEPARTURE_KEYS:
        special |= {"found": _ref("texts"), "asked": _ref("texts")}
    values: Schema = {key: special.get(key) or _ref("text") for key in known}
    return {
        "type": "array",
        "items": {"type": "object", "properties": values, "required": [key for key, must in known.items() if must], "additionalProperties": False},
    }


def _part() -> Schema:
    every = sorted({key for kind in keys.PART_KINDS for key in _thing(kind)["properties"]})
    cases = [
        {"if": {"required": ["kind"], "properties": {"kind": {"enum": list(dict.fromkeys((kind.replace("-", " "), kind)))}}}, "then": _ref(kind)}
        for kind in keys.PART_KINDS
    ]
    return {
        "type": "object",
        "anyOf": [{"required": ["kind"]}, {"required": ["like"]}],
        "propertyNames": {"pattern": "^(" + "|".join(_spelling(key) for key in every) + ")$"},
        "properties": {"kind": {"enum": list(dict.fromkeys(name for kind in keys.PART_KINDS for name in (kind.replace("-", " "), kind)))}},
        "allOf": cases,
    }


def schema() -> Schema:
    """The schema, from the vocabulary as it stands."""
    definitions = _definitions()
    kinds = {*keys.PART_KINDS, *keys.plurals().values(), "coupling-half", "place", "vehicle", "hole", "conductor"}
    definitions |= {kind: _thing(kind) for kind in sorted(kinds)}
    definitions["a-part"] = _part()
    definitions["route"] = {
        "anyOf": [{"type": "string"}, {"type": "array", "items": _ref("text")}],
        "description": "B1 positive, 0 mm, F1, W11 1.2 m, D1 in positive",
    }

    def named(name: str) -> Schema:
        return {"type": "object", "additionalProperties": _ref(name)}

    groups = {"type": "array", "items": _ref("condition")}
    values: dict[str, Schema] = {
        "tugtest": {"enum": [1, "1"]},
        "title": _ref("text"),
        "system": _ref("voltage known"),
        "listed": {
            "anyOf": [
                {"type": "string", "pattern": "^(everything|so far)( except .+)?$"},
                {
                    "type": "object",
                    "properties": {
                        "is": {"enum": ["everything", "so far"]},
                        "everything": {"type": "null"},
                        "so far": {"type": "null"},
                        "except": _ref("texts"),
                    },
                    "additionalProperties": False,
                },
            ]
        },
        "packs": _ref("texts"),
        "house packs": _ref("texts"),
        "capacity by": {"enum": [*keys.LADDERS, "?"]},
        "conditions": {
            "type": "object",
            "properties": {
                key: {**_ref(f"{_value(word)} known"), "description": word.meaning}
                for key, word in vocabulary().properties_of("installation").items()
                if key != "system voltage"
            },
            "additionalProperties": False,
        },
        "vehicles": named("vehicle"),
        "places": named("place"),
        "parts": named("a part"),
        "wires": named("conductor"),
        "holes": named("hole"),
        "defaults": {"type": "object", "properties": {plural: _ref(kind) for plural, kind in sorted(keys.plurals().items())}, "additionalProperties": False},
        "runs": {"type": "object", "additionalProperties": {"anyOf": [{"type": "string"}, {"type": "array", "items": _ref("route")}]}},
        "together": groups,
        "apart": groups,
        "attested": _records(ATTESTED_KEYS),
        "changes": _records(CHANGE_KEYS),
        "departures": _records(DEPARTURE_KEYS),
        "readings": _records(READING_KEYS),
        "include": _ref("texts"),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Tugtest description, format 1",
        "$comment": "Generated from vocabulary.table by python -m linter.description.schema; do not edit.",
        "type": "object",
        "properties": {key: {**values[key], "description": meaning} for key, meaning in keys.SECTIONS.items()},
        "additionalProperties": False,
        "$defs": definitions,
    }


def rendered() -> str:
    """The text of the file."""
    return json.dumps(schema(), ensure_ascii=False, indent=1) + "\n"


# ---- asking it ----------------------------------------------------------------------------------------------------------------------


def instance(node: Node) -> Any:
    """What YAML 1.2's core types make of a tree, as an editor with the schema would see it."""
    if isinstance(node, Table):
        return {" ".join(key.split()): instance(value) for key, value in node.values.items()}
    if isinstance(node, Many):
        return [instance(item) for item in node.items]
    assert isinstance(node, Text)
    if node.missing:
        return None
    text = " ".join(node.value.split())
    if node.quoted:
        return text
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if _INTEGER.match(text):
        return int(text)
    return float(text) if _FLOAT.match(text) else text


@cache
def _validator() -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator(json.loads(shelf.text(FILE)))


def errors(table: Table) -> list[ValidationError]:
    """Everything the schema does not like about one file's table."""
    return list(_validator().iter_errors(instance(table)))


def beyond(table: Table, troubles: Troubles) -> None:
    """Adds what the schema finds at places nothing was said of yet."""
    if _values(table, _MOST_VALUES) > _MOST_VALUES:
        return
    told = [d.at.pointer for d in troubles.found if d.at.file == table.file]
    added = 0
    for error in errors(table):
        node = _at(table, list(error.absolute_path))
        here = node.pointer
        if any(here == there or here.startswith(there + "/") or there.startswith(here + "/") for there in told):
            continue
        troubles.add("schema", _said(error, node), node, None)
        added += 1
        if added >= _MOST_TOLD:
            return


def _values(node: Node, most: int) -> int:
    """How many values a tree holds; stops counting past `most`, for an alias may repeat the same ones many times."""
    count, waiting = 0, [node]
    while waiting and count <= most:
        one = waiting.pop()
        count += 1
        if isinstance(one, Table):
            waiting.extend(one.values.values())
        elif isinstance(one, Many):
            waiting.extend(one.items)
    return count


def _at(table: Table, path: list[str | int]) -> Node:
    node: Node = table
    for step in path:
        following: Node | None = None
        if isinstance(node, Table):
            following = next((value for key, value in node.values.items() if " ".join(key.split()) == step), None)
        elif isinstance(node, Many) and isinstance(step, int) and step < len(node.items):
            following = node.items[step]
        if following is None:
            return node
        node = following
    return node


def _said(error: ValidationError, node: Node) -> str:
    """A schema's complaint in plain words."""
    where = f" ({clean(node.step, 40)})" if node.step else ""
    rule = str(error.validator)
    if rule in ("additionalProperties", "propertyNames"):
        known = error.schema.get("properties", {}) if isinstance(error.schema, dict) else {}
        odd = [key for key in error.instance if key not in known and key.replace("-", " ") not in known] if isinstance(error.instance, dict) else []
        return f"{listed([quoted(str(key), 40) for key in odd], 'and', 3) or 'A key'} cannot be said here{where}"
    if rule == "required":
        return f"Something that must be said is missing here{where}"
    if isinstance(node, Table):
        return f"This table is not in a form that is read here{where}"
    if isinstance(node, Many):
        return f"This list is not in a form that is read here{where}"
    return f"{quoted(node.value) if isinstance(node, Text) and node.value else 'This'} is not what is asked for here{where}"


if __name__ == "__main__":
    target = shelf.folder("grammar") / FILE
    target.write_text(rendered(), encoding="utf-8")
    print(f"{FILE} written")
