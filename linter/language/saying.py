"""Terms and values in words, for found and asked: "worst current of W17 is 124 A", "at most corrected capacity of W17, 110 A"."""

from __future__ import annotations

from typing import Any

from linter.base.text import listed
from linter.base.truth import Truth
from linter.base.values import Range
from linter.language import typed as t
from linter.language.tally import Env
from linter.units import dimension as d
from linter.units.dimension import Dimension
from linter.units.table import write, write_range

OPPOSITE = {"at most": "above", "below": "at least", "at least": "below", "above": "at most", "equal to": "other than", "thinner than": "no thinner than",
            "thicker than": "no thicker than", "same size as": "another size than", "covers": "not covering"}


def named(element: str | None) -> str:
    """An element as a reader knows it."""
    return "the installation" if element == "" else element if element is not None else "something not known"


def element(node: t.Thing, env: Env) -> str:
    """The thing in words."""
    if isinstance(node, t.Held):
        return named(env[node.slot])
    if isinstance(node, t.Whole):
        return named("")
    return f"{node.word.removesuffix('-of').replace('-', ' ')} of {element(node.of, env)}"


def term(node: t.Term, env: Env) -> str:
    """A term in words, with the elements put in."""
    if isinstance(node, t.Fixed | t.FixedWords):
        return node.text
    if isinstance(node, t.LimitOf):
        return node.name.replace("-", " ")
    if isinstance(node, t.WordOf):
        word = node.row.word.replace("-", " ")
        return word if isinstance(node.thing, t.Whole) else f"{word} of {element(node.thing, env)}"
    if isinstance(node, t.Called):
        return f"{node.reading.name.replace('-', ' ')} of {element(node.things[0], env)}"
    if isinstance(node, t.Calc):
        sides = []
        for side in (node.left, node.right):
            text = term(side, env)
            tight = node.op in ("times", "divided by") or side is node.right
            sides.append(f"({text})" if tight and isinstance(side, t.Calc) and side.op in ("plus", "minus") else text)
        return f"{sides[0]} {node.op} {sides[1]}"
    if isinstance(node, t.Best):
        return f"the {node.which} of {listed([term(part, env) for part in node.terms])}"
    if isinstance(node, t.Over):
        if node.group.state:
            return f"{node.which} {term(node.term, env)} in any state"
        held = env[node.group.slot]
        env[node.group.slot] = f"each {node.group.kind.replace('-', ' ')}"
        text = f"{node.which} {term(node.term, env)}"
        env[node.group.slot] = held
        return text
    return f"number of {node.group.kind.replace('-', ' ')}s"


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
        return "not known" if what is Truth.UNKNOWN else what.value
    return listed(sorted(what), "or") if what else "not known"
