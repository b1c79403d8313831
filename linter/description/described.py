"""What a description says, typed: the hand-over from `description` to `circuit`. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from linter.base.reading import Reading
from linter.base.span import Span

_NOWHERE = Span("?")


@dataclass(frozen=True, slots=True)
class Said:
    """ "K1 both", "engine runs", "X3 mated": a subject and how it stands.

    Attributes:
        subject: A part's name, or engine, sun, shore.
        stands: on, off, a dial position, mated, parted, runs, stopped, shines, gone, connected, absent, closed, open.
        at: Where it is written.
    """

    subject: str
    stands: str
    at: Span


@dataclass(frozen=True, slots=True)
class Told:
    """How a fact came to be known, as far as it was written: {is: 4.8 m, how: measured, on: 2026-05-03, by: owner, with: tape}."""

    how: str
    on: str = ""
    by: str = ""
    using: str = ""


@dataclass(frozen=True, slots=True)
class Thing:
    """A part, wire, hole, place or vehicle as described.

    Attributes:
        name, kind, title, at: As written. kind is a word of the vocabulary ("solar-array").
        facts: Word to Reading. Names of places, vehicles and parts are frozenset({name}). `size` comes with `area` and
            `size-system-known`; `breaks` is a frozenset of "10000 A at 14 V". A vehicle also carries `vehicle-kind` (text) and
            `tows-behind` (another vehicle). A fact written as "?" is absent, and no default fills it.
        dial: Positions of a selector in order.
        joins: Position to groups of studs joined in it; None where the description does not say.
        closed_when: Condition of a relay (all of these), () if it follows nothing known.
        runs_when: Condition of a charger or load, () if none is stated.
        barred_when: Wired interlock of a load, () if none.
        taken_as: A switch taken as always "on" or "off", "" if it is a variable.
        between: The two halves of a coupling.
        contacts: Contact names of a coupling; where the description does not list them, those its runs name.
        told: Word to how it came to be known, where more than the value was written.
        halves: Of a coupling: half to what is stated of that half alone (place, cap, ...); it goes before what is said of the whole.
        studs: Of a selector: every stud it has, as far as its positions and `studs:` name them.
        asked: Words written as "?": looked for and not known.
    """

    name: str
    kind: str
    title: str = ""
    facts: Mapping[str, Reading] = field(default_factory=dict)
    at: Span = _NOWHERE
    dial: tuple[str, ...] = ()
    joins: Mapping[str, tuple[tuple[str, ...], ...] | None] = field(default_factory=dict)
    closed_when: tuple[Said, ...] = ()
    runs_when: tuple[Said, ...] = ()
    barred_when: tuple[Said, ...] = ()
    taken_as: str = ""
    between: tuple[str, ...] = ()
    contacts: tuple[str, ...] = ()
    told: Mapping[str, Told] = field(default_factory=dict)
    halves: Mapping[str, Mapping[str, Reading]] = field(default_factory=dict)
    studs: tuple[str, ...] = ()
    asked: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Stop:
    """One item of a route.

    Attributes:
        sort: "terminal" (PART TERMINAL), "device" (two-sided part passed line to load), "node" (bus, junction, chassis),
            "conductor" (NAME LENGTH), "joint" (0 mm).
        element: Name of the part or conductor; "" for a joint.
        terminal: For a terminal.
        at: Where it is written.
    """

    sort: str
    element: str
    terminal: str
    at: Span


@dataclass(frozen=True, slots=True)
class Route:
    """One way a finger follows, in order.

    Attributes:
        run: Name of the run it belongs to.
        stops: In order; conductors and joints stand between terminals, devices and nodes.
        at: Where it is written.
    """

    run: str
    stops: tuple[Stop, ...]
    at: Span


@dataclass(frozen=True, slots=True)
class Departure:
    """An agreed departure from one practice on one element.

    Attributes:
        practice, element, because, agreed_by, until: As written.
        at: Where it is written.
        found, asked: Numbers that stood when it was agreed, as written; if they get worse the departure lapses.
    """

    practice: str
    element: str
    because: str
    agreed_by: str
    until: str
    at: Span
    found: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Attested:
    """A check somebody made, looked at or signed.

    Attributes:
        what: A check of the vocabulary, or words of one's own, which are kept and count for nothing.
        on: Day.
        by, role, how: Who, in which role, by what means; the last two may be "".
        of: Elements; none: everything the check is said of.
        passed: Whether it came out well.
        at: Where it is written.
    """

    what: str
    on: str
    by: str
    role: str
    how: str
    of: tuple[str, ...]
    passed: bool
    at: Span


@dataclass(frozen=True, slots=True)
class Change:
    """Work done on an installation that was there already.

    Attributes:
        what: What was done.
        on: Day.
        of: Elements it touched; none: no telling, so everything.
        by, because: As written; may be "".
        at: Where it is written.
    """

    what: str
    on: str
    of: tuple[str, ...]
    by: str
    because: str
    at: Span


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading of an instrument, kept as written.

    Attributes:
        said: Key to text: what, of, reads, on, by, with, while, row.
        at: Where it is written.
    """

    said: Mapping[str, str]
    at: Span


@dataclass(frozen=True, slots=True)
class Described:
    """A whole description.

    Attributes:
        title: Of the installation.
        file: As the reader named it.
        listed: Kind to whether everything of it is listed; "element" is the general answer.
        packs, house_packs: Names asked for.
        capacity_by: Which ladder judges a conductor's capacity.
        facts: Of the installation itself: coldest, hottest, system-voltage.
        things: Parts, conductors, holes, places and vehicles, in file order.
        routes: In file order.
        together, apart: Constraints between states.
        departures, attested, changes, readings: As written.
        told: How the installation's own facts came to be known.
        asked: Words of the installation written as "?".
    """

    title: str
    file: str
    listed: Mapping[str, bool]
    packs: tuple[str, ...]
    house_packs: tuple[str, ...]
    capacity_by: str
    facts: Mapping[str, Reading]
    things: tuple[Thing, ...]
    routes: tuple[Route, ...]
    together: tuple[tuple[Said, ...], ...] = ()
    apart: tuple[tuple[Said, ...], ...] = ()
    departures: tuple[Departure, ...] = ()
    attested: tuple[Attested, ...] = ()
    changes: tuple[Change, ...] = ()
    readings: tuple[Taken, ...] = ()
    told: Mapping[str, Told] = field(default_factory=dict)
    asked: frozenset[str] = frozenset()
