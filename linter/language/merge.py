"""What house packs do to the packs they build on. Pure: statements in, effect out; every step leaves its author and reason behind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from linter.base.near import nearest
from linter.base.values import Range, less_or_equal
from linter.language import syntax as s
from linter.language import typed as t
from linter.language.resolve import Notes
from linter.language.wording import number_of
from linter.units.dimension import said
from linter.units.table import Unreadable

WEIGHTS = ("notice", "caution", "warning", "danger")
LONGEST_DAYS = 400
SHORTEST_REASON = 10
_SIGNED = ("loosen", "lower", "retire")


@dataclass
class Effect:
    """What is in effect while house packs are merged.

    Attributes:
        limits, practices: By name.
        renamed: Earlier name to the name that counts, from `rename` and `formerly`.
        retired: Practices out of use and who said so.
        own: Limits as the packs that have them set them.
    """

    limits: dict[str, t.LimitInEffect]
    practices: dict[str, t.Practice]
    own: Mapping[str, t.LimitInEffect] = field(default_factory=dict)
    renamed: dict[str, str] = field(default_factory=dict)
    retired: dict[str, t.Setting] = field(default_factory=dict)


def day(text: str) -> date | None:
    """A written date, None if there is no such day."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def house(state: Effect, pack: s.Pack, below: frozenset[str], named: bool, on: date | None, notes: Notes) -> None:
    """Applies one pack's statements. `named`: the owner called it a house pack."""
    for card in pack.practices:
        for earlier in card.formerly:
            state.renamed.setdefault(earlier, card.name)
    renames = {said_.name: said_.to for said_ in pack.house if said_.verb == "rename"}
    for said_ in pack.house:
        if said_.verb == "rename":
            _rename(state, said_, renames, notes)
    for said_ in pack.house:
        if said_.verb in ("rename", "adopt"):  # adopting comes before: see `adopting`
            continue
        if said_.verb in _SIGNED and not named:
            notes.say("pack-house", f"{pack.name} may not {said_.verb} anything: it was not named as a house pack", said_.source, said_.at,
                      "The owner of the installation names house packs in the description.")
            continue
        if said_.verb in _SIGNED and not _signed(said_, on, notes):
            continue
        step = t.Setting(pack.name, said_.verb, said_.value.text if said_.value else said_.to, said_.because, said_.agreed_by, said_.until)
        if said_.verb in ("tighten", "loosen"):
            _limit(state, said_, step, below, notes)
        else:
            _practice(state, said_, step, below, notes)


def _rename(state: Effect, said_: s.House, renames: Mapping[str, str], notes: Notes) -> None:
    chain, name = {said_.name}, said_.to
    known = {**state.renamed, **renames}
    while name in known and name not in chain:
        chain.add(name)
        name = known[name]
    if name in chain:
        notes.say("pack-ring", f"{said_.name} is renamed in a ring", said_.source, said_.at)
    elif name not in state.practices:
        _unknown(said_, name, state.practices, "practice", notes)
    else:
        state.renamed[said_.name] = name


def _signed(said_: s.House, on: date | None, notes: Notes) -> bool:
    """Whether a signed statement counts on the day of the run."""
    until = day(said_.until)
    if until is None:
        notes.say("pack-date", f"{said_.until} is not a day of the calendar", said_.source, said_.at)
        return False
    if len(said_.because.strip()) < SHORTEST_REASON:
        notes.say("pack-empty", f"the reason to {said_.verb} {said_.name} is too short to be one", said_.source, said_.at,
                  f"At least {SHORTEST_REASON} characters.")
        return False
    if not said_.agreed_by.strip():
        notes.say("pack-empty", f"nobody is named who agreed to {said_.verb} {said_.name}", said_.source, said_.at)
        return False
    if on is None:
        return False
    if (until - on).days > LONGEST_DAYS:
        notes.say("pack-date", f"{said_.until} is more than {LONGEST_DAYS} days away", said_.source, said_.at, "Agree to it again when the time comes.")
        return False
    if until < on:
        notes.say("pack-date", f"{said_.verb} {said_.name} ended on {said_.until}; what was inherited counts again", said_.source, said_.at, fatal=False)
        return False
    return True


def _unknown(said_: s.House, name: str, known: Mapping[str, object], what: str, notes: Notes) -> None:
    near = nearest(name, known)
    notes.say("pack-house", f"there is no {what} called {name} to {said_.verb}", said_.source, said_.at, f"Did you mean {near}?" if near else None)


def stricter_of(limit: t.LimitInEffect, a: Range, b: Range) -> str:
    """Whether `b` is stricter than, looser than or the same as `a` for this limit; "other" when neither way is stricter."""
    if less_or_equal(a.low, b.low) and less_or_equal(b.low, a.low):
        return "same"
    if limit.stricter == "neither":
        return "other"
    return "stricter" if (b.low < a.low) == (limit.stricter == "lower") else "looser"


def _code_order(a: frozenset[str], b: frozenset[str], limit: t.LimitInEffect) -> str:
    from linter.language.compare import covers_code
    first, second = next(iter(a)), next(iter(b))
    if first == second:
        return "same"
    higher = covers_code(second, first)
    lower = covers_code(first, second)
    if higher and not lower:
        return "stricter" if limit.stricter == "higher" else "looser"
    if lower and not higher:
        return "stricter" if limit.stricter == "lower" else "looser"
    return "other"


def moved(limit: t.LimitInEffect, to: Range | frozenset[str]) -> str:
    """same, stricter, looser or other."""
    if isinstance(limit.value, Range) and isinstance(to, Range):
        return stricter_of(limit, limit.value, to)
    if isinstance(limit.value, frozenset) and isinstance(to, frozenset):
        return _code_order(limit.value, to, limit)
    return "other"


