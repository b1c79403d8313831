"""Packs in effect: checked against the vocabulary and one another, merged, and what house packs changed, in sentences."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from linter.base.diagnostic import Diagnostic
from linter.language.check import check_packs
from linter.language.typed import Checked, Setting
from linter.packs.load import Loaded


@dataclass(frozen=True)
class Packs:
    """Everything a survey is held against.

    Attributes:
        loaded: Each pack after those it builds on.
        checked: Practices, limits and readings in effect.
    """

    loaded: tuple[Loaded, ...]
    checked: Checked


@dataclass(frozen=True, slots=True)
class Moved:
    """What a house pack changed, as a sentence. `sort` is tighten, loosen, raise, lower or retire."""

    sort: str
    text: str


def in_effect(loaded: tuple[Loaded, ...], on: datetime.date | None, despite: frozenset[str] = frozenset()) -> tuple[Packs | None, list[Diagnostic]]:
    """Loaded packs, checked and merged; None if any fault is fatal: then the whole set is refused, never a part of it.

    Args:
        loaded: In any order.
        on: Date of the run.
        despite: Kinds of faults that do not refuse; for proving only.
    """
    checked, told = check_packs([one.pack for one in loaded], on=on, house={one.name for one in loaded if one.house})
    if any(one.fatal and one.kind not in despite for one in told):
        return None, told
    return Packs(loaded, checked), told


def moved(checked: Checked) -> tuple[Moved, ...]:
    """What house packs did: what is loosened, lowered and retired first."""
    found: list[Moved] = []
    for name, setting in checked.retired.items():
        found.append(Moved("retire", f"{name} is retired{_signed(setting)}."))
    for practice in checked.practices:
        for setting in practice.moved:
            found.append(Moved(setting.verb, f"{practice.name} is {'lowered' if setting.verb == 'lower' else 'raised'} to {setting.text}{_signed(setting)}."))
    for name, limit in checked.limits.items():
        for before, setting in zip(limit.chain, limit.chain[1:], strict=False):
            verb = "loosened" if setting.verb == "loosen" else "tightened"
            found.append(Moved(setting.verb, f"{name} is {verb} from {before.text} to {setting.text}{_signed(setting)}."))
    order = ("retire", "lower", "loosen", "raise", "tighten")
    return tuple(sorted(found, key=lambda one: order.index(one.sort) if one.sort in order else len(order)))


def _signed(setting: Setting) -> str:
    words = f" by {setting.pack}: {setting.because.rstrip('.')}" if setting.because else f" by {setting.pack}"
    return words + (f" (agreed by {setting.agreed_by}, until {setting.until})" if setting.agreed_by else "")
