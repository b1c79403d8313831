"""What a pack must pass at load. Any fault refuses the whole pack; all of them are listed, in file order."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date

from linter.base import bounds
from linter.base.diagnostic import Diagnostic, Mark, in_order
from linter.base.near import nearest
from linter.base.text import listed
from linter.base.truth import Truth
from linter.base.values import Range, less_or_equal
from linter.language import adopting, merge, strict
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.layout import printed_formula
from linter.language.resolve import Notes, Resolver
from linter.language.wording import Spoiled, number_of
from linter.units import dimension as d
from linter.units.dimension import Dimension, said
from linter.units.table import Unreadable, unit_named
from linter.vocabulary import Vocabulary, vocabulary

LANGUAGE_VERSION = "1"
_GIVING = {"number": d.NUMBER, "%": d.NUMBER}


def check_packs(packs: Sequence[s.Pack], *, on: date | None = None, house: Collection[str] = (), variant: str = "",
                words: Vocabulary | None = None) -> tuple[t.Checked, list[Diagnostic]]:
    """Checks packs against the vocabulary and one another and merges what house packs say.

    Args:
        packs: Each one whole (`parse.joined`), in any order.
        on: The day of the run; without it nothing is loosened or retired.
        house: Names of packs the owner has named as house packs; only these may adopt, loosen, lower, retire or rename.
        variant: A house pack held against besides: only what it adopts counts, and what others adopt stands aside.
        words: The vocabulary; ours unless a test brings its own.

    Returns:
        What is in effect, and everything wrong. With a fatal diagnostic what is in effect must not be used.
    """
    known = words or vocabulary()
    notes = Notes()
    ordered = _in_order(packs, notes)
    limits: dict[str, t.LimitInEffect] = {}
    readings: dict[str, t.PackReading] = {}
    practices: dict[str, t.Practice] = {}
    names: dict[str, tuple[str, s.Source, int]] = {}
    says: dict[str, str] = {}
    cards: dict[str, tuple[s.Example, str]] = {}
    builds: dict[str, frozenset[str]] = {}
    for pack in ordered:
        below = frozenset({pack.name}).union(*(builds.get(b.pack, frozenset()) for b in (pack.head.builds_on if pack.head else ())))
        builds[pack.name] = below
        _names(pack, known, names, notes)
        mine = {card.name: made for card in pack.limits if (made := _limit(card, pack.name, notes)) is not None}
        limits.update({name: made for name, made in mine.items() if name not in limits})
        visible = {name: limit.dimension for name, limit in limits.items() if limit.pack in below}
        used: set[str] = set()
        _readings(pack, known, visible, readings, used, notes)
        edition = pack.head.edition if pack.head else ""
        for card in pack.practices:
            if card.says in says:
                notes.say("pack-name", f'"{card.says[:60]}" is said twice, here and in {says[card.says]}', card.source, card.at)
            says.setdefault(card.says, card.name)
            practice = check_practice(card, pack.name, edition, known, visible, readings, notes, used)
            if practice is not None and card.name not in practices:
                practices[card.name] = practice
                _meaning(practice, limits, notes)
                if pack.examples:
                    # For whoever writes the pack: examples are only read when it is proved.
                    from linter.language.remarks import remarks
                    remarks(practice, limits, notes)
        for name, limit in mine.items():
            _strict_way(limit, [p for p in practices.values() if p.pack == pack.name], name in used, notes)
        for example in pack.examples:
            if example.name not in cards:
                cards[example.name] = (example, pack.name)
    state = merge.Effect(dict(limits), dict(practices), limits)
    for pack in ordered:
        adopting.adopt(state, pack, builds[pack.name], builds.keys(), pack.name in house, bool(variant) and pack.name != variant, notes)
    for pack in ordered:
        merge.house(state, pack, builds[pack.name], pack.name in house, on, notes)
    merge.result(state, limits, practices, notes)
    examples: tuple[t.Example, ...] = ()
    if cards:
        from linter.language import stage  # only proving a pack has examples; a check of an installation need not wait for it
        examples = stage.check_examples(cards, state.practices, state.renamed, state.retired, known, notes)
    _proved(state.practices, examples, notes)
    checked = t.Checked(known, tuple(state.practices.values()), state.limits, readings, examples, state.renamed, state.retired,
                        {p.name: p.head.edition if p.head else "" for p in ordered})
    return checked, in_order(notes.found)


# ---- packs and names -------------------------------------------------------------------------------------------------------------------


def _in_order(packs: Sequence[s.Pack], notes: Notes) -> list[s.Pack]:
    """What is built on comes first."""
    by_name: dict[str, s.Pack] = {}
    for pack in packs:
        if pack.head is None:
            source = pack.sources[0] if pack.sources else s.Source("?", "")
            notes.say("pack-head", "no file of this pack says what pack it is", source, 0, "Begin one file with: pack NAME edition 1.0 speaks 1 says … done")
        elif pack.name in by_name:
            notes.say("pack-name", f"two packs are called {pack.name}", pack.head.source, pack.head.at, "Load one of them, or rename one.")
            continue
        if pack.head is not None and pack.head.speaks != LANGUAGE_VERSION:
            notes.say("pack-head", f"this pack speaks version {pack.head.speaks} of the language; this engine speaks {LANGUAGE_VERSION}",
                      pack.head.source, pack.head.at)
        by_name.setdefault(pack.name, pack)
    if len(by_name) > bounds.PACKS.most:
        first = next(iter(by_name.values()))
        notes.say("pack-too-large", f"more than {bounds.PACKS.most} packs in one run", first.sources[0], 0)
    out: list[s.Pack] = []
    done: set[str] = set()

    def visit(pack: s.Pack, chain: tuple[str, ...]) -> None:
        if pack.name in done:
            return
        for built in pack.head.builds_on if pack.head else ():
            assert pack.head is not None
            below = by_name.get(built.pack)
            if below is None:
                near = nearest(built.pack, by_name)
                notes.say("pack-builds-on", f"pack {built.pack}, which this one builds on, is not loaded", pack.head.source, built.at,
                          f"Did you mean {near}?" if near else "Name its folder with --pack.")
            elif built.pack in chain:
                notes.say("pack-builds-on", f"packs build on one another in a ring: {listed([*chain[chain.index(built.pack):], built.pack], 'on')}",
                          pack.head.source, built.at)
            else:
                if below.head and not _fits(below.head.edition, built.edition):
                    notes.say("pack-builds-on", f"edition {built.edition} of {built.pack} is asked for and edition {below.head.edition} is loaded",
                              pack.head.source, built.at)
                if len(chain) >= bounds.BUILDS_ON_DEPTH.most:
                    notes.say("pack-too-large", f"more than {bounds.BUILDS_ON_DEPTH.most} {bounds.BUILDS_ON_DEPTH.meaning}", pack.head.source, built.at)
                else:
                    visit(below, (*chain, built.pack))
        for moves in pack.head.moves if pack.head else ():
            known = by_name.get(moves.pack)
            if pack.head is not None and known is not None and known.head and not _fits(known.head.edition, moves.edition):
                notes.say("pack-builds-on", f"limits of edition {moves.edition} of {moves.pack} are moved and edition {known.head.edition} is loaded",
                          pack.head.source, moves.at)
        if pack.name not in done:
            done.add(pack.name)
            out.append(pack)

    for pack in by_name.values():
        visit(pack, (pack.name,))
    return out


def _fits(have: str, asked: str) -> bool:
    """The same whole number, and at least what is asked."""
    a, b = have.split("."), asked.split(".")
    return a[0] == b[0] and [int(x) for x in a] >= [int(x) for x in b]


def _names(pack: s.Pack, known: Vocabulary, names: dict[str, tuple[str, s.Source, int]], notes: Notes) -> None:
    """Limits, readings and practices share one name space, and leave the vocabulary alone."""
    told: set[str] = set()
    for what, cards in (("limit", pack.limits), ("reading", pack.readings), ("practice", pack.practices), ("example", pack.examples)):
        for card in cards:
            name = card.name
            key = f"example {name}" if what == "example" else name
            if key in names and key not in told:
                told.add(key)
                other, source, at = names[key]
                notes.found.append(Diagnostic("pack-name", f'"{name}" is the name of two cards', card.source.span(card.at),
                                              (Mark("first", other, source.span(at)),), "Rename one of them."))
            elif what != "example" and what != "practice" and (name in known.words or name in known.kinds):
                notes.say("pack-name", f'"{name}" is a word of the vocabulary and cannot name a {what}', card.source, card.at)
            names.setdefault(key, (f"{what} {name}", card.source, card.at))
        if len(cards) > (bounds.PACK_EXAMPLES if what == "example" else bounds.PACK_ITEMS).most:
            notes.say("pack-too-large", f"more than {bounds.PACK_ITEMS.most:,} {what} cards in one pack", cards[0].source, cards[0].at)


# ---- limits and readings -----------------------------------------------------------------------------------------------------------------


def _amount(value: s.Value, card: s.Limit, notes: Notes) -> tuple[Range | frozenset[str], Dimension | None] | None:
    if value.sort == "ipcode":
        return frozenset({value.text}), None
    try:
        return number_of(value)
    except Unreadable as fault:
        notes.say("pack-unit", str(fault), card.source, value.at, fault.remedy)
        return None


def _limit(card: s.Limit, pack: str, notes: Notes) -> t.LimitInEffect | None:
    """A limit with its band, in order and in one unit."""
    read = _amount(card.value, card, notes)
    if read is None:
        return None
    value, dimension = read
    if not card.because.strip():
        notes.say("pack-empty", f"limit {card.name} gives no reason", card.source, card.at)
    low: Range | frozenset[str] | None = None
    high: Range | frozenset[str] | None = None
    if card.low is not None and card.high is not None:
        a, b = _amount(card.low, card, notes), _amount(card.high, card, notes)
        if a is None or b is None:
            return None
        if a[1] != dimension or b[1] != dimension:
            notes.say("pack-dimension", f"limit {card.name} and the range it is allowed differ in unit", card.source, card.low.at)
            return None
        low, high = a[0], b[0]
        if isinstance(value, Range) and isinstance(low, Range) and isinstance(high, Range):
            if not less_or_equal(low.low, high.low):
                notes.say("pack-limit", f"the range allowed for {card.name} runs backwards", card.source, card.low.at, "Write the smaller number first.")
            elif not (less_or_equal(low.low, value.low) and less_or_equal(value.low, high.low)):
                notes.say("pack-limit", f"limit {card.name} lies outside the range it is allowed", card.source, card.value.at)
    setting = t.Setting(pack, "limit", card.value.text, card.because)
    return t.LimitInEffect(card.name, pack, value, dimension, low, high, card.value.text, card.stricter, (setting,), card)


def _strict_way(limit: t.LimitInEffect, practices: list[t.Practice], used: bool, notes: Notes) -> None:
    signs: set[int] = set()
    for practice in practices:
        signs |= strict.signs_of(practice).get(limit.name, set())
    if not used:
        notes.say("pack-limit", f"limit {limit.name} is used by no card", limit.card.source, limit.card.at, "Use it, or take it out.")
    elif signs and (way := strict.strict_way(signs)) != limit.stricter:
        plain = {"lower": "stricter when lower", "higher": "stricter when higher", "neither": "stricter neither way"}
        notes.say("pack-limit", f"limit {limit.name} is declared {plain[limit.stricter]}, but where it is used it is {plain[way]}",
                  limit.card.source, limit.card.at, f"Write: {plain[way]}.")


def _readings(pack: s.Pack, known: Vocabulary, limits: Mapping[str, Dimension | None], readings: dict[str, t.PackReading], used: set[str],
              notes: Notes) -> None:
    """Readings may use one another, in any order, but not in a ring."""
    waiting = {card.name: card for card in pack.readings}
    chain: list[str] = []

    def visit(name: str) -> None:
        card = waiting.get(name)
        if card is None or name in readings:
            return
        if name in chain:
            notes.say("pack-ring", f"readings use one another in a ring: {' uses '.join([*chain[chain.index(name):], name])}", card.source, card.at)
            for member in chain[chain.index(name):]:
                waiting.pop(member, None)
            return
        chain.append(name)
        if len(chain) > bounds.READING_DEPTH.most + 1:
            notes.say("pack-too-large", f"more than {bounds.READING_DEPTH.most} {bounds.READING_DEPTH.meaning}", card.source, card.at)
            waiting.pop(name, None)
        else:
            for other in _mentioned(card.term):
                visit(other)
            if name in waiting:
                made = _reading(card, known, limits, readings, used, notes)
                if made is not None:
                    readings[name] = made
                waiting.pop(name, None)
        chain.pop()

    for card in pack.readings:
        visit(card.name)


def _mentioned(node: object) -> list[str]:
    """Words `WORD of …` anywhere in a term, in order."""
    out: list[str] = []
    stack = [node]
    while stack:
        here = stack.pop()
        if isinstance(here, s.Part):
            out.append(here.word)
        if isinstance(here, tuple):
            stack.extend(here)
        elif not isinstance(here, s.Source):
            stack.extend(s.children(here))
    return list(dict.fromkeys(out))


def _reading(card: s.ReadingCard, known: Vocabulary, limits: Mapping[str, Dimension | None], readings: Mapping[str, t.PackReading], used: set[str],
             notes: Notes) -> t.PackReading | None:
    r = Resolver(known, limits, readings, card.source, notes)
    try:
        kind = r.kind(card.kind, card.at)
        r.introduce(card.tag, kind, card.at)
        kinds, under = [kind], False
        for _, given, tag in card.given:
            r.introduce(tag, r.kind(given, card.at), card.at)
            if given == "state":
                under = True
                r.opens_state = False
            else:
                kinds.append(given)
        term, dimension = r.amount(card.term)
    except Spoiled:
        return None
    finally:
        used |= r.used_limits
    unit = unit_named(card.giving)
    giving = _GIVING.get(card.giving) or (unit.dimension if unit else d.NUMBER)
    if giving != dimension:
        notes.say("pack-dimension", f"reading {card.name} says it gives {said(giving)}, but it works out {said(dimension)}", card.source, card.at)
        return None
    return t.PackReading(card.name, kind, tuple(kinds), under, dimension, card.giving == "%", term, r.slots, r.opens_state, r.reading_depth + 1, card)


# ---- practices ---------------------------------------------------------------------------------------------------------------------------


def check_practice(card: s.Practice, pack: str, edition: str, known: Vocabulary, limits: Mapping[str, Dimension | None],
                   readings: Mapping[str, t.PackReading], notes: Notes, used: set[str] | None = None) -> t.Practice | None:
    """One card by itself, or None when something in it is spoiled. Every label is looked at even then."""
    r = Resolver(known, limits, readings, card.source, notes)
    for label, text in (("says", card.says), ("because", card.because), ("follows", card.follows), ("remedy", card.remedy)):
        if not text.strip():
            notes.say("pack-empty", f'"{label}" of {card.name} is empty', card.source, card.at)
    if len(card.says) > 120:
        notes.say("pack-empty", f'"says" of {card.name} is longer than 120 characters', card.source, card.at,
                  "Say it shorter; the reasons have their own label.")
    spoiled = False
    look = None
    passing = demand = None
    figures: list[t.FigureTerm] = []
    try:
        look = r.group(card.look, states=False)
        r.depth = 0
    except Spoiled:
        spoiled = True
        kind = card.look.kind
        if card.look.tag not in r.scope and kind in known.kinds and kind != "state":
            r.scope[card.look.tag] = t.Held(r.slots, card.look.tag, kind)
            r.slots += 1
    if look is not None or card.look.tag in r.scope:
        for node in (card.passing, card.demand):
            if node is None:
                continue
            try:
                found = r.formula(node)
                if node is card.demand:
                    demand = found
                else:
                    passing = found
            except Spoiled:
                spoiled = True
            # Whatever a spoiled piece left open must not trouble the next.
            r.state, r.depth = "", 0
            r.scope = {tag: held for tag, held in r.scope.items() if tag == card.look.tag}
        for figure in card.figures:
            try:
                figures.append(t.FigureTerm(figure.label, r.amount(figure.term)[0]))
            except Spoiled:
                spoiled = True
            r.state, r.depth = "", 0
    if used is not None:
        used |= r.used_limits
    if spoiled or look is None or demand is None:
        return None
    for tag, at in r.seen.items():
        if tag not in r.used and tag != card.look.tag and not _only_met((card.look, card.passing, card.demand), tag):
            notes.say("pack-tag", f"tag {tag} is introduced and never used", card.source, at, fatal=False)
    if card.forbidden:
        demand = t.Not(demand, demand.at)
    return t.Practice(card.name, pack, edition, card.weight, look, passing, demand, tuple(figures), r.slots, (), card)


def _only_met(node: object, tag: str) -> bool:
    """The tag is that of a device a way meets, or of a thing that is merely there: it need not be spoken of again."""
    stack = [node]
    while stack:
        here = stack.pop()
        if isinstance(here, s.WayMeets) and tag in (here.device.tag, *(e.tag if isinstance(e, s.Each) else e.each.tag for e in (
                here.way.start, here.way.end, here.way.avoiding) if isinstance(e, s.Each | s.EndOfEach))):
            return True
        if isinstance(here, s.ThereIs | s.Count) and here.each.tag == tag:
            return True
        if isinstance(here, tuple):
            stack.extend(here)
        else:
            stack.extend(s.children(here))
    return False


def _meaning(practice: t.Practice, limits: Mapping[str, t.LimitInEffect], notes: Notes) -> None:
    """Conditions that cannot come out both ways, and parts said twice."""
    card = practice.card
    for formula in (practice.look.condition, practice.passing, practice.demand):
        if formula is None:
            continue
        for comparison in strict.comparisons(formula):
            always = strict.constant(comparison, limits)
            if always is not Truth.UNKNOWN:
                notes.say("pack-constant", f"this comparison always comes out {'true' if always is Truth.YES else 'false'}", card.source, comparison.at,
                          "Floors and the ranges of limits leave it no other way.")
        for both in strict.conjunctions(formula):
            clash = strict.never_together(both.parts, limits)
            if clash is not None:
                notes.say("pack-constant", "these conditions can never hold together", card.source, clash.at, "No value fits them all.")
    if practice.look.condition is not None and not card.forbidden:
        clash = strict.never_together((practice.look.condition, practice.demand), limits)
        if clash is not None and not any(found.at == card.source.span(clash.at) for found in notes.found):
            notes.say("pack-constant", "what it looks at can never meet it", card.source, clash.at, '"with" and "require" leave no value that fits both.')
    for node in _formulas(card):
        if isinstance(node, s.AllOf | s.AnyOf):
            texts = [printed_formula(part) for part in node.parts]
            for i, text in enumerate(texts):
                if text in texts[:i]:
                    notes.say("pack-constant", "the same condition stands here twice", card.source, node.parts[i].at)
        if isinstance(node, s.Compare) and printed_formula(node.left) == printed_formula(node.right):
            notes.say("pack-constant", "a reading is compared with itself", card.source, node.how_at)
    if card.passing is not None and card.look.condition is not None and printed_formula(card.passing) == printed_formula(card.look.condition):
        notes.say("pack-constant", '"passing over" takes out all that "with" lets in', card.source, card.passing.at)


def _formulas(card: s.Practice) -> list[object]:
    out: list[object] = []
    stack: list[object] = [card.look, card.passing, card.demand]
    while stack:
        here = stack.pop()
        if isinstance(here, tuple):
            stack.extend(here)
        elif names := s.names_of(here):
            out.append(here)
            stack.extend(getattr(here, name) for name in names)
    return out


def _proved(practices: Mapping[str, t.Practice], examples: Sequence[t.Example], notes: Notes) -> None:
    """Each practice is tried by an example that trips it and one that meets it. Only asked for where examples were read at all."""
    if not examples:
        return
    seen: dict[str, set[str]] = {}
    for example in examples:
        seen.setdefault(example.tries, set()).update(e.outcome for e in example.card.expected)
    for name, practice in practices.items():
        outcomes = seen.get(name, set())
        missing = [f'"{outcome}"' for outcome in ("met", "not met") if outcome not in outcomes]
        if missing:
            notes.say("pack-unproved", f"practice {name} has no example that comes out {listed(missing, 'or')}", practice.card.source, practice.card.at)
        elif "cannot tell" not in outcomes:
            notes.say("pack-unproved", f'practice {name} has no example that comes out "cannot tell"', practice.card.source, practice.card.at, fatal=False)
