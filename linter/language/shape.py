"""From the parser's reductions to the tree of `syntax`: one small builder for each production, called as soon as it is complete."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from linter.language import syntax as s
from linter.language.tables import Action

_BLANKS = re.compile(r"\s+")


class Aside:
    """A labelled piece on its way to the node that takes it."""

    __slots__ = ("at", "label", "value")

    def __init__(self, label: str, value: Any, at: int) -> None:
        self.label = label
        self.value = value
        self.at = at


def _text(token: Any) -> str:
    """The sentence between the quotes, or the plain text of any other token."""
    text: str = token[1]
    return text[1:-1] if token[0] == "STRING" else _BLANKS.sub(" ", text)


def _value(sort: str) -> Action:
    return lambda c, at: s.Value(sort, _BLANKS.sub(" ", c[0][1]), at)


def _asides(children: list[Any]) -> dict[str, list[Any]]:
    out: dict[str, list[Any]] = {}
    for child in children:
        if isinstance(child, Aside):
            out.setdefault(child.label, []).append(child.value)
    return out


def _first(asides: Mapping[str, list[Any]], label: str) -> Any:
    found = asides.get(label)
    return found[0] if found else None


def _aside(label: str) -> Action:
    """Hands on the only child under a label."""
    return lambda c, at: Aside(label, _text(c[0]) if isinstance(c[0], tuple) else c[0], at)


def _each(c: list[Any], at: int) -> s.Each:
    kind, tag = c[-3:-1] if isinstance(c[-1], Aside) else c[-2:]
    return s.Each(kind[1], tag[1], c[-1].value if isinstance(c[-1], Aside) else None, at, kind[2], tag[2])


def _each_of(kind: Any, tag: Any, more: list[Any]) -> s.Each:
    return s.Each(kind[1], tag[1], _first(_asides(more), "with"), kind[2], kind[2], tag[2])


def _is_word(positive: bool) -> Action:
    return lambda c, at: s.IsWord(c[0], c[1][1], c[2] if len(c) > 2 else None, positive, at, c[1][2])


def _has_word(positive: bool) -> Action:
    return lambda c, at: s.HasWord(c[0], c[1][1], positive, at, c[1][2])


def _one_of(positive: bool) -> Action:
    return lambda c, at: s.OneOf(c[0], tuple((word[1], word[2]) for word in c[1:]), positive, at)


def _way_meets(c: list[Any], at: int) -> s.WayMeets:
    asides = _asides(c)
    way = next(child for child in c if isinstance(child, s.Way))
    article, kind, tag = c[c.index(way) + 1:c.index(way) + 4]
    within = next((child for child in c if isinstance(child, Aside) and child.label == "within"), None)
    return s.WayMeets(_first(asides, "state"), way, s.Each(kind[1], tag[1], _first(asides, "with"), kind[2], kind[2], tag[2]), article[1],
                      within.value if within else None, at, within.at if within else at)


def _way(form: str) -> Action:
    def build(c: list[Any], at: int) -> s.Way:
        ends = [child for child in c if not isinstance(child, Aside)]
        return s.Way(form, ends[0], ends[1] if len(ends) > 1 else None, _first(_asides(c), "avoiding"), at)
    return build


def _arithmetic(op: str) -> Action:
    return lambda c, at: s.Arithmetic(op, c[0], c[1], at)


def _pick(c: list[Any], at: int) -> s.Pick:
    terms = tuple(child for child in c[1:] if not isinstance(child, Aside))
    return s.Pick(c[0][1], terms, _first(_asides(c), "over"), at)


def _stand(c: list[Any], at: int) -> s.Stand:
    return s.Stand(c[0][1], c[1].value, at)


def _when(sort: str) -> Action:
    def build(c: list[Any], at: int) -> s.WhenFact:
        return s.WhenFact(sort, next((child.value for child in c if isinstance(child, Aside)), ()), at)
    return build


def _position(c: list[Any], at: int) -> s.Position:
    return s.Position(c[0][1], c[1][1], tuple(child.value for child in c[2:]), at)


def _expect(c: list[Any], at: int) -> s.Expected:
    asides = _asides(c)
    return s.Expected(tuple(child for child in c if not isinstance(child, Aside)), _first(asides, "outcome"), _first(asides, "found"),
                      _first(asides, "wanting"), at)


def _outcome(said: str) -> Action:
    return lambda c, at: Aside("outcome", said, at)


def _amount(c: list[Any], at: int) -> s.Amount:
    return s.Amount(c[0], c[1] if len(c) > 1 else None, at)


def _wanted(sort: str) -> Action:
    def build(c: list[Any], at: int) -> s.Wanted:
        if sort != "place":
            return s.Wanted(sort, c[0][1], None, at)
        place = c[0]
        return s.Wanted("place", place.word, place.of, at) if isinstance(place, s.Part) else s.Wanted("place", "", place, at)
    return build


class Shaper:
    """Builders for one file: items remember the file they come from."""

    def __init__(self, source: s.Source) -> None:
        self.source = source
        self.actions: dict[str, Action] = {**_ACTIONS, **{name: getattr(self, name) for name in (
            "pack_head", "limit", "reading", "practice", "example", "adopt", "tighten", "loosen", "raise_weight", "lower_weight", "retire", "rename")}}

    def pack_head(self, c: list[Any], at: int) -> s.Head:
        """`pack … done`."""
        return s.Head(c[0][1], c[1][1], c[2][1], _text(c[3]), tuple(c[4:]), at, self.source)

    def limit(self, c: list[Any], at: int) -> s.Limit:
        """`limit NAME is VALUE …`."""
        asides = _asides(c)
        low, high = _first(asides, "allowed") or (None, None)
        return s.Limit(c[0][1], c[1], low, high, _first(asides, "stricter"), _text(c[-1]), at, self.source)

    def reading(self, c: list[Any], at: int) -> s.ReadingCard:
        """`reading NAME of KIND TAG …`."""
        given = tuple(child.value for child in c if isinstance(child, Aside))
        giving = _text(c[-2]).split(" ", 1)[1]
        return s.ReadingCard(c[0][1], c[1][1], c[2][1], given, giving, c[-1], at, self.source)

    def practice(self, c: list[Any], at: int) -> s.Practice:
        """A whole card."""
        asides = _asides(c)
        forbidden, demand = _first(asides, "demand")
        return s.Practice(c[0][1], _text(c[1]), _first(asides, "look"), _first(asides, "passing"), demand, forbidden, _first(asides, "weight"),
                          _first(asides, "because"), _first(asides, "follows"), _first(asides, "remedy"), tuple(asides.get("figure", ())),
                          tuple(asides.get("rests", ())), _first(asides, "formerly") or (), at, self.source)

    def example(self, c: list[Any], at: int) -> s.Example:
        """A whole example."""
        statements = tuple(child for child in c if isinstance(child, s.Fitted | s.Half | s.Position | s.Constraint | s.Without))
        asides = _asides(c)
        every = tuple(dict.fromkeys(kind for kinds in asides.get("every", ()) for kind in kinds))
        return s.Example(c[0][1], _text(c[1]), c[2][1], _first(asides, "like") or "", statements, every,
                         tuple(child for child in c if isinstance(child, s.Expected)), at, self.source)

    def adopt(self, c: list[Any], at: int) -> s.House:
        """Another trade's figure, with what it rests on."""
        return s.House("adopt", c[0][1], c[1], "", _text(c[2]), "", "", at, self.source, tuple(_asides(c)["rests"]))

    def tighten(self, c: list[Any], at: int) -> s.House:
        """The strict way, freely."""
        return s.House("tighten", c[0][1], c[1], "", _text(c[2]), "", "", at, self.source)

    def loosen(self, c: list[Any], at: int) -> s.House:
        """The loose way, signed."""
        return s.House("loosen", c[0][1], c[1], "", _text(c[2]), c[3].value[0], c[3].value[1], at, self.source)

    def raise_weight(self, c: list[Any], at: int) -> s.House:
        """A heavier weight."""
        return s.House("raise", c[0][1], None, c[1][1], _text(c[2]), "", "", at, self.source)

    def lower_weight(self, c: list[Any], at: int) -> s.House:
        """A lighter weight, signed."""
        return s.House("lower", c[0][1], None, c[1][1], _text(c[2]), c[3].value[0], c[3].value[1], at, self.source)

    def retire(self, c: list[Any], at: int) -> s.House:
        """Out of use, signed."""
        return s.House("retire", c[0][1], None, "", _text(c[1]), c[2].value[0], c[2].value[1], at, self.source)

    def rename(self, c: list[Any], at: int) -> s.House:
        """A new name for an old one."""
        return s.House("rename", c[0][1], None, c[1][1], "", "", "", at, self.source)


