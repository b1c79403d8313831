"""What found and asked say: "F5 is rated 225 A", "at most 96.3 A (what W25b carries)". Words come from the vocabulary's `said` column.

Three shapes are made here: the name of a term ("the rating of F5"), a sentence that gives its value, and what is said of a thing ("has a cap",
"is not fed"). A word without a `said` cell is spoken as it is spelt.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from linter.base.text import listed, plural
from linter.base.truth import Truth
from linter.base.values import INF, Range
from linter.language import typed as t
from linter.language.tally import Env
from linter.units import dimension as d
from linter.units.dimension import Dimension
from linter.units.table import write, write_range
from linter.vocabulary import Word

OPPOSITE = {"at most": "above", "below": "at least", "at least": "below", "above": "at most", "equal to": "other than", "thinner than": "no thinner than",
            "thicker than": "no thicker than", "same size as": "another size than", "covers": "not covering"}
# Said before the value when it is asked for; "equal to" needs nothing: "12 V".
_BEFORE = {"equal to": "", "same size as": "as thick as ", "covers": "a code that covers "}
_BOUNDS = {"at most": "{v} or less", "below": "less than {v}", "at least": "{v} or more", "above": "more than {v}", "equal to": "{v}",
           "thinner than": "thinner than {v}", "thicker than": "thicker than {v}", "same size as": "{v}"}
NOT_KNOWN = "not known"
Limits = Mapping[str, t.LimitInEffect]


# ---- things and names of terms -----------------------------------------------------------------------------------------------------------


def named(element: str | None) -> str:
    """An element as a reader knows it."""
    return "the installation" if element == "" else element if element is not None else "something not known"


def article(words: str) -> str:
    """"a fuse or breaker", "an inverter"."""
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def element(node: t.Thing, env: Env) -> str:
    """The thing in words: its name where it is known which it is."""
    if isinstance(node, t.Held):
        return named(env[node.slot])
    if isinstance(node, t.Whole):
        return named("")
    if isinstance(node.of, t.Held) and isinstance(env[node.of.slot], str) and env[0] is not None:
        found = env[0].part(node.word, env[node.of.slot])[0]
        if found is not None:
            return named(found)
    return f"the {node.word.removesuffix('-of').replace('-', ' ')} of {element(node.of, env)}"


def reading(row: Word, thing: str) -> str:
    """The name of a reading: "the rating of F5", "what W25b carries"."""
    if len(row.said) > 1:
        return row.said[1].replace("{x}", thing)
    return f"the {row.word.replace('-', ' ')} of {thing}" if thing else row.word.replace("-", " ")


def term(node: t.Term, env: Env, limits: Limits) -> str:
    """A term in words, with the elements put in."""
    if isinstance(node, t.Fixed | t.FixedWords):
        return node.text
    if isinstance(node, t.LimitOf):
        return f"limit {node.name}"
    if isinstance(node, t.WordOf):
        return reading(node.row, "" if isinstance(node.thing, t.Whole) else element(node.thing, env))
    if isinstance(node, t.Called):
        return f"the {node.reading.name.replace('-', ' ')} of {element(node.things[0], env)}"
    if isinstance(node, t.Calc):
        return _calculation(node, env, limits)
    if isinstance(node, t.Best):
        return f"the {node.which} of {listed([term(part, env, limits) for part in node.terms])}"
    if isinstance(node, t.Number):
        return f"the number of {plural(node.group.kind)}"
    if node.group.state:
        return f"the {node.which} of {term(node.term, env, limits)} in any state"
    own = list(env)
    own[node.group.slot] = f"{'all' if node.which == 'total' else 'the'} {plural(node.group.kind)}"
    inside = term(node.term, own, limits)
    return f"{inside} together" if node.which == "total" else f"the {node.which} of {inside}"


def _calculation(node: t.Calc, env: Env, limits: Limits) -> str:
    if node.op in ("times", "divided by") and _is_one(node.right, limits):
        return term(node.left, env, limits)
    if node.op == "times" and isinstance(node.right, t.LimitOf) and not isinstance(node.left, t.Calc):
        limit = limits[node.right.name]
        return f"{limit.text} {'of' if limit.text.endswith('%') else 'times'} {term(node.left, env, limits)}, limit {limit.name}"
    sides = []
    for side in (node.left, node.right):
        text = side.name if isinstance(side, t.LimitOf) else term(side, env, limits)
        tight = node.op in ("times", "divided by") or side is node.right
        sides.append(f"({text})" if tight and isinstance(side, t.Calc) and side.op in ("plus", "minus") else text)
    return f"{sides[0]} {node.op} {sides[1]}"


def _is_one(node: t.Term, limits: Limits) -> bool:
    """A factor of exactly one: not worth saying."""
    value = limits[node.name].value if isinstance(node, t.LimitOf) else node.value if isinstance(node, t.Fixed) else None
    return value == Range(1.0, 1.0)


def gives(node: t.Term, text: str, what: Any, env: Env, limits: Limits, carriers: tuple[str, ...] = ()) -> str:
    """A sentence: the term has this value. `carriers` are the members a total is made of."""
    bounded = abs(what.low) < INF and abs(what.high) < INF if isinstance(what, Range) else bool(what)
    if isinstance(node, t.WordOf) and node.row.said and bounded and not isinstance(node.thing, t.Whole):
        return node.row.said[0].replace("{x}", element(node.thing, env)).replace("{v}", text)
    if isinstance(node, t.Over) and not node.group.state and node.which == "total" and 0 < len(carriers) <= 6 and isinstance(node.term, t.WordOf):
        own = list(env)
        own[node.group.slot] = listed(list(carriers))
        return f"{term(node.term, own, limits)}{' together' if len(carriers) > 1 else ''} is {text}"
    return f"{term(node, env, limits)} is {text}"


def asks(how: str, positive: bool, node: t.Term, text: str, env: Env, limits: Limits) -> str:
    """What a comparison asks: "at most 96.3 A (what W25b carries)"."""
    word = how if positive else OPPOSITE[how]
    before = _BEFORE.get(word, f"{word} ")
    if isinstance(node, t.Fixed | t.FixedWords):
        return before + text
    name = term(node, env, limits)
    # "at least at least 50 mm" and "at most not known" are said the other way about.
    return f"{before}{name}, which is {text}" if text == NOT_KNOWN or text.startswith("at ") else f"{before}{text} ({name})"


# ---- what is said of a thing ---------------------------------------------------------------------------------------------------------------


def says(row: Word, other: str, yes: bool) -> str:
    """What is said of a thing: "has a cap", "does not charge B1"."""
    if len(row.said) == 2:
        return row.said[0 if yes else 1].replace("{y}", other)
    words = row.word.removesuffix("-in").replace("-", " ")
    words = f"{words} {other}" if other else words
    if row.gives == "fitting":
        return f"has {words}" if yes else f"has no {words}"
    return f"is {words}" if yes else f"is not {words}"


def kind(row: Word | None, name: str) -> str:
    """A kind's everyday name: "fuse or breaker"."""
    return row.said[0] if row is not None and row.said else name.replace("-", " ")


