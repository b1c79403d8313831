"""From the text of a description to what it says, typed. Every problem is told in one run, sorted by place."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from linter.base.bounds import ELEMENTS, INCLUDES
from linter.base.diagnostic import Diagnostic
from linter.base.reading import Reading
from linter.base.text import clean, listed
from linter.base.truth import Truth
from linter.description import keys
from linter.description.conditions import Conditions
from linter.description.described import Described, Said, Thing
from linter.description.names import Names
from linter.description.papers import Papers
from linter.description.parts import Draft, Parts, told_of
from linter.description.read import Budget, read_text
from linter.description.routes import Routes
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.description.values import Facts, nothing, texts
from linter.description.wires import Wires
from linter.vocabulary import vocabulary

# Gives the bytes of a file beside the description, or None. Called with a clean relative path; the caller still guards against links.
Fetch = Callable[[str], bytes | None]


def describe(text: bytes, file: str, fetch: Fetch | None = None) -> tuple[Described | None, list[Diagnostic]]:
    """What a description says, or why it cannot be used.

    Args:
        text: The bytes of the file.
        file: Its name, as the reader knows it.
        fetch: Gives the files it includes, by a path relative to its folder; without it, includes cannot be read.

    Returns:
        The description (None if something is wrong that stops the run) and everything that is wrong, sorted by place.
    """
    troubles = Troubles()
    files = _gather(text, file, fetch, troubles)
    described = _Builder(files, troubles).build(file) if files.tables else None
    if troubles.fatal and files.tables and files.whole:
        # Only here, never for a sound description: importing and running jsonschema costs more than all the rest.
        from linter.description.schema import beyond

        for table in files.tables:
            beyond(table, troubles)
    return (None if troubles.fatal else described), troubles.sorted()


@dataclass(slots=True)
class _Files:
    """The main file's table first, then what it brings in."""

    tables: list[Table] = field(default_factory=list)
    whole: bool = True


def _gather(text: bytes, file: str, fetch: Fetch | None, troubles: Troubles) -> _Files:
    files = _Files()
    budget = Budget()
    written = read_text(text, file, troubles, budget)
    files.whole = written.tree is not None and not written.broken
    if written.tree is None:
        return files
    files.tables.append(written.tree)
    seen = {posixpath.basename(file.replace("\\", "/"))}
    base = file[: len(file) - len(posixpath.basename(file.replace("\\", "/")))]
    waiting = _includes(written.tree, "", troubles)
    while waiting:
        path, at = waiting.pop(0)
        if path in seen:
            troubles.add("include", f"{quoted(path)} is brought in twice, or brings itself in", at, "Bring each file in once.")
            continue
        seen.add(path)
        if len(seen) > INCLUDES.most + 1:
            troubles.add("include", f"More than {INCLUDES.most} files are brought in", at, "Put them together.")
            break
        brought: bytes | None = None
        if fetch is not None:
            try:
                brought = fetch(path)
            except (OSError, ValueError):
                brought = None
        if brought is None:
            files.whole = False
            troubles.add(
                "include",
                f"{quoted(path)} cannot be read",
                at,
                "It must lie in the folder of this description, or below." if fetch else "Descriptions read from a stream cannot bring files in.",
            )
            continue
        written = read_text(brought, base + path, troubles, budget)
        files.whole = files.whole and written.tree is not None and not written.broken
        if written.tree is not None:
            files.tables.append(written.tree)
            waiting.extend(_includes(written.tree, posixpath.dirname(path), troubles))
    return files


def _includes(table: Table, folder: str, troubles: Troubles) -> list[tuple[str, Text]]:
    node = table.values.get("include")
    if node is None:
        return []
    found = []
    for item in texts(node, table.keys["include"], "", troubles):
        path = posixpath.normpath(posixpath.join(folder, item.value))
        if item.value.startswith("/") or "\\" in item.value or ":" in item.value or not item.value.isprintable() or path.startswith("..") or path in (".", ""):
            troubles.add(
                "include", f"{quoted(item.value)} does not lie in the folder of this description", item, "Name a file of the same folder, such as flatbed.yaml."
            )
        else:
            found.append((path, item))
    return found


