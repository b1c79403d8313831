"""Packs in effect: checked against the vocabulary and one another, merged, and what house packs changed, in sentences."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from linter.base.diagnostic import Diagnostic
from linter.base.text import listed
from linter.language.check import check_packs
from linter.language.typed import Checked, Setting
from linter.packs.load import Loaded

# In the place of a variant's name: what any pack adopts stands aside. No pack can be called so.
NO_VARIANT = "-"


@dataclass(frozen=True)
class Packs:
    """Everything a survey is held against.

    Attributes:
        loaded: Each pack after those it builds on.
        checked: Practices, limits and readings in effect.
        variant: The pack held against besides, whose adopted figures alone count; "" in an ordinary run.
    """

    loaded: tuple[Loaded, ...]
    checked: Checked
    variant: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """What a house pack changed, as a sentence. `sort` is adopt, tighten, loosen, raise, lower or retire."""

    sort: str
    text: str


def in_effect(loaded: tuple[Loaded, ...], on: datetime.date | None, despite: frozenset[str] = frozenset(),
              variant: str = "") -> tuple[Packs | None, list[Diagnostic]]:
    """Loaded packs, checked and merged; None if any fault is fatal: then the whole set is refused, never a part of it.

    Args:
        loaded: In any order.
        on: Date of the run.
        despite: Kinds of faults that do not refuse; for proving only.
        variant: A pack among them that is held against besides: what other packs adopt stands aside.
    """
    checked, told = check_packs([one.pack for one in loaded], on=on, house={one.name for one in loaded if one.house}, variant=variant)
    if any(one.fatal and one.kind not in despite for one in told):
        return None, told
    return Packs(loaded, checked, variant), told


def moved(checked: Checked) -> tuple[Moved, ...]:
    """What house packs did: what is loosened, lowered and retired first. Adopted figures that are stricter share one sentence a pack."""
    found: list[Moved] = []
    stricter: dict[str, list[str]] = {}
    for name, setting in checked.retired.items():
        found.append(Moved("retire", f"{name} is retired{_signed(setting)}."))
    for practice in checked.practices:
        for setting in practice.moved:
            found.append(Moved(setting.verb, f"{practice.name} is {'lowered' if setting.verb == 'lower' else 'raised'} to {setting.text}{_signed(setting)}."))
    for name, limit in checked.limits.items():
        for before, setting in zip(limit.chain, limit.chain[1:], strict=False):
            if setting.verb == "adopt":
                if setting.way == "stricter":
                    stricter.setdefault(setting.pack, []).append(f"{name} {setting.text} ({before.text})")
                elif setting.way != "same":
                    looser = "looser than" if setting.way == "looser" else "in the place of"
                    found.append(Moved("adopt", f"{name} is adopted at {setting.text}, {looser} the {before.text} of {before.pack}, by {setting.pack}: "
                                                f"{setting.because.rstrip('.')}."))
                continue
            verb = "loosened" if setting.verb == "loosen" else "tightened"
            found.append(Moved(setting.verb, f"{name} is {verb} from {before.text} to {setting.text}{_signed(setting)}."))
    for pack, moves in stricter.items():
        found.append(Moved("adopt", f"{pack} adopts {listed(moves, most=40)}: stricter than the figures in brackets."))
    order = ("retire", "lower", "loosen", "adopt", "raise", "tighten")
    return tuple(sorted(found, key=lambda one: order.index(one.sort) if one.sort in order else len(order)))


def aside(packs: Packs) -> tuple[Moved, ...]:
    """What variants that stand side by side would adopt, each for itself, a sentence a pack."""
    found = []
    for one in packs.loaded if packs.variant == NO_VARIANT else ():
        limits = [(said, packs.checked.limits.get(said.name)) for said in one.pack.house if said.verb == "adopt"]
        words = [f"{said.name} {said.value.text} ({limit.chain[0].text})" for said, limit in limits if said.value is not None and limit is not None]
        if words:
            found.append(Moved("adopt", f"{one.name} adopts, where it is named, {listed(words, most=100)}."))
    return tuple(found)


def _signed(setting: Setting) -> str:
    words = f" by {setting.pack}: {setting.because.rstrip('.')}" if setting.because else f" by {setting.pack}"
    return words + (f" (agreed by {setting.agreed_by}, until {setting.until})" if setting.agreed_by else "")