def such(node: t.Formula, slot: int, env: Env, limits: Limits, walker: Any) -> list[str] | None:
    """What a member must be to be meant, as pieces for "that … and …"; None when it would take more than a few words.

    A reading whose row names things by it ("of 96.3 A") comes with that; `walker` values the right sides.
    """
    if isinstance(node, t.All):
        parts = [such(part, slot, env, limits, walker) for part in node.parts]
        return None if any(part is None for part in parts) else [piece for part in parts if part is not None for piece in part]
    negative = isinstance(node, t.Not)
    inner = node.formula if isinstance(node, t.Not) else node
    if isinstance(inner, t.Said) and isinstance(inner.thing, t.Held) and inner.thing.slot == slot:
        return [f"that {says(inner.row, element(inner.other, env) if inner.other is not None else '', not negative)}"]
    if isinstance(inner, t.Cmp) and isinstance(inner.left, t.WordOf) and isinstance(inner.left.thing, t.Held) and inner.left.thing.slot == slot:
        how = OPPOSITE.get(inner.how, "") if negative else inner.how
        if how not in _BOUNDS:
            return None
        text = walker.right_side(inner, env)
        name = "" if isinstance(inner.right, t.Fixed | t.FixedWords) else f" ({term(inner.right, env, limits)})"
        if text == NOT_KNOWN:
            bound, name = f"{how} {term(inner.right, env, limits)}, which is not known", ""
        else:
            bound = _BOUNDS[how].replace("{v}", text)
        row = inner.left.row
        return [(row.said[2].replace("{v}", bound) if len(row.said) > 2 else f"whose {row.word.replace('-', ' ')} is {bound}") + name]
    return None


def with_such(noun: str, pieces: list[str] | None) -> str:
    """"fuse or breaker of 96.3 A or less", "switch that is off and is not the main isolator"."""
    if pieces is None:
        return f"{noun} such as is asked for"
    shown = list(dict.fromkeys(pieces))
    out = shown[:1]
    for before, piece in pairwise(shown):
        word = piece.split(" ", 1)[0]
        out.append(piece.removeprefix(f"{word} ") if before.startswith(f"{word} ") else piece)
    return f"{noun} {' and '.join(out)}".rstrip()


# ---- values --------------------------------------------------------------------------------------------------------------------------------


def percent(node: t.Term) -> bool:
    """Whether a plain number is said in percent."""
    if isinstance(node, t.Fixed):
        return node.text.endswith("%")
    if isinstance(node, t.WordOf):
        return node.row.gives == "share"
    if isinstance(node, t.Called):
        return node.reading.percent
    if isinstance(node, t.Calc):
        return percent(node.left) or percent(node.right)
    if isinstance(node, t.Best):
        return any(percent(part) for part in node.terms)
    return percent(node.term) if isinstance(node, t.Over) else False


def value(what: Any, dimension: Dimension | None, share: bool, apart: Any = None) -> str:
    """A value with its unit, never rounded so far that it looks equal to `apart`."""
    if isinstance(what, Range):
        if what.known:
            other = apart.low if isinstance(apart, Range) and apart.known else None
            return write(what.low, dimension or d.NUMBER, apart_from=other, percent=share)
        return write_range(what, dimension or d.NUMBER, percent=share)
    if isinstance(what, Truth):
        return NOT_KNOWN if what is Truth.UNKNOWN else what.value
    return listed(sorted(what), "or") if what else NOT_KNOWN
