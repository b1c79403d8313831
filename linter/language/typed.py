"""The cards with every word resolved: what `judge` compiles and `explain` walks. Made by `check` only, so everything in it is sound.

A card's tags live in numbered slots of one list; slot 0 holds the World. At most one state tag is ever open, so a state has no slot: a
node is either free of state or says something in each state at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from linter.base.span import Span
from linter.base.values import Range
from linter.language import syntax as s
from linter.units.dimension import Dimension
from linter.vocabulary import Vocabulary, Word

INSTALLATION = "installation"


# ---- things --------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """The thing in a slot."""

    slot: int
    tag: str
    kind: str


@dataclass(frozen=True, slots=True, eq=False)
class PartOf:
    """The thing a word names: `place-of B`, `stub of X`."""

    word: str
    of: Thing
    kind: str


@dataclass(frozen=True, slots=True, eq=False)
class Whole:
    """The installation itself."""

    kind: str = INSTALLATION


Thing = Held | PartOf | Whole


@dataclass(frozen=True, slots=True, eq=False)
class Point:
    """A terminal: `positive of B`."""

    word: str
    of: Thing


# ---- terms ---------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Fixed:
    """A written number. `gauge` when it names a conductor size."""

    value: Range
    dimension: Dimension
    text: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class FixedWords:
    """Written choice words or protection codes, as the vocabulary spells them."""

    words: frozenset[str]
    text: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class LimitOf:
    """A limit; its value in effect is looked up in `Checked.limits`. dimension None: a protection code."""

    name: str
    dimension: Dimension | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class WordOf:
    """A reading of the vocabulary: a quantity, size, choice or protection code. `under`: in each state."""

    row: Word
    thing: Thing
    under: bool
    dimension: Dimension | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Called:
    """A reading of a pack."""

    reading: PackReading
    things: tuple[Thing, ...]
    under: bool
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Calc:
    """plus, minus, times, divided by."""

    op: str
    left: Term
    right: Term
    dimension: Dimension
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Best:
    """largest, smallest or total of several terms."""

    which: str
    terms: tuple[Term, ...]
    dimension: Dimension
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Over:
    """largest, smallest or total of a term over a group."""

    which: str
    term: Term
    group: Group
    dimension: Dimension
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Number:
    """number of each …"""

    group: Group
    at: int


Term = Fixed | FixedWords | LimitOf | WordOf | Called | Calc | Best | Over | Number


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """each KIND TAG with (…). `state`: over the operating states, slot unused."""

    kind: str
    tag: str
    slot: int
    condition: Formula | None
    at: int

    @property
    def state(self) -> bool:
        """Over the operating states."""
        return self.kind == "state"


# ---- formulas ------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class All:
    """and"""

    parts: tuple[Formula, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Any_:
    """or, unless"""

    parts: tuple[Formula, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Not:
    """not"""

    formula: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Cmp:
    """A comparison. sort: quantity, ingress or choice."""

    left: Term
    how: str
    right: Term
    sort: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Same:
    """Two things are one and the same."""

    left: Thing
    right: Thing
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """A yes-no word, fitting or relation of a thing. `under`: said in each state."""

    row: Word
    thing: Thing
    other: Thing | None
    under: bool
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class HasPart:
    """X has stub: the part exists."""

    word: str
    thing: Thing
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Among:
    """A choice is one of some words."""

    term: WordOf
    words: frozenset[str]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Exists:
    """there is a …"""

    group: Group
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Keeps:
    """each … keeps (…)"""

    group: Group
    formula: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """Where a way starts or ends, or what it avoids.

    Attributes:
        group: Over each of these, or None for one thing.
        thing: The one thing, when there is no group.
        terminal: Word of the terminal; "" for the feeding terminal (starts) or the element itself (into, avoiding).
    """

    group: Group | None
    thing: Thing | None
    terminal: str


@dataclass(frozen=True, slots=True, eq=False)
class Meets:
    """every way [in S] … meets a … [within …]"""

    in_state: bool
    form: str
    start: Ends
    end: Ends | None
    avoiding: Ends | None
    device: Group
    within: Term | None
    at: int


Formula = All | Any_ | Not | Cmp | Same | Said | HasPart | Among | Exists | Keeps | Meets


# ---- items ---------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class PackReading:
    """A checked reading. Its things sit in slots 1, 2, …; `slots` is how many the list needs."""

    name: str
    kind: str
    kinds: tuple[str, ...]
    under: bool
    dimension: Dimension
    percent: bool
    term: Term
    slots: int
    opens_state: bool
    depth: int
    card: s.ReadingCard


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """One step in the history of a limit: which pack set it to what, and why.

    Attributes:
        rests: (source, certainty) of a figure that was adopted.
        way: stricter, looser, same or other than what stood before; "" for the first step.
    """

    pack: str
    verb: str
    text: str
    because: str
    agreed_by: str = ""
    until: str = ""
    rests: tuple[tuple[str, str], ...] = ()
    way: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class LimitInEffect:
    """A limit with the value that counts.

    Attributes:
        value: Range (SI), or a set with one protection code.
        low, high: Its band, None if it has none.
        text: As written by the pack that set it.
        stricter: lower, higher or neither.
        chain: Who set it, first to last.
    """

    name: str
    pack: str
    value: Range | frozenset[str]
    dimension: Dimension | None
    low: Range | frozenset[str] | None
    high: Range | frozenset[str] | None
    text: str
    stricter: str
    chain: tuple[Setting, ...]
    card: s.Limit


@dataclass(frozen=True, slots=True, eq=False)
class FigureTerm:
    """A number to print under "mend"."""

    label: str
    term: Term


@dataclass(frozen=True, slots=True, eq=False)
class Practice:
    """A checked card.

    Attributes:
        name, pack, edition: What a finding says.
        weight: In effect, after house packs.
        look: What it looks at; its tag sits in slot 1.
        demand: Must hold; a `forbid` is turned round already.
        slots: Length of the slot list.
        moved: House statements that changed it.
        card: As written.
    """

    name: str
    pack: str
    edition: str
    weight: str
    look: Group
    passing: Formula | None
    demand: Formula
    figures: tuple[FigureTerm, ...]
    slots: int
    moved: tuple[Setting, ...]
    card: s.Practice

    @property
    def at(self) -> Span:
        """Where the card begins."""
        return self.card.source.span(self.card.at)


@dataclass(frozen=True, slots=True, eq=False)
class Example:
    """A checked example: the `like` chain is already unrolled into `card`; `stage` is what is fitted, typed."""

    name: str
    pack: str
    tries: str
    card: s.Example
    stage: object


@dataclass(frozen=True)
class Checked:
    """Everything in effect after loading some packs.

    Attributes:
        practices: In order, without those retired.
        limits, readings: By name.
        renamed: Earlier name of a practice to the name that counts.
        retired: Practices out of use, and who said so.
        packs: Name to edition.
        examples: Of all packs.
    """

    vocabulary: Vocabulary
    practices: tuple[Practice, ...] = ()
    limits: Mapping[str, LimitInEffect] = field(default_factory=dict)
    readings: Mapping[str, PackReading] = field(default_factory=dict)
    examples: tuple[Example, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)
    retired: Mapping[str, Setting] = field(default_factory=dict)
    packs: Mapping[str, str] = field(default_factory=dict)

    def practice(self, name: str) -> Practice | None:
        """A practice by its name or an earlier one."""
        name = self.renamed.get(name, name)
        return next((p for p in self.practices if p.name == name), None)
