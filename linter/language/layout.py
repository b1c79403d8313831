"""Laying a pack out tidily, and writing a card back from its tree.

`tidy` moves white space only: it lays the author's own words out again and refuses to hand back a text whose words or comments differ.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from linter.language import syntax as s
from linter.language.complaint import STARTERS
from linter.language.tables import Token, tokens_of

_BLANKS = re.compile(r"\s+")
_LABELS = frozenset({"SAYS", "LOOK", "PASSING", "REQUIRE", "FORBID", "__WEIGHT", "BECAUSE", "FOLLOWS", "REMEDY", "FIGURE", "RESTS", "FORMERLY", "TRIES",
                     "FITTED", "EXPECT", "AGREED", "BUILDS"})
_STATEMENTS = frozenset({"HALF", "POSITION", "TOGETHER", "APART", "WITHOUT", "THAT"})
# Words that go on with what the line before began.
_DEEPER = frozenset({"MEETS", "WITH", "WITHIN", "OVER", "COMPARE", "AVOIDING", "KEEPS"})
_ALWAYS_BREAK = frozenset({"PACK", "PRACTICE", "EXAMPLE"})


class Untidy(ValueError):
    """The text cannot be laid out: it does not read as a pack, or its words would change."""


# ---- laying out ------------------------------------------------------------------------------------------------------------------------


def tidy(text: str) -> str:
    """The pack laid out again.

    Raises:
        Untidy: some of the text is no word of the language.
    """
    tokens, comments, stopped = tokens_of(text)
    if stopped is not None:
        raise Untidy("some of the text cannot be read")
    out = _laid_out(text, tokens, comments)
    again, notes, stopped = tokens_of(out)
    if stopped is not None or _bare(again) != _bare(tokens) or _bare(notes) != _bare(comments):
        raise Untidy("laying it out would change its words")
    return out


def _bare(tokens: list[Token]) -> list[tuple[str, str]]:
    return [(sort, text if sort == "STRING" else _BLANKS.sub(" ", text).rstrip()) for sort, text, _ in tokens]


def _laid_out(text: str, tokens: list[Token], comments: list[Token]) -> str:
    lines: list[str] = []
    line = ""
    item, fitted, depth = "", False, 0
    previous: Token | None = None
    end = 0
    merged = sorted([*tokens, *comments], key=lambda token: token[2])
    following = {id(token): tokens[i + 1] if i + 1 < len(tokens) else None for i, token in enumerate(tokens)}
    # The word after the last comma, bracket or label decides nothing: a statement starts where a kind meets a tag and no fact is open.
    for index, token in enumerate(merged):
        sort, written, at = token
        between = text[end:at]
        newlines = between.count("\n")
        end = at + len(written)
        if sort == "COMMENT":
            if newlines == 0 and (line or lines):
                line = f"{line}  {written.rstrip()}" if line else line + written.rstrip()
            else:
                if line:
                    lines.append(line)
                line = _indent(_next_indent(merged, index, item, fitted, following)) + written.rstrip()
                if newlines > 1 and lines:
                    lines.append("")
            previous = token
            continue
        shown = written if sort == "STRING" else _BLANKS.sub(" ", written)
        starts, indent = _starts(token, item, fitted, previous, following[id(token)], depth)
        if sort in STARTERS:
            item, fitted, depth = sort, False, 0
        fitted = sort == "FITTED" or (fitted and sort != "EXPECT")
        broken = newlines > 0 or (previous is not None and previous[0] == "COMMENT")
        if starts or broken or previous is None:
            if line:
                lines.append(line)
            if (newlines > 1 and lines) and not (item and not starts and not broken):
                lines.append("")
            line = _indent(indent) + shown
        elif sort in ("COMMA", "RPAR") or (previous[0] == "LPAR"):
            line += shown
        else:
            line += " " + shown
        depth += (sort == "LPAR") - (sort == "RPAR")
        previous = token
    if line:
        lines.append(line)
    return "\n".join(line.rstrip() for line in lines) + "\n" if lines else ""


def _indent(blanks: int) -> str:
    return " " * blanks


def _starts(token: Token, item: str, fitted: bool, previous: Token | None, following: Token | None, depth: int) -> tuple[bool, int]:
    """Whether the token opens a line of its own, and how far in a line that begins with it stands."""
    sort = token[0]
    if sort in STARTERS or sort == "DONE":
        return True, 0
    weight = sort.startswith("__ANON") and token[1] == "weight"
    if (sort in _LABELS or weight) and not (sort == "SAYS" and previous is not None and previous[0] == "COMMA"):
        return item in _ALWAYS_BREAK, 2
    if fitted:
        opens = sort in _STATEMENTS or (
            sort == "WORD" and following is not None and following[0] in ("VAR", "HAS")
            and previous is not None and previous[0] not in ("HAS", "COMMA", "OF", "AND", "OR", "TO"))
        return opens, 4 if opens else 8
    if item == "READING":
        return False, 2 + 2 * min(depth, 4) + (2 if sort in ("PLUS", "MINUS", "TIMES", "DIVIDED", "OVER") else 0)
    return False, 4 + 2 * min(depth + 1, 5) + (4 if sort in _DEEPER else 0)


def _next_indent(merged: list[Token], index: int, item: str, fitted: bool, following: dict[int, Token | None]) -> int:
    """A comment on a line of its own stands where the next word stands."""
    for token in merged[index + 1:]:
        if token[0] != "COMMENT":
            return _starts(token, item, fitted, None if not fitted else ("DONE", "", 0), following.get(id(token)), 0)[1]
    return 0


# ---- writing a tree back -----------------------------------------------------------------------------------------------------------------


def printed(node: object) -> str:
    """A term or formula in the author's words, on one line."""
    return _WRITERS[type(node)](node)


