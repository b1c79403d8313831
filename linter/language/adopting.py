"""What a variant pack does: it adopts figures that another trade publishes. Pure, like `merge`, and before it.

A published figure is no loosening somebody signs for, so it carries neither name nor day; but it needs a reason and a source, stays inside the
limit's band, and counts only for packs the owner named. It is applied before anything a house tightens or loosens, so that the order in which packs
are loaded never undoes what a house made stricter.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from linter.language import syntax as s
from linter.language import typed as t
from linter.language.merge import SHORTEST_REASON, Effect, moved, value_of
from linter.language.resolve import Notes


def adopt(state: Effect, pack: s.Pack, below: frozenset[str], loaded: Collection[str], named: bool, aside: bool, notes: Notes) -> None:
    """Applies what one pack adopts.

    Args:
        state: Changed in place.
        pack: Its statements.
        below: The packs it builds on, and itself. It may also speak of packs it only moves limits of.
        loaded: All packs of the run. What is adopted for a pack that is moved and not among them has nothing to move.
        named: The owner named it as a house pack, or it was asked for as a variant.
        aside: Another variant is held against: what this pack adopts stands aside.
        notes: For complaints.
    """
    statements = [said_ for said_ in pack.house if said_.verb == "adopt"]
    if statements and not named:
        first = statements[0]
        notes.say("pack-house", f"{pack.name} may not adopt other figures: it was not named as a house pack", first.source, first.at,
                  f"The owner of the installation names it in the description under house packs, or hold against it besides: --also {pack.name}.")
        return
    moves = {one.pack for one in pack.head.moves} if pack.head is not None else set()
    complete = moves <= set(loaded)
    for said_ in statements:
        if _grounded(said_, notes) and not aside and (complete or said_.name in state.limits):
            _one(state, said_, pack.name, below | moves, notes)


def _grounded(said_: s.House, notes: Notes) -> bool:
    """Whether it gives a reason, and names each source."""
    if len(said_.because.strip()) < SHORTEST_REASON:
        notes.say("pack-empty", f"the reason to adopt {said_.name} is too short to be one", said_.source, said_.at, f"At least {SHORTEST_REASON} characters.")
        return False
    if not all(rest.text.strip() for rest in said_.rests):
        notes.say("pack-empty", f"a source of {said_.name} is empty", said_.source, said_.at, "Name where the figure is published.")
        return False
    return True


def _one(state: Effect, said_: s.House, pack: str, below: frozenset[str], notes: Notes) -> None:
    found = value_of(state, said_, below, notes)
    if found is None:
        return
    limit, value = found
    assert said_.value is not None
    way = moved(limit, value)
    earlier = next((done for done in limit.chain if done.verb == "adopt"), None)
    if earlier is None:
        step = t.Setting(pack, "adopt", said_.value.text, said_.because, rests=tuple((rest.text, rest.certainty) for rest in said_.rests), way=way)
        state.limits[limit.name] = replace(limit, value=value, text=said_.value.text, chain=(*limit.chain, step))
    elif way != "same":
        if earlier.pack == pack:
            notes.say("pack-house", f"{limit.name} is adopted twice, at {earlier.text} and at {said_.value.text}", said_.source, said_.at, "Keep one of them.")
        else:
            notes.say("pack-house", f"two packs adopt {limit.name}, {earlier.pack} at {earlier.text} and {pack} at {said_.value.text}; "
                      "the owner must pick one", said_.source, said_.at, "Name one of them under house packs; --also holds against the other besides.")
    elif earlier.pack == pack:
        notes.say("pack-house", f"{limit.name} is adopted twice", said_.source, said_.at, fatal=False)
