"""A description as it was written: texts, lists and tables, each with its place. Nothing is interpreted here.

Every scalar stays the text the reader wrote. `on`, `off`, `no` and `012` are therefore never anything but themselves until the
vocabulary says what is asked for, which is how the usual YAML traps are kept out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from linter.base.bounds import PROBLEMS
from linter.base.diagnostic import Diagnostic, Mark, in_order
from linter.base.near import nearest
from linter.base.span import Span
from linter.base.text import clean

_NEAR_BUDGET = 80  # Invariant: looking for near names stays cheap however many names a hostile file gets wrong.


@dataclass(slots=True, eq=False)
class Node:
    """Something written. Filled while reading, not changed afterwards.

    Attributes:
        file, line, column: Where it begins, counted from one.
        up: The table or list it stands in; None for the whole file.
        step: Its key, or its number in the list.
    """

    file: str
    line: int
    column: int
    up: Node | None
    step: str

    @property
    def pointer(self) -> str:
        """JSON pointer. Worked out when asked: thousands of values never need theirs."""
        steps = []
        node: Node | None = self
        while node is not None and node.up is not None:
            steps.append(node.step.replace("~", "~0").replace("/", "~1"))
            node = node.up
        return "".join(f"/{step}" for step in reversed(steps))

    @property
    def span(self) -> Span:
        """Where it is written."""
        return Span(self.file, self.line, self.column, self.pointer)


@dataclass(slots=True, eq=False)
class Text(Node):
    """A word or sentence.

    Attributes:
        value: As written, quotes and folding taken away.
        quoted: Written in quotes or as a block.
        shift: Columns between `column` and the first letter of `value`; None when the text runs over several lines.
    """

    value: str = ""
    quoted: bool = False
    shift: int | None = 0

    @property
    def missing(self) -> bool:
        """Nothing was written (or YAML's own words for nothing)."""
        return not self.quoted and self.value in ("", "~", "null", "Null", "NULL")

    def part(self, offset: int) -> Span:
        """The place of the letter at `offset` of the value."""
        if self.shift is None:
            return self.span
        return Span(self.file, self.line, self.column + self.shift + offset, self.pointer)


@dataclass(slots=True, eq=False)
class Many(Node):
    """A list."""

    items: list[Node] = field(default_factory=list)
    flow: bool = False


@dataclass(slots=True, eq=False)
class Table(Node):
    """Keys with values, in file order.

    Attributes:
        keys: Key to where it is written.
        values: Key to its value.
        flow: Written in braces.
    """

    keys: dict[str, Text] = field(default_factory=dict)
    values: dict[str, Node] = field(default_factory=dict)
    flow: bool = False


class Troubles:
    """Collects what is wrong with a description, a bounded number of times."""

    def __init__(self) -> None:
        self.found: list[Diagnostic] = []
        self._near_left = _NEAR_BUDGET

    def add(self, kind: str, headline: str, at: Node | Span, remedy: str | None = None, because: tuple[Mark, ...] = (), *, fatal: bool = True) -> None:
        """One more problem. Past the bound they are dropped; the first ones are enough to go on with."""
        if len(self.found) < PROBLEMS.most:
            span = at if isinstance(at, Span) else at.span
            self.found.append(Diagnostic(kind, headline, span, because, remedy, fatal))

    @property
    def full(self) -> bool:
        """Whether another problem would not be told any more."""
        return len(self.found) >= PROBLEMS.most

    def near(self, word: str, words: Iterable[str]) -> str | None:
        """The nearest of `words`, as long as the budget for looking lasts. An iterator of names is not even begun after that."""
        if self._near_left <= 0 or self.full:
            return None
        self._near_left -= 1
        return nearest(word, words)

    @property
    def fatal(self) -> bool:
        """Whether the description cannot be used."""
        return any(d.fatal for d in self.found)

    def sorted(self) -> list[Diagnostic]:
        """By place, each once."""
        return in_order(self.found)


def quoted(text: str, limit: int = 60) -> str:
    """The reader's words in quotes, harmless."""
    return f'"{clean(text, limit)}"'
