"""The three-valued meaning, held against brute force over every way of filling in what is not known."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linter.base.diagnostic import Diagnostic
from linter.language import typed as t
from linter.language.check import check_packs
from linter.language.explain import explain
from linter.language.judge import CANNOT_TELL, MET, NOT_MET, compile_practice
from linter.language.parse import parse_pack
from tests.language import oracle
from tests.language.fake_world import FakeWorld
from tests.language.many import many
from tests.language.strategies import DOMAINS, formulas, worlds

QUICK = many(150)


def card(formula: str, look: str = "look at each battery B", more: str = "") -> tuple[t.Practice | None, t.Checked, list[Diagnostic]]:
    """A one-card pack round a formula."""
    pack, faults = parse_pack(f'''pack trial edition 1.0 speaks 1 says "t" done
{more}
practice trial-card says "one" {look} require {formula} weight danger because "b" follows "f" remedy "r" done''', "trial.practice")
    assert pack is not None
    checked, more_faults = check_packs([pack])
    return checked.practice("trial-card"), checked, [f for f in (*faults, *more_faults) if f.fatal]


def usable(formula: str) -> tuple[t.Practice, t.Checked] | None:
    """None for a formula that says something that cannot come out both ways."""
    practice, checked, faults = card(formula)
    if faults:
        assert all(f.kind in ("pack-constant", "pack-too-large") for f in faults), (formula, faults)
        return None
    assert practice is not None
    return practice, checked


@QUICK
@given(formulas(), worlds())
def test_a_settled_verdict_is_right_however_the_gaps_are_filled(formula: str, world: FakeWorld) -> None:
    """Met means true, not met means false, in every completion."""
    made = usable(formula)
    if made is None:
        return
    practice, checked = made
    outcome = compile_practice(practice, checked)(world, "B1").outcome  # type: ignore[arg-type]
    if outcome == CANNOT_TELL:
        return
    for number, whole in enumerate(world.completions(DOMAINS)):
        truth = oracle.holds(practice.card.demand, whole, {"B": "B1"})
        assert truth is (outcome == MET), (formula, whole)
        if number > 3000:
            break


@QUICK
@given(formulas(), worlds(), st.randoms(use_true_random=False))
def test_with_everything_known_the_verdict_is_the_plain_one(formula: str, world: FakeWorld, pick: Any) -> None:
    """On a world without gaps the judge and the naive oracle agree, and "cannot tell" means undefined."""
    made = usable(formula)
    if made is None:
        return
    practice, checked = made
    judge = compile_practice(practice, checked)
    wholes = [whole for whole, _ in zip(world.completions(DOMAINS), range(200), strict=False)]
    whole = pick.choice(wholes)
    truth = oracle.holds(practice.card.demand, whole, {"B": "B1"})
    expected = {True: MET, False: NOT_MET, None: CANNOT_TELL}[truth]
    assert judge(whole, "B1").outcome == expected, (formula, whole)


@QUICK
@given(formulas(), worlds())
def test_the_explaining_walk_agrees_with_the_compiled_judge(formula: str, world: FakeWorld) -> None:
    """Two evaluators, one meaning; and whatever cannot be told comes with a question."""
    made = usable(formula)
    if made is None:
        return
    practice, checked = made
    fast = compile_practice(practice, checked)(world, "B1")  # type: ignore[arg-type]
    slow = explain(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert fast.outcome == slow.outcome
    if fast.outcome == NOT_MET:
        assert fast.states == slow.states
    if slow.outcome == CANNOT_TELL:
        assert slow.questions or "nothing to look at" in slow.notes or world_is_whole(world)


def world_is_whole(world: FakeWorld) -> bool:
    """Nothing is left to ask: a "cannot tell" is an empty list then."""
    return not world.open_kinds and all((e, w) in world.facts and len(world.facts[(e, w)]) == 1 for e, k in world.kinds.items() for w, _ in DOMAINS[k])


@QUICK
@given(formulas(), worlds(), st.data())
def test_widening_a_fact_never_reverses_a_verdict(formula: str, world: FakeWorld, data: Any) -> None:
    """Less knowledge may unsettle an answer; it may not reverse one, nor settle an open one."""
    made = usable(formula)
    if made is None or not world.facts:
        return
    practice, checked = made
    judge = compile_practice(practice, checked)
    before = judge(world, "B1").outcome  # type: ignore[arg-type]
    key = data.draw(st.sampled_from(sorted(world.facts)))
    wider = FakeWorld(world.kinds, {k: v for k, v in world.facts.items() if k != key}, world.relations, world.open_kinds, world.states)
    after = judge(wider, "B1").outcome  # type: ignore[arg-type]
    assert after in (before, CANNOT_TELL), (formula, key)


WORLD = FakeWorld({"B1": "battery", "L0": "load"}, {("B1", "lithium"): (True,), ("L0", "current"): (5.0,)}, {}, frozenset(), 1)


@pytest.mark.parametrize(("applies", "demand", "outcome"), [
    ("B is lithium", "number of each load L at most 1", "met"),
    ("B is lithium", "number of each load L above 1", "not met"),
    ("B is lithium", "B has management-system", "cannot tell"),
    ("B is not lithium", "number of each load L above 1", "does not apply"),
    ("B has management-system", "number of each load L at most 1", "met"),
    ("B has management-system", "number of each load L above 1", "cannot tell"),
])
def test_the_table_of_a_practice_on_one_tag(applies: str, demand: str, outcome: str) -> None:
    """Surely, surely not and perhaps, against holds, violated and open."""
    practice, checked, faults = card(demand, f"look at each battery B with ({applies})")
    assert not faults and practice is not None
    assert compile_practice(practice, checked)(WORLD, "B1").outcome == outcome  # type: ignore[arg-type]
    assert explain(practice, checked, WORLD, "B1").outcome == outcome  # type: ignore[arg-type]


def test_an_empty_list_never_passes_by_accident() -> None:
    """The largest of nothing is at most nothing: it cannot be told, and the note says there is nothing to look at."""
    practice, checked, _ = card("largest of (current of L) over each load L with (current of L above 10 A) at most 20 A")
    assert practice is not None
    told = explain(practice, checked, WORLD, "B1")  # type: ignore[arg-type]
    assert told.outcome == CANNOT_TELL
    assert "nothing to look at" in told.notes


def test_the_spoiling_states_are_named() -> None:
    """Not met in one of three states: that one is named."""
    world = FakeWorld({"B1": "battery", "K0": "shore-charger"}, {}, {("charging", "K0", "B1"): (0b010, 0b101)}, frozenset(), 3)
    practice, checked, _ = card("each state S keeps (there is no shore-charger K with (K is charging B in S))")
    assert practice is not None
    assert compile_practice(practice, checked)(world, "B1").states == 0b010  # type: ignore[arg-type]


def test_the_tipping_value_of_a_range_is_told() -> None:
    """A range across its limit asks for the fact and says where it turns."""
    world = FakeWorld({"B1": "battery"}, {("B1", "capacity"): (3600.0 * 80, 3600.0 * 120)}, {}, frozenset(), 1)
    practice, checked, _ = card("capacity of B plus 5 Ah at most 105 Ah")
    assert practice is not None
    told = explain(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert [(str(q.ref), q.tipping) for q in told.questions] == [("capacity of B1", "100 Ah or less is met, more is not")]
    practice, checked, _ = card("not (100 Ah at most capacity of B)")
    assert practice is not None
    told = explain(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert told.questions[0].tipping == "less than 100 Ah is met, 100 Ah or more is not"