class _Builder:
    """One description, section by section; references are looked up once all names are known."""

    def __init__(self, files: _Files, troubles: Troubles) -> None:
        self.tables, self.troubles = files.tables, troubles
        self.names = Names(troubles, files.whole)
        self.parts = Parts(self.names, troubles)
        self.conditions = Conditions(self.names, self.parts.dial, troubles)
        self.wires = Wires(self.names, self.parts, troubles)

    def build(self, file: str) -> Described | None:
        """The whole; what is wrong goes to the troubles."""
        papers = Papers(self.tables, self.names, self.conditions, self.troubles)
        papers.head()
        self._register()
        if len(self.names.known) > ELEMENTS.most:
            self.troubles.add(
                "too-many-elements", f"{len(self.names.known):,} things are described; {ELEMENTS.most:,} are read", self.tables[0], "Split the installation."
            )
            return None
        for table in self._sections("defaults"):
            self.parts.read_defaults(table)
        self.wires.describe(self._sections("wires"))
        drafts = [self.parts.draft(name) for name in self.parts.tables]
        routes = Routes(self.names, self.parts, {d.name: d for d in drafts if self.parts.tables[d.name][0] == "parts"}, self.wires.named, self.troubles)
        told = [route for table in self._sections("runs") for key, node in table.values.items() for route in routes.read(table.keys[key], node)]
        things = [self._thing(draft, routes) for draft in drafts]
        for name, (kind, of, at) in routes.implied.items():
            facts = (
                {"vehicle-of": Reading(frozenset({of}), "stated", at)}
                if kind == "chassis"
                else {"post-covers": Reading(Truth.YES if of == "capped end" else Truth.NO, "stated", at)}
            )
            things.append(Thing(name, kind, "" if kind == "chassis" else of, facts, at))
        things.extend(self.wires.things(routes.conductors))
        if len(things) > ELEMENTS.most:
            self.troubles.add(
                "too-many-elements", f"{len(things):,} things are described; {ELEMENTS.most:,} are read", self.tables[0], "Split the installation."
            )
            return None
        self._rings(things)
        extra = {f"{d.name} {half}" for d in drafts for half in d.between} | set(routes.implied)
        return papers.finish(file, tuple(things), tuple(told), extra)

    def _sections(self, name: str) -> list[Table]:
        found = []
        for table in self.tables:
            node = table.values.get(name)
            if node is None:
                continue
            if isinstance(node, Table):
                found.append(node)
            elif isinstance(node, Text) and node.missing:
                nothing(node, table.keys[name], "", self.troubles)
            else:
                self.troubles.add(
                    "wrong-shape",
                    f"The section {quoted(name)} must be a table: a name, a colon, and what is said of it",
                    node,
                    "Write each name on a line of its own, indented, with a colon behind it.",
                )
        return found

    def _register(self) -> None:
        for section in ("vehicles", "places", "parts", "holes"):
            for table in self._sections(section):
                for name, node in table.values.items():
                    key = table.keys[name]
                    if not isinstance(node, Table):
                        self._not_a_table(key, node, section)
                        node = Table(key.file, key.line, key.column, key.up, key.step)
                        kind = keys.SECTION_KIND.get(section, "")
                    else:
                        kind = keys.SECTION_KIND[section] if section in keys.SECTION_KIND else self.parts.kind_of(key, node)
                    if self.names.add(name, kind, section, key):
                        self.parts.tables[name] = (section, key, node)
        # Kinds of parts that are like another, now that all are known.
        for name, (section, _, node) in self.parts.tables.items():
            if section == "parts" and not self.names.known[name].kind and "kind" not in node.values:
                self.parts.likeness(name)
        for name, (section, key, _) in self.parts.tables.items():
            # "B1" and a part called "B1 positive" would be one terminal with two meanings.
            for cut in range(1, name.count(" ") + 1):
                words = name.split(" ")
                other = " ".join(words[:-cut])
                entry = self.names.known.get(other) if section == "parts" else None
                if entry is not None and entry.section == "parts" and entry.kind and " ".join(words[-cut:]) in vocabulary().kinds[entry.kind].terminals:
                    self.troubles.add("name-taken", f"{quoted(name)} is also a terminal of {clean(other, 40)}", key, "Give the part another name.")

    def _not_a_table(self, key: Text, node: Node, section: str) -> None:
        if isinstance(node, Text) and node.missing:
            if isinstance(key.up, Table) and key.up.flow:
                nothing(node, key, section, self.troubles)
            else:
                self.troubles.add(
                    "key-without-value",
                    f"Nothing is said of {quoted(key.value)}",
                    key,
                    "Write {kind: ...} behind it, or its keys on the next lines, indented."
                    if section == "parts"
                    else "Write {} behind it if nothing is known of it.",
                )
        else:
            what = "a list" if isinstance(node, Many) else quoted(node.value) if isinstance(node, Text) else "this"
            self.troubles.add("wrong-shape", f"{quoted(key.value)} must be a table of what is said of it, not {what}", node, "Write {key: value, key: value}.")

    # ---- things ---------------------------------------------------------------------------------------------------------------------

    def _thing(self, draft: Draft, routes: Routes) -> Thing:
        nodes = draft.nodes
        contacts = draft.contacts if draft.contacts is not None else tuple(routes.contacts.get(draft.name, ()))
        return Thing(
            draft.name,
            draft.kind,
            draft.title,
            draft.facts.readings,
            draft.at.span,
            draft.dial,
            draft.joins,
            closed_when=self._condition(nodes, "closed when", ("?", "unknown")),
            runs_when=self._condition(nodes, "runs when", ("?",)),
            barred_when=self._condition(nodes, "barred when", ("?", "none")),
            taken_as=draft.taken_as,
            between=draft.between,
            contacts=contacts,
            told=told_of(draft.facts),
            halves={half: facts.readings for half, facts in draft.halves.items()},
            studs=draft.studs,
            asked=frozenset(draft.facts.asked),
        )

    def _condition(self, nodes: Mapping[str, tuple[Text, Node]], key: str, unknown: tuple[str, ...]) -> tuple[Said, ...]:
        if key not in nodes:
            return ()
        at, node = nodes[key]
        if isinstance(node, Text):
            if node.missing:
                nothing(node, at, "", self.troubles)
                return ()
            if node.value in unknown:
                return ()
        return self.conditions.read(node)

    def _rings(self, things: list[Thing]) -> None:
        """A relay that in the end closes because of itself says nothing."""
        follows = {t.name: t.closed_when for t in things if t.kind == "relay" and t.closed_when}
        settled: set[str] = set()
        for start in follows:
            chain: dict[str, int] = {}  # Relays being followed, with how many of their conditions were looked at.
            name: str | None = start if start not in settled else None
            while name is not None:
                looked = chain.get(name, 0)
                if looked < len(follows[name]):
                    chain[name] = looked + 1
                    other = follows[name][looked].subject
                    if other in chain:
                        self._tell_ring(list(chain)[list(chain).index(other) :], follows)
                        return
                    name = other if other in follows and other not in settled else name
                else:
                    settled.add(name)
                    chain.pop(name, None)
                    name = next(reversed(chain), None)

    def _tell_ring(self, ring: list[str], follows: Mapping[str, tuple[Said, ...]]) -> None:
        alone = len(ring) == 1
        told = f"{listed([clean(r, 40) for r in ring])} {'closes' if alone else 'close'} only because of {'itself' if alone else 'one another'}"
        self.troubles.add("unreadable-condition", told, follows[ring[0]][0].at, "Say what closes the first of them.")


__all__ = ["Described", "Facts", "Fetch", "describe"]
