"""Runs as routes: "B1 positive, 0 mm, F1, W11 1.2 m, R1, W12 4.8 m, X1 flatbed positive", read the way a finger follows them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import chain

from linter.base.diagnostic import Mark
from linter.base.reading import Reading
from linter.base.span import Span
from linter.base.text import clean, listed
from linter.base.values import Range
from linter.description.described import Route, Stop
from linter.description.keys import NODES, TWO_SIDED
from linter.description.names import MOST_WORDS, Names
from linter.description.parts import Draft, Parts
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.description.values import amount, nothing
from linter.units.dimension import LENGTH

_DECIMAL_COMMA = re.compile(r"\d,\d")
_NUMBER_END = re.compile(r"(.*\S)\s+([-−]?\d[\d.]*\s*\S{0,8})\Z")
_RANGE_END = re.compile(r"(.*?\S)\s+([-−]?\d[\d.]*\s*\S{0,8}\s+to\s.{0,20})\Z")
_BARE_NUMBER = re.compile(r".*\s\d+\Z")
_ALSO = {"plus": "positive", "+": "positive", "minus": "negative", "-": "negative", "in": "line", "out": "load", "input": "line", "output": "load"}
# A run may end in nothing: the wire's end is capped, or bare.
LOOSE_ENDS = ("capped end", "bare end")


@dataclass(slots=True)
class Led:
    """A conductor as the routes tell it.

    Attributes:
        name: Of the wire.
        length: None where the route does not say.
        at: Where its route names it.
    """

    name: str
    length: Reading | None
    at: Span


@dataclass(slots=True)
class _Item:
    """A stop, with what it says for the neighbours. stop is None where the item could not be read."""

    stop: Stop | None
    text: str
    at: Span

    @property
    def connects(self) -> bool:
        return self.stop is not None and self.stop.sort in ("conductor", "joint")


@dataclass(slots=True)
class Routes:
    """Reads the runs against the parts.

    Attributes:
        drafts: The parts, by name; places and the like are no stops.
        conductors: Wires named, in the order of the runs.
        implied: Chassis of vehicles and loose ends that no part describes: name to (kind, what it belongs to, where).
        contacts: Contacts named of couplings that do not list theirs.
    """

    names: Names
    parts: Parts
    drafts: Mapping[str, Draft]
    described_wires: dict[str, Node]
    troubles: Troubles
    conductors: dict[str, Led] = field(default_factory=dict)
    implied: dict[str, tuple[str, str, Span]] = field(default_factory=dict)
    contacts: dict[str, dict[str, None]] = field(default_factory=dict)
    _passed: dict[str, Span] = field(default_factory=dict)

    def read(self, run: Text, node: Node) -> list[Route]:
        """The routes of one run."""
        if isinstance(node, Text):
            if node.missing:
                nothing(node, run, "", self.troubles)
                return []
            return self._one(run.value, node)
        if isinstance(node, Table):
            self.troubles.add(
                "route-reshaped",
                f"The run {quoted(run.value)} is a table, not a list of routes",
                node,
                "Begin each route with a dash, and take the colons out: - B1 positive, W1 1.2 m, F1 line.",
            )
            return []
        assert isinstance(node, Many)
        # "[B1 positive, W1 2 m, B2 positive]": YAML took the commas; no single route is without one, so this is one route.
        if len(node.items) > 1 and all(isinstance(i, Text) and "," not in i.value for i in node.items):
            return self._one(run.value, node)
        found = []
        for item in node.items:
            found.extend(self._one(run.value, item))
        return found

    # ---- one route ------------------------------------------------------------------------------------------------------------------

    def _one(self, run: str, node: Node) -> list[Route]:
        items = None if self.troubles.full else self._split(run, node)
        if items is None:
            return []
        read: list[_Item] = []
        for place, (text, at) in enumerate(items):
            # "[W1 1,2 m]": YAML made two items of a decimal comma. The first was told; the second is only its tail.
            tail = bool(read) and read[-1].stop is None and _BARE_NUMBER.match(read[-1].text) is not None and _length(text) is not None
            read.append(_Item(None if tail else self._stop(text, at, place in (0, len(items) - 1)), text, at))
        before = len(self.troubles.found)
        for item in read:
            if item.stop is not None and item.stop.sort == "device":
                self._pass(item)
        stops = self._joined(run, read)
        if stops is None or len(self.troubles.found) > before or any(i.stop is None for i in read):
            return []
        return [Route(run, tuple(stops), node.span)]

    def _split(self, run: str, node: Node) -> list[tuple[str, Span]] | None:
        if isinstance(node, Text):
            if node.missing:
                self.troubles.add("route-reshaped", f"A route of {quoted(run)} is empty", node, "Take the dash out, or write the route behind it.")
                return None
            comma = _DECIMAL_COMMA.search(node.value)
            if comma:
                wrong = node.value[max(0, comma.start() - 3) : comma.end() + 3]
                self.troubles.add(
                    "unreadable-quantity",
                    f"A decimal comma stands in {quoted(wrong.strip())} ({clean(run, 40)})",
                    node.part(comma.start()),
                    "Write decimals with a point: 1.2 m; and a blank after the comma between two items.",
                )
                return None
            found, offset = [], 0
            for piece in node.value.split(","):
                text = " ".join(piece.split())
                start = offset + len(piece) - len(piece.lstrip())
                offset += len(piece) + 1
                found.append((text, node.part(start)))
            if found and not found[-1][0] and len(found) > 1:
                found.pop()
            for text, at in found:
                if not text:
                    self.troubles.add("run-goes-nowhere", f"Nothing stands between two commas of a route of {quoted(run)}", at, "Take one comma out.")
                    return None
            return found
        if isinstance(node, Many):
            items = []
            for item in node.items:
                if not isinstance(item, Text) or item.missing:
                    self.troubles.add(
                        "route-reshaped",
                        f"A route of {quoted(run)} holds something that is no item",
                        item,
                        "A route is a line of items with commas: - B1 positive, W1 1.2 m, F1 line.",
                    )
                    return None
                items.append((" ".join(item.value.split()), item.span))
            return items
        assert isinstance(node, Table)
        if node.values:
            first = next(iter(node.keys.values()))
            self.troubles.add(
                "route-reshaped",
                f"A colon made a table of a route of {quoted(run)}",
                first,
                f"Take the colon after {quoted(first.value)} out, or put the whole route in quotes.",
            )
        else:
            self.troubles.add("route-reshaped", f"A route of {quoted(run)} is an empty table", node, "Write the route as one line.")
        return None

    # ---- one item -------------------------------------------------------------------------------------------------------------------

    def _stop(self, text: str, at: Span, end: bool) -> Stop | None:
        alone = _length(text)
        if alone is not None:
            if alone.low == 0 == alone.high:
                return Stop("joint", "", "", at)
            self.troubles.add(
                "run-goes-nowhere",
                f"{quoted(text)} is a length without the name of a wire",
                at,
                "Write the wire's name before its length; a decimal has a point: W11 1.2 m.",
            )
            return None
        if text in self.names.taken_twice:
            return None
        if text in self.drafts:
            return self._part(text, at, end)
        led = _wire_and_length(text)
        if led is not None:
            name, length = led
            return self._conductor(name, length, at)
        words = text.split(" ")
        for cut in range(min(len(words) - 1, MOST_WORDS), 0, -1):
            name = " ".join(words[:cut])
            if name in self.names.taken_twice:
                return None
            if name in self.drafts:
                return self._terminal(name, " ".join(words[cut:]), at)
        if text in self.described_wires:
            return self._conductor(text, None, at)
        if text.endswith(" chassis") and text[: -len(" chassis")] in self.names.known and self.names.known[text[: -len(" chassis")]].kind == "vehicle":
            self.implied.setdefault(text, ("chassis", text[: -len(" chassis")], at))
            return Stop("node", text, "stud", at)
        if text in LOOSE_ENDS:
            return Stop("node", text, "stud", at)
        self._nowhere(text, at)
        return None

    def _part(self, name: str, at: Span, end: bool) -> Stop | None:
        kind = self.drafts[name].kind
        if not kind:
            return None
        if kind in NODES:
            return Stop("node", name, "stud", at)
        if kind in TWO_SIDED:
            if end:
                self.troubles.add(
                    "side-needed",
                    f"A route begins or ends on {clean(name, 40)}, which has two sides",
                    at,
                    f"Say which: {clean(name, 40)} line or {clean(name, 40)} load.",
                )
                return None
            return Stop("device", name, "", at)
        self.troubles.add(
            "unknown-terminal", f"{clean(name, 40)} is a {kind.replace('-', ' ')}: a route must say which of its terminals it meets", at, self._known(name)
        )
        return None

    def _known(self, name: str) -> str:
        known = self.parts.terminals(name)
        return f"Write {listed([clean(f'{name} {t}', 60) for t in known], 'or')}." if known else f"Write {clean(name, 40)} and the terminal's name."

    def _terminal(self, name: str, terminal: str, at: Span) -> Stop | None:
        draft = self.drafts[name]
        if not draft.kind:
            return None
        known = self.parts.terminals(name)
        if known is None:
            if draft.kind == "coupling" and draft.between:
                half = next((h for h in draft.between if terminal.startswith(h + " ")), None)
                if half is None:
                    self.troubles.add(
                        "unknown-terminal",
                        f"{quoted(terminal)} is no contact of {clean(name, 40)}",
                        at,
                        f"Say the half and the contact: {clean(name, 40)} {clean(draft.between[0], 40)} positive.",
                    )
                    return None
                self.contacts.setdefault(name, {}).setdefault(terminal[len(half) + 1 :])
            return Stop("terminal", name, terminal, at)
        if terminal in known:
            return Stop("node", name, "stud", at) if draft.kind in NODES else Stop("terminal", name, terminal, at)
        number = _NUMBER_END.match(f"{name} {terminal}")
        if number and terminal[:1].isdigit():
            self.troubles.add(
                "unknown-terminal",
                f"{clean(name, 40)} is a {draft.kind.replace('-', ' ')}, and a length stands behind it as if it were a wire",
                at,
                "Give the wire a name of its own.",
            )
            return None
        near = next((k for k in known if k == _ALSO.get(terminal)), None) or self.troubles.near(terminal, known)
        said = draft.kind.replace("-", " ")
        self.troubles.add(
            "unknown-terminal",
            f"{clean(name, 40)}, a {said}, has no terminal {quoted(terminal)}",
            at,
            f"Did you mean {clean(f'{name} {near}', 80)}? Known: {listed(list(known))}." if near else f"Known: {listed([clean(k, 40) for k in known])}.",
        )
        return None

    def _conductor(self, name: str, length: str | None, at: Span) -> Stop | None:
        if name in self.drafts:
            kind = self.drafts[name].kind.replace("-", " ") or "part"
            self.troubles.add(
                "unknown-terminal", f"{clean(name, 40)} is a {kind}, and a length stands behind it as if it were a wire", at, "Give the wire a name of its own."
            )
            return None
        before = self.conductors.get(name)
        if before is not None:
            self.troubles.add(
                "wire-used-twice",
                f"The wire {quoted(name)} stands in two routes, or twice in one",
                at,
                "Each wire runs once; give the second one a name of its own, such as a letter behind it.",
                (Mark("first", f"line {before.at.line}", before.at),),
            )
            return None
        if name not in self.described_wires:
            entry = self.names.known.get(name)
            if entry is not None:
                self.troubles.add(
                    "name-taken", f"{quoted(name)} is not a wire: it already names a {entry.kind.replace('-', ' ')}", at, "Give the wire a name of its own."
                )
                return None
            if not self.names.add(name, "conductor", "wires", _place(at)):
                return None
        reading = None
        if length is not None:
            value = amount(length, LENGTH, 0.0)
            reading = Reading(value, "stated", at) if isinstance(value, Range) else None
        self.conductors[name] = Led(name, reading, at)
        return Stop("conductor", name, "", at)

    def _nowhere(self, text: str, at: Span) -> None:
        number = _RANGE_END.match(text) or _NUMBER_END.match(text)
        if number:
            found = amount(number[2], LENGTH, 0.0)
            if not isinstance(found, Range) and number[1] not in self.drafts:
                hint = found[1]
                if _BARE_NUMBER.match(text):
                    hint = "A length needs its unit: W11 1.2 m. If a decimal comma was meant, write a point."
                self.troubles.add("unreadable-quantity", f"The length behind {quoted(number[1])} cannot be read: {clean(found[0], 100)}", at, hint)
                return
        if not self.names.whole or self.troubles.full:
            return
        entry = self.names.known.get(text)
        if entry is not None:
            said = entry.kind.replace("-", " ")
            self.troubles.add(
                "run-goes-nowhere",
                f"{quoted(text)} is a {said}, and no wire is fixed to a {said}",
                at,
                "Which places a wire passes is said under wires: passes: [locker, roof]." if said == "place" else "Name a part or one of its terminals.",
            )
            return
        first = text.split(" ")[0]
        near = self.troubles.near(text, chain(self.drafts, self.described_wires, LOOSE_ENDS))
        near = near or self.troubles.near(first, chain(self.drafts, self.described_wires))
        self.troubles.add(
            "run-goes-nowhere",
            f"{quoted(text)} is neither a part, nor a terminal of one, nor a wire with its length",
            at,
            f"Did you mean {clean(near, 60)}?" if near else "Describe the part under parts, or write the wire's length behind its name.",
        )

    # ---- neighbours -----------------------------------------------------------------------------------------------------------------

    def _pass(self, item: _Item) -> None:
        assert item.stop is not None
        name = item.stop.element
        before = self._passed.get(name)
        if before is None:
            self._passed[name] = item.at
        else:
            self.troubles.add(
                "passed-twice",
                f"{quoted(name)} is passed through twice",
                item.at,
                f"One device stands in one place; to branch off one of its sides write {clean(name, 40)} line or {clean(name, 40)} load.",
                (Mark("first", f"line {before.line}", before),),
            )

    def _joined(self, run: str, read: list[_Item]) -> list[Stop] | None:
        """The stops with the joints that bars imply; None if the route does not hold together."""
        if len(read) < 2 or (len(read) < 3 and not any(i.stop is None for i in read)):
            where = read[0].at if read else None
            if where is not None and all(i.stop is not None for i in read):
                self.troubles.add(
                    "run-goes-nowhere",
                    f"A route of {quoted(run)} joins nothing: it needs a beginning, a wire and an end",
                    where,
                    "Write it in order: B1 positive, W1 1.2 m, F1 line.",
                )
            return None
        for item in (read[0], read[-1]):
            if item.connects:
                what = "0 mm" if item.stop is not None and item.stop.sort == "joint" else f"the wire {quoted(item.stop.element if item.stop else '')}"
                self.troubles.add(
                    "run-goes-nowhere",
                    f"A route of {quoted(run)} {'begins' if item is read[0] else 'ends'} with {what}, not on a terminal",
                    item.at,
                    "Name what the wire is fixed to; a wire that ends in nothing ends on: capped end, or: bare end.",
                )
        found: list[Stop] = []
        last: _Item | None = None
        for item in read:
            stop = item.stop
            if stop is None:
                last = None
                continue
            if last is not None and last.stop is not None:
                if item.connects and last.connects:
                    self.troubles.add(
                        "two-wires-meet",
                        f"Two wires follow one another in a route of {quoted(run)}, and nothing is said of where they meet: "
                        f"{clean(last.text, 40)}, {clean(item.text, 40)}",
                        item.at,
                        "Describe the splice or stud between them as a junction, or make one wire of them.",
                    )
                elif not item.connects and not last.connects:
                    if {stop.sort, last.stop.sort} == {"device", "node"}:
                        # A fuse or switch told right beside a bar is bolted onto it.
                        found.append(Stop("joint", "", "", item.at))
                    else:
                        self.troubles.add(
                            "nothing-between",
                            f"No wire is named between {clean(last.text, 40)} and {clean(item.text, 40)}",
                            item.at,
                            "Write the wire and its length between them, or 0 mm if they are bolted together.",
                        )
            found.append(self._loose(stop, last) if stop.element in LOOSE_ENDS and stop.sort == "node" else stop)
            last = item
        if read[0].stop is not None and read[0].stop.element in LOOSE_ENDS and len(read) > 1 and read[1].stop is not None:
            found[0] = self._loose(read[0].stop, read[1])
        ends = [i.stop for i in (read[0], read[-1]) if i.stop is not None]
        if len(ends) == 2 and ends[0].element == ends[1].element and ends[0].terminal == ends[1].terminal and not read[0].connects:
            self.troubles.add("run-goes-nowhere", f"A route of {quoted(run)} ends where it begins, on {clean(read[0].text, 60)}", read[-1].at, None)
        return found

    def _loose(self, stop: Stop, beside: _Item | None) -> Stop:
        """The end of a wire that is fixed to nothing: a node nobody else meets."""
        if beside is None or beside.stop is None or beside.stop.sort != "conductor":
            return stop
        name = f"{beside.stop.element} {stop.element}"
        while name in self.implied:
            name += " again"
        self.implied[name] = ("junction", stop.element, stop.at)
        return Stop("node", name, "stud", stop.at)


def _place(at: Span) -> Node:
    """A node that is only a place, for a name that stands inside a longer text."""
    return _Placed(at)


class _Placed(Node):
    __slots__ = ("_at",)

    def __init__(self, at: Span) -> None:
        super().__init__(at.file, at.line, at.column, None, "")
        self._at = at

    @property
    def span(self) -> Span:
        return self._at


def _length(text: str) -> Range | None:
    if not text[:1].isdigit():
        return None
    found = amount(text, LENGTH, 0.0)
    return found if isinstance(found, Range) else None


def _wire_and_length(text: str) -> tuple[str, str | None] | None:
    """ "bar 1 0.2 m" as ("bar 1", "0.2 m"); "W11 ?" as ("W11", None)."""
    words = text.split(" ")
    if len(words) > 12:
        return None
    if len(words) > 1 and words[-1] == "?":
        return " ".join(words[:-1]), None
    for cut in range(1, len(words)):
        rest = " ".join(words[cut:])
        if words[cut] == "to":
            return None  # "W1 4 to 3 m": a range that cannot be read, and no wire called "W1 4 to".
        if (rest[0].isdigit() or rest.startswith(("at least ", "at most "))) and isinstance(amount(rest, LENGTH, 0.0), Range):
            return " ".join(words[:cut]), rest
    return None
