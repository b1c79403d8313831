"""The sections that are no things: head, packs, conditions of use, constraints, checks, departures, readings."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from linter.base.text import clean, listed
from linter.description.conditions import Conditions
from linter.description.described import Attested, Change, Departure, Described, Route, Said, Taken, Thing
from linter.description.keys import LADDERS, SECTIONS, kind_named
from linter.description.names import Names
from linter.description.tree import Many, Node, Table, Text, Troubles, quoted
from linter.description.values import ASKED, Facts, day, nothing, plain, state, texts
from linter.vocabulary import vocabulary

T = TypeVar("T")
_PACK = re.compile(r"[a-z0-9][a-z0-9-]{0,60}\Z")
_PRACTICE = re.compile(r"[a-z][a-z0-9-]{0,80}\Z")
ATTESTED_KEYS = {"what": True, "on": True, "by": True, "role": False, "how": False, "of": False, "result": False}
CHANGE_KEYS = {"what": True, "on": True, "of": False, "by": False, "because": False}
PASSED, FAILED = "passed", "failed"
DEPARTURE_KEYS = {"practice": True, "element": True, "because": True, "agreed by": True, "until": True, "found": False, "asked": False}
READING_KEYS = {"what": False, "of": False, "reads": True, "on": False, "by": False, "with": False, "while": False, "row": False, "at": False}


class Papers:
    """Reads what stands beside the drawing."""

    def __init__(self, tables: list[Table], names: Names, conditions: Conditions, troubles: Troubles) -> None:
        self.tables, self.names, self.conditions, self.troubles = tables, names, conditions, troubles

    # ---- head -----------------------------------------------------------------------------------------------------------------------

    def head(self) -> None:
        """The format's number, and keys that are no sections."""
        main = self.tables[0]
        for place, table in enumerate(self.tables):
            for key, node in table.values.items():
                if key in SECTIONS:
                    continue
                at = table.keys[key]
                # What stands in it is not known, so nobody complains that it is described nowhere.
                self.names.whole = False
                near = self.troubles.near(key, SECTIONS)
                if isinstance(node, Text) and node.missing and ":" in key:
                    nothing(node, at, "", self.troubles)
                    continue
                self.troubles.add(
                    "unknown-key",
                    f"{quoted(key)} is no section of a description",
                    at,
                    f"Did you mean {near}?" if near else f"Sections: {listed(list(SECTIONS), 'and', 30)}.",
                )
            edition = table.values.get("tugtest")
            if edition is None:
                if place == 0 and self.names.whole:
                    self.troubles.add(
                        "edition",
                        "The description does not begin with tugtest: 1",
                        main,
                        "Write tugtest: 1 in its first line; it says how the rest is to be read.",
                    )
            elif not isinstance(edition, Text) or edition.value != "1":
                said = quoted(edition.value) if isinstance(edition, Text) else "This"
                self.troubles.add("edition", f"{said} is not a format of descriptions known here", edition, "Write tugtest: 1.")

    def _first(self, key: str) -> tuple[Text, Node] | None:
        """The main file speaks first; what it leaves out may be said by a file it brings in."""
        for table in self.tables:
            if key in table.values:
                return table.keys[key], table.values[key]
        return None

    def _text(self, key: str, otherwise: str) -> str:
        found = self._first(key)
        return otherwise if found is None else plain(found[1], found[0], "", self.troubles) or otherwise

    def _names(self, key: str, pattern: re.Pattern[str] | None) -> tuple[str, ...]:
        found = self._first(key)
        if found is None:
            return ()
        good: list[str] = []
        for item in texts(found[1], found[0], "", self.troubles):
            name = " ".join(item.value.split())
            if pattern is not None and not pattern.match(name):
                self.troubles.add(
                    "bad-name",
                    f"{quoted(name)} cannot be the name of a pack",
                    item,
                    "Names of packs are small letters, digits and hyphens: low-voltage-basics.",
                )
            elif name in good:
                self.troubles.add("written-twice", f"{quoted(name)} is asked for twice", item, "Take one out.")
            else:
                good.append(name)
        return tuple(good)

    def _installation(self) -> Facts:
        facts = Facts()
        words = vocabulary().properties_of("installation")
        system = self._first("system")
        if system is not None:
            state(facts, words["system voltage"], *system, "the installation", self.names.lookup, self.troubles)
        for table in self.tables:
            node = table.values.get("conditions")
            if node is None:
                continue
            if not isinstance(node, Table):
                self._shape(table.keys["conditions"], node, "conditions", "Write {coldest: -18 °C, hottest: 45 °C}.")
                continue
            for key, value in node.values.items():
                at = node.keys[key]
                word = words.get(key)
                if word is None or key == "system voltage":
                    near = self.troubles.near(key, list(words))
                    known = listed(sorted(set(words) - {"system voltage"}), "and", 12)
                    self.troubles.add(
                        "unknown-key", f"{quoted(key)} is not said under conditions", at, f"Did you mean {near}?" if near else f"Known here: {known}."
                    )
                elif facts.has(word.word):
                    self.troubles.add("stated-twice", f"{clean(key, 40)} is stated in two files", at, "Keep one of them.")
                else:
                    state(facts, word, at, value, "the installation", self.names.lookup, self.troubles)
        coldest, hottest = facts.readings.get("coldest"), facts.readings.get("hottest")
        if coldest is not None and hottest is not None and getattr(coldest.value, "low", 0) > getattr(hottest.value, "high", 0):
            self.troubles.add("stated-twice", "The coldest weather is hotter than the hottest", coldest.at or self.tables[0], "Exchange them.")
        return facts

    def _shape(self, key: Text, node: Node, what: str, remedy: str) -> None:
        if isinstance(node, Text) and node.missing:
            nothing(node, key, "", self.troubles)
        else:
            self.troubles.add("wrong-shape", f"{quoted(what)} is not written in the way it is read", node, remedy)

    # ---- listed ---------------------------------------------------------------------------------------------------------------------

    def _listed(self) -> dict[str, bool]:
        """Everything is listed only if the main file says so and no file it brings in says otherwise."""
        found: dict[str, bool] | None = None
        for place, table in enumerate(self.tables):
            node = table.values.get("listed")
            if node is None:
                continue
            said = self._listing(table.keys["listed"], node)
            if place == 0:
                found = said
            elif found is not None:
                found = {kind: found.get(kind, found["element"]) and said.get(kind, said["element"]) for kind in {*found, *said}}
        if found is None:
            if self.names.whole:
                self.troubles.add(
                    "listing-not-said",
                    "The description does not say whether everything is listed; it is taken as listed so far",
                    self.tables[0].keys.get("title") or self.tables[0],
                    "Write listed: everything, or listed: so far.",
                    fatal=False,
                )
            return {"element": False}
        return found

    def _listing(self, key: Text, node: Node) -> dict[str, bool]:
        exceptions: list[Text] = []
        text: str | None = None
        if isinstance(node, Text):
            text = plain(node, key, "", self.troubles)
            if text is not None and " except " in text:
                text, _, rest = text.partition(" except ")
                for word in re.split(r", | and ", rest):
                    exceptions.append(Text(node.file, node.line, node.column, node.up, node.step, word.strip(), node.quoted, node.shift))
        elif isinstance(node, Table):
            for name, value in node.values.items():
                at = node.keys[name]
                if name == "is":
                    text = plain(value, at, "", self.troubles)
                elif name in ("everything", "so far") and isinstance(value, Text) and value.missing:
                    # {everything, except: [holes]} reads well, and can mean nothing else.
                    text = name
                elif name == "except":
                    exceptions = texts(value, at, "", self.troubles)
                else:
                    self.troubles.add("unknown-key", f"{quoted(name)} is not said of listed", at, "Write {is: everything, except: [holes]}.")
        else:
            self.troubles.add("wrong-shape", "listed is one text", node, "Write everything, so far, or: everything except holes.")
            return {"element": False}
        if text not in ("everything", "so far"):
            if text is not None or isinstance(node, Table):
                self.troubles.add(
                    "unknown-choice",
                    f"{quoted(text or '')} does not say whether everything is listed",
                    node,
                    "Write everything, so far, or: everything except holes.",
                )
            return {"element": False}
        found = {"element": text == "everything"}
        for item in exceptions:
            kind = kind_named(item.value)
            if kind is None:
                near = self.troubles.near(item.value, [k.replace("-", " ") for k in vocabulary().kinds])
                self.troubles.add(
                    "unknown-kind",
                    f"{quoted(item.value)} is no kind of thing known here",
                    item,
                    f"Did you mean {near}?" if near else "Write wires, holes, fuses, loads ...",
                )
            else:
                found[kind] = text != "everything"
        return found

    # ---- lists ----------------------------------------------------------------------------------------------------------------------

    def _records(self, section: str, known: dict[str, bool], make: Callable[[dict[str, tuple[Text, Node]], Table], T | None]) -> tuple[T, ...]:
        found: list[T] = []
        for table in self.tables:
            node = table.values.get(section)
            if node is None:
                continue
            if not isinstance(node, Many):
                self._shape(table.keys[section], node, section, "Write a list: each entry begins with a dash.")
                continue
            for item in node.items:
                if not isinstance(item, Table):
                    self.troubles.add(
                        "wrong-shape",
                        f"An entry of {section} is a table of keys and values",
                        item,
                        f"Write {{{', '.join(f'{k}: ...' for k, must in known.items() if must)}}}.",
                    )
                    continue
                given: dict[str, tuple[Text, Node]] = {}
                for key, value in item.values.items():
                    at = item.keys[key]
                    if key in known:
                        given[key] = (at, value)
                    elif isinstance(value, Text) and value.missing and item.flow:
                        nothing(value, at, section, self.troubles)
                    else:
                        near = self.troubles.near(key, list(known))
                        self.troubles.add(
                            "unknown-key",
                            f"{quoted(key)} is not said under {section}",
                            at,
                            f"Did you mean {near}?" if near else f"Known here: {listed(list(known), 'and', 12)}.",
                        )
                missing = [key for key, must in known.items() if must and key not in item.values]
                if missing:
                    self.troubles.add("missing-key", f"An entry of {section} does not say {listed(missing)}", item, f"Write {listed(missing)} too.")
                made = make(given, item)
                if made is not None and not missing:
                    found.append(made)
        return tuple(found)

    def _said(self, given: dict[str, tuple[Text, Node]], key: str, section: str) -> str:
        if key not in given:
            return ""
        at, node = given[key]
        return plain(node, at, section, self.troubles) or ""

    def _day(self, given: dict[str, tuple[Text, Node]], key: str, section: str) -> str:
        text = self._said(given, key, section)
        return (day(text, given[key][1], f"{key}, under {section}", self.troubles) or "") if text else ""

    def _things(self, given: dict[str, tuple[Text, Node]], extra: set[str]) -> tuple[str, ...]:
        if "of" not in given:
            return ()
        at, node = given["of"]
        found = []
        for item in texts(node, at, "", self.troubles):
            name = " ".join(item.value.split())
            if name in extra or self.names.lookup(name, "element", item) is not None:
                found.append(name)
        return tuple(found)

    def _attested(self, given: dict[str, tuple[Text, Node]], item: Table, extra: set[str]) -> tuple[Attested, ...]:
        """One record, which may speak of several checks made at one go."""
        result = self._said(given, "result", "attested")
        if result not in ("", PASSED, FAILED):
            self.troubles.add("unknown-choice", f"{quoted(result)} is no result", given["result"][1], f"Write {PASSED} or {FAILED}.")
        of = self._things(given, extra)
        on, by, role, how = (self._day(given, "on", "attested"), *(self._said(given, key, "attested") for key in ("by", "role", "how")))
        found = []
        for text in texts(given["what"][1], given["what"][0], "attested", self.troubles) if "what" in given else ():
            what = " ".join(text.value.replace("-", " ").split())
            self._check(what, text, of, given)
            found.append(Attested(what, on, by, role, how, of, result != FAILED, item.span))
        return tuple(found)

    def _check(self, what: str, at: Text, of: tuple[str, ...], given: dict[str, tuple[Text, Node]]) -> None:
        """Tells what would count for nothing by a slip. Words of one's own are kept, and no practice asks for them."""
        checks = vocabulary().checks()
        if what not in checks:
            near = self.troubles.near(what, list(checks))
            if near is not None:
                headline = f"{quoted(what)} is no check a practice asks for, so this record is kept and counts for nothing"
                self.troubles.add("unknown-check", headline, at, f"Did you mean {near}?", fatal=False)
        kinds = dict.fromkeys(kind for row in checks.get(what, ()) for kind in row.of)
        named = [entry.kind for name in of if (entry := self.names.known.get(name)) is not None and entry.kind]
        if kinds and named and len(named) == len(of) and not any(vocabulary().is_a(one, kind) for one in named for kind in kinds):
            headline = f"{quoted(what)} is said of none of the things named, so this record is kept and counts for nothing"
            said = listed([kind.replace("-", " ") for kind in kinds])
            self.troubles.add("unknown-check", headline, given["of"][1], f"It is said of: {said}.", fatal=False)

    def _change(self, given: dict[str, tuple[Text, Node]], item: Table, extra: set[str]) -> Change:
        return Change(
            self._said(given, "what", "changes"),
            self._day(given, "on", "changes"),
            self._things(given, extra),
            self._said(given, "by", "changes"),
            self._said(given, "because", "changes"),
            item.span,
        )

    def _departure(self, given: dict[str, tuple[Text, Node]], item: Table, extra: set[str]) -> Departure:
        practice = self._said(given, "practice", "departures")
        if practice and not _PRACTICE.match(practice):
            self.troubles.add(
                "bad-name",
                f"{quoted(practice)} cannot be the name of a practice",
                given["practice"][1],
                "Names of practices are small letters and hyphens: fuse-close-to-source.",
            )
        element = self._said(given, "element", "departures")
        if element and element not in extra and element != "installation":
            node = given["element"][1]
            assert isinstance(node, Text)
            self.names.lookup(element, "element", node)
        return Departure(
            practice,
            element,
            self._said(given, "because", "departures"),
            self._said(given, "agreed by", "departures"),
            self._day(given, "until", "departures"),
            item.span,
            self._numbers(given, "found"),
            self._numbers(given, "asked"),
        )

    def _numbers(self, given: dict[str, tuple[Text, Node]], key: str) -> tuple[str, ...]:
        """Quantities as written; what they are quantities of is for the finding to say."""
        if key not in given:
            return ()
        at, node = given[key]
        return tuple(item.value for item in texts(node, at, "departures", self.troubles))

    def _taken(self, given: dict[str, tuple[Text, Node]], item: Table) -> Taken:
        if "on" in given:
            self._day(given, "on", "readings")
        return Taken({key: text for key in given if (text := self._said(given, key, "readings"))}, item.span)

    def _groups(self, section: str) -> tuple[tuple[Said, ...], ...]:
        found = []
        for table in self.tables:
            node = table.values.get(section)
            if node is None:
                continue
            if not isinstance(node, Many):
                self._shape(table.keys[section], node, section, "Write a list of groups: [[engine runs, R1 closed]].")
                continue
            # One group alone may be written without the second pair of brackets.
            single = len(node.items) > 1 and all(isinstance(i, Text) and " and " not in i.value for i in node.items)
            for group in [node] if single else node.items:
                if isinstance(group, Text) and group.missing:
                    self.troubles.add("unreadable-condition", f"An entry of {section} is empty", group, "Take it out.")
                    continue
                before = len(self.troubles.found)
                said = self.conditions.read(group)
                if len(said) > 1:
                    found.append(said)
                elif len(self.troubles.found) == before and self.names.whole:
                    self.troubles.add(
                        "unreadable-condition", f"A group under {section} needs two conditions or more", group, "Write [[engine runs, R1 closed]]."
                    )
        return tuple(found)

    # ---- the whole ------------------------------------------------------------------------------------------------------------------

    def finish(self, file: str, things: tuple[Thing, ...], routes: tuple[Route, ...], extra: set[str]) -> Described:
        """Everything put together.

        Args:
            file: Of the main description.
            things, routes: The drawing.
            extra: Names that are not written as keys: halves of couplings, chassis the runs imply.
        """
        facts = self._installation()
        ladder = self._text("capacity by", "own formula")
        if ladder not in LADDERS and ladder != ASKED:
            found = self._first("capacity by")
            near = self.troubles.near(ladder, list(LADDERS))
            self.troubles.add(
                "unknown-choice",
                f"{quoted(ladder)} is no ladder of capacities known here",
                found[1] if found else self.tables[0],
                f"Did you mean {near}?" if near else f"Write {listed(list(LADDERS), 'or')}.",
            )
        return Described(
            self._text("title", ""),
            file,
            self._listed(),
            self._names("packs", _PACK),
            self._names("house packs", None),
            "own formula" if ladder == ASKED else ladder,
            facts.readings,
            things,
            routes,
            self._groups("together"),
            self._groups("apart"),
            self._records("departures", DEPARTURE_KEYS, lambda given, item: self._departure(given, item, extra)),
            tuple(one for made in self._records("attested", ATTESTED_KEYS, lambda given, item: self._attested(given, item, extra)) for one in made),
            self._records("changes", CHANGE_KEYS, lambda given, item: self._change(given, item, extra)),
            self._records("readings", READING_KEYS, self._taken),
            dict(facts.told),
            frozenset(facts.asked),
        )
