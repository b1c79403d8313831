"""The evaluation budget: going over it is "cannot tell: too much work", never a pass, and it ends."""

from __future__ import annotations

import datetime
import time
from pathlib import Path

import pytest

from linter import api
from linter.base import bounds
from linter.base.bounds import Bound
from linter.circuit.states import TooManyStates
from linter.language.check import check_packs
from linter.language.explain import explain
from linter.language.judge import CANNOT_TELL, TOO_MUCH_WORK, compile_practice
from linter.language.parse import parse_pack
from tests.language.fake_world import FakeWorld

HOLES = 150
GREEDY = '''pack greedy edition 1 speaks 1 says "Asks too much." done
practice every-hole-with-every-hole says "Each hole is few, as are all others."
  look at each hole H
  require each hole A keeps (each hole B keeps (each hole C keeps (count of A at most 99 and count of B at most 99 and count of C at most 99)))
  weight danger because "A reason." follows "A habit." remedy "A mend."
done
practice few-holes says "Each hole is few."
  look at each hole H require count of H at most 99 weight danger because "A reason." follows "A habit." remedy "A mend."
done
'''


def installation() -> bytes:
    """Many holes, no wires."""
    return ("tugtest: 1\ntitle: Sieve\nsystem: 12 V\nlisted: everything\npacks: [greedy]\nvehicles: {van: {kind: van, chassis metal: steel}}\nholes:\n"
            + "".join(f"  h{i}: {{vehicle: van, count: 2, through: steel, edge protection: grommet}}\n" for i in range(HOLES))).encode()


def test_too_much_work_is_said_and_never_a_pass(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every hole is within bounds; nobody can afford to find out. The plain practice beside it is judged all the same."""
    home = tmp_path / "greedy"
    home.mkdir()
    (home / "pack.yaml").write_text("title: Greedy\nedition: 1\nspeaks: 1\n", encoding="utf-8")
    (home / "cards.practice").write_text(GREEDY, encoding="utf-8")
    monkeypatch.setattr(bounds, "PRACTICE_STEPS", Bound("work for one practice", 60_000, "steps"))
    monkeypatch.setattr(bounds, "RUN_STEPS", Bound("work for one run", 600_000, "steps"))
    found, told = api.read(installation(), "sieve.yaml")
    assert found is not None, [one.headline for one in told]
    packs, told = api.packs_for((), given=(str(home),))
    assert packs is not None, [one.headline for one in told]
    began = time.perf_counter()
    survey = api.survey(found, packs, on=datetime.date(2026, 11, 25))
    assert time.perf_counter() - began < 20
    judged = {one.practice: one for one in survey.judged}
    assert len(judged["every-hole-with-every-hole"].of("cannot tell")) == HOLES
    assert not judged["every-hole-with-every-hole"].of("met")
    open_ones = [one for one in survey.findings if one.practice == "every-hole-with-every-hole"]
    assert open_ones and all(TOO_MUCH_WORK in one.remarks for one in open_ones)
    # The run's own budget is spent by then or is not: met or too much work, and nothing between.
    plain = judged["few-holes"]
    assert len(plain.of("met")) + len(plain.of("cannot tell")) == HOLES and not plain.of("not met")


def test_sets_of_states_that_grow_too_large_are_too_much_work() -> None:
    """Whatever step of a verdict meets them: the compiled judge and the explaining walk both give up in words."""
    class Bursting(FakeWorld):
        def without(self, states: int, less: int) -> int:
            raise TooManyStates(("K1",))

        def relation(self, word: str, element: str, other: str | None) -> object:  # type: ignore[override]
            raise TooManyStates(("K1",))

    pack, _ = parse_pack('''pack trial edition 1 speaks 1 says "t" done
practice trial-card says "one" look at each battery B require each state S keeps (there is no shore-charger K with (K is charging B in S))
weight danger because "b" follows "f" remedy "r" done''', "trial.practice")
    assert pack is not None
    checked, _ = check_packs([pack])
    world = Bursting({"B1": "battery", "D1": "shore-charger"}, {})
    judgement = compile_practice(checked.practices[0], checked)(world, "B1")  # type: ignore[arg-type]
    assert (judgement.outcome, judgement.note) == (CANNOT_TELL, TOO_MUCH_WORK)
    told = explain(checked.practices[0], checked, world, "B1")  # type: ignore[arg-type]
    assert told.outcome == CANNOT_TELL and told.notes[0] == TOO_MUCH_WORK


def test_no_pickle_is_ever_read() -> None:
    """A planted cache could run code; we have none to plant."""
    source = Path(__file__).parents[2] / "linter"
    assert [path.name for path in source.rglob("*.py")
            if any(word in path.read_text(encoding="utf-8") for word in ("import pickle", "import marshal", "import shelve"))] == []


def test_a_wire_from_a_post_to_itself_is_told() -> None:
    """It joins nothing, and nobody meant it."""
    loop = (b"tugtest: 1\ntitle: T\nsystem: 12 V\nlisted: everything\nvehicles: {van: {kind: van, chassis metal: steel}}\n"
            b"parts: {B1: {kind: battery, chemistry: AGM lead-acid, capacity: 100 Ah}}\n"
            b"runs:\n  loop: ['B1 positive, W1 1 m, B1 positive']\nwires: {W1: {size: 10 mm2}}\n")
    found, told = api.read(loop, "loop.yaml")
    assert found is None and any("ends where it begins" in one.headline for one in told)
