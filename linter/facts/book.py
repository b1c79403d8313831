"""The book of facts of one installation: each fact worked out once, on demand, with what it rests on. Answers what practices ask.

For whoever writes facts:

- `book.reading(word, element)`: what was stated, else the registered fact, else the vocabulary's assumption, else an open reading with a gap.
- `book.quantity(word, element)`, `book.truth_of(...)`, `book.words(...)`: only its value, typed.
- `book.network` (terminals, edges), `book.reach` (what reaches what in all states), `book.space` (sets of states).
- `book.members(kind)`, `book.kind_of(element)`, `book.is_a(element, kind)`, `book.area(conductor)`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeVar

from linter.base import bounds
from linter.base.gap import FactRef, Gap
from linter.base.reading import Reading, Value
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.circuit.model import Circuit, Element
from linter.circuit.network import Network
from linter.circuit.reach import Reach
from linter.circuit.states import StateSpace, TooManyStates, space_of
from linter.facts import catalogue
from linter.facts.registry import fact_for, relation_for
from linter.language.world import Answer, States, TooMuchWork, Ways
from linter.units.dimension import VOLTAGE
from linter.units.table import Unreadable, read_quantity, write_range
from linter.vocabulary import Vocabulary, Word, vocabulary

_T = TypeVar("_T")
INSTALLATION = ""


@dataclass(frozen=True, slots=True)
class _Beyond:
    """What stands in place of a result that would cost more than a stated bound."""

    why: TooManyStates


class Book:
    """Answers for one circuit.

    Args:
        circuit: The installation.
        assume: Whether the vocabulary's assumptions may stand in for what was not stated.
    """

    def __init__(self, circuit: Circuit, *, assume: bool = True) -> None:
        catalogue.load()
        self.circuit = circuit
        self.assume = assume
        self.words_known: Vocabulary = vocabulary()
        self.space: StateSpace = space_of(circuit)
        self.network = Network(circuit, self.space, self.words_known)
        self.reach = Reach(self.network, self.spend)
        self._readings: dict[tuple[str, str], Reading | tuple[tuple[States, Reading], ...]] = {}
        self._answers: dict[tuple[str, str, str | None], Answer] = {}
        self._ways: dict[Any, Answer] = {}
        self._memo: dict[Any, Any] = {}
        self._busy: set[tuple[str, str]] = set()
        self._taken: dict[tuple[str, str], str] = {}
        self._lineage: dict[str, tuple[str, ...]] = {}
        self._members: dict[str, tuple[str, ...]] = {}
        self._work = 0
        self._run_work = 0

    # ---- states -----------------------------------------------------------------------------------------------------------------

    @property
    def everything(self) -> States:
        """All reachable states."""
        return self.space.everything

    @property
    def nothing(self) -> States:
        """No state."""
        return self.space.nothing

    def without(self, states: States, less: States) -> States:
        """`states` less `less`."""
        return self.space.without(states, less)

    def all_of(self, conditions: Iterable[States]) -> States:
        """States in which all of some conditions hold; the rest is not looked at once there are none."""
        together = self.everything
        for condition in conditions:
            together = together & condition
            if together == self.nothing:
                break
        return together

    def describe_states(self, states: States) -> str:
        """"K1 both, X3 mated"; "some states" when there are too many to say which."""
        try:
            return self.space.describe(states)
        except TooManyStates:
            return "some states"

    def count(self, states: States) -> int | None:
        """How many states; None when there are too many to count."""
        try:
            return self.space.count(states)
        except TooManyStates:
            return None

    # ---- elements ---------------------------------------------------------------------------------------------------------------

    def element(self, name: str) -> Element | None:
        """The element so named, or None."""
        return self.circuit.elements.get(name)

    def kind_of(self, element: str) -> str:
        """The kind of an element; "installation" for the whole."""
        if element == INSTALLATION:
            return "installation"
        found = self.circuit.elements.get(element)
        return found.kind if found else "element"

    def is_a(self, element: str, kind: str) -> bool:
        """Whether the element is of the kind."""
        return self.words_known.is_a(self.kind_of(element), kind)

    def lineage(self, kind: str) -> tuple[str, ...]:
        """A kind and what it is one of, nearest first."""
        if kind not in self._lineage:
            order: list[str] = [kind]
            for one in order:
                row = self.words_known.kinds.get(one)
                order += [parent for parent in (row.of if row else ()) if parent not in order]
            self._lineage[kind] = tuple(order)
        return self._lineage[kind]

    def members(self, kind: str) -> tuple[str, ...]:
        """Elements of a kind, in file order."""
        if kind == "installation":
            return (INSTALLATION,)
        if kind not in self._members:
            self._members[kind] = tuple(name for name, e in self.circuit.elements.items() if self.words_known.is_a(e.kind, kind))
        return self._members[kind]

    def complete(self, kind: str) -> bool:
        """Whether these are surely all there are: said for the kind, for one it belongs to, for each of its sub-kinds, or in general; and taken
        back for none of its sub-kinds."""
        said = self.circuit.complete
        general = next((said[one] for one in self.lineage(kind) if one in said), said.get("element", False))
        if general:
            return not any(not done and self.words_known.is_a(sub, kind) for sub, done in said.items() if sub != "element")
        children = [name for name, row in self.words_known.kinds.items() if kind in row.of]
        return kind not in said and bool(children) and all(self.complete(child) for child in children)

    def surely_not(self, maybe: States) -> States:
        """States outside those in which something may be, if every connection is described; else none."""
        return self.without(self.everything, maybe) if self.wiring_complete else self.nothing

    @cached_property
    def open_wiring(self) -> frozenset[FactRef]:
        """What to ask when connections may be missing."""
        return frozenset() if self.wiring_complete else frozenset({FactRef(INSTALLATION, "every conductor")})

    @cached_property
    def wiring_complete(self) -> bool:
        """Whether every connection is described. Halves and buses without wires add none, so conductors decide."""
        return self.complete("conductor")

    # ---- readings ---------------------------------------------------------------------------------------------------------------

    def row(self, word: str, element: str) -> Word | None:
        """The vocabulary's row for a word said of this element."""
        return self.words_known.said_of(word, self.kind_of(element))

    def reading(self, word: str, element: str) -> Reading:
        """A property or fact. A state-dependent quantity is given as the hull over all states."""
        found = self._known(word, element)
        if isinstance(found, Reading):
            return found
        return _hull(found)

    def readings(self, word: str, element: str) -> tuple[tuple[States, Reading], ...]:
        """A quantity under each state: pieces that cover everything."""
        found = self._known(word, element)
        return ((self.everything, found),) if isinstance(found, Reading) else found

    def quantity(self, word: str, element: str) -> Range:
        """The range of a quantity; without ends where the word gives none."""
        value = self.reading(word, element).value
        return value if isinstance(value, Range) else Range(-INF, INF)

    def truth_of(self, word: str, element: str) -> Truth:
        """The truth of a yes-no or fitting."""
        value = self.reading(word, element).value
        return value if isinstance(value, Truth) else Truth.UNKNOWN

    def words(self, word: str, element: str) -> frozenset[str]:
        """The words a choice may be; empty when nothing is known."""
        value = self.reading(word, element).value
        return value if isinstance(value, frozenset) else frozenset()

    def area(self, conductor: str) -> Range:
        """Copper area in m²."""
        return self.quantity("area", conductor)

    def _known(self, word: str, element: str) -> Reading | tuple[tuple[States, Reading], ...]:
        key = (word, element)
        found = self._readings.get(key)
        if found is None:
            if key in self._busy:
                return self.open(word, element, "it depends on itself")
            self._busy.add(key)
            try:
                found = self._readings[key] = self._find(word, element)
            finally:
                self._busy.discard(key)
        return found

    def _find(self, word: str, element: str) -> Reading | tuple[tuple[States, Reading], ...]:
        ref = FactRef(element, word)
        holder = self.circuit.stated if element == INSTALLATION else self.circuit.elements[element].properties if element in self.circuit.elements else {}
        stated = holder.get(word)
        if stated is not None and stated.gap is None:
            exact = _exact(stated.value)
            return replace(stated, uses=stated.uses or frozenset({ref}), wants=stated.wants or (frozenset() if exact else frozenset({ref})))
        work = fact_for(word, self.lineage(self.kind_of(element)))
        if work is not None:
            try:
                found = work(self, element)
            except TooManyStates as many:
                return self.open(word, element, str(many), wants=frozenset())
            if not isinstance(found, Reading) or found.gap is None or stated is None:
                if isinstance(found, Reading) and found.gap is not None:
                    return self._assumed(word, element) or found
                return found
        return self._assumed(word, element) or self.open(word, element, stated.gap.reason if stated is not None and stated.gap else "not stated",
                                                         at=stated.at if stated is not None else None)

    def _assumed(self, word: str, element: str) -> Reading | None:
        row = self.row(word, element)
        if not self.assume or row is None or not row.assume:
            return None
        value = assumption(row)
        if value is None or (_exact(value) and word in self._asked_of(element)):
            # Who looked and could not find out is not told "no": one convenient value is for what nobody thought of. A range holds the truth either way.
            return None
        text = row.assume
        if row.dimension == VOLTAGE and isinstance(value, Range):
            value = self._grown(value, element)
            text = write_range(value, VOLTAGE)
        self._taken[(element, word)] = text
        ref = frozenset({FactRef(element, word)})
        return Reading(value, "assumed", uses=ref, wants=frozenset() if _exact(value) else ref)

    def _asked_of(self, element: str) -> frozenset[str]:
        """Words said to be unknown."""
        if element == INSTALLATION:
            return self.circuit.asked
        return self.circuit.elements[element].asked if element in self.circuit.elements else frozenset()

    def _grown(self, value: Range, element: str) -> Range:
        """A voltage told for 12 V, for what this element is rated; up to 48 V where that is not known."""
        rated = self.quantity("nominal-voltage", element)
        return Range(value.low * (rated.low / 12 if rated.low > 0 else 1.0), value.high * (rated.high / 12 if rated.high < INF else 4.0))

    def open(self, word: str, element: str, reason: str, *, at: Any = None, wants: Iterable[FactRef] | None = None) -> Reading:
        """A reading that says nothing: floor to no end, unknown, or no word, with its gap."""
        row = self.row(word, element)
        value: Value
        if row is not None and row.gives in ("yes-no", "fitting"):
            value = Truth.UNKNOWN
        elif row is not None and row.dimension is not None:
            value = Range(row.floor if row.floor is not None else -INF, INF)
        else:
            value = frozenset()
        asked = frozenset({FactRef(element, word)}) if wants is None else frozenset(wants)
        return Reading(value, "unknown", gap=Gap(reason, at), wants=asked)

    def taken_as(self) -> list[tuple[str, str, str]]:
        """Assumptions that were used: element, word, and the range or choice it was taken to lie in."""
        return [(element, word, text) for (element, word), text in sorted(self._taken.items())]

    def memo(self, key: Any, make: Callable[[], _T]) -> _T:
        """Anything else a fact wants to work out only once, under a key of its own."""
        if key not in self._memo:
            try:
                self._memo[key] = make()
            except TooManyStates as many:
                # Too many once is too many again: what could not be told is not tried for every element anew.
                self._memo[key] = _Beyond(many)
        found = self._memo[key]
        if isinstance(found, _Beyond):
            raise found.why.with_traceback(None)
        kept: _T = found
        return kept

    # ---- relations, parts, ways ---------------------------------------------------------------------------------------------------

    def relation(self, word: str, element: str, other: str | None) -> Answer:
        """A relation, or a yes-no said in a state, in all states at once."""
        key = (word, element, other)
        if key not in self._answers:
            work = relation_for(word, self.lineage(self.kind_of(element)))
            if work is None:
                answer = Answer(self.nothing, self.nothing, frozenset({FactRef(element, word)}), note="not worked out")
            else:
                try:
                    answer = work(self, element, other)
                except TooManyStates as many:
                    answer = Answer(self.nothing, self.nothing, note=str(many))
            self._answers[key] = answer
        return self._answers[key]

    def part(self, word: str, element: str) -> tuple[str | None, Reading]:
        """The terminal or thing a part-word names, and how it is known."""
        terminal = self.network.terminal(element, word)
        if terminal is not None:
            return terminal, Reading(frozenset({terminal}), "drawn")
        half = f"{element} {word.replace('-', ' ')}"
        if half in self.circuit.elements and self.is_a(element, "coupling"):
            return half, Reading(frozenset({half}), "drawn")
        found = self.reading(word, element)
        if isinstance(found.value, frozenset) and len(found.value) == 1 and found.gap is None:
            return next(iter(found.value)), found
        return None, found

    def ways(self, question: Ways) -> Answer:
        """In which states every way meets a qualifying device, and in which a bare way is sure."""
        from linter.facts.ways import answer_ways  # the book is what ways are asked of: imported late, or the two modules would wait for each other

        key = (question.form, question.starts, question.ends, question.avoiding, tuple(sorted((d, t.value) for d, t in question.meets.items())),
               question.within.value if question.within else None, question.maybe_starts, question.maybe_avoiding, question.maybe_ends)
        if key not in self._ways:
            try:
                self._ways[key] = answer_ways(self, question)
            except TooManyStates as many:
                self._ways[key] = Answer(self.nothing, self.nothing, note=str(many))
        return self._ways[key]

    # ---- work -------------------------------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """A new practice begins: its own budget of work is fresh."""
        self._work = 0

    def spend(self, steps: int) -> None:
        """Counts work.

        Raises:
            TooMuchWork: one practice, or the whole run, has used its budget.
        """
        self._work += steps
        self._run_work += steps
        if self._work > bounds.PRACTICE_STEPS.most:
            raise TooMuchWork(f"{bounds.PRACTICE_STEPS.name}: more than {bounds.PRACTICE_STEPS.most} {bounds.PRACTICE_STEPS.meaning}")
        if self._run_work > bounds.RUN_STEPS.most:
            raise TooMuchWork(f"{bounds.RUN_STEPS.name}: more than {bounds.RUN_STEPS.most} {bounds.RUN_STEPS.meaning}")


def _exact(value: Value) -> bool:
    if isinstance(value, Range):
        return value.known
    if isinstance(value, Truth):
        return value is not Truth.UNKNOWN
    return len(value) == 1


def _hull(pieces: tuple[tuple[States, Reading], ...]) -> Reading:
    values = [r.value for _, r in pieces if isinstance(r.value, Range)]
    first = pieces[0][1]
    if len(values) < len(pieces):
        return first
    return replace(first, value=Range(min(v.low for v in values), max(v.high for v in values)), wants=frozenset().union(*(r.wants for _, r in pieces)),
                   uses=frozenset().union(*(r.uses for _, r in pieces)))


def assumption(row: Word) -> Value | None:
    """What the vocabulary lets us take a word for, typed; None if its text cannot be read."""
    if row.gives in ("yes-no", "fitting"):
        return Truth.YES if row.assume == "yes" else Truth.NO
    if row.dimension is not None:
        try:
            return read_quantity(row.assume, row.dimension, row.floor)
        except Unreadable:
            return None
    return frozenset(part.strip() for part in row.assume.split("/"))
