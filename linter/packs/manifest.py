"""Reading `pack.yaml`: what a pack calls itself, what it builds on, where its practices come from, under which licence its tables stand."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import yaml

from linter.base.bounds import Bound
from linter.base.diagnostic import Diagnostic
from linter.base.near import nearest
from linter.base.span import Span
from linter.base.text import clean

MANIFEST = "pack.yaml"
MANIFEST_BYTES = Bound("pack.yaml size", 64_000, "bytes of one pack.yaml")
LANGUAGE = "1"
# A pack name is a word of the practice language: it can name no path and no address.
NAME = re.compile(r"[a-z][a-z0-9]{0,39}(-[a-z0-9]{1,39}){0,7}\Z")
_NOWHERE = Span("?")
_BUILDS_ON = re.compile(r"([a-z0-9-]+)\s+edition\s+([0-9]{1,9}(?:\.[0-9]{1,9}){0,3})\Z")
_EDITION = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9}){0,3}\Z")
_KEYS = ("pack", "title", "says", "edition", "speaks", "builds on", "moves", "sources", "licence", "note", "excused", "left out")
_EXCUSE = ("practice", "change", "because", "card")


@dataclass(frozen=True, slots=True)
class Source:
    """Where practices of a pack come from: every field as written, in file order."""

    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Excused:
    """A planted fault that no example can notice, and why that is no harm.

    Attributes:
        practice, change: As `pack prove` prints them.
        because: Reason.
        card: Mark of the card's text; when the card changes the excuse lapses.
        line: Where it is written.
    """

    practice: str
    change: str
    because: str
    card: str
    line: int = 1


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A practice of the trade that belongs here and cannot yet be said, with the word or fact that is missing."""

    practice: str
    because: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """What pack.yaml says.

    Attributes:
        name: Of the pack; its folder's name unless said.
        title, edition, says, licence, note: As written.
        builds_on: Pack name to edition asked for.
        moves: The same for packs whose limits it adopts other figures for wherever they are held against; it does not bring them in.
        sources: In file order.
        excused: Planted faults no example can notice.
        at: The file.
        left_out: What belongs to its topic and is not in it, with the reason.
    """

    name: str
    title: str
    edition: str
    says: str = ""
    licence: str = ""
    note: str = ""
    builds_on: tuple[tuple[str, str], ...] = ()
    sources: tuple[Source, ...] = ()
    at: Span = _NOWHERE
    excused: tuple[Excused, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    moves: tuple[tuple[str, str], ...] = ()


def read_manifest(text: bytes, folder_name: str, file: str) -> tuple[Manifest | None, list[Diagnostic]]:
    """The manifest, or what is wrong with it. Every scalar is taken as the text it is: an edition "1.10" stays "1.10"."""
    told: list[Diagnostic] = []

    def wrong(headline: str, remedy: str | None = None, line: int = 1) -> None:
        told.append(Diagnostic("pack-manifest", headline, Span(file, line), remedy=remedy))

    if len(text) > MANIFEST_BYTES.most:
        wrong(f"pack.yaml is too large: at most {MANIFEST_BYTES.most} {MANIFEST_BYTES.meaning}")
        return None, told
    try:
        data = yaml.load(text.decode("utf-8"), Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    except UnicodeDecodeError:
        wrong("pack.yaml is not UTF-8 text", "Save it as UTF-8.")
        return None, told
    except RecursionError:
        wrong("pack.yaml is nested too deeply")
        return None, told
    except (yaml.YAMLError, ValueError) as trouble:
        mark = getattr(trouble, "problem_mark", None)
        wrong(f"pack.yaml is not YAML: {clean(str(getattr(trouble, 'problem', None) or 'it cannot be read'))}", line=mark.line + 1 if mark else 1)
        return None, told
    if not isinstance(data, dict):
        wrong("pack.yaml holds no keys", "Write title, edition and speaks, one a line.")
        return None, told
    lines = _lines_of(text.decode("utf-8"))
    for key in data:
        if key not in _KEYS:
            near = nearest(str(key), _KEYS)
            remedy = f'Did you mean "{near}"?' if near else f"Known: {', '.join(_KEYS)}."
            wrong(f'"{clean(str(key), 60)}" is not a key of pack.yaml', remedy, lines.get(str(key), 1))
    plain: dict[str, str] = {}
    for key in ("pack", "title", "says", "edition", "speaks", "licence", "note"):
        value = data.get(key, "")
        if not isinstance(value, str):
            wrong(f"{key} is one text, not a list or table", line=lines.get(key, 1))
            value = ""
        plain[key] = value.strip()
    name = plain["pack"] or folder_name
    if not NAME.match(name):
        wrong(f'"{clean(name, 60)}" cannot be the name of a pack', "Name the folder in small letters and hyphens, such as our-shop.", lines.get("pack", 1))
    for key in ("title", "edition"):
        if not plain[key]:
            wrong(f"pack.yaml does not say its {key}", f"Add a line: {key}: …")
    if plain["edition"] and not _EDITION.match(plain["edition"]):
        wrong(f'"{clean(plain["edition"], 40)}" is no edition', "Write numbers with points, such as 1 or 2.1.", lines.get("edition", 1))
    if plain["speaks"] != LANGUAGE:
        wrong(f'this pack speaks "{clean(plain["speaks"], 20) or "nothing"}", and this engine knows practice language {LANGUAGE}',
              f"Write: speaks: {LANGUAGE}", lines.get("speaks", 1))
    builds_on, moves = (_builds_on(key, data.get(key, ()), lambda headline, remedy, key=key: wrong(headline, remedy, lines.get(key, 1)))
                        for key in ("builds on", "moves"))
    sources = _sources(data.get("sources", ()), lambda headline, remedy: wrong(headline, remedy, lines.get("sources", 1)))
    excused = _excused(data.get("excused", ()), text.decode("utf-8"), lines.get("excused", 1), wrong)
    left_out = _left_out(data.get("left out", ()), lambda headline, remedy: wrong(headline, remedy, lines.get("left out", 1)))
    if told:
        return None, told
    return Manifest(name, plain["title"], plain["edition"], plain["says"], plain["licence"], plain["note"], builds_on, sources, Span(file), excused,
                    left_out, moves), told


def _lines_of(text: str) -> dict[str, int]:
    """Line of each key at the left edge."""
    found: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        key, colon, _ = line.partition(":")
        if colon and not key.startswith((" ", "\t", "#", "-")):
            found.setdefault(key.strip(), number)
    return found


def _builds_on(key: str, data: Any, wrong: Any) -> tuple[tuple[str, str], ...]:
    """`[low-voltage-basics edition 1]`, or `{low-voltage-basics: 1}`, under `builds on` or `moves`."""
    if data in ("", (), "none"):
        return ()
    if isinstance(data, dict):
        data = [f"{name} edition {edition}" for name, edition in data.items()]
    if isinstance(data, str):
        data = [data]
    found: list[tuple[str, str]] = []
    for item in data if isinstance(data, list) else [data]:
        match = _BUILDS_ON.match(item.strip()) if isinstance(item, str) else None
        if match is None or not NAME.match(match[1]):
            wrong(f'"{clean(str(item), 60)}" does not name a pack {"to build on" if key == "builds on" else "whose limits it moves"}',
                  f"Write: {key}: [low-voltage-basics edition 1]")
        else:
            found.append((match[1], match[2]))
    return tuple(found)


def _sources(data: Any, wrong: Any) -> tuple[Source, ...]:
    if data == "":
        return ()
    if isinstance(data, dict):
        data = [{"name": name, **(fields if isinstance(fields, dict) else {"says": fields})} for name, fields in data.items()]
    if not isinstance(data, list | tuple):
        wrong("sources is a list", "Write one source a line, each with title, edition and place.")
        return ()
    found = []
    for item in data:
        fields = item.items() if isinstance(item, dict) else [("title", item)]
        if not all(isinstance(value, str) for _, value in fields):
            wrong("a source holds something that is not a text", "Write title, edition and place as plain texts.")
            continue
        found.append(Source(tuple((str(key), value) for key, value in fields)))
    return tuple(found)


def _left_out(data: Any, wrong: Any) -> tuple[LeftOut, ...]:
    if data == "":
        return ()
    found: list[LeftOut] = []
    for item in data if isinstance(data, list | tuple) else [data]:
        if not isinstance(item, dict) or set(item) != {"practice", "because"} or not all(isinstance(v, str) and v.strip() for v in item.values()):
            wrong("what is left out says practice and because", "Write one a line: - {practice: bends-generous, because: \"No word says how it bends.\"}")
        elif not NAME.match(item["practice"].strip()):
            wrong(f'"{clean(item["practice"], 60)}" cannot be the name of a practice', "Names are small letters and hyphens.")
        else:
            found.append(LeftOut(item["practice"].strip(), " ".join(item["because"].split())))
    return tuple(found)


def _excused(data: Any, text: str, start: int, wrong: Any) -> tuple[Excused, ...]:
    """Planted faults nobody can notice: each with practice, change, because and the mark of the card."""
    if data in ("", ()):
        return ()
    if not isinstance(data, list):
        wrong("excused is a list", "Write one fault a line, as `tugtest pack prove` prints it.", start)
        return ()
    found: list[Excused] = []
    lines = [number for number, line in enumerate(text.splitlines(), 1) if number > start and re.match(r"\s*- ", line)]
    for number, item in enumerate(data):
        line = lines[number] if number < len(lines) else start
        if not isinstance(item, dict) or any(not isinstance(item.get(key), str) or not item[key].strip() for key in _EXCUSE) or len(item) > len(_EXCUSE):
            wrong("an excuse says practice, change, because and card", "Copy it as `tugtest pack prove` prints it, and add the reason.", line)
        elif len(item["because"].strip()) < 10:
            wrong(f"the reason to excuse a fault of {clean(item['practice'], 60)} is too short to be one", "At least ten characters.", line)
        else:
            found.append(Excused(item["practice"].strip(), " ".join(item["change"].split()), " ".join(item["because"].split()), item["card"].strip(), line))
    return tuple(found)
