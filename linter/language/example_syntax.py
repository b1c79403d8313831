"""Examples as written: what is fitted and what must come out. Apart from `syntax`, because a check of an installation reads none."""

from __future__ import annotations

from dataclasses import dataclass

from linter.language.syntax import Named, Place, Source, Value


@dataclass(frozen=True, slots=True, eq=False)
class Amount:
    """A quantity, or a range when `high` is there."""

    low: Value
    high: Value | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """A choice; several words mean "one of these"."""

    words: tuple[str, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Tags:
    """Names of places, vehicles or parts."""

    names: tuple[str, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class YesNo:
    """`said` is yes, no or unknown."""

    said: str
    at: int


FactValue = Amount | Words | Tags | YesNo


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """`K1 both`, `engine runs`."""

    subject: str
    stands: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Fact:
    """A stated word and its value."""

    word: str
    value: FactValue
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """`runs from … to …`: the ends of a conductor."""

    start: Place
    end: Place
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class WhenFact:
    """`sort` is runs, closed or barred; `when` is empty for `closed when unknown`."""

    sort: str
    when: tuple[Stand, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Always:
    """`always on`."""

    stands: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Bolted:
    """`line bolted to positive of B1`: joined without wire."""

    terminal: str
    to: Place
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Contacts:
    """Contacts of a coupling."""

    names: tuple[str, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Breaks:
    """`breaks 10 kA at 14 V and …`: pairs of current and voltage; none for `breaks unknown`."""

    pairs: tuple[tuple[Value, Value], ...]
    at: int


AnyFact = Fact | Runs | WhenFact | Always | Bolted | Contacts | Breaks


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A thing of an example; kind "installation" with no tag for the installation."""

    kind: str
    tag: str
    facts: tuple[AnyFact, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Half:
    """One half of a coupling."""

    name: str
    of: str
    facts: tuple[AnyFact, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Position:
    """A position of a selector; groups is None when what it joins is unknown."""

    name: str
    of: str
    groups: tuple[tuple[str, ...], ...] | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Constraint:
    """`sort` is together or apart."""

    sort: str
    stands: tuple[Stand, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Without:
    """Things taken out of the example this one is like."""

    tags: tuple[str, ...]
    at: int


Statement = Fitted | Half | Position | Constraint | Without


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """An open question expected: a word of a place, a word of the installation, or "every KIND"."""

    sort: str
    word: str
    of: Place | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """What must come out for the subjects. `found` is the number the report must show; `wanting` is None when not said."""

    subjects: tuple[Place | Named, ...]
    outcome: str
    found: Amount | None
    wanting: tuple[Wanted, ...] | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Example:
    """One example. `every` are the kinds whose list is whole; "element" stands for everything."""

    name: str
    says: str
    tries: str
    like: str
    statements: tuple[Statement, ...]
    every: tuple[str, ...]
    expected: tuple[Expected, ...]
    at: int
    source: Source
