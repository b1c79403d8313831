"""Examples, checked and typed: what is fitted, as `circuit.from_example` builds it, and what must come out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from linter.base import bounds
from linter.base.gap import FactRef
from linter.base.near import nearest
from linter.base.reading import Reading, Value
from linter.base.span import Span
from linter.base.text import listed
from linter.base.truth import Truth
from linter.base.values import Range
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.resolve import Notes
from linter.language.wording import Spoiled, article, choices_of, number_of
from linter.units import dimension as d
from linter.units.dimension import Dimension, said
from linter.units.size import read_size
from linter.units.table import Unreadable
from linter.vocabulary import Vocabulary, Word

_NODES = ("bus", "junction", "chassis")
_WORLD = {"engine": ("runs", "stopped"), "sun": ("shines", "gone"), "shore": ("connected", "absent")}


@dataclass(frozen=True, slots=True)
class Fit:
    """A thing of an example; the fields mean what they mean in a description.

    Attributes:
        name, kind, at: As written.
        facts: Word to Reading. A size comes with `area` and `size-system-known`; `breaks` is a set of "10000 A at 14 V".
        dial, joins: Of a selector. None for a position whose joins are not known.
        closed_when, runs_when, barred_when: Conditions, all of these.
        taken_as: on or off, "" when free.
        between, contacts: Of a coupling. Its halves are things of their own: "X1 flatbed".
        asked: Words said to be unknown: looked for and not known, so nothing may be taken in their place.
    """

    name: str
    kind: str
    facts: Mapping[str, Reading]
    at: Span
    dial: tuple[str, ...] = ()
    joins: Mapping[str, tuple[tuple[str, ...], ...] | None] = field(default_factory=dict)
    closed_when: tuple[s.Stand, ...] = ()
    runs_when: tuple[s.Stand, ...] = ()
    barred_when: tuple[s.Stand, ...] = ()
    taken_as: str = ""
    between: tuple[str, ...] = ()
    contacts: tuple[str, ...] = ()
    asked: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Link:
    """A conductor between two terminals, or a joint without wire: then `element` is the device bolted on."""

    element: str
    a: str
    b: str
    joint: bool
    at: Span


@dataclass(frozen=True, slots=True)
class Expect:
    """What must come out.

    Attributes:
        element: Name; "" for the installation.
        outcome: met, not met, cannot tell, does not apply.
        found: Range the report must show, None if not said; `digits` is half a unit of its last written place, in SI.
        wanting: Facts that must be asked for, None if not said.
    """

    element: str
    outcome: str
    found: Range | None
    dimension: Dimension | None
    digits: float
    wanting: frozenset[FactRef] | None
    at: Span


@dataclass(frozen=True, slots=True)
class Stage:
    """Everything an example says.

    Attributes:
        fits: Things in order, coupling halves after their coupling.
        links: Conductors and joints.
        facts: Of the installation: coldest, hottest, system-voltage.
        listed: Kinds whose list is whole; "element" for everything.
        together, apart: Constraints between states.
        expected: What must come out.
        asked: Words of the installation said to be unknown.
    """

    fits: tuple[Fit, ...]
    links: tuple[Link, ...]
    facts: Mapping[str, Reading]
    listed: frozenset[str]
    together: tuple[tuple[s.Stand, ...], ...]
    apart: tuple[tuple[s.Stand, ...], ...]
    expected: tuple[Expect, ...]
    asked: frozenset[str] = frozenset()


def check_examples(cards: Mapping[str, tuple[s.Example, str]], practices: Mapping[str, t.Practice], renamed: Mapping[str, str],
                   retired: Collection[str], known: Vocabulary, notes: Notes) -> tuple[t.Example, ...]:
    """All examples of all packs. An example of a retired practice is left out."""
    out = []
    for name, (card, pack) in cards.items():
        tries = renamed.get(card.tries, card.tries)
        practice = practices.get(tries)
        if practice is None and tries in retired:
            continue
        if practice is None:
            near = nearest(card.tries, practices)
            notes.say("pack-example", f"example {name} tries {card.tries}, which is no practice", card.source, card.at,
                      f"Did you mean {near}?" if near else None)
            continue
        whole = unrolled(card, {n: c for n, (c, _) in cards.items()}, notes)
        if whole is None:
            continue
        try:
            stage = _Setter(whole, practice, known, notes).stage()
        except Spoiled:
            continue
        out.append(t.Example(name, pack, tries, whole, stage))
    return tuple(out)


# ---- like ----------------------------------------------------------------------------------------------------------------------------------


def unrolled(card: s.Example, cards: Mapping[str, s.Example], notes: Notes) -> s.Example | None:
    """The example with everything it takes from those it is like. None, with a complaint, for a ring or a name nobody bears."""
    chain = [card]
    while chain[-1].like:
        last = chain[-1]
        base = cards.get(last.like)
        if base is None:
            near = nearest(last.like, cards)
            notes.say("pack-example", f"example {last.name} is like {last.like}, which is no example", last.source, last.at,
                      f"Did you mean {near}?" if near else None)
            return None
        if any(base is done for done in chain):
            notes.say("pack-ring", f"examples are like one another in a ring: {listed([c.name for c in chain], 'and')}", card.source, card.at)
            return None
        if len(chain) > 20:
            notes.say("pack-too-large", f"example {card.name} is like another, and so on, more than 20 times", card.source, card.at)
            return None
        chain.append(base)
    statements: list[s.Statement] = []
    every: tuple[str, ...] = ()
    for link in reversed(chain):
        every = link.every or every
        # What the same example says twice is not merged: the typing complains of it.
        own: list[s.Statement] = []
        for statement in link.statements:
            added = _added(statements, statement)
            if len(added) > len(statements):
                own.append(statement)
            else:
                statements = added
        statements = [*statements, *own]
    return replace(card, statements=tuple(statements), every=every)


def _added(statements: list[s.Statement], new: s.Statement) -> list[s.Statement]:
    if isinstance(new, s.Without):
        gone = set(new.tags)
        return [x for x in statements if not ((isinstance(x, s.Fitted) and x.tag in gone) or (isinstance(x, s.Half | s.Position) and x.of in gone))]
    for i, old in enumerate(statements):
        if isinstance(new, s.Fitted) and isinstance(old, s.Fitted) and old.tag == new.tag and (new.tag or old.kind == new.kind):
            facts = new.facts if old.kind != new.kind else _facts(old.facts, new.facts)
            return [*statements[:i], replace(new, facts=facts), *statements[i + 1:]]
        if isinstance(new, s.Half) and isinstance(old, s.Half) and (old.of, old.name) == (new.of, new.name):
            return [*statements[:i], replace(new, facts=_facts(old.facts, new.facts)), *statements[i + 1:]]
        if isinstance(new, s.Position) and isinstance(old, s.Position) and (old.of, old.name) == (new.of, new.name):
            return [*statements[:i], new, *statements[i + 1:]]
    return [*statements, new]


def _facts(old: tuple[s.AnyFact, ...], new: tuple[s.AnyFact, ...]) -> tuple[s.AnyFact, ...]:
    said_again = {_key(fact) for fact in new}
    return (*(fact for fact in old if _key(fact) not in said_again), *new)


def _key(fact: s.AnyFact) -> tuple[str, str]:
    if isinstance(fact, s.Fact):
        return "fact", fact.word
    if isinstance(fact, s.WhenFact):
        return "when", fact.sort
    if isinstance(fact, s.Bolted):
        return "bolted", fact.terminal
    return type(fact).__name__, ""


# ---- typing --------------------------------------------------------------------------------------------------------------------------------


@dataclass
class _Setter:
    """Types one example."""

    card: s.Example
    practice: t.Practice
    known: Vocabulary
    notes: Notes
    kinds: dict[str, str] = field(default_factory=dict)
    halves: dict[str, list[s.Half]] = field(default_factory=dict)
    positions: dict[str, list[s.Position]] = field(default_factory=dict)
    contacts: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def fail(self, headline: str, at: int, remedy: str | None = None) -> Spoiled:
        """Notes a complaint; raise what comes back."""
        self.notes.say("pack-example", headline, self.card.source, at, remedy)
        return Spoiled()

    def stage(self) -> Stage:
        """The whole example."""
        card = self.card
        fitted = [x for x in card.statements if isinstance(x, s.Fitted)]
        if len(card.statements) > bounds.EXAMPLE_PARTS.most:
            raise self.fail(f"example {card.name} is too large: at most {bounds.EXAMPLE_PARTS.most} {bounds.EXAMPLE_PARTS.meaning}", card.at)
        for thing in fitted:
            if thing.tag in self.kinds and thing.tag:
                raise self.fail(f"tag {thing.tag} is taken twice in example {card.name}", thing.at)
            if thing.kind not in self.known.kinds:
                near = nearest(thing.kind, self.known.kinds)
                raise self.fail(f'"{thing.kind}" is not a thing the language knows', thing.at, f'Did you mean "{near}"?' if near else None)
            if not thing.tag and thing.kind != t.INSTALLATION:
                raise self.fail(f"this {thing.kind} has no tag", thing.at, f"Write {thing.kind} F1 has …")
            self.kinds[thing.tag] = thing.kind
        for statement in card.statements:
            if isinstance(statement, s.Half):
                self._expects(statement.of, "coupling", statement.at)
                self.halves.setdefault(statement.of, []).append(statement)
            elif isinstance(statement, s.Position):
                self._expects(statement.of, "selector", statement.at)
                self.positions.setdefault(statement.of, []).append(statement)
        for tag, halves in self.halves.items():
            if len(halves) != 2:
                raise self.fail(f"coupling {tag} has {len(halves)} of two halves in example {card.name}", halves[0].at)
        for thing in fitted:
            if thing.kind == "coupling":
                self.contacts[thing.tag] = next((f.names for f in thing.facts if isinstance(f, s.Contacts)), ("positive", "negative"))
                if thing.tag not in self.halves:
                    raise self.fail(f"coupling {thing.tag} has no halves in example {card.name}", thing.at,
                                    f"half truck of {thing.tag}, half trailer of {thing.tag}")
        fits: list[Fit] = []
        links: list[Link] = []
        facts: Mapping[str, Reading] = {}
        asked: frozenset[str] = frozenset()
        for thing in fitted:
            if thing.kind == t.INSTALLATION:
                if facts or asked:
                    raise self.fail(f"the installation is described twice in example {card.name}", thing.at, "Put all its facts into one statement.")
                facts, asked = self._readings(thing.facts, thing.kind, ""), _asked(thing.facts)
                continue
            fits.append(self._fit(thing))
            links.extend(self._links(thing.tag, thing.kind, thing.facts))
            for half in self.halves.get(thing.tag, ()):
                fits.append(Fit(f"{thing.tag} {half.name}", "coupling-half", self._readings(half.facts, "coupling-half", f"{thing.tag} {half.name}"),
                                self._span(half.at), asked=_asked(half.facts)))
        for kind in card.every:
            if kind not in self.known.kinds:
                raise self.fail(f'"every {kind}": "{kind}" is not a thing the language knows', card.at)
        constraints = [x for x in card.statements if isinstance(x, s.Constraint)]
        for constraint in constraints:
            self._stands(constraint.stands)
        return Stage(tuple(fits), tuple(links), facts, frozenset(card.every), tuple(c.stands for c in constraints if c.sort == "together"),
                     tuple(c.stands for c in constraints if c.sort == "apart"), self._expected(), asked)

    def _span(self, at: int) -> Span:
        return self.card.source.span(at)

    def _expects(self, tag: str, kind: str, at: int) -> None:
        if tag not in self.kinds:
            raise self.fail(f"tag {tag} is not fitted in example {self.card.name}", at)
        if self.kinds[tag] != kind:
            raise self.fail(f"{tag} is {article(self.kinds[tag])}, not {article(kind)}", at)

    # ---- things ---------------------------------------------------------------------------------------------------------------------------

    def _fit(self, thing: s.Fitted) -> Fit:
        """One thing with its facts and the ways it can stand."""
        when = {fact.sort: self._stands(fact.when) for fact in thing.facts if isinstance(fact, s.WhenFact)}
        positions = self.positions.get(thing.tag, [])
        if "closed" in when and thing.kind != "relay":
            raise self.fail(f'"closed when" is said of a relay, not of {article(thing.kind)}', thing.at)
        taken = next((fact.stands for fact in thing.facts if isinstance(fact, s.Always)), "")
        if taken and (thing.kind != "switch" or taken not in ("on", "off")):
            raise self.fail('"always on" and "always off" are said of a switch', thing.at)
        joins = {p.name: p.groups for p in positions}
        return Fit(thing.tag, thing.kind, self._readings(thing.facts, thing.kind, thing.tag), self._span(thing.at), tuple(joins), joins,
                   when.get("closed", ()), when.get("runs", ()), when.get("barred", ()), taken,
                   tuple(h.name for h in self.halves.get(thing.tag, ())), self.contacts.get(thing.tag, ()), _asked(thing.facts))

    def _stands(self, stands: tuple[s.Stand, ...]) -> tuple[s.Stand, ...]:
        for stand in stands:
            kind = self.kinds.get(stand.subject)
            may: tuple[str, ...]
            if stand.subject in _WORLD:
                may = _WORLD[stand.subject]
            elif kind == "selector":
                may = tuple(p.name for p in self.positions.get(stand.subject, ()))
            elif kind in ("switch", "coupling", "relay"):
                may = {"switch": ("on", "off"), "coupling": ("mated", "parted"), "relay": ("closed", "open")}[kind]
            else:
                raise self.fail(f"{stand.subject} does not stand one way or another", stand.at,
                                "Switches, selectors, relays, couplings, engine, sun and shore do.")
            if stand.stands not in may:
                raise self.fail(f'{stand.subject} never stands "{stand.stands}"', stand.at, f"It may be {listed(list(may), 'or')}." if may else None)
        return stands

    def _links(self, tag: str, kind: str, facts: tuple[s.AnyFact, ...]) -> list[Link]:
        out = []
        for fact in facts:
            if isinstance(fact, s.Runs):
                if kind != "conductor":
                    raise self.fail(f'"runs from" is said of a conductor, not of {article(kind)}', fact.at)
                out.append(Link(tag, self.terminal(fact.start), self.terminal(fact.end), False, self._span(fact.at)))
            elif isinstance(fact, s.Bolted):
                out.append(Link(tag, self.terminal(s.Part(fact.terminal, s.Tag(tag, fact.at), fact.at)), self.terminal(fact.to), True, self._span(fact.at)))
            elif isinstance(fact, s.Contacts) and kind != "coupling":
                raise self.fail(f"contacts belong to a coupling, not to {article(kind)}", fact.at)
        return out

    def element(self, place: s.Place) -> tuple[str, str]:
        """Name and kind of the thing a place says: B1, or "X1 flatbed"."""
        if isinstance(place, s.Tag):
            if place.name not in self.kinds:
                near = nearest(place.name, self.kinds)
                raise self.fail(f"tag {place.name} is not fitted in example {self.card.name}", place.at, f"Did you mean {near}?" if near else None)
            return place.name, self.kinds[place.name]
        name, kind = self.element(place.of)
        if kind == "coupling" and any(h.name == place.word for h in self.halves.get(name, ())):
            return f"{name} {place.word}", "coupling-half"
        raise self.fail(f'{article(kind)} has no part called "{place.word}" that can be named here', place.at)

    def terminal(self, place: s.Place) -> str:
        """Name of a terminal: "B1 positive", "K1 flatbed", "X1 flatbed positive", "N1 stud"."""
        if isinstance(place, s.Tag):
            name, kind = self.element(place)
            if kind not in _NODES:
                raise self.fail(f"say which terminal of {name} is meant", place.at, f"line of {name}, positive of {name} …")
            return f"{name} stud"
        name, kind = self.element(place.of)
        word = place.word.replace("-", " ")
        if kind == "selector":
            studs = {stud for p in self.positions.get(name, ()) for group in p.groups or () for stud in group}
            open_ends = any(p.groups is None for p in self.positions.get(name, ()))
            if place.word in studs or open_ends:
                return f"{name} {place.word}"
            raise self.fail(f'no position of {name} joins a stud called "{place.word}"', place.at, f"Studs: {listed(sorted(studs))}." if studs else None)
        if kind == "coupling-half":
            contacts = self.contacts.get(name.split(" ")[0], ())
            if place.word in contacts:
                return f"{name} {place.word}"
            raise self.fail(f'{name} has no contact called "{place.word}"', place.at, f"Contacts: {listed(list(contacts))}.")
        terminals = self.known.kinds[kind].terminals
        if word not in terminals:
            raise self.fail(f'{article(kind)} has no terminal "{place.word}"', place.at,
                            f"It has {listed([x.replace(' ', '-') for x in terminals])}." if terminals else None)
        return f"{name} {word}"

    # ---- facts ----------------------------------------------------------------------------------------------------------------------------

    def _readings(self, facts: tuple[s.AnyFact, ...], kind: str, name: str) -> dict[str, Reading]:
        out: dict[str, Reading] = {}
        for fact in facts:
            if isinstance(fact, s.Breaks):
                if not self.known.is_a(kind, "protection"):
                    raise self.fail(f'"breaks" is said of a fuse or breaker, not of {article(kind)}', fact.at)
                if fact.pairs:
                    out["breaks"] = Reading(frozenset(self._breaks(pair) for pair in fact.pairs), at=self._span(fact.at))
            if not isinstance(fact, s.Fact):
                continue
            row = self.known.said_of(fact.word, kind)
            if row is None:
                near = nearest(fact.word, [w.word for w in self.known.words_of(kind) if w.stated])
                raise self.fail(f'"{fact.word}" is not said of {article(kind)}', fact.at, f'Did you mean "{near}"?' if near else None)
            if not row.stated:
                raise self.fail(f'"{fact.word}" is worked out, never stated', fact.at, "An example says what is fitted; the rest is worked out from it.")
            if fact.word in out:
                raise self.fail(f'"{fact.word}" of {name or "the installation"} is said twice', fact.at)
            if isinstance(fact.value, s.YesNo) and fact.value.said == "unknown":
                continue
            value = self._value(row, fact)
            wants = frozenset({FactRef(name, fact.word)}) if _open(value) else frozenset()
            at = self._span(fact.at)
            if row.gives == "size":
                assert isinstance(fact.value, s.Amount)
                size = read_size(fact.value.low.text)
                out["size"] = Reading(frozenset({size.written}), at=at)
                out["area"] = Reading(size.area, at=at, wants=frozenset({FactRef(name, "size")}) if not size.area.known else frozenset())
                out["size-system-known"] = Reading(Truth.YES if size.system else Truth.NO, at=at)
                continue
            out[fact.word] = Reading(value, at=at, wants=wants)
        return out

    def _breaks(self, pair: tuple[s.Value, s.Value]) -> str:
        written = []
        for value, dimension, unit in zip(pair, (d.CURRENT, d.VOLTAGE), ("A", "V"), strict=True):
            number, have = self._number(value)
            if have != dimension:
                raise self.fail(f"{value.text} is {said(have)}, and {said(dimension)} is asked for", value.at)
            written.append(f"{number.low:g} {unit}")
        return " at ".join(written)

    def _number(self, value: s.Value) -> tuple[Range, Dimension]:
        try:
            return number_of(value)
        except Unreadable as fault:
            raise self.fail(str(fault), value.at, fault.remedy) from None

    def _value(self, row: Word, fact: s.Fact) -> Value:
        value, at = fact.value, fact.at
        if row.gives in ("yes-no", "fitting"):
            if isinstance(value, s.YesNo):
                return Truth.YES if value.said == "yes" else Truth.NO
            raise self.fail(f'"{row.word}" is yes, no or unknown', at)
        if row.gives == "choice":
            return frozenset(self._choice(row, word, at) for word in value.words) if isinstance(value, s.Words) else self._wrong(row, at)
        if row.gives == "ingress":
            if isinstance(value, s.Amount) and value.low.sort == "ipcode" and value.high is None:
                return frozenset({value.low.text})
            raise self.fail(f'"{row.word}" is a protection code such as IP67', at)
        if row.gives == "text" or row.gives in self.known.kinds:
            if not isinstance(value, s.Tags):
                raise self.fail(f'"{row.word}" names a thing by its tag', at)
            for name in value.names:
                if name not in self.kinds:
                    raise self.fail(f"tag {name} is not fitted in example {self.card.name}", at)
                if row.gives in self.known.kinds and not self.known.is_a(self.kinds[name], row.gives):
                    raise self.fail(f'"{row.word}" names {article(row.gives)}; {name} is {article(self.kinds[name])}', at)
            return frozenset(value.names)
        if not isinstance(value, s.Amount):
            return self._wrong(row, at)
        if row.gives == "size":
            try:
                return read_size(value.low.text).area
            except Unreadable as unreadable:
                raise self.fail(str(unreadable), at, unreadable.remedy) from None
        low, dimension = self._number(value.low)
        high, second = self._number(value.high) if value.high is not None else (low, dimension)
        asked = row.dimension
        if asked is None or dimension != asked or second != asked:
            wrong = dimension if dimension != asked else second
            raise self.fail(f'"{row.word}" is {said(asked) if asked is not None else "no quantity"}, not {said(wrong)}', at)
        if low.low > high.high:
            raise self.fail("this range runs backwards", at, "Write the smaller number first.")
        if row.floor is not None and low.low < row.floor:
            raise self.fail(f'"{row.word}" cannot be that low', at)
        return Range(low.low, high.high)

    def _choice(self, row: Word, word: str, at: int) -> str:
        known = choices_of(row)
        if word not in known:
            near = nearest(word, known)
            raise self.fail(f'"{word}" is not one of the words of "{row.word}"', at,
                            f'Did you mean "{near}"?' if near else f"It is one of {listed(list(known), 'or')}.")
        return known[word]

    def _wrong(self, row: Word, at: int) -> Value:
        what = said(row.dimension) if row.dimension is not None else "a wire size such as 2 AWG" if row.gives == "size" else "a word"
        raise self.fail(f'"{row.word}" is {what}', at)

    # ---- expectations ---------------------------------------------------------------------------------------------------------------------

    def _expected(self) -> tuple[Expect, ...]:
        out = []
        seen: set[str] = set()
        for expected in self.card.expected:
            wanting = frozenset(self._wanted(w) for w in expected.wanting) if expected.wanting is not None else None
            if wanting is not None and expected.outcome != "cannot tell":
                raise self.fail('"wanting" goes with "cannot tell"', expected.at)
            found, dimension, digits = self._found(expected.found) if expected.found is not None else (None, None, 0.0)
            for subject in expected.subjects:
                if isinstance(subject, s.Named):
                    if subject.word != t.INSTALLATION:
                        raise self.fail(f'"{subject.word}" is no tag', subject.at, 'Name a tag, or "installation".')
                    name, kind = "", t.INSTALLATION
                else:
                    name, kind = self.element(subject)
                if not self.known.is_a(kind, self.practice.look.kind):
                    raise self.fail(f"{self.practice.name} does not look at {article(kind)}", subject.at)
                if name in seen:
                    raise self.fail(f"{name or 'the installation'} is expected twice", subject.at)
                seen.add(name)
                out.append(Expect(name, expected.outcome, found, dimension, digits, wanting, self._span(expected.at)))
        return tuple(out)

    def _found(self, amount: s.Amount) -> tuple[Range, Dimension, float]:
        low, dimension = self._number(amount.low)
        high, second = self._number(amount.high) if amount.high is not None else (low, dimension)
        if second != dimension:
            raise self.fail("the two ends differ in unit", amount.at)
        digits = 0.0
        for value, number in ((amount.low, low), (amount.high or amount.low, high)):
            if value.sort in ("num", "qty"):
                figure = value.text.lstrip("-").split(" ")[0].rstrip("%abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/")
                places = len(figure.split(".")[1]) if "." in figure else 0
                plain = abs(float(figure)) or 1.0
                factor = abs(number.low) / plain if number.low else 1.0
                digits = max(digits, 0.5 * 10.0 ** -places * factor)
        return Range(low.low, high.high), dimension, digits

    def _wanted(self, wanted: s.Wanted) -> FactRef:
        if wanted.sort == "every":
            if wanted.word not in self.known.kinds:
                raise self.fail(f'"{wanted.word}" is not a thing the language knows', wanted.at)
            return FactRef("", f"every {wanted.word}")
        if wanted.sort == "word":
            if self.known.said_of(wanted.word, t.INSTALLATION) is None:
                raise self.fail(f'"{wanted.word}" is no word of the installation', wanted.at)
            return FactRef("", wanted.word)
        if wanted.of is None or not wanted.word:
            raise self.fail("a question names a fact: length of W1", wanted.at)
        name, kind = self.element(wanted.of)
        if self.known.said_of(wanted.word, kind) is None and wanted.word not in ("breaks", "joins", "closed-when", "runs"):
            near = nearest(wanted.word, [w.word for w in self.known.words_of(kind)])
            raise self.fail(f'"{wanted.word}" is not said of {article(kind)}', wanted.at, f'Did you mean "{near}"?' if near else None)
        return FactRef(name, wanted.word)


def _asked(facts: tuple[s.AnyFact, ...]) -> frozenset[str]:
    return frozenset(fact.word for fact in facts if isinstance(fact, s.Fact) and isinstance(fact.value, s.YesNo) and fact.value.said == "unknown")


def _open(value: Value) -> bool:
    """More than one value is left."""
    if isinstance(value, Range):
        return not value.known
    return len(value) > 1 if isinstance(value, frozenset) else False
