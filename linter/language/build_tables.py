"""Builds grammar/practice.tables.json from grammar/practice.lark. For us and the freshness test: the engine only reads the result.

Building takes a second and needs lark; reading takes a few milliseconds and needs nothing. JSON and not a pickle: a planted table can
make the parser refuse or mis-read a pack, never run code.
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
from typing import Any

from linter import shelf

STARTS = ("pack_head", "item")


def digest(grammar: str) -> str:
    """Fingerprint of the grammar's text, kept in the tables."""
    return hashlib.sha256(grammar.encode("utf-8")).hexdigest()


def build(grammar: str) -> dict[str, Any]:
    """Tables for the text of a grammar.

    Raises:
        lark.exceptions.GrammarError: a conflict, or two terminals that match the same text (strict mode; needs `interegular`).
    """
    import lark
    from lark.parsers.lalr_analysis import Shift

    parser = lark.Lark(grammar, parser="lalr", lexer="basic", strict=True, start=list(STARTS), maybe_placeholders=False)
    table = parser.parser.parser._parse_table
    rules: list[list[Any]] = []
    index = {}
    for rule in parser.rules:
        index[rule] = len(rules)
        keep = rule.options.keep_all_tokens
        kept = [[i, 1 if symbol.name.startswith("_") and not symbol.is_term else 0] for i, symbol in enumerate(rule.expansion)
                if keep or not (getattr(symbol, "filter_out", False))]
        origin = rule.origin.name
        through = bool(rule.options.expand1 and not rule.alias)
        rules.append([str(origin), str(rule.alias or ("" if origin.startswith("_") else origin)), len(rule.expansion), kept, 1 if through else 0])
    numbers = _numbered(table, Shift)
    states = []
    for state in numbers:
        row = sorted(((str(symbol), action, argument) for symbol, (action, argument) in table.states[state].items()), key=lambda entry: entry[0])
        states.append({symbol: numbers[argument] if action is Shift else -1 - index[argument] for symbol, action, argument in row})
    scans, keywords = [], {}
    for terminal in parser.terminals:
        if terminal.pattern.type == "str":
            keywords[terminal.pattern.value] = str(terminal.name)
        else:
            scans.append((-terminal.priority, -len(terminal.pattern.value), str(terminal.name), terminal.pattern.to_regexp()))
    return {
        "grammar": digest(grammar),
        "scans": [[name, pattern] for _, _, name, pattern in sorted(scans)],
        "keywords": dict(sorted(keywords.items())),
        "ignore": sorted(str(name) for name in parser.ignore_tokens),
        "rules": rules,
        "starts": {str(start): numbers[state] for start, state in sorted(table.start_states.items())},
        "ends": {str(start): numbers[state] for start, state in sorted(table.end_states.items())},
        "states": states,
    }


def _numbered(table: Any, shift: Any) -> dict[Any, int]:
    """States in the order they are first reached, so that two builds give the same file."""
    numbers: dict[Any, int] = {}
    waiting = [table.start_states[start] for start in STARTS]
    while waiting:
        state = waiting.pop(0)
        if state in numbers:
            continue
        numbers[state] = len(numbers)
        row = sorted((str(symbol), argument) for symbol, (action, argument) in table.states[state].items() if action is shift)
        waiting.extend(argument for _, argument in row)
    return numbers


def written(tables: dict[str, Any]) -> str:
    """The text of the tables' file."""
    return re.sub(r"\},", "},\n", json.dumps(tables, separators=(",", ":"), ensure_ascii=True)) + "\n"


def main() -> int:
    """Writes the tables next to the grammar."""
    folder = shelf.folder("grammar")
    (folder / "practice.tables.json").write_text(written(build((folder / "practice.lark").read_text(encoding="utf-8"))), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
