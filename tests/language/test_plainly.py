"""Plain words and filled-in cards, over generated practices: they never fail, and the filled-in card says what the judge says."""

from __future__ import annotations

from hypothesis import given

from linter.language import plainly
from linter.language.filled import NO, OPEN, YES, fill
from linter.language.judge import CANNOT_TELL, MET, NOT_MET, compile_practice
from tests.language.fake_world import FakeWorld
from tests.language.many import many
from tests.language.strategies import formulas, worlds
from tests.language.test_meaning import card, usable

QUICK = many(120)


@QUICK
@given(formulas(), worlds())
def test_the_filled_in_card_agrees_with_the_judge(formula: str, world: FakeWorld) -> None:
    """Its first clause is the demand: yes where it is met, no where it is not; and every clause has words."""
    made = usable(formula)
    if made is None:
        return
    practice, checked = made
    outcome = compile_practice(practice, checked)(world, "B1").outcome  # type: ignore[arg-type]
    told, filled = fill(practice, checked, world, "B1")  # type: ignore[arg-type]
    assert told.outcome == outcome
    assert filled.demand[0].outcome == {MET: YES, NOT_MET: NO, CANNOT_TELL: OPEN}[outcome], formula
    assert all(clause.text and "something not known" not in clause.text for clause in filled.demand), formula


@QUICK
@given(formulas())
def test_every_card_has_plain_words(formula: str) -> None:
    """Whatever may be written."""
    made = usable(formula)
    if made is None:
        return
    said = plainly.card(*made)
    assert said.looks == "each battery"
    assert all(text and "something not known" not in text for _, text in said.demand.lines()), formula


def test_a_name_lasts_as_long_as_what_it_was_given_for() -> None:
    """Two lists of wires one after the other are not "the wire" and "the other wire"; one inside the other is."""
    practice, checked, faults = card("each conductor C with (C is attached-to B) keeps (C is factory) and each conductor D with (D is attached-to B) "
                                     "keeps (D is bar)")
    assert practice is not None and not faults
    lines = [text for _, text in plainly.card(practice, checked).demand.lines()]
    assert lines == ["all of these:", "for each wire that ends on the battery:", "the wire is untouched factory loom",
                     "for each wire that ends on the battery:", "the wire is a bar"]
    practice, checked, faults = card("each battery D with (not (D equal to B)) keeps (chemistry of D equal to chemistry of B)")
    assert practice is not None and not faults
    assert [text for _, text in plainly.card(practice, checked).demand.lines()] == [
        "for each other battery:", "the chemistry of the other battery is the same as the chemistry of the battery"]


def test_units_are_read_as_people_write_them() -> None:
    """Only behind a number, and only whole units."""
    assert plainly.units("at least 35 mm2, at 45 degC, -0.3 %/degC, mm2 alone, 5 degC-rise, 2 mOhm") == \
        "at least 35 mm², at 45 °C, -0.3 %/K, mm2 alone, 5 K, 2 mΩ"
