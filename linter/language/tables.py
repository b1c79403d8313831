"""The parser itself: a scanner and a shift-reduce loop over the tables in grammar/practice.tables.json.

The tables are lark's LALR(1) tables of grammar/practice.lark (see `build_tables`); running them takes fifty lines, so a check starts
without importing a parser generator. A token is a plain tuple (sort, text, place in the text): tens of thousands are made per pack.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from linter import shelf

Token = tuple[str, str, int]
Action = Callable[[list[Any], int], Any]
END = "$END"


@dataclass(frozen=True, slots=True)
class Rule:
    """One production.

    Attributes:
        origin: The symbol it makes.
        action: Name of the builder; "" for a helper list.
        length: Symbols it takes.
        kept: Which of them are handed on, and whether they are helper lists to be spliced.
        through: A single child passes through unchanged.
    """

    origin: str
    action: str
    length: int
    kept: tuple[tuple[int, bool], ...]
    through: bool


@dataclass(frozen=True)
class Tables:
    """Scanner and automaton.

    Attributes:
        scan: All terminals in one pattern, most particular first.
        keywords: Text to terminal.
        ignore: Terminals that are dropped.
        rules, states, starts, ends: Of the automaton; a state maps a symbol to the next state, or to -1 minus the rule to reduce.
        digest: Of the grammar's text.
    """

    scan: re.Pattern[str]
    keywords: Mapping[str, str]
    ignore: frozenset[str]
    rules: tuple[Rule, ...]
    states: tuple[dict[str, int], ...]
    starts: Mapping[str, int]
    ends: Mapping[str, int]
    digest: str

    @property
    def spellings(self) -> dict[str, str]:
        """Terminal of a keyword to its text."""
        return {name: text for text, name in self.keywords.items()}


class Unexpected(Exception):
    """A token that does not fit. `stack` is the automaton's stack before it."""

    def __init__(self, token: Token, stack: tuple[int, ...], start: str) -> None:
        super().__init__(token[1])
        self.token = token
        self.stack = stack
        self.start = start


def read(text: str) -> Tables:
    """Tables from the text of their file."""
    data = json.loads(text)
    pattern = "|".join([*(f"(?P<{name}>{terminal})" for name, terminal in data["scans"]),
                        *(f"(?P<{name}>{re.escape(word)})" for word, name in data["keywords"].items() if not word[0].isalpha())])
    rules = tuple(Rule(origin, action, length, tuple((i, bool(splice)) for i, splice in kept), bool(through))
                  for origin, action, length, kept, through in data["rules"])
    return Tables(re.compile(pattern), data["keywords"], frozenset(data["ignore"]), rules, tuple(data["states"]), data["starts"], data["ends"],
                  data["grammar"])


@cache
def tables() -> Tables:
    """The tables this engine ships with."""
    return read(shelf.text("practice.tables.json"))


def tokens_of(text: str, start: int = 0) -> tuple[list[Token], list[Token], int | None]:
    """Tokens, comments, and where the scan stopped because nothing fits (None at the end of the text)."""
    known = tables()
    match, keywords = known.scan.match, known.keywords
    tokens: list[Token] = []
    comments: list[Token] = []
    place, end = start, len(text)
    while place < end:
        found = match(text, place)
        if found is None:
            return tokens, comments, place
        sort = found.lastgroup
        if sort == "WORD":
            word = found.group()
            tokens.append((keywords.get(word, "WORD"), word, place))
        elif sort == "COMMENT":
            comments.append(("COMMENT", found.group(), place))
        elif sort != "WS":
            tokens.append((str(sort), found.group(), place))
        place = found.end()
    return tokens, comments, None


def drive(tokens: list[Token], end: Token, start: str, actions: Mapping[str, Action]) -> Any:
    """Runs the automaton over one item's tokens and builds its tree.

    Args:
        tokens: Of one item.
        end: The token after them, sort `$END`.
        start: `pack_head` or `item`.
        actions: Builder by name: children and the place of the first token to a node.

    Raises:
        Unexpected: a token that does not fit.
    """
    known = tables()
    states, rules = known.states, known.rules
    final = known.ends[start]
    stack = [known.starts[start]]
    values: list[Any] = []
    places: list[int] = []
    for token in (*tokens, end):
        sort = token[0]
        while True:
            step = states[stack[-1]].get(sort)
            if step is None:
                raise Unexpected(token, tuple(stack), start)
            if step >= 0:
                stack.append(step)
                values.append(token)
                places.append(token[2])
                break
            rule = rules[-1 - step]
            length = rule.length
            taken = values[-length:]
            place = places[-length]
            del stack[-length:], values[-length:], places[-length:]
            children: list[Any] = []
            for i, splice in rule.kept:
                if splice:
                    children.extend(taken[i])
                else:
                    children.append(taken[i])
            if not rule.action:
                values.append(children)
            elif rule.through and len(children) == 1:
                values.append(children[0])
            else:
                values.append(actions[rule.action](children, place))
            places.append(place)
            stack.append(states[stack[-1]][rule.origin])
            if sort == END and stack[-1] == final:
                return values[-1]
    raise AssertionError("the end token always ends the loop")


def accepted(stack: tuple[int, ...]) -> list[str]:
    """Terminals that may really follow: each is tried on a copy, because LALR look-aheads promise too much."""
    known = tables()
    finals = set(known.ends.values())
    out = []
    for sort in known.states[stack[-1]]:
        if sort.isupper() or sort == END or sort.startswith("__ANON"):
            trial = list(stack)
            while True:
                step = known.states[trial[-1]].get(sort)
                if step is None:
                    break
                if step >= 0:
                    out.append(sort)
                    break
                rule = known.rules[-1 - step]
                del trial[-rule.length:]
                trial.append(known.states[trial[-1]][rule.origin])
                if sort == END and trial[-1] in finals:
                    out.append(sort)
                    break
    return out