def in_band(limit: t.LimitInEffect, to: Range | frozenset[str]) -> bool:
    """Inside the range the limit allows; a limit without one allows anything."""
    if isinstance(to, Range) and isinstance(limit.low, Range) and isinstance(limit.high, Range):
        return less_or_equal(limit.low.low, to.low) and less_or_equal(to.low, limit.high.low)
    if isinstance(to, frozenset) and isinstance(limit.low, frozenset) and isinstance(limit.high, frozenset):
        from linter.language.compare import covers_code
        return covers_code(next(iter(to)), next(iter(limit.low))) and covers_code(next(iter(limit.high)), next(iter(to)))
    return True


def value_of(state: Effect, said_: s.House, below: frozenset[str], notes: Notes) -> tuple[t.LimitInEffect, Range | frozenset[str]] | None:
    """The limit a statement speaks of, and the value it gives it; None, and told, where it is no such limit, or no value for it."""
    limit = state.limits.get(said_.name)
    assert said_.value is not None
    if limit is None or limit.pack not in below:
        _unknown(said_, said_.name, {name: 0 for name, known in state.limits.items() if known.pack in below}, "limit", notes)
        return None
    value: Range | frozenset[str]
    if said_.value.sort == "ipcode":
        value, dimension = frozenset({said_.value.text}), None
    else:
        try:
            value, dimension = number_of(said_.value)
        except Unreadable as fault:
            notes.say("pack-unit", str(fault), said_.source, said_.at, fault.remedy)
            return None
    if dimension != limit.dimension:
        asked = said(limit.dimension) if limit.dimension is not None else "a protection code"
        notes.say("pack-dimension", f"limit {limit.name} is {asked}", said_.source, said_.value.at)
        return None
    if not in_band(limit, value):
        notes.say("pack-limit", f"{said_.value.text} is outside what {limit.name} allows", said_.source, said_.value.at,
                  f"Between {limit.card.low.text} and {limit.card.high.text}." if limit.card.low and limit.card.high else None)
        return None
    return limit, value


def _limit(state: Effect, said_: s.House, step: t.Setting, below: frozenset[str], notes: Notes) -> None:
    found = value_of(state, said_, below, notes)
    if found is None:
        return
    limit, value = found
    assert said_.value is not None
    way = moved(limit, value)
    others = [done for done in limit.chain[1:] if done.pack != step.pack]
    if said_.verb == "tighten":
        stricter_still = any(done.verb in ("tighten", "adopt") for done in others) and moved(state.own.get(limit.name, limit), value) in ("stricter", "same")
        if way in ("looser", "other") and not stricter_still:
            notes.say("pack-house", f"{said_.value.text} is not stricter than the {limit.text} {limit.name} has now", said_.source, said_.at,
                      'Use "loosen", with who agreed and until when.')
            return
        if way == "same":
            notes.say("pack-house", f"tighten {limit.name} changes nothing", said_.source, said_.at, fatal=False)
            return
        if way in ("looser", "other"):
            # Somebody else tightened further already, or adopted a stricter figure: the strictest counts.
            return
    elif any(done.verb == "loosen" for done in others):
        notes.say("pack-house", f"two packs loosen {limit.name}; the owner must pick one", said_.source, said_.at)
        return
    elif way == "same":
        notes.say("pack-house", f"loosen {limit.name} changes nothing", said_.source, said_.at, fatal=False)
        return
    state.limits[limit.name] = replace(limit, value=value, text=said_.value.text, chain=(*limit.chain, replace(step, way=way)))


def _practice(state: Effect, said_: s.House, step: t.Setting, below: frozenset[str], notes: Notes) -> None:
    name = state.renamed.get(said_.name, said_.name)
    practice = state.practices.get(name)
    if practice is None or practice.pack not in below:
        _unknown(said_, said_.name, {n: 0 for n, p in state.practices.items() if p.pack in below}, "practice", notes)
        return
    if said_.verb == "retire":
        state.retired[name] = step
        del state.practices[name]
        return
    now, then = WEIGHTS.index(practice.weight), WEIGHTS.index(said_.to)
    if (then < now) if said_.verb == "raise" else (then > now):
        notes.say("pack-house", f"{said_.to} is {'lighter' if said_.verb == 'raise' else 'heavier'} than the {practice.weight} {name} has now",
                  said_.source, said_.at, f'Use "{"lower" if said_.verb == "raise" else "raise"}".')
        return
    if then == now:
        notes.say("pack-house", f"{said_.verb} {name} changes nothing", said_.source, said_.at, fatal=False)
        return
    state.practices[name] = replace(practice, weight=said_.to, moved=(*practice.moved, step))


def result(state: Effect, limits: Mapping[str, t.LimitInEffect], practices: Mapping[str, t.Practice], notes: Notes) -> None:
    """The last word, judged on the outcome and not on the statements: nothing is looser, and nothing gone, without somebody's name on it."""
    for name, before in limits.items():
        after = state.limits[name]
        if moved(before, after.value) in ("looser", "other") and not any(step.verb in ("loosen", "adopt") for step in after.chain):
            notes.say("pack-house", f"limit {name} ended up looser than it was, and nobody loosened it", after.card.source, after.card.at)
    for name, practice in practices.items():
        if name not in state.practices and name not in state.retired:
            notes.say("pack-house", f"practice {name} vanished, and nobody retired it", practice.card.source, practice.card.at)
