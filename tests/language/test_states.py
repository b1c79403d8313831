"""All operating states at once: quantities that differ from state to state, held against walking the states one by one."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from linter import shelf
from linter.language import typed as t
from linter.language.check import check_packs
from linter.language.explain import explain
from linter.language.judge import CANNOT_TELL, MET, NOT_MET, compile_practice
from linter.language.parse import parse_pack
from linter.language.world import TooMuchWork
from linter.vocabulary.table import read_table
from tests.language import oracle
from tests.language.fake_world import FakeWorld
from tests.language.many import many

# The vocabulary with one more word, said under a state.
WORDS = read_table(shelf.text("vocabulary.table") + "flow|fact|load|current|state||0|current in one state, a word for tests|||\n")
FLOWS = (5.0, 10.0, 20.0)
DOMAINS: dict[str, tuple[tuple[str, tuple[Any, ...]], ...]] = {
    "battery": (), "load": (("vital", (True, False)), ("flow 0", FLOWS), ("flow 1", FLOWS)), "shore-charger": ()}
TEMPLATES = (
    "each load L keeps (largest of (flow of L under S) over each state S {how} {n} A)",
    "each load L keeps (smallest of (flow of L under S) over each state S with (there is a shore-charger K with (K is charging B in S)) {how} {n} A)",
    "each state S keeps (total of (flow of L under S) over each load L with (L is vital) {how} {n} A)",
    "each state S keeps (there is a load L with (flow of L under S {how} {n} A))",
    "there is a state S with (number of each load L with (flow of L under S {how} {n} A) at least 2)",
    "largest of (total of (flow of L under S) over each load L with (L is vital and flow of L under S {how} 7 A)) over each state S at most {n} A",
    "each load L keeps (worst-flow of L {how} {n} A)",
    "each state S with (there is a shore-charger K with (K is charging B in S)) keeps (each load L keeps (flow of L under S times 2 {how} {n} A))",
)
READINGS = '''reading worst-flow of load L giving A is largest of (flow of L under S) over each state S done
'''


def made(formula: str) -> tuple[t.Practice, t.Checked, Any]:
    """One card over the longer vocabulary."""
    pack, faults = parse_pack(f'''pack trial edition 1.0 speaks 1 says "t" done
{READINGS if "worst-flow" in formula else ""}
practice trial-card says "one" look at each battery B require {formula} weight danger because "b" follows "f" remedy "r" done''', "trial.practice")
    assert pack is not None and not faults, faults
    checked, more = check_packs([pack], words=WORDS)
    assert not [d for d in more if d.fatal], (formula, more)
    practice = checked.practice("trial-card")
    assert practice is not None
    return practice, checked, practice.card.demand


@st.composite
def cases(draw: Any) -> tuple[str, FakeWorld]:
    """A formula, and a world with two states, up to two loads and some of their currents unknown."""
    template = draw(st.sampled_from(TEMPLATES))
    formula = template.format(how=draw(st.sampled_from(["at most", "at least", "above", "below"])), n=draw(st.sampled_from([8, 15, 20, 25, 40])))
    kinds = {"B1": "battery", "K0": "shore-charger", **{f"L{i}": "load" for i in range(draw(st.integers(0, 2)))}}
    facts: dict[tuple[str, str], tuple[Any, ...]] = {}
    unknown = 0
    for element, kind in kinds.items():
        for word, domain in DOMAINS[kind]:
            if unknown < 3 and draw(st.integers(0, 2)) == 0:
                unknown += 1
                if draw(st.booleans()):
                    facts[(element, word)] = domain[:2]
            else:
                facts[(element, word)] = (draw(st.sampled_from(domain)),)
    yes = draw(st.integers(0, 3))
    no = draw(st.integers(0, 3)) & ~yes
    open_kinds = frozenset({"load"}) if draw(st.integers(0, 4)) == 0 else frozenset()
    return formula, FakeWorld(kinds, facts, {("charging", "K0", "B1"): (yes, no)}, open_kinds, 2)


@many(300)
@given(cases())
def test_states_at_once_agree_with_states_one_by_one(case: tuple[str, FakeWorld]) -> None:
    """Sound on every completion, exact where everything is known, and the walk agrees."""
    formula, world = case
    practice, checked, demand = made(formula)
    judge = compile_practice(practice, checked)
    told = judge(world, "B1")  # type: ignore[arg-type]
    slow = explain(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert (told.outcome, told.states if told.outcome == NOT_MET else None) == (slow.outcome, slow.states if told.outcome == NOT_MET else None)
    for number, whole in enumerate(world.completions(DOMAINS)):
        truth = oracle.holds(demand, whole, {"B": "B1"})
        assert judge(whole, "B1").outcome == {True: MET, False: NOT_MET, None: CANNOT_TELL}[truth], (formula, whole)  # type: ignore[arg-type]
        if told.outcome != CANNOT_TELL:
            assert truth is (told.outcome == MET), (formula, world, whole)
        if number > 60:
            break


def test_the_worst_state_is_blamed() -> None:
    """A limit passed in one state names that state, through a pack reading too."""
    world = FakeWorld({"B1": "battery", "L0": "load"}, {("L0", "flow 0"): (5.0,), ("L0", "flow 1"): (30.0,)}, {}, frozenset(), 2)
    for formula in ("each load L keeps (worst-flow of L at most 20 A)", "each state S keeps (each load L keeps (flow of L under S at most 20 A))"):
        practice, checked, _ = made(formula)
        assert compile_practice(practice, checked)(world, "B1").states == 0b10, formula  # type: ignore[arg-type]
        assert "30 A" in explain(practice, checked, world, "B1").found[0]  # type: ignore[arg-type]


class Tired(FakeWorld):
    """A World whose patience is spent at once."""

    def spend(self, steps: int) -> None:
        raise TooMuchWork("work for one practice")


def test_over_budget_is_cannot_tell_and_never_a_skip() -> None:
    """The reason is named."""
    practice, checked, _ = made("each load L keeps (worst-flow of L at most 20 A)")
    world = Tired({"B1": "battery", "L0": "load"}, {})
    told = compile_practice(practice, checked)(world, "B1")  # type: ignore[arg-type]
    assert (told.outcome, told.note) == (CANNOT_TELL, "too much work")
    assert "too much work" in explain(practice, checked, world, "B1").notes  # type: ignore[arg-type]


def test_a_way_asks_only_for_what_would_qualify_its_device() -> None:
    """The facts of a doubtful device are asked for; ends that may not be all keep a yes from being believed."""
    practice, checked, _ = made("every way from each source G to positive of B meets a fuse F with (rating of F at most 20 A)")
    world = FakeWorld({"B1": "battery", "F1": "fuse"}, {("F1", "rating"): (10.0, 30.0)})
    told = explain(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert told.outcome == CANNOT_TELL and [(str(q.ref)) for q in told.questions] == ["rating of F1"]
    sure = FakeWorld({"B1": "battery", "F1": "fuse"}, {("F1", "rating"): (10.0,)})
    assert explain(practice, checked, sure, "B1").outcome == MET  # type: ignore[arg-type]
    open_sources = FakeWorld(sure.kinds, sure.facts, open_kinds=frozenset({"source"}))
    told = explain(practice, checked, open_sources, "B1")  # type: ignore[arg-type]
    assert told.outcome == CANNOT_TELL and [str(q.ref) for q in told.questions] == ["every source"]
    assert compile_practice(practice, checked)(open_sources, "B1").outcome == CANNOT_TELL  # type: ignore[arg-type]
