"""The cards as written: a frozen tree that can be printed back word for word. Nothing is resolved here; see `typed` for that.

Every node keeps `at`, its place in the text counted in characters; `Source.span` makes a line and column of it when somebody asks.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from linter.base.span import Span

if TYPE_CHECKING:
    from linter.language.example_syntax import (
        Always as Always,
    )
    from linter.language.example_syntax import (
        Amount as Amount,
    )
    from linter.language.example_syntax import (
        AnyFact as AnyFact,
    )
    from linter.language.example_syntax import (
        Bolted as Bolted,
    )
    from linter.language.example_syntax import (
        Breaks as Breaks,
    )
    from linter.language.example_syntax import (
        Constraint as Constraint,
    )
    from linter.language.example_syntax import (
        Contacts as Contacts,
    )
    from linter.language.example_syntax import (
        Example as Example,
    )
    from linter.language.example_syntax import (
        Expected as Expected,
    )
    from linter.language.example_syntax import (
        Fact as Fact,
    )
    from linter.language.example_syntax import (
        FactValue as FactValue,
    )
    from linter.language.example_syntax import (
        Fitted as Fitted,
    )
    from linter.language.example_syntax import (
        Half as Half,
    )
    from linter.language.example_syntax import (
        Position as Position,
    )
    from linter.language.example_syntax import (
        Runs as Runs,
    )
    from linter.language.example_syntax import (
        Stand as Stand,
    )
    from linter.language.example_syntax import (
        Statement as Statement,
    )
    from linter.language.example_syntax import (
        Tags as Tags,
    )
    from linter.language.example_syntax import (
        Wanted as Wanted,
    )
    from linter.language.example_syntax import (
        WhenFact as WhenFact,
    )
    from linter.language.example_syntax import (
        Without as Without,
    )
    from linter.language.example_syntax import (
        Words as Words,
    )
    from linter.language.example_syntax import (
        YesNo as YesNo,
    )


def __getattr__(name: str) -> Any:
    """The words of examples, brought in when first spoken of: making their classes costs more than a check of a small installation."""
    from linter.language import example_syntax
    if name.startswith("_") or not hasattr(example_syntax, name):
        raise AttributeError(name)
    return getattr(example_syntax, name)


@dataclass(frozen=True, eq=False)
class Source:
    """One file of a pack.

    Attributes:
        file: As the reader named it.
        text: Its text.
    """

    file: str
    text: str = field(repr=False)
    _starts: list[int] = field(default_factory=list, repr=False)

    def span(self, at: int) -> Span:
        """Line and column of a place in the text."""
        if not self._starts:
            self._starts.append(0)
            here = self.text.find("\n")
            while here >= 0:
                self._starts.append(here + 1)
                here = self.text.find("\n", here + 1)
        line = bisect_right(self._starts, at)
        return Span(self.file, line, at - self._starts[line - 1] + 1)


def names_of(node: object) -> tuple[str, ...]:
    """Names of a node's fields; none for a word, a number or None."""
    return getattr(node, "__match_args__", ())


def children(node: object) -> list[Any]:
    """What a node holds, in order."""
    return [getattr(node, name) for name in names_of(node)]


# ---- things and terms ----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Tag:
    """An author's tag: B1."""

    name: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """`positive of B`, `rating of F`: a word of a thing."""

    word: str
    of: Place
    at: int


Place = Tag | Part


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """`current of C under S`, `B in S`: a place with its companions."""

    place: Place
    companions: tuple[tuple[str, Place], ...]
    at: int


Phrase = Tag | Part | Placed


@dataclass(frozen=True, slots=True, eq=False)
class Value:
    """A written amount. `sort` is qty, num, gauge or ipcode."""

    sort: str
    text: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """A word alone: a limit, or a word of the installation."""

    word: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Arithmetic:
    """`op` is plus, minus, times or divided by."""

    op: str
    left: Term
    right: Term
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class BracketedTerm:
    """Brackets the author wrote round a term."""

    term: Term
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Pick:
    """`which` is largest, smallest or total, of terms or of one term over a group."""

    which: str
    terms: tuple[Term, ...]
    over: Each | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Count:
    """`number of each …`."""

    each: Each
    at: int


Term = Value | Named | Phrase | Arithmetic | BracketedTerm | Pick | Count


@dataclass(frozen=True, slots=True, eq=False)
class Each:
    """`each KIND TAG [with (formula)]`."""

    kind: str
    tag: str
    condition: Formula | None
    at: int
    kind_at: int
    tag_at: int


