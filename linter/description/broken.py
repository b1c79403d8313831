"""What is wrong with text that is no YAML, in words for people who have never heard of it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from linter.base.text import clean


@dataclass(frozen=True, slots=True)
class Told:
    """Line and column count from zero."""

    headline: str
    remedy: str | None
    line: int
    column: int


_NO_BLANK = re.compile(r"^\s*(?:- )?[A-Za-z][\w ]{0,40}:[^\s/]")
_ODD = {"@": "an at sign", "`": "a backquote", "%": "a percent sign"}


def explain(problem: str, context: str, text: list[str], line: int, column: int, begun: int | None) -> Told:
    """Turns what the scanner stumbled over into a place and a remedy.

    Args:
        problem, context: The scanner's own words.
        text: The file's lines.
        line, column: Where it stumbled, from zero.
        begun: Line of the bracket, quote or table it was reading, if it says.
    """
    line = min(line, len(text) - 1)
    written = text[line] if text else ""
    indent = written[: len(written) - len(written.lstrip())]
    if "\t" in indent:
        return Told("A tab stands at the start of this line", "Indent with blanks; two a level are usual.", line, indent.index("\t"))
    if "tab character" in problem or (column < len(written) and written[column] == "\t"):
        return Told("A tab stands where blanks are wanted", "Replace the tab by blanks.", line, column)
    if "start any token" in problem:
        sign = written[column] if column < len(written) else ""
        return Told(f"A value cannot begin with {_ODD.get(sign, 'this sign')}", "Put the value in quotes.", line, column)
    if "flow mapping" in context or "flow sequence" in context:
        return _bracket("{" if "mapping" in context else "[", problem, text, line, column, begun)
    if "quoted scalar" in context:
        return _quote(problem, text, line, column, begun)
    if "anchor" in context or "alias" in context:
        return Told("A value cannot begin with a star or an ampersand", "Put the value in quotes.", line, column)
    if "scanning a simple key" in context or "mapping values are not allowed" in problem:
        return _colon(text, line, column, begun if "simple key" in context else None)
    if "block sequence entries" in problem:
        return Told(
            "A list item begins in the middle of a line", "Begin the list on the next line, or put the value in quotes if the dash belongs to it.", line, column
        )
    if "node content" in problem:
        return Told("A value is missing here", "Take the stray comma or bracket out; write ? for what is not known.", line, column)
    if "document start" in problem:
        return _colon(text, line, column, None)
    if "'-' indicator" in problem:
        return Told(
            "This line is neither an item of the list above nor outside it",
            "Begin it with a dash like the lines above, or move it out to the level of its section.",
            line,
            column,
        )
    if "expected key" in problem or "block end" in problem:
        return _key(text, line, column)
    return Told(
        "This cannot be read as a description",
        f"Look at this line and the one above it: {clean(written.strip(), 60)}" if written.strip() else None,
        line,
        column,
    )


def _bracket(sign: str, problem: str, text: list[str], line: int, column: int, begun: int | None) -> Told:
    other = "}" if sign == "{" else "]"
    what = "brace" if sign == "{" else "bracket"
    start = begun if begun is not None else line
    rest = "\n".join(text[start : line + 1])
    opened = text[start].find(sign) if start < len(text) else 0
    if line != start or rest.count(sign) > rest.count(other):
        return Told(
            f"The {what} opened here is not closed", f"Close it with {other}, or look for a missing comma before line {line + 1}.", start, max(0, opened)
        )
    here = text[line][column : column + 30].strip() if line < len(text) else ""
    return Told(
        f'Something is wrong inside this {what}, before "{clean(here, 30)}"',
        "Put a comma between two entries, and quotes around a text that holds a comma, brace or colon.",
        line,
        column,
    )


def _quote(problem: str, text: list[str], line: int, column: int, begun: int | None) -> Told:
    if "escape" in problem:
        return Told("A backslash in double quotes begins a special character", "Use single quotes, or write the backslash twice.", line, column)
    start = begun if begun is not None else line
    written = text[start] if start < len(text) else ""
    places = [p for p in (written.find('"'), written.find("'")) if p >= 0]
    return Told(
        "The quotation mark opened here is not closed",
        "Close it, or put the text in the other kind of quotes if an apostrophe belongs to it.",
        start,
        min(places, default=0),
    )


def _colon(text: list[str], line: int, column: int, begun: int | None) -> Told:
    for place in ([begun] if begun is not None else []) + [line, line - 1]:
        if 0 <= place < len(text) and _NO_BLANK.match(text[place]):
            where = text[place].index(":")
            return Told("A blank is missing after the colon", f"Write: {clean(text[place].strip().replace(':', ': ', 1), 60)}", place, where)
    if begun is not None and begun < len(text):
        return Told(
            f'A colon is missing in "{clean(text[begun].strip(), 40)}"',
            "Every line of a table is a key, a colon, a blank and a value.",
            begun,
            len(text[begun]) - len(text[begun].lstrip()),
        )
    written = text[line] if line < len(text) else ""
    if written[:column].count(":") or '": ' in written:
        return Told("A second colon stands in one value", "Put the value in quotes, or begin a new line for the second key.", line, column)
    above = text[line - 1].strip() if line else ""
    if above and ":" not in above:
        return Told(f'A colon is missing in "{clean(above, 40)}"', "Every line of a table is a key, a colon, a blank and a value.", line - 1, 0)
    return Told("A key stands where a value of the line above was going on", "Check the indentation of this line and the one above it.", line, column)


def _key(text: list[str], line: int, column: int) -> Told:
    written = text[line] if line < len(text) else ""
    before = written[:column].rstrip()
    if before.endswith(("'", '"')):
        return Told("Text goes on after the closing quotation mark", "Put quotes around the whole value.", line, column)
    if written[column : column + 1] in ("}", "]"):
        return Told("A bracket is closed here that was never opened", "Take it out, or open it.", line, column)
    if before.endswith(("}", "]")):
        return Told("Text goes on after the closing bracket", "Begin a new line for the next key.", line, column)
    return Told("This line does not fit the indentation of the lines above", "Begin it exactly under the key it belongs beside.", line, column)
