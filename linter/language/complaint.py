"""What the parser says of text it cannot read, in the words of the cards. No name of our own machinery reaches a reader."""

from __future__ import annotations

import re

from linter.base.near import nearest
from linter.base.text import clean, listed
from linter.language.prescan import Odd
from linter.language.tables import END, Token, Unexpected, accepted, tables
from linter.units.table import UNITS, unit_named

STARTERS = {"PACK": "pack", "LIMIT": "limit", "READING": "reading", "PRACTICE": "practice", "EXAMPLE": "example", "ADOPT": "adopt",
            "TIGHTEN": "tighten", "LOOSEN": "loosen", "RAISE": "raise", "LOWER": "lower", "RETIRE": "retire", "RENAME": "rename"}
_PLAIN = {
    "WORD": "a word", "VAR": "a tag such as F1 or W3", "STRING": 'a sentence in " marks', "DATE": "a date such as 2027-03-31",
    "WEIGHT": "danger, warning, caution or notice", "CERTAINTY": "verified, recalled, computed or trade", "NUMBER": "a number",
    "QTY": "a quantity such as 200 mm", "GAUGE": "a wire size such as 2 AWG", "IPCODE": "a protection code such as IP67",
    "GIVING": 'what it gives, such as "giving A"', "ARTICLE": '"a"', "PREP": '"under"', "STRICTER": '"when lower", "when higher" or "neither way"',
    "COMPARE": "a comparison such as at most", "PICK": "largest, smallest or total", "LPAR": "(", "RPAR": ")", "COMMA": "a comma",
}
_FIXED = frozenset({"ARTICLE", "PREP", "WEIGHT", "CERTAINTY", "PICK", "COMPARE"})
_SYMBOL = re.compile(r"[<>=!*/+&|^~%]{1,3}")
_WORDLIKE = re.compile(r"[A-Za-z0-9_-]{1,500}")
_COMMA = re.compile(r"-?[0-9]{1,20},[0-9]{1,20}")
_UNTIL = re.compile(r"(?<![a-z0-9-])until\s{1,20}\Z")
_DATEWORD = re.compile(r"[0-9][0-9./-]{0,40}")
_NUMBER = re.compile(r"-?[0-9]{1,40}(?:\.[0-9]{0,40})?")


def plain(sort: str) -> str:
    """A terminal as a reader knows it."""
    spelled = tables().spellings.get(sort)
    if sort in _PLAIN:
        return _PLAIN[sort]
    return f'"{spelled}"' if spelled else "something else"


def unreadable(text: str, at: int) -> tuple[Odd, int]:
    """Text in which no word of the language can be found at `at`: what to say, and where to go on."""
    end = text.find("\n", at)
    end = len(text) if end < 0 else end
    character = text[at]
    if character == '"':
        closing = text.find('"', at + 1, end)
        if closing < 0:
            return Odd("pack-open-sentence", 'a sentence opened with " is not closed on its line', 'Put the closing " on the same line.', at), end
        return Odd("pack-long-sentence", f"a sentence of {closing - at - 1:,} characters is too long, at most 400 are read", "Say it shorter.", at), closing + 1
    if _UNTIL.search(text[max(0, at - 40):at]):
        day = _DATEWORD.match(text, at)
        if day:
            return Odd("pack-date", f'"{clean(day.group(), 40)}" is not a date', "Write it such as 2027-03-31.", at), day.end()
    comma = _COMMA.match(text, at)
    if comma:
        written = clean(comma.group(), 40)
        return Odd("pack-number", f'"{written}" uses a comma', f"Write the decimal with a point: {written.replace(',', '.')}.", at), comma.end()
    number = _NUMBER.match(text, at)
    if number:
        word = _WORDLIKE.match(text, number.end())
        if len(number.group()) > 20:
            return Odd("pack-number", "a number with too many digits", "At most nine digits before and nine after the point.", at), _past(text, at)
        if word:
            return Odd("pack-unit", f'the number before "{clean(word.group(), 40)}" has no unit known here', _units(word.group()), at), _past(text, at)
        return Odd("pack-number", f'"{clean(number.group(), 40)}" is not a number the language can read', "Write it such as 2.5.", at), _past(text, at)
    symbol = _SYMBOL.match(text, at)
    if symbol:
        return Odd("pack-symbol", f'"{symbol.group()}" is not used here',
                   "Write it in words: at most, at least, plus, minus, times, divided by, and, or.", at), symbol.end()
    word = _WORDLIKE.match(text, at)
    if word:
        long = _past(text, at) - at
        if long > 40 and "-" not in word.group()[:41]:
            return Odd("pack-word", "a word that is too long", "At most eight parts of forty letters, joined by hyphens.", at), at + long
        return Odd("pack-word", f'"{clean(word.group(), 60)}" is neither a word nor a tag',
                   "Words are small letters and digits joined by single hyphens; tags start with a capital: F1.", at), at + long
    if ord(character) > 126 or ord(character) < 32:
        return Odd("", "", None, at), at + 1
    return Odd("pack-symbol", f'"{clean(character)}" is not used here', None, at), at + 1