# ---- formulas ------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class AllOf:
    """Joined by `and`."""

    parts: tuple[Formula, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class AnyOf:
    """Joined by `or`."""

    parts: tuple[Formula, ...]
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Unless:
    """`left unless right`: left or right."""

    left: Formula
    right: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Bracketed:
    """Brackets the author wrote round a formula."""

    formula: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Negate:
    """`not ( … )`."""

    formula: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Compare:
    """`how` is one of the nine comparisons."""

    left: Term
    how: str
    right: Term
    at: int
    how_at: int


@dataclass(frozen=True, slots=True, eq=False)
class IsWord:
    """`K is charging B in S`, `material of C is copper`."""

    phrase: Phrase
    word: str
    other: Phrase | None
    positive: bool
    at: int
    word_at: int


@dataclass(frozen=True, slots=True, eq=False)
class HasWord:
    """`X has cap`."""

    phrase: Phrase
    word: str
    positive: bool
    at: int
    word_at: int


@dataclass(frozen=True, slots=True, eq=False)
class OneOf:
    """`chemistry of B is one of …`."""

    phrase: Phrase
    words: tuple[tuple[str, int], ...]
    positive: bool
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class ThereIs:
    """`there is a …`, `there is no …`. `article` is a or an, kept for printing."""

    each: Each
    positive: bool
    article: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class EachKeeps:
    """`each … keeps (…)`."""

    each: Each
    formula: Formula
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class EndOfEach:
    """`negative of each battery B`: an end of a way."""

    word: str
    each: Each
    at: int


End = Tag | Part | Each | EndOfEach


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """`form` is "out of", "to" or "into"."""

    form: str
    start: End
    end: End | None
    avoiding: End | None
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class WayMeets:
    """`every way [in S] … meets a … [within …]`."""

    state: Tag | None
    way: Way
    device: Each
    article: str
    within: Term | None
    at: int
    within_at: int


Formula = AllOf | AnyOf | Unless | Bracketed | Negate | Compare | IsWord | HasWord | OneOf | ThereIs | EachKeeps | WayMeets


# ---- items ---------------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class BuildsOn:
    """A pack this one builds on."""

    pack: str
    edition: str
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Head:
    """`pack … done`; `moves` are packs whose limits it adopts other figures for where they are held against (pack.yaml says so)."""

    name: str
    edition: str
    speaks: str
    says: str
    builds_on: tuple[BuildsOn, ...]
    at: int
    source: Source
    moves: tuple[BuildsOn, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Limit:
    """A named number a house pack may move inside its band. `stricter` is lower, higher or neither."""

    name: str
    value: Value
    low: Value | None
    high: Value | None
    stricter: str
    because: str
    at: int
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class ReadingCard:
    """A reading worked out from others. `given` are companions: preposition, kind, tag."""

    name: str
    kind: str
    tag: str
    given: tuple[tuple[str, str, str], ...]
    giving: str
    term: Term
    at: int
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """A number the report prints under "mend"."""

    label: str
    term: Term
    at: int


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """A source the practice rests on: verified, recalled, computed or trade."""

    text: str
    certainty: str


@dataclass(frozen=True, slots=True, eq=False)
class Practice:
    """One practice card. `forbidden` when its demand is `forbid`."""

    name: str
    says: str
    look: Each
    passing: Formula | None
    demand: Formula
    forbidden: bool
    weight: str
    because: str
    follows: str
    remedy: str
    figures: tuple[Figure, ...]
    rests: tuple[Rest, ...]
    formerly: tuple[str, ...]
    at: int
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class House:
    """What a house pack says. `verb` is adopt, tighten, loosen, raise, lower, retire or rename.

    Attributes:
        value: For adopt, tighten and loosen.
        to: Weight, or the new name.
        agreed_by, until: For the verbs that loosen.
        rests: Sources, for adopt.
    """

    verb: str
    name: str
    value: Value | None
    to: str
    because: str
    agreed_by: str
    until: str
    at: int
    source: Source
    rests: tuple[Rest, ...] = ()


@dataclass(frozen=True)
class Pack:
    """One pack, or one file of it (then `head` may be missing)."""

    head: Head | None
    limits: tuple[Limit, ...] = ()
    readings: tuple[ReadingCard, ...] = ()
    practices: tuple[Practice, ...] = ()
    examples: tuple[Example, ...] = ()
    house: tuple[House, ...] = ()
    sources: tuple[Source, ...] = ()

    @property
    def name(self) -> str:
        """The pack's name, "" for a file without a head."""
        return self.head.name if self.head else ""