_ACTIONS: dict[str, Action] = {
    "builds_on": lambda c, at: s.BuildsOn(c[0][1], c[1][1], at),
    "allowed": lambda c, at: Aside("allowed", (c[0], c[1]), at),
    "stricter": lambda c, at: Aside("stricter", {"when lower": "lower", "when higher": "higher"}.get(_text(c[0]), "neither"), at),
    "given": lambda c, at: Aside("given", (c[0][1], c[1][1], c[2][1]), at),
    "look": _aside("look"), "passing": _aside("passing"), "weight": _aside("weight"), "because": _aside("because"), "follows": _aside("follows"),
    "remedy": _aside("remedy"), "with": _aside("with"), "within": _aside("within"), "avoiding": _aside("avoiding"), "over": _aside("over"),
    "require": lambda c, at: Aside("demand", (False, c[0]), at),
    "forbid": lambda c, at: Aside("demand", (True, c[0]), at),
    "figure": lambda c, at: Aside("figure", s.Figure(_text(c[0]), c[1], at), at),
    "rests": lambda c, at: Aside("rests", s.Rest(_text(c[0]), c[1][1]), at),
    "formerly": lambda c, at: Aside("formerly", tuple(word[1] for word in c), at),
    "each": _each,
    "all_of": lambda c, at: s.AllOf(tuple(c), at),
    "any_of": lambda c, at: s.AnyOf(tuple(c), at),
    "unless": lambda c, at: s.Unless(c[0], c[1], at),
    "bracketed": lambda c, at: s.Bracketed(c[0], at),
    "negate": lambda c, at: s.Negate(c[0], at),
    "compare": lambda c, at: s.Compare(c[0], _text(c[1]), c[2], at, c[1][2]),
    "is_word": _is_word(True), "is_not_word": _is_word(False), "has_word": _has_word(True), "has_no_word": _has_word(False),
    "one_of": _one_of(True), "not_one_of": _one_of(False),
    "there_is": lambda c, at: s.ThereIs(_each_of(c[1], c[2], c[3:]), True, c[0][1], at),
    "there_is_no": lambda c, at: s.ThereIs(_each_of(c[0], c[1], c[2:]), False, "no", at),
    "each_keeps": lambda c, at: s.EachKeeps(c[0], c[1], at),
    "way_meets": _way_meets,
    "in_state": lambda c, at: Aside("state", s.Tag(c[1][1], c[1][2]), at),
    "way_out": _way("out of"), "way_to": _way("to"), "way_into": _way("into"),
    "part_of_each": lambda c, at: s.EndOfEach(c[0][1], c[1], at),
    "add": _arithmetic("plus"), "sub": _arithmetic("minus"), "mul": _arithmetic("times"), "div": _arithmetic("divided by"),
    "named": lambda c, at: s.Named(c[0][1], at),
    "bracketed_term": lambda c, at: s.BracketedTerm(c[0], at),
    "pick": _pick,
    "count": lambda c, at: s.Count(c[0], at),
    "tag": lambda c, at: s.Tag(c[0][1], at),
    "part": lambda c, at: s.Part(c[0][1], c[1], at),
    "placed": lambda c, at: s.Placed(c[0], tuple((c[i][1], c[i + 1]) for i in range(1, len(c), 2)), at),
    "qty": _value("qty"), "num": _value("num"), "gauge": _value("gauge"), "ipcode": _value("ipcode"),
    "like": _aside("like"),
    "fitted": lambda c, at: s.Fitted(c[0][1], c[1][1], c[2].value if len(c) > 2 else (), at),
    "installed": lambda c, at: s.Fitted(c[0][1], "", c[1].value, at),
    "half": lambda c, at: s.Half(c[0][1], c[1][1], c[2].value if len(c) > 2 else (), at),
    "facts": lambda c, at: Aside("facts", tuple(c), at),
    "joins": _position,
    "joins_nothing": lambda c, at: s.Position(c[0][1], c[1][1], (), at),
    "joins_unknown": lambda c, at: s.Position(c[0][1], c[1][1], None, at),
    "group": lambda c, at: Aside("group", tuple(word[1] for word in c), at),
    "together": lambda c, at: s.Constraint("together", tuple(c), at),
    "apart": lambda c, at: s.Constraint("apart", tuple(c), at),
    "without": lambda c, at: s.Without(tuple(tag[1] for tag in c), at),
    "stand": _stand,
    "stands": lambda c, at: Aside("stands", c[0][1], at),
    "when": lambda c, at: Aside("when", tuple(c), at),
    "fact": lambda c, at: s.Fact(c[0][1], c[1], at),
    "runs": lambda c, at: s.Runs(c[1], c[2], at),
    "runs_when": _when("runs"), "closed_when": _when("closed"), "closed_unknown": _when("closed"), "barred_when": _when("barred"),
    "always": lambda c, at: s.Always(c[0][1], at),
    "bolted": lambda c, at: s.Bolted(c[0][1], c[1], at),
    "contacts": lambda c, at: s.Contacts(tuple(word[1] for word in c), at),
    "breaks": lambda c, at: s.Breaks(tuple(child.value for child in c), at),
    "breaking": lambda c, at: Aside("breaking", (c[0], c[1]), at),
    "factval": _amount, "amount": _amount,
    "words": lambda c, at: s.Words(tuple(word[1] for word in c), at),
    "tags": lambda c, at: s.Tags(tuple(tag[1] for tag in c), at),
    "yes": lambda c, at: s.YesNo("yes", at), "no": lambda c, at: s.YesNo("no", at), "unknown": lambda c, at: s.YesNo("unknown", at),
    "every": lambda c, at: Aside("every", tuple(word[1] for word in c), at),
    "everything": lambda c, at: Aside("every", ("element",), at),
    "expect": _expect,
    "met": _outcome("met"), "not_met": _outcome("not met"), "does_not_apply": _outcome("does not apply"), "cannot_tell": _outcome("cannot tell"),
    "found": lambda c, at: Aside("found", _amount(c, at), at),
    "wanting": lambda c, at: Aside("wanting", tuple(c), at),
    "want_place": _wanted("place"), "want_word": _wanted("word"), "want_every": _wanted("every"),
    "want_joins": lambda c, at: s.Wanted("place", "joins", c[0], at), "want_breaks": lambda c, at: s.Wanted("place", "breaks", c[0], at),
    "signed": lambda c, at: Aside("signed", (_text(c[0]), c[1][1]), at),
}