def printed_formula(node: object) -> str:
    """See `printed`."""
    return printed(node)


def _each(node: s.Each) -> str:
    return f"each {_named_group(node)}"


def _named_group(node: s.Each) -> str:
    return f"{node.kind} {node.tag}" + (f" with ({printed(node.condition)})" if node.condition is not None else "")


def _part(node: s.Part) -> str:
    return f"{node.word}{'' if node.word.endswith('-of') else ' of'} {printed(node.of)}"


def _placed(node: s.Placed) -> str:
    return " ".join([printed(node.place), *(f"{prep} {printed(place)}" for prep, place in node.companions)])


def _is(node: s.IsWord) -> str:
    return f"{printed(node.phrase)} is {'' if node.positive else 'not '}{node.word}" + (f" {printed(node.other)}" if node.other is not None else "")


def _one_of(node: s.OneOf) -> str:
    return f"{printed(node.phrase)} is {'' if node.positive else 'not '}one of {', '.join(word for word, _ in node.words)}"


def _pick(node: s.Pick) -> str:
    over = f" over {_each(node.over)}" if node.over is not None else ""
    return f"{node.which} of ({', '.join(printed(term) for term in node.terms)}){over}"


def _way(node: s.Way) -> str:
    text = f"out of {printed(node.start)}" if node.form == "out of" else f"from {printed(node.start)} {node.form} {printed(node.end)}"
    return text + (f" avoiding {printed(node.avoiding)}" if node.avoiding is not None else "")


def _meets(node: s.WayMeets) -> str:
    state = f"in {node.state.name} " if node.state is not None else ""
    within = f" within {printed(node.within)}" if node.within is not None else ""
    return f"every way {state}{_way(node.way)} meets {node.article} {_named_group(node.device)}{within}"


_WRITERS: dict[type, Callable[[Any], str]] = {
    s.Tag: lambda n: n.name, s.Part: _part, s.Placed: _placed, s.Value: lambda n: n.text, s.Named: lambda n: n.word,
    s.Arithmetic: lambda n: f"{printed(n.left)} {n.op} {printed(n.right)}", s.BracketedTerm: lambda n: f"({printed(n.term)})", s.Pick: _pick,
    s.Count: lambda n: f"number of {_each(n.each)}", s.Each: _each,
    s.AllOf: lambda n: " and ".join(printed(p) for p in n.parts), s.AnyOf: lambda n: " or ".join(printed(p) for p in n.parts),
    s.Unless: lambda n: f"{printed(n.left)} unless {printed(n.right)}", s.Bracketed: lambda n: f"({printed(n.formula)})",
    s.Negate: lambda n: f"not ({printed(n.formula)})", s.Compare: lambda n: f"{printed(n.left)} {n.how} {printed(n.right)}", s.IsWord: _is,
    s.HasWord: lambda n: f"{printed(n.phrase)} has {'' if n.positive else 'no '}{n.word}", s.OneOf: _one_of,
    s.ThereIs: lambda n: f"there is {n.article} {_named_group(n.each)}", s.EachKeeps: lambda n: f"{_each(n.each)} keeps ({printed(n.formula)})",
    s.WayMeets: _meets, s.EndOfEach: lambda n: f"{n.word} of {_each(n.each)}",
}


def card(practice: s.Practice) -> str:
    """A practice card written out, laid out tidily."""
    parts = [f'practice {practice.name}', f'says "{practice.says}"', f"look at {_each(practice.look)}"]
    if practice.passing is not None:
        parts.append(f"passing over {printed(practice.passing)}")
    parts.append(f"{'forbid' if practice.forbidden else 'require'} {printed(practice.demand)}")
    parts += [f"weight {practice.weight}", f'because "{practice.because}"', f'follows "{practice.follows}"', f'remedy "{practice.remedy}"']
    parts += [f'figure "{figure.label}" is {printed(figure.term)}' for figure in practice.figures]
    parts += [f'rests on "{rest.text}" {rest.certainty}' for rest in practice.rests]
    if practice.formerly:
        parts.append(f"formerly {', '.join(practice.formerly)}")
    return tidy("\n".join([*parts, "done"]))


def reading(made: s.ReadingCard) -> str:
    """A reading written out."""
    given = "".join(f" {prep} {kind} {tag}" for prep, kind, tag in made.given)
    return tidy(f"reading {made.name} of {made.kind} {made.tag}{given} giving {made.giving} is\n{printed(made.term)}\ndone")


def limit(made: s.Limit) -> str:
    """A limit written out."""
    band = f" allowed {made.low.text} to {made.high.text}" if made.low is not None and made.high is not None else ""
    way = {"lower": "when lower", "higher": "when higher"}.get(made.stricter, "neither way")
    return tidy(f'limit {made.name} is {made.value.text}{band} stricter {way}\nbecause "{made.because}"')
