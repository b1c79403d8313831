"""Formulas resolved: the sentences of a card. The terms inside them are `resolve`'s business."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.base.near import nearest
from linter.base.text import listed
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.wording import FEEDING, Spoiled, article, choices_of
from linter.units import dimension as d
from linter.units.dimension import said

if TYPE_CHECKING:
    from linter.language.resolve import Resolver


def formula(r: Resolver, node: s.Formula) -> t.Formula:
    """A formula of any sort."""
    if isinstance(node, s.AllOf | s.AnyOf):
        return _several(r, node)
    if isinstance(node, s.Unless):
        return t.Any_(_parts(r, (node.left, node.right)), node.at)
    if isinstance(node, s.Bracketed):
        return formula(r, node.formula)
    if isinstance(node, s.Negate):
        return t.Not(formula(r, node.formula), node.at)
    if isinstance(node, s.Compare):
        return r.compare(node)
    if isinstance(node, s.IsWord):
        return _turned(_is(r, node), node.positive, node.at)
    if isinstance(node, s.HasWord):
        return _turned(_has(r, node), node.positive, node.at)
    if isinstance(node, s.OneOf):
        return _turned(_one_of(r, node), node.positive, node.at)
    if isinstance(node, s.ThereIs):
        group = r.group(node.each)
        r.close(group)
        return _turned(t.Exists(group, node.at), node.positive, node.at)
    if isinstance(node, s.EachKeeps):
        group = r.group(node.each)
        kept = formula(r, node.formula)
        r.close(group)
        return t.Keeps(group, kept, node.at)
    return _meets(r, node)


def _turned(found: t.Formula, positive: bool, at: int) -> t.Formula:
    return found if positive else t.Not(found, at)


def _parts(r: Resolver, nodes: tuple[s.Formula, ...]) -> tuple[t.Formula, ...]:
    parts, spoiled = [], None
    for node in nodes:
        try:
            parts.append(formula(r, node))
        except Spoiled as fault:
            spoiled = fault
    if spoiled is not None:
        raise spoiled
    return tuple(parts)


def _several(r: Resolver, node: s.AllOf | s.AnyOf) -> t.Formula:
    parts = _parts(r, node.parts)
    return t.All(parts, node.at) if isinstance(node, s.AllOf) else t.Any_(parts, node.at)


def _is(r: Resolver, node: s.IsWord) -> t.Formula:
    found = r.phrase(node.phrase)
    if isinstance(found, t.WordOf) and found.row.gives == "choice":
        if node.other is not None:
            raise r.fail("pack-companion", f'nothing follows "{node.word}"', node.other.at)
        return t.Among(found, r.choice_word(found.row, node.word, node.word_at).words, node.at)
    if isinstance(found, t.WordOf | t.Called):
        raise r.fail("pack-said-otherwise", f'"{r.words(node.phrase)}" is a reading; compare it with at most, at least, above, below or equal to', node.at)
    if isinstance(found, t.Point):
        raise r.fail("pack-word-on-thing", "nothing is said of a terminal by itself", node.at)
    row = r.vocabulary.said_of(node.word, found.kind)
    if row is None or not (row.sort == "relation" or row.gives == "yes-no"):
        raise _not_said(r, node.word, found.kind, node.word_at, "is")
    state_only = row.other == "state" or (row.state and not row.other)
    other, companions = _after(node.other)
    if state_only:
        if other is None or (companions and other is not None):
            raise r.fail("pack-companion", f'"{node.word}" also needs a state after it', node.word_at, f"{r.words(node.phrase)} is {node.word} S")
        return t.Said(row, found, None, r.state_tag(other, other.at), node.at)
    if not row.other:
        if other is not None:
            raise r.fail("pack-companion", f'nothing follows "{node.word}"', other.at)
        return t.Said(row, found, None, False, node.at)
    if other is None:
        raise r.fail("pack-companion", f'"{node.word}" also needs {article(row.other)} after it', node.word_at)
    thing = r.thing(other, article(row.other))
    if not (r.vocabulary.is_a(thing.kind, row.other) or r.vocabulary.is_a(row.other, thing.kind)):
        raise r.fail("pack-companion", f'"{node.word}" needs {article(row.other)} after it, not {article(thing.kind)}', other.at)
    if row.state:
        if len(companions) != 1 or companions[0][0] != "in":
            raise r.fail("pack-companion", f'"{node.word}" also needs "in" a state', node.word_at)
        return t.Said(row, found, thing, r.state_tag(companions[0][1], node.word_at), node.at)
    if companions:
        raise r.fail("pack-companion", f'"{node.word}" takes no "{companions[0][0]}"', node.word_at)
    return t.Said(row, found, thing, False, node.at)


def _after(node: s.Phrase | None) -> tuple[s.Place | None, tuple[tuple[str, s.Place], ...]]:
    if isinstance(node, s.Placed):
        return node.place, node.companions
    return node, ()


def _not_said(r: Resolver, word: str, kind: str, at: int, how: str) -> Exception:
    rows = r.vocabulary.words.get(word)
    if rows:
        row = r.vocabulary.said_of(word, kind)
        if row is None:
            owners = list(dict.fromkeys(of for known in rows for of in known.of))
            return r.fail("pack-word-on-thing", f'"{word}" is said of {listed([article(o) for o in owners], "or")}, not of {article(kind)}', at)
        other = "has" if row.gives == "fitting" or row.gives in r.vocabulary.kinds else "is"
        if row.gives in ("yes-no", "fitting") or row.sort == "relation":
            return r.fail("pack-said-otherwise", f'"{word}" is said with "{other}"', at)
        return r.fail("pack-said-otherwise", f'"{word}" is a reading: write "{word} of …" and compare it', at)
    for row in r.vocabulary.words_of(kind):
        if row.gives == "choice" and word in choices_of(row):
            return r.fail("pack-said-otherwise", f'"{word}" is a word of "{row.word}"', at, f'Write "{row.word} of … is {word}".')
    fit = [row.word for row in r.vocabulary.words_of(kind)
           if (row.gives == "fitting" if how == "has" else row.sort == "relation" or row.gives == "yes-no")]
    near = nearest(word, fit)
    return r.fail("pack-unknown-word", f'nothing called "{word}" can be said of {article(kind)} with "{how}"', at, f'Did you mean "{near}"?' if near else None)


def _has(r: Resolver, node: s.HasWord) -> t.Formula:
    thing = r.thing(node.phrase)
    row = r.vocabulary.said_of(node.word, thing.kind)
    if row is None:
        rows = r.vocabulary.words.get(node.word)
        if rows and all(known.gives == "fitting" or known.gives in r.vocabulary.kinds for known in rows):
            raise r.fail("pack-word-on-thing", f'{article(thing.kind)} has no "{node.word}"', node.word_at)
        raise _not_said(r, node.word, thing.kind, node.word_at, "has")
    if row.gives == "fitting":
        return t.Said(row, thing, None, False, node.at)
    if row.gives in r.vocabulary.kinds:
        return t.HasPart(row.word, thing, node.at)
    raise _not_said(r, node.word, thing.kind, node.word_at, "has")


def _one_of(r: Resolver, node: s.OneOf) -> t.Formula:
    found = r.phrase(node.phrase)
    if not isinstance(found, t.WordOf) or found.row.gives != "choice":
        raise r.fail("pack-said-otherwise", '"is one of" follows a choice of words, such as "material of C"', node.at)
    words: set[str] = set()
    for word, at in node.words:
        words |= r.choice_word(found.row, word, at).words
    return t.Among(found, frozenset(words), node.at)


# ---- ways ----------------------------------------------------------------------------------------------------------------------------


def _meets(r: Resolver, node: s.WayMeets) -> t.Meets:
    in_state = r.state_tag(node.state, node.state.at) if node.state is not None else False
    if node.state is None and r.state:
        raise r.fail("pack-state", f'a way inside state {r.state} is judged in that state', node.at, f'Write "every way in {r.state} …".')
    way = node.way
    opened: list[t.Group] = []
    start = _end(r, way.start, "start", opened)
    end = _end(r, way.end, "into" if way.form == "into" else "end", opened) if way.end is not None else None
    avoiding = _end(r, way.avoiding, "avoiding", opened) if way.avoiding is not None else None
    state, r.state = r.state, ""
    # The thing met stands where it stands in every state: what qualifies it, and how near it must be, may not change with the state.
    try:
        device = r.group(node.device, states=False)
        r.close(device)
        within = _within(r, node)
        opened_state = r.opens_state
    finally:
        r.state = state
    r.opens_state = opened_state
    if not _lies_on_ways(r, device.kind):
        raise r.fail("pack-word-on-thing", f"no way can meet {article(device.kind)}", node.device.kind_at)
    for group in opened:
        r.close(group)
    return t.Meets(in_state, way.form, start, end, avoiding, device, within, node.at)


def _within(r: Resolver, node: s.WayMeets) -> t.Term | None:
    if node.within is None:
        return None
    if node.way.form != "out of":
        raise r.fail("pack-said-otherwise", '"within" only goes with "every way out of …"', node.within_at)
    within, dimension = r.amount(node.within)
    if dimension != d.LENGTH:
        raise r.fail("pack-dimension", f'"within" needs a length, not {said(dimension)}', node.within_at)
    return within


def _lies_on_ways(r: Resolver, kind: str) -> bool:
    return kind in ("element", "part", "conductor") or r.vocabulary.is_a(kind, "part")


def _end(r: Resolver, node: s.End, role: str, opened: list[t.Group]) -> t.Ends:
    if isinstance(node, s.EndOfEach):
        group = r.group(node.each, states=False)
        opened.append(group)
        if role in ("into", "avoiding"):
            raise r.fail("pack-said-otherwise", f'"{"into" if role == "into" else "avoiding"}" names a thing, not a terminal', node.at)
        terminal = node.word.replace("-", " ")
        if terminal not in r.terminals(group.kind):
            raise r.fail("pack-word-on-thing", f'{article(group.kind)} has no terminal "{node.word}"', node.at)
        return t.Ends(group, None, terminal)
    if isinstance(node, s.Each):
        group = r.group(node, states=False)
        opened.append(group)
        if role in ("start", "end"):
            _feeds(r, group.kind, node.kind_at)
        return t.Ends(group, None, "")
    found = r.phrase(node)
    if isinstance(found, t.Point):
        if role in ("into", "avoiding"):
            raise r.fail("pack-said-otherwise", f'"{"into" if role == "into" else "avoiding"}" names a thing, not a terminal', node.at)
        return t.Ends(None, found.of, found.word)
    if isinstance(found, t.WordOf | t.Called | t.Whole):
        raise r.fail("pack-word-on-thing", f'"{r.words(node)}" is not a place on the wiring', node.at)
    if role in ("start", "end"):
        terminals = r.terminals(found.kind)
        if terminals == ("stud",):
            return t.Ends(None, found, "stud")
        if not any(word in terminals for word in FEEDING):
            raise r.fail("pack-said-otherwise", f'say which terminal of {r.words(node)} is meant', node.at)
        return t.Ends(None, found, "")
    return t.Ends(None, found, "")


def _feeds(r: Resolver, kind: str, at: int) -> None:
    terminals = r.terminals(kind)
    if terminals != ("stud",) and not any(word in terminals for word in FEEDING):
        raise r.fail("pack-said-otherwise", f"say which terminal of {article(kind)} is meant", at, 'Write "line of each fuse F", for instance.')