def _past(text: str, at: int) -> int:
    """Behind the run of letters, digits and hyphens at `at`, however long."""
    place = at
    while True:
        match = _WORDLIKE.match(text, place)
        if match is None:
            return max(place, at + 1)
        place = match.end()


def _units(word: str) -> str:
    """The spelling packs use for a unit written otherwise, or the nearest one."""
    def spoken(name: str) -> bool:
        found = tables().scan.match(f"1 {name}")
        return found is not None and found.lastgroup == "QTY" and found.end() == len(name) + 2
    known = unit_named(word)
    if known is not None:
        here = next((name for name in (known.name, *known.also) if spoken(name)), None)
        if here is not None and here != word:
            return f"Write {here}."
    near = nearest(word, [name for unit in UNITS for name in (unit.name, *unit.also) if spoken(name) and name != word])
    return f"Did you mean {near}?" if near else "Units are written as in 200 mm, 35 mm2, 30 A, 12 V, 25 degC."


def unexpected(fault: Unexpected, before: Token | None, opener: Token, following: Token | None) -> Odd:
    """A word that does not fit where it stands.

    Args:
        fault: Of the automaton.
        before: The token before it.
        opener: The first token of the item.
        following: For the end of an item, the token that opens the next.
    """
    sort, text, at = fault.token
    # To an author a word that ends in -of is a word like any other.
    wanted = [name for name in accepted(fault.stack) if name != "OFWORD"]
    if sort == "OFWORD":
        if "WORD" in wanted and len(wanted) <= 2:
            return Odd("pack-reserved", f'"{clean(text, 60)}" names a thing by another, as in "{clean(text, 60)} B"; it cannot stand here',
                       "No name of your own may end in -of.", at)
        sort = "WORD"
    if sort == END:
        return _broken_off(wanted, opener, following, at)
    shown = clean(text, 60)
    if sort in ("AND", "OR") and ("OR" if sort == "AND" else "AND") in wanted:
        return Odd("pack-mixed", '"and" and "or" are mixed', "Put ( ) round the part that belongs together.", at)
    if before is not None and before[0] == "NUMBER" and sort in ("WORD", "VAR") and "QTY" not in wanted:
        return Odd("pack-unit", f'the number before "{shown}" has no unit known here', _units(text), before[2])
    if wanted == [END] and opener[0] != "PACK":
        return Odd("pack-order", f'"{shown}" after the end of a card', 'A card ends with its "done", a limit with its reason.', at)
    spelled = tables().keywords.get(text)
    names = {"WORD", "VAR"}.intersection(wanted)
    words = [plain(name) for name in wanted if name != END]
    if (spelled is not None or sort in _FIXED) and sort not in ("LPAR", "RPAR", "COMMA") and names and len(words) <= 2:
        kind = "a name" if "WORD" in names else "a tag"
        return Odd("pack-reserved", f'"{shown}" is a fixed word of the language and cannot be {kind} here', _expected(words), at)
    if sort in _PLAIN and _PLAIN[sort][0] not in "(\"" and sort not in ("WORD", "VAR", "COMMA", "RPAR", "LPAR", "STRING") and names and len(words) <= 2:
        return Odd("pack-order", f'found "{shown}" where {listed(words, "or")} was expected', None, at)
    spellings = tables().spellings
    near = nearest(text, [spellings[name] for name in wanted if name in spellings]) if sort == "WORD" else None
    remedy = f'Did you mean "{near}"?' if near else None
    what = "a sentence" if sort == "STRING" else f'"{shown}"'
    if len(words) > 7:
        keep = [w for w in words if w.startswith('"')][:6]
        return Odd("pack-order", f"{what} does not fit here", remedy or (f"Possible here: {listed(keep, 'or')}." if keep else None), at)
    return Odd("pack-order", f"found {what} where {listed(words, 'or')} was expected", remedy, at)


def _expected(words: list[str]) -> str | None:
    return f"Expected here: {listed(words, 'or')}." if words else None


def _broken_off(wanted: list[str], opener: Token, following: Token | None, at: int) -> Odd:
    what = "card" if opener[0] in ("PRACTICE", "READING") else opener[1] if opener[0] in ("LIMIT", "PACK", "EXAMPLE") else f'"{opener[1]}"'
    words = [plain(name) for name in wanted if name != END]
    if following is not None and wanted and set(wanted) <= {"WORD", "VAR"}:
        return Odd("pack-reserved", f'"{following[1]}" is a fixed word of the language and cannot be a name here', _expected(words), at)
    if "DONE" in wanted:
        place = f'before this "{following[1]}"' if following else "at the end of the file"
        return Odd("pack-not-closed", f'the {what} above is not closed', f'Put "done" {place}.', at)
    return Odd("pack-not-closed", f"the {what} above breaks off; it still needs {listed(words[:6], 'or')}", None, at)
