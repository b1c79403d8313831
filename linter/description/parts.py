"""Parts, places, vehicles, wires and holes: their facts, their likenesses and what builds the drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from linter.base.text import clean, listed
from linter.description import keys
from linter.description.described import Told
from linter.description.names import Names
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.description.values import Facts, nothing, plain, state, texts
from linter.vocabulary import vocabulary

Joined = tuple[tuple[str, ...], ...]


@dataclass(slots=True)
class Draft:
    """A thing while it is being read.

    Attributes:
        name, kind, title, at: As written; kind is "" where it could not be told.
        facts: Stated of it, likeness and defaults included.
        nodes: Structural keys: key to (where the key is, value).
        dial, joins, studs: Of a selector.
        between, contacts, halves: Of a coupling; contacts are None where they are not listed.
        taken_as: Of a switch.
    """

    name: str
    kind: str
    at: Node
    title: str = ""
    facts: Facts = field(default_factory=Facts)
    nodes: dict[str, tuple[Text, Node]] = field(default_factory=dict)
    dial: tuple[str, ...] = ()
    joins: dict[str, Joined | None] = field(default_factory=dict)
    studs: tuple[str, ...] = ()
    between: tuple[str, ...] = ()
    contacts: tuple[str, ...] | None = None
    halves: dict[str, Facts] = field(default_factory=dict)
    taken_as: str = ""


class Parts:
    """Reads the things of one section after the other; keeps the drafts by name."""

    def __init__(self, names: Names, troubles: Troubles) -> None:
        self.names, self.troubles = names, troubles
        self.tables: dict[str, tuple[str, Text, Table]] = {}
        self.drafts: dict[str, Draft] = {}
        self.defaults: list[tuple[str, Facts]] = []
        self._ring: set[str] = set()
        self._unlike: set[str] = set()  # Parts whose likeness leads nowhere; told elsewhere.

    # ---- kinds ----------------------------------------------------------------------------------------------------------------------

    def kind_of(self, key: Text, table: Table) -> str:
        """The kind a part says it is, "" if it says none we know; told."""
        node = table.values.get("kind")
        owner = key.value
        if node is None:
            if "<<" in table.keys:
                self.troubles.add("unknown-key", f'"<<" is not read here ({clean(owner, 40)})', table.keys["<<"], keys.HINTS["<<"])
            elif "like" not in table.values:
                self.troubles.add(
                    "missing-key", f"{quoted(owner)} does not say what it is", key, "Write kind: battery, fuse, load ... or like: and the name of another part."
                )
            return ""
        said = plain(node, table.keys["kind"], owner, self.troubles)
        if said is None:
            return ""
        kind = said.replace(" ", "-")
        if kind in keys.PART_KINDS:
            return kind
        words = vocabulary()
        below = [k.replace("-", " ") for k in keys.PART_KINDS if words.is_a(k, kind)]
        if below:
            self.troubles.add("unknown-kind", f"{quoted(said)} is too general a kind ({clean(owner, 40)})", node, f"Say which: {listed(below, 'or')}.")
            return ""
        near = self.troubles.near(said, [k.replace("-", " ") for k in keys.PART_KINDS])
        self.troubles.add(
            "unknown-kind",
            f"{quoted(said)} is no kind of part known here ({clean(owner, 40)})",
            node,
            f"Did you mean {near}?" if near else f"Known here: {listed([k.replace('-', ' ') for k in keys.PART_KINDS], 'or', 20)}.",
        )
        return ""

    def likeness(self, name: str) -> str:
        """The kind of a part that says like: another, through as many steps as it takes; "" after telling what is wrong."""
        seen: dict[str, None] = {}
        while name in self.tables and name not in seen and name not in self._unlike and self.tables[name][0] == "parts":
            kind = self.names.known[name].kind
            if kind:
                # Everybody on the way is told at once: a file may hold one long chain.
                for link in seen:
                    self.names.known[link] = replace(self.names.known[link], kind=kind)
                return kind
            like = self.tables[name][2].values.get("like")
            if not isinstance(like, Text) or like.missing or "kind" in self.tables[name][2].values:
                break
            seen[name] = None
            name = " ".join(like.value.split())
        self._unlike.update(seen)
        return ""

    # ---- facts ----------------------------------------------------------------------------------------------------------------------

    def read_defaults(self, table: Table) -> None:
        """`defaults: {wires: {...}, fuses: {...}}`, the most general kinds first."""
        words = vocabulary()
        for key, node in table.values.items():
            at = table.keys[key]
            kind = keys.plurals().get(key)
            if kind is None:
                near = self.troubles.near(key, list(keys.plurals()))
                self.troubles.add(
                    "unknown-key",
                    f"{quoted(key)} is no kind of thing that can have defaults",
                    at,
                    f"Did you mean {near}?" if near else "Write wires, fuses, batteries, places, holes ...",
                )
                continue
            if not isinstance(node, Table):
                self._shape(at, node, f"the defaults of {key}")
                continue
            facts, nodes = Facts(), dict[str, tuple[Text, Node]]()
            self.read_facts(kind, node, f"every {kind.replace('-', ' ')}", facts, nodes)
            self._no_structure(nodes, f"every {kind.replace('-', ' ')}")
            self.defaults.append((kind, facts))
        self.defaults.sort(key=lambda d: len(words.ancestors(d[0])), reverse=True)

    def read_facts(self, kind: str, table: Table, owner: str, facts: Facts, nodes: dict[str, tuple[Text, Node]]) -> None:
        """Sorts a table's keys into facts and what builds the drawing."""
        properties, structure = keys.properties(kind), keys.structure(kind)
        written: dict[str, str] = {}
        for key, node in table.values.items():
            at = table.keys[key]
            word = properties.get(key) or properties.get(key.replace("-", " "))
            if word is None:
                if key in structure:
                    nodes[key] = (at, node)
                    continue
                self._unknown_key(key, at, node, kind, owner)
                continue
            if word.word in written:
                self.troubles.add(
                    "stated-twice",
                    f"{clean(key, 40)} of {clean(owner, 40)} is the same as {clean(written[word.word], 40)}, which is written too",
                    at,
                    "Keep one of them.",
                )
                continue
            written[word.word] = key
            state(facts, word, at, node, owner, self.names.lookup, self.troubles)

    def _no_structure(self, nodes: dict[str, tuple[Text, Node]], owner: str) -> None:
        for key, (at, _) in nodes.items():
            self.troubles.add("unknown-key", f"{quoted(key)} cannot be said of {clean(owner, 40)}", at, "Say it of each one.")

    def _unknown_key(self, key: str, at: Text, node: Node, kind: str, owner: str) -> None:
        if isinstance(node, Text) and node.missing and isinstance(at.up, Table) and at.up.flow:
            # "title: a, b": the trap is the better explanation.
            nothing(node, at, owner, self.troubles)
            return
        properties, structure = keys.properties(kind), keys.structure(kind)
        said = kind.replace("-", " ")
        hint = keys.HINTS.get(key)
        near = None if hint else self.troubles.near(key, [*properties, *structure])
        if near is None and hint is None:
            others = [k for k in keys.PART_KINDS if key in keys.properties(k) or key in keys.structure(k)]
            if others and kind:
                hint = f"It is said of: {listed([o.replace('-', ' ') for o in others], 'and', 6)}."
        self.troubles.add(
            "unknown-key",
            f"{quoted(key)} is not said of a {said} ({clean(owner, 40)})",
            at,
            f"Did you mean {near}?" if near else hint or f"Known here: {listed(sorted(properties)[:60], 'and', 12)}.",
        )

    def _shape(self, key: Text, node: Node, what: str) -> None:
        if isinstance(node, Text) and node.missing:
            nothing(node, key, "", self.troubles)
            return
        self.troubles.add(
            "wrong-shape", f"{clean(what, 60)} must be a table of keys and values", node, "Write {key: value, key: value}, or one key a line, indented."
        )

    # ---- drafts ---------------------------------------------------------------------------------------------------------------------

    def draft(self, name: str) -> Draft:
        """The thing of that name, with its likeness and defaults. Made once."""
        made = self.drafts.get(name)
        if made is not None:
            return made
        # Chains of likeness are walked in a loop: a file may hold thousands of links.
        chain: dict[str, None] = {}
        cursor: str | None = name
        while cursor is not None and cursor not in self.drafts:
            if cursor in chain:
                links = list(chain)
                self._tell_ring(links[links.index(cursor) :])
                break
            chain[cursor] = None
            cursor = self._like(cursor)
        for link in reversed(chain):
            self._make(link)
        return self.drafts[name]

    def _like(self, name: str) -> str | None:
        """Whom a thing says it is like, if that can be used."""
        section, _, table = self.tables[name]
        node = table.values.get("like")
        if node is None:
            return None
        other = plain(node, table.keys["like"], name, self.troubles) if isinstance(node, Text) else None
        if other is None:
            if not isinstance(node, Text):
                self.troubles.add("wrong-shape", f"like of {clean(name, 40)} is one name", node, "Name one part.")
            return None
        if other not in self.tables or self.tables[other][0] != section:
            assert isinstance(node, Text)
            if self.names.whole:
                near = self.troubles.near(other, (n for n, (s, _, _) in self.tables.items() if s == section))
                self.troubles.add(
                    "unknown-name",
                    f"{clean(name, 40)} is said to be like {quoted(other)}, which is not described",
                    node,
                    f"Did you mean {near}?" if near else None,
                )
            return None
        return other

    def _tell_ring(self, ring: list[str]) -> None:
        if self._ring.intersection(ring):
            return
        self._ring.update(ring)
        _, _, table = self.tables[ring[0]]
        told = (
            f"{clean(ring[0], 40)} is said to be like itself"
            if len(ring) == 1
            else f"{listed([clean(r, 40) for r in ring])} are each said to be like the next, in a ring"
        )
        self.troubles.add("like-in-a-ring", told, table.values["like"], "Describe one of them in full.")

    def _make(self, name: str) -> None:
        section, key, table = self.tables[name]
        entry = self.names.known.get(name)
        kind = entry.kind if entry is not None else keys.SECTION_KIND.get(section, "")
        made = Draft(name, kind, key)
        self.drafts[name] = made
        like = table.values.get("like")
        base = self.drafts.get(" ".join(like.value.split())) if isinstance(like, Text) else None
        if base is made:
            base = None
        if base is not None and base.kind != kind and base.kind and kind:
            self.troubles.add(
                "unknown-kind",
                f"{clean(name, 40)} is a {kind.replace('-', ' ')} and cannot be like {clean(base.name, 40)}, a {base.kind.replace('-', ' ')}",
                like if like is not None else key,
                "Take out like:, or kind:.",
            )
            base = None
        if not kind:
            return
        self.read_facts(kind, table, name, made.facts, made.nodes)
        title = made.nodes.get("title")
        if title is not None:
            made.title = plain(title[1], title[0], name, self.troubles) or ""
        if base is not None:
            made.facts.fill_from(base.facts, lambda _: True)
            for what, where in base.nodes.items():
                if what not in ("title", "like", "kind"):
                    made.nodes.setdefault(what, where)
        words = vocabulary()

        def fits(word: str) -> bool:
            return keys.said_of(word, kind)

        for of, facts in self.defaults:
            if words.is_a(kind, of):
                made.facts.fill_from(facts, fits)
        self._structure(made, base)

    def _structure(self, made: Draft, base: Draft | None) -> None:
        own = {k for k, (at, _) in made.nodes.items() if base is None or base.nodes.get(k, (None,))[0] is not at}
        if made.kind == "selector":
            if base is not None and not own & {"dial", "joins", "studs"}:
                made.dial, made.joins, made.studs = base.dial, dict(base.joins), base.studs
            else:
                self._selector(made)
        elif made.kind == "coupling":
            if base is not None and not own & {"between", "contacts", "halves"}:
                made.between, made.contacts, made.halves = base.between, base.contacts, dict(base.halves)
            else:
                self._coupling(made)
        elif made.kind == "switch" and "taken as" in made.nodes:
            key, node = made.nodes["taken as"]
            said = plain(node, key, made.name, self.troubles)
            if said in ("on", "off"):
                made.taken_as = said
            elif said is not None and said != "?":
                self.troubles.add(
                    "unknown-choice", f"{quoted(said)} is not how {clean(made.name, 40)} can be taken", node, "Write taken as: on, or taken as: off."
                )

    def _words(self, made: Draft, key: str) -> list[Text]:
        """A list of words, each once."""
        at, node = made.nodes[key]
        if isinstance(node, Text) and not node.missing:
            self.troubles.add("wrong-shape", f"{key} of {clean(made.name, 40)} is a list", node, f"Write [{clean(node.value, 40)}, ...].")
            return []
        found: list[Text] = []
        for text in texts(node, at, made.name, self.troubles):
            if any(text.value == t.value for t in found):
                self.troubles.add("written-twice", f"{quoted(text.value)} is written twice in {key} of {clean(made.name, 40)}", text, "Take one out.")
            elif self.names.good(text.value, text, f"one of {key} of {clean(made.name, 40)}"):
                found.append(text)
        return found

    def _selector(self, made: Draft) -> None:
        name = clean(made.name, 40)
        if "dial" not in made.nodes:
            self.troubles.add("missing-key", f"{name} is a selector without a dial", made.at, "Write its positions in order: dial: [one, both, two, off].")
            return
        made.dial = tuple(t.value for t in self._words(made, "dial"))
        if made.dial and len(made.dial) < 2:
            self.troubles.add("selector", f"The dial of {name} has one position only", made.nodes["dial"][1], "List all its positions in order.")
        made.joins = dict.fromkeys(made.dial)
        studs: dict[str, None] = {}
        if "studs" in made.nodes:
            studs.update((t.value, None) for t in self._words(made, "studs"))
        listed_studs = bool(studs)
        joins = made.nodes.get("joins")
        if joins is not None and not isinstance(joins[1], Table):
            self._shape(joins[0], joins[1], f"joins of {name}")
        elif joins is not None:
            assert isinstance(joins[1], Table)
            for position, node in joins[1].values.items():
                at = joins[1].keys[position]
                if position not in made.joins:
                    if made.dial:
                        near = self.troubles.near(position, made.dial)
                        self.troubles.add(
                            "selector",
                            f"{quoted(position)} is not on the dial of {name}",
                            at,
                            f"Did you mean {near}?" if near else f"On the dial: {listed(list(made.dial))}.",
                        )
                    continue
                made.joins[position] = self._groups(made, at, node)
                for group in made.joins[position] or ():
                    for stud in group:
                        if listed_studs and stud not in studs:
                            self.troubles.add("selector", f"{quoted(stud)} is not among the studs of {name}", node, f"Its studs: {listed(list(studs))}.")
                        studs.setdefault(stud)
        made.studs = tuple(studs)

    def _groups(self, made: Draft, at: Text, node: Node) -> Joined | None:
        if isinstance(node, Text):
            if node.missing:
                nothing(node, at, made.name, self.troubles)
                return None
            if node.value in ("none", "nothing"):
                return ()
            if node.value == "?":
                return None
        groups: list[Node] = [node]
        if isinstance(node, Many) and node.items and all(isinstance(i, Many) for i in node.items):
            groups = node.items
        found = []
        for group in groups:
            studs = [i.value for i in group.items if isinstance(i, Text) and not i.missing] if isinstance(group, Many) else []
            if len(studs) < 2 or not isinstance(group, Many) or len(studs) != len(group.items) or len(set(studs)) != len(studs):
                self.troubles.add(
                    "selector",
                    f"What {quoted(at.value)} joins on {clean(made.name, 40)} is not a list of two studs or more",
                    group,
                    "Write [common, one], or [[a, b], [c, d]] for two groups, or none.",
                )
                continue
            if all(self.names.good(stud, group, f"a stud of {clean(made.name, 40)}") for stud in studs):
                found.append(tuple(studs))
        return tuple(found)

    def _coupling(self, made: Draft) -> None:
        name = clean(made.name, 40)
        if "between" not in made.nodes:
            self.troubles.add("missing-key", f"{name} is a coupling that does not say between what", made.at, "Write between: [truck, trailer].")
            return
        halves = tuple(t.value for t in self._words(made, "between"))
        if halves and len(halves) != 2 and isinstance(made.nodes["between"][1], Many):
            self.troubles.add(
                "coupling", f"{name} is between {len(halves)} things; a coupling has two halves", made.nodes["between"][1], "Write between: [truck, trailer]."
            )
        made.between = halves
        if "contacts" in made.nodes:
            contacts = self._words(made, "contacts")
            made.contacts = tuple(t.value for t in contacts) or None
        if "halves" in made.nodes:
            at, node = made.nodes["halves"]
            if not isinstance(node, Table):
                self._shape(at, node, f"halves of {name}")
                return
            for half, value in node.values.items():
                if half not in halves:
                    self.troubles.add("coupling", f"{quoted(half)} is no half of {name}", node.keys[half], f"Its halves: {listed(list(halves))}.")
                elif not isinstance(value, Table):
                    self._shape(node.keys[half], value, f"the {half} half of {name}")
                else:
                    made.halves[half] = Facts()
                    nodes: dict[str, tuple[Text, Node]] = {}
                    self.read_facts("coupling-half", value, f"{made.name} {half}", made.halves[half], nodes)
                    self._no_structure(nodes, f"one half of {name}")

    # ---- what the routes ask ---------------------------------------------------------------------------------------------------------

    def terminals(self, name: str) -> tuple[str, ...] | None:
        """Terminal words of a part, or None where the description leaves them open."""
        made = self.drafts[name]
        if not made.kind:
            return None
        if made.kind == "selector":
            if not made.dial or (any(joined is None for joined in made.joins.values()) and "studs" not in made.nodes):
                return None
            return made.studs
        if made.kind == "coupling":
            if len(made.between) != 2 or made.contacts is None:
                return None
            return tuple(f"{half} {contact}" for half in made.between for contact in made.contacts)
        return vocabulary().kinds[made.kind].terminals

    def dial(self, name: str) -> tuple[str, ...] | None:
        """Positions of a selector; None if its dial could not be read."""
        return self.drafts[name].dial or None if name in self.drafts else None


def told_of(facts: Facts) -> Mapping[str, Told]:
    """How the facts came to be known; empty for most."""
    return dict(facts.told)
