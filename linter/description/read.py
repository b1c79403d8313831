"""Bytes to a tree with places, bounded. The only module here that knows YAML.

YAML 1.2 words with PyYAML's scanner: its events are used, its (1.1) idea of what `on`, `012` or `2026-05-03` mean is not. libyaml does
the scanning where it is there; the pure Python scanner gives the same events, slower.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field

import yaml

from linter.base.bounds import FILE_BYTES, KEY_LENGTH, TEXT_LENGTH, YAML_DEPTH, YAML_NODES
from linter.base.span import Span
from linter.description.broken import explain
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# A control character (tab and line ends aside), or something Unicode never assigns to a character.
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
# A value that is just "?": YAML takes it for its own sign. It is read as another single character and put back, so no column moves.
_ASKED = re.compile(r"([:,\-\[][ \t]*)\?(?=[ \t]*(?:[,\]}\n\r#]|\Z))")
_SECTION = re.compile(r"^[^\s#\-\]})]", re.MULTILINE)
_MOST_SECTIONS = 60


@dataclass(slots=True)
class Budget:
    """Values still allowed, over a file and all it brings in."""

    values: int = YAML_NODES.most


@dataclass(slots=True)
class Written:
    """What a file says.

    Attributes:
        tree: The table it is, or None.
        broken: Sections that could not be read at all, so that nobody complains of names they may hold.
    """

    tree: Table | None
    broken: set[str] = field(default_factory=set)


class _Refused(Exception):
    """Reading stops here; the trouble is already noted."""


def read_text(text: bytes, file: str, troubles: Troubles, budget: Budget | None = None) -> Written:
    """The tree of one file. Everything wrong goes to `troubles`; a tree may come back all the same, to look at the rest."""
    budget = budget or Budget()
    decoded = _decoded(text, file, troubles)
    if decoded is None:
        return Written(None)
    stand_in = next((chr(c) for c in range(0xE000, 0xF8FF) if chr(c) not in decoded), None)
    if stand_in is not None:
        decoded = _ASKED.sub(lambda m: m[1] + stand_in, decoded)
    reader = _Reader(file, troubles, budget, stand_in)
    try:
        tree = reader.read(decoded, 0)
    except _Refused:
        return Written(None)
    except yaml.YAMLError as error:
        return _by_sections(decoded, error, reader)
    if tree is None:
        troubles.add("empty-file", "There is nothing in this description", Span(file), "Start with: tugtest: 1")
        return Written(None)
    if not isinstance(tree, Table):
        troubles.add("wrong-shape", "A description is a table of sections, and this is not one", tree, "Start with a line such as: tugtest: 1")
        return Written(None)
    return Written(tree)


def _decoded(text: bytes, file: str, troubles: Troubles) -> str | None:
    if len(text) > FILE_BYTES.most:
        troubles.add(
            "file-too-large", f"This file is larger than the {FILE_BYTES.most:,} bytes that are read", Span(file),
            "Split it, and bring the parts in with include."
        )
        return None
    if text.startswith((b"\xff\xfe", b"\xfe\xff")):
        troubles.add("not-plain-text", "This file is written in UTF-16", Span(file), "Save it as UTF-8.")
        return None
    if text.startswith(b"\xef\xbb\xbf"):
        troubles.add("not-plain-text", "This file begins with an invisible byte order mark", Span(file), "Save it as UTF-8 without a byte order mark.")
        return None
    try:
        decoded = text.decode("utf-8")
    except UnicodeDecodeError as error:
        before = text[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        troubles.add(
            "not-plain-text",
            "This file is not plain text in UTF-8",
            Span(file, line, column),
            "Save it as UTF-8; if it is not a text file at all, name the right one.",
        )
        return None
    bad = _FORBIDDEN.search(decoded)
    if bad:
        line = decoded.count("\n", 0, bad.start()) + 1
        column = bad.start() - decoded.rfind("\n", 0, bad.start())
        troubles.add("forbidden-character", f"Character U+{ord(bad[0]):04X} has no place in a text", Span(file, line, column), "Take it out.")
        return None
    return decoded


def _by_sections(decoded: str, error: yaml.YAMLError, reader: _Reader) -> Written:
    """After a slip in one section the others are still read, so that one run tells all."""
    text = [line.rstrip("\r") for line in decoded.split("\n")]
    reader.budget.values = reader.allowed
    starts = [m.start() for m in _SECTION.finditer(decoded)]
    whole = Written(None)
    if 1 < len(starts) <= _MOST_SECTIONS:
        tree = Table(reader.file, 1, 1, None, "")
        before = len(reader.troubles.found)
        for start, end in zip(starts, [*starts[1:], len(decoded)], strict=True):
            lines = decoded.count("\n", 0, start)
            try:
                piece = reader.read(decoded[start:end], lines)
            except _Refused:
                whole.broken.add("?")
                continue
            except yaml.YAMLError as wrong:
                whole.broken.add(decoded[start:end].partition(":")[0].strip())
                _tell(wrong, text, lines, reader)
                continue
            if isinstance(piece, Table):
                for key, value in piece.values.items():
                    if key in tree.keys:
                        _twice(key, piece.keys[key], tree.keys[key], reader.troubles)
                    else:
                        tree.keys[key], tree.values[key] = piece.keys[key], value
                        value.up, piece.keys[key].up = tree, tree
        if len(reader.troubles.found) > before:
            whole.tree = tree
            return whole
    _tell(error, text, 0, reader)
    return Written(None, {"?"})


def _tell(error: yaml.YAMLError, text: list[str], lines: int, reader: _Reader) -> None:
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", "") or "")
    context = str(getattr(error, "context", None) or "")
    mark = getattr(error, "problem_mark", None)
    start = getattr(error, "context_mark", None)
    line, column = (mark.line + lines, mark.column) if mark else (lines, 0)
    begun = start.line + lines if start else None
    told = explain(problem, context, text, line, column, begun)
    reader.troubles.add("broken-yaml", told.headline, Span(reader.file, told.line + 1, told.column + 1), told.remedy)


def _twice(key: str, again: Text, first: Text, troubles: Troubles) -> None:
    troubles.add(
        "written-twice", f"{quoted(key)} is written twice in one table; the first is in line {first.line}", again, "Keep one of them, or give one another name."
    )


def _start(event: yaml.Event, lines: int) -> tuple[int, int]:
    """Line and column of an event, counted from one."""
    mark = event.start_mark
    return (mark.line + 1 + lines, mark.column + 1) if mark is not None else (1 + lines, 1)


class _Reader:
    """Events to nodes."""

    def __init__(self, file: str, troubles: Troubles, budget: Budget, stand_in: str | None) -> None:
        self.file, self.troubles, self.budget, self.stand_in = file, troubles, budget, stand_in
        self.allowed = budget.values

    def read(self, text: str, lines: int) -> Node | None:
        """One document. `lines` stand before this text in its file.

        Raises:
            yaml.YAMLError: no YAML.
            _Refused: past a bound; told.
        """
        loader = _LOADER(text)
        try:
            return self._document(loader, lines)
        finally:
            loader.dispose()

    def _document(self, loader: yaml.SafeLoader, lines: int) -> Node | None:
        # open: [node, key waiting for its value, values so far, depth so far, anchor]
        root: Node | None = None
        stack: list[_Open] = []
        anchors: dict[str, tuple[Node, int, int]] = {}
        ended = False
        node: Node
        while loader.check_event():
            event = loader.get_event()  # type: ignore[no-untyped-call]
            if isinstance(event, yaml.ScalarEvent):
                node, count, depth = self._scalar(event, lines), 1, 0
                if event.anchor:
                    anchors[event.anchor] = (node, 1, 0)
            elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
                line, column = _start(event, lines)
                made: Table | Many
                if isinstance(event, yaml.MappingStartEvent):
                    made = Table(self.file, line, column, None, "", flow=bool(event.flow_style))
                else:
                    made = Many(self.file, line, column, None, "", flow=bool(event.flow_style))
                self._no_tag(event.tag, made)
                if len(stack) >= YAML_DEPTH.most:
                    self._refuse("too-deep", f"This is nested more than {YAML_DEPTH.most} levels deep", made, "A description needs about six.")
                stack.append(_Open(made, event.anchor))
                continue
            elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
                closed = stack.pop()
                node, count, depth = closed.node, closed.count, closed.depth
                if closed.anchor:
                    anchors[closed.anchor] = (node, count, depth)
            elif isinstance(event, yaml.AliasEvent):
                node, count, depth = self._alias(event, stack, anchors, lines)
            elif isinstance(event, yaml.DocumentStartEvent):
                if ended or event.tags:
                    place = Text(self.file, *_start(event, lines), None, "")
                    if ended:
                        self._refuse("several-documents", "A second document begins here", place, "Take the line --- out: one file is one description.")
                    self._refuse("tag", "YAML tags are not read here", place, "Take the %TAG line out.")
                continue
            else:
                ended = ended or isinstance(event, yaml.DocumentEndEvent)
                continue
            if stack:
                self._place(node, stack, count, depth)
            else:
                root = node
        return root

    def _place(self, node: Node, stack: list[_Open], count: int, depth: int) -> None:
        top = stack[-1]
        top.count += count
        top.depth = max(top.depth, depth + 1)
        # Counted here for everything new, and once more for everything an alias repeats.
        if not isinstance(node, Table | Many) or node.up is not None:
            self.budget.values -= count
            if self.budget.values < 0:
                self._refuse(
                    "too-many-values", f"There are more than {YAML_NODES.most:,} values here", node, "Split the description, or take repeated anchors out."
                )
        if isinstance(top.node, Many):
            if node.up is None:
                node.up, node.step = top.node, str(len(top.node.items))
            top.node.items.append(node)
            return
        table = top.node
        if top.key is None and not top.skip:
            if isinstance(node, Text) and not node.missing and len(node.value) <= KEY_LENGTH.most:
                if node.up is not None:
                    node = Text(node.file, node.line, node.column, None, "", node.value, node.quoted, node.shift)
                node.up, node.step = table, node.value
                if node.value in table.keys:
                    _twice(node.value, node, table.keys[node.value], self.troubles)
                    top.skip = True
                else:
                    top.key = node
            else:
                if isinstance(node, Text) and len(node.value) > KEY_LENGTH.most:
                    self.troubles.add("text-too-long", f"This key has {len(node.value):,} characters; {KEY_LENGTH.most} are read", node)
                else:
                    self.troubles.add(
                        "key-not-text",
                        "A key must be a word or a few, and this is not",
                        node,
                        "If it was meant as text, put it in quotes; a colon at the end of a line makes a key of what stands before it.",
                    )
                top.skip = True
            return
        if top.skip:
            top.skip = False
            return
        key = top.key
        assert key is not None
        top.key = None
        if node.up is None:
            node.up, node.step = table, key.value
        table.keys[key.value], table.values[key.value] = key, node

    def _scalar(self, event: yaml.ScalarEvent, lines: int) -> Text:
        line, column = _start(event, lines)
        value = event.value
        if self.stand_in is not None and self.stand_in in value:
            value = value.replace(self.stand_in, "?")
        quotes = event.style in ("'", '"')
        many_lines = event.end_mark is not None and event.end_mark.line + 1 + lines != line
        shift = None if many_lines or event.style in ("|", ">") else 1 if quotes else 0
        node = Text(self.file, line, column, None, "", value, bool(event.style), shift)
        self._no_tag(event.tag, node)
        if len(value) > TEXT_LENGTH.most:
            self.troubles.add("text-too-long", f"This text has {len(value):,} characters; {TEXT_LENGTH.most:,} are read", node, "Shorten it.")
            node.value = value[: TEXT_LENGTH.most]
        elif not value.isprintable():
            bad = next((c for c in value if c != "\n" and c != "\t" and unicodedata.category(c) in ("Cc", "Cs", "Cn")), None)
            if bad is not None:
                self.troubles.add("forbidden-character", f"Character U+{ord(bad):04X} has no place in a text", node, "Take it out.")
        return node

    def _alias(self, event: yaml.AliasEvent, stack: list[_Open], anchors: dict[str, tuple[Node, int, int]], lines: int) -> tuple[Node, int, int]:
        place = Text(self.file, *_start(event, lines), None, "")
        anchor = event.anchor or ""
        if any(entry.anchor == anchor for entry in stack):
            self._refuse("alias", f"*{anchor[:40]} stands inside the very thing it repeats", place, "Write the value out.")
        found = anchors.get(anchor)
        if found is None:
            self._refuse("alias", f"Nothing above is named &{anchor[:40]}", place, "A value that begins with a star must stand in quotes.")
            raise _Refused
        if len(stack) + found[2] > YAML_DEPTH.most:
            self._refuse("too-deep", f"This is nested more than {YAML_DEPTH.most} levels deep", place, "Write the value out.")
        return found

    def _no_tag(self, tag: str | None, node: Node) -> None:
        if tag is not None:
            self.troubles.add(
                "tag",
                f"YAML tags such as {quoted(tag, 40)} are not read here",
                node,
                "Take it out; a text that begins with an exclamation mark must stand in quotes.",
            )

    def _refuse(self, kind: str, headline: str, node: Node, remedy: str) -> None:
        self.troubles.add(kind, headline, Span(node.file, node.line, node.column), remedy)
        raise _Refused


class _Open:
    """A table or list that is still being read."""

    __slots__ = ("anchor", "count", "depth", "key", "node", "skip")

    def __init__(self, node: Table | Many, anchor: str | None) -> None:
        self.node, self.anchor = node, anchor
        self.key: Text | None = None
        self.skip = False
        self.count, self.depth = 1, 0
