"""What a practice may ask of an installation. The language knows nothing else; `facts.book` answers.

State sets are opaque: they support `&`, `|` and comparison with `==` (plain ints for small spaces, something symbolic for large ones).
`everything & ~x` is written through `World.without`, never `~x` alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.truth import Truth

States = Any


@dataclass(frozen=True, slots=True)
class Answer:
    """A yes-no answer in every state at once.

    Attributes:
        yes: States in which it surely holds.
        no: States in which it surely does not. The rest is not known.
        wants: Facts that would settle the rest.
        uses: Stated facts it rests on.
        through: Elements to name with a "no" (the bare way) or a "yes".
        note: A short remark for the report: "no way between them".
    """

    yes: States
    no: States
    wants: frozenset[FactRef] = frozenset()
    uses: frozenset[FactRef] = frozenset()
    through: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ways:
    """The question "does every way meet a device?".

    Attributes:
        form: "out of", "to" or "into".
        starts: Terminals it starts from (each source's positive for "each source S"); all together.
        ends: For "to": terminals. For "into": the elements, whose own near end is the goal; the device must lie before them.
        avoiding: Elements taken out.
        meets: Device element to how surely it qualifies (YES, NO or UNKNOWN); devices left out do not qualify.
        wanting: Device element to the facts that would settle whether it qualifies.
        within: For "out of": most length along the wire to the device, as a Reading of a length, or None.
        maybe_starts: Starts whose existence or fitness is not certain.
    """

    form: str
    starts: tuple[str, ...]
    ends: tuple[str, ...] = ()
    avoiding: tuple[str, ...] = ()
    meets: Mapping[str, Truth] = field(default_factory=dict)
    wanting: Mapping[str, frozenset[FactRef]] = field(default_factory=dict)
    within: Reading | None = None
    maybe_starts: tuple[str, ...] = ()
    maybe_avoiding: tuple[str, ...] = ()
    maybe_ends: tuple[str, ...] = ()


class World(Protocol):
    """An installation, or an example, as the language sees it. Elements and terminals are plain names."""

    @property
    def everything(self) -> States:
        """All reachable states."""

    @property
    def nothing(self) -> States:
        """No state."""

    def without(self, states: States, less: States) -> States:
        """`states` less `less`."""

    def members(self, kind: str) -> tuple[str, ...]:
        """Elements of a kind, in file order."""

    def complete(self, kind: str) -> bool:
        """Whether these are surely all there are."""

    def kind_of(self, element: str) -> str:
        """The kind of an element."""

    def reading(self, word: str, element: str) -> Reading:
        """A property or fact that does not depend on state: quantity, yes-no (Truth) or choice."""

    def readings(self, word: str, element: str) -> tuple[tuple[States, Reading], ...]:
        """A quantity under each state: pieces that cover `everything`."""

    def relation(self, word: str, element: str, other: str | None) -> Answer:
        """A relation, or a yes-no said in a state, in all states at once."""

    def part(self, word: str, element: str) -> tuple[str | None, Reading]:
        """The thing or terminal a part-word names ("positive of B1", "place-of B1", "stub of X1 flatbed"), and how it is known.

        None with a reading whose value is `Truth.NO`, or the empty set with nothing wanted and no gap: there surely is none. Any other None
        means it is not known which, or whether.
        """

    def ways(self, question: Ways) -> Answer:
        """`yes`: states in which every way meets a qualifying device. `no`: states with a bare way, named in `through`."""

    def spend(self, steps: int) -> None:
        """Count work; raises `TooMuchWork` past the budget."""


class TooMuchWork(Exception):
    """The evaluation budget is spent; the practice is "cannot tell: too much work"."""
