"""Practices compiled to closures and held against a World: outcomes only, as fast as Python goes. `explain` says why, slowly.

Outside any state quantifier a formula is one Truth. Inside one it is a pair of state sets, (surely yes, surely no), so that all operating
states are judged at once and none is walked; a piece that does not speak of the state is judged once and lifted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from linter.language import typed as t
from linter.language.compiler import Compiler
from linter.language.tally import NO, UNKNOWN, YES, Env
from linter.language.world import States, TooMuchWork, World

MET, NOT_MET, CANNOT_TELL, DOES_NOT_APPLY = "met", "not met", "cannot tell", "does not apply"
NOTHING_TO_LOOK_AT, TOO_MUCH_WORK = "nothing to look at", "too much work"


@dataclass(frozen=True, slots=True)
class Judgement:
    """What came out for one element.

    Attributes:
        outcome: met, not met, cannot tell, does not apply.
        note: "too much work", "" otherwise.
        spoil: Works out the states that spoil it, when somebody asks: that is a second, slower walk.
    """

    outcome: str
    note: str = ""
    spoil: Callable[[], States] | None = field(default=None, compare=False, repr=False)

    @property
    def states(self) -> States:
        """For "not met" the states that spoil it; None if it is the same in all."""
        return self.spoil() if self.spoil is not None else None


def compile_practice(practice: t.Practice, checked: t.Checked) -> Callable[[World, str], Judgement]:
    """A function from a World and an element of the looked-at kind to a Judgement."""
    compiler = Compiler(checked)
    look = practice.look
    condition = compiler.lump(look.condition) if look.condition is not None else None
    passing = compiler.lump(practice.passing) if practice.passing is not None else None
    demand = compiler.lump(practice.demand)
    slots = practice.slots
    met, passed_over, cannot = Judgement(MET), Judgement(DOES_NOT_APPLY), Judgement(CANNOT_TELL)

    def judge(world: World, element: str) -> Judgement:
        env: Env = [None] * slots
        env[0], env[look.slot] = world, element
        try:
            applies = condition(env) if condition is not None else YES
            if applies is not NO and passing is not None:
                over = passing(env)
                if over is YES:
                    applies = NO
                elif over is UNKNOWN:
                    applies = UNKNOWN
            if applies is NO:
                return passed_over
            holds = demand(env)
            if holds is YES:
                return met
            if holds is NO and applies is YES:
                def spoil() -> States:
                    from linter.language.explain import spoiling
                    return spoiling(practice, checked, world, element)
                return Judgement(NOT_MET, spoil=spoil)
            return cannot
        except TooMuchWork:
            return Judgement(CANNOT_TELL, note=TOO_MUCH_WORK)

    return judge
