"""Why a practice came out as it did for one element: the deciding parts only, with what was found, asked, used and is still open.

The same practice that `judge` runs as closures is walked here node by node, keeping everything it meets. A test holds the two together.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from linter.base.gap import FactRef
from linter.base.reading import Reading
from linter.base.span import Span
from linter.base.truth import Truth
from linter.language import saying
from linter.language import typed as t
from linter.language.compiler import Compiler
from linter.language.judge import CANNOT_TELL, DOES_NOT_APPLY, MET, NOT_MET, NOTHING_TO_LOOK_AT, TOO_MUCH_WORK, Judgement
from linter.language.sink import Sink
from linter.language.tally import Env
from linter.language.walk import Walker
from linter.language.world import States, TooMuchWork, World
from linter.units.dimension import Dimension


@dataclass(frozen=True, slots=True)
class UsedFact:
    """A fact a verdict rests on."""

    ref: FactRef
    text: str
    how: str
    at: Span | None


@dataclass(frozen=True, slots=True)
class Question:
    """A fact that would settle it, with where it tips, when that can be worked out: "3.5 m or less is met, more is not"."""

    ref: FactRef
    tipping: str = ""


@dataclass(frozen=True, slots=True)
class UsedLimit:
    """A limit a verdict rests on, with the packs that set it, first to last."""

    name: str
    text: str
    chain: tuple[t.Setting, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number worked out for the mend: "largest fuse", "15 A or less"."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class FoundValue:
    """The numbers of a deciding comparison, for those who check them: SI. `worse` says which way what is found gets worse."""

    value: Any
    dimension: Dimension | None
    against: Any = None
    worse: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """One verdict with its reasons.

    Attributes:
        outcome: met, not met, cannot tell, does not apply, nothing to look at.
        states: For "not met", the states that spoil it; for "cannot tell", those that cannot be told. None: whatever the state.
        found, asked: One line for each deciding part, side by side.
        facts: Used, with how they are known and where they are written.
        questions: What would settle it.
        through: Elements of the way, or that cause the value.
        limits: With value and who set it.
        figures: Numbers for the mend.
        notes: "no way between them", "nothing to look at", "too much work".
        values: What deciding comparisons found, in the order of `found`.
    """

    outcome: str
    states: States = None
    found: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    facts: tuple[UsedFact, ...] = ()
    questions: tuple[Question, ...] = ()
    through: tuple[str, ...] = ()
    limits: tuple[UsedLimit, ...] = ()
    figures: tuple[Figure, ...] = ()
    notes: tuple[str, ...] = ()
    values: tuple[FoundValue, ...] = ()


def explain(practice: t.Practice, checked: t.Checked, world: World, element: str, walker: Walker | None = None, *, brisk: bool = False) -> Explanation:
    """The verdict on one element of the looked-at kind, and why.

    Args:
        practice, checked, world, element: What is judged.
        walker: One of one's own, that listens in.
        brisk: Walk only what decides, and ask the compiled form of the rest; otherwise nothing of the compiled form is believed.
    """
    walker = walker or Walker(world, Compiler(checked), checked)
    walker.brisk = brisk
    env: Env = [None] * practice.slots
    env[0], env[practice.look.slot] = world, element
    try:
        outcome, sink = _walked(practice, walker, env, world)
    except TooMuchWork as much:
        return Explanation(CANNOT_TELL, notes=(TOO_MUCH_WORK, str(much)) if str(much) else (TOO_MUCH_WORK,))
    figures = _figures(practice, walker, env) if outcome in (NOT_MET, CANNOT_TELL) else ()
    return _told(outcome, sink, checked, world, figures)


def _walked(practice: t.Practice, walker: Walker, env: Env, world: World) -> tuple[str, Sink]:
    sink = Sink()
    everything = world.everything
    condition = walker.formula(practice.look.condition, env) if practice.look.condition is not None else None
    passing = walker.formula(practice.passing, env) if practice.passing is not None else None
    within = _truth(condition, everything) if condition is not None else Truth.YES
    over = _truth(passing, everything) if passing is not None else Truth.NO
    if within is Truth.NO or over is Truth.YES:
        if within is Truth.NO:
            assert condition is not None
            condition.decide(everything, "no", sink, True)
        else:
            assert passing is not None
            passing.decide(everything, "yes", sink, True)
        return DOES_NOT_APPLY, sink
    demand = walker.formula(practice.demand, env)
    holds = _truth(demand, everything)
    applies = within is Truth.YES and over is Truth.NO
    if holds is Truth.YES:
        demand.decide(everything, "yes", sink, True)
        return MET, sink
    if holds is Truth.NO and applies:
        demand.decide(everything, "no", sink, True)
        return NOT_MET, sink
    if not applies:
        # Whether it applies at all is open; that question comes first.
        if within is Truth.UNKNOWN and condition is not None:
            condition.decide(everything, "open", sink, True)
        if over is Truth.UNKNOWN and passing is not None:
            passing.decide(everything, "open", sink, False)
        sink.applies_open = True
    if holds is Truth.UNKNOWN:
        demand.decide(everything, "open", sink, True)
    else:
        demand.decide(everything, "no", sink, True)
    return CANNOT_TELL, sink


def _truth(told: Any, everything: States) -> Truth:
    return Truth.YES if told.yes == everything else Truth.NO if told.no == everything else Truth.UNKNOWN


def spoiling(practice: t.Practice, checked: t.Checked, world: World, element: str) -> States:
    """The states that spoil a practice that is not met; None when it is the same in all."""
    try:
        _, sink = _walked(practice, Walker(world, Compiler(checked), checked), _env(practice, world, element), world)
    except TooMuchWork:
        return None
    return sink.spoiled(world)


def _env(practice: t.Practice, world: World, element: str) -> Env:
    env: Env = [None] * practice.slots
    env[0], env[practice.look.slot] = world, element
    return env


def wants_of(condition: t.Formula | None, compiler: Compiler, env: Env) -> frozenset[FactRef]:
    """Facts that would settle a condition with the elements now in the slots."""
    if condition is None:
        return frozenset()
    world = env[0]
    sink = Sink()
    told = Walker(world, compiler, None).formula(condition, list(env))
    if _truth(told, world.everything) is Truth.UNKNOWN:
        told.decide(world.everything, "open", sink, True)
    return frozenset(sink.questions)


def absent(practice: t.Practice, world: World) -> Explanation:
    """The verdict of a practice that found no element of its kind: nothing to look at, or a question whether the list is whole."""
    kind = practice.look.kind
    if world.complete(kind):
        return Explanation(NOTHING_TO_LOOK_AT, notes=(f"no {kind.replace('-', ' ')} is fitted",))
    return Explanation(CANNOT_TELL, questions=(Question(FactRef("", f"every {kind}")),),
                       notes=(f"no {kind.replace('-', ' ')} is described; say whether that is every one",))


def truths(practice: t.Practice, checked: t.Checked, world: World, element: str) -> dict[t.Formula, frozenset[Truth]]:
    """What each formula of the card came out with for one element; for coverage."""
    walker = Walker(world, Compiler(checked), checked)
    walker.thorough = True
    with suppress(TooMuchWork):
        _walked(practice, walker, _env(practice, world, element), world)
    return {node: frozenset(seen) for node, seen in walker.seen.items()}


def judged(practice: t.Practice, checked: t.Checked, world: World, element: str) -> Judgement:
    """The walk's own verdict, for the test that holds it against the compiled one."""
    told = explain(practice, checked, world, element)
    return Judgement(told.outcome, TOO_MUCH_WORK if TOO_MUCH_WORK in told.notes else "", lambda: told.states)


# ---- putting it together ---------------------------------------------------------------------------------------------------------------------


def _figures(practice: t.Practice, walker: Walker, env: Env) -> tuple[Figure, ...]:
    out = []
    for figure in practice.figures:
        try:
            pieces = walker.term(figure.term, env)
        except TooMuchWork:
            continue
        found = pieces[0][1].value
        dimension = walker.dimension(figure.term)
        text = saying.value(found, dimension, saying.percent(figure.term))
        if text not in ("not known", "no upper end", "no lower end"):
            out.append(Figure(figure.label, text))
    return tuple(out)


def _told(outcome: str, sink: Sink, checked: t.Checked, world: World, figures: tuple[Figure, ...]) -> Explanation:
    limits = tuple(UsedLimit(name, checked.limits[name].text, checked.limits[name].chain) for name in dict.fromkeys(sink.limits))
    questions = tuple(Question(ref, sink.questions[ref]) for ref in sorted(sink.questions)) if outcome == CANNOT_TELL else ()
    states = sink.spoiled(world) if outcome in (NOT_MET, CANNOT_TELL) else None
    lines = list(dict.fromkeys((line.found, line.asked) for line in sink.lines))[:6]
    values = tuple(FoundValue(line.value, line.dimension, line.against, line.worse) for line in sink.lines if line.value is not None)
    return Explanation(outcome, states, tuple(found for found, _ in lines), tuple(asked for _, asked in lines), _facts(sink, checked, world), questions,
                       tuple(dict.fromkeys(sink.through)), limits, figures, tuple(dict.fromkeys(sink.notes)), values)


def _facts(sink: Sink, checked: t.Checked, world: World) -> tuple[UsedFact, ...]:
    """Facts used, each once: those read directly, then what those were worked out from."""
    out: dict[FactRef, UsedFact] = {}
    for ref, (reading, text) in sink.used.items():
        out.setdefault(ref, UsedFact(ref, text, reading.how, reading.at))
    for ref in sink.rests_on:
        if ref in out or ref.word.startswith("every "):
            continue
        read = _read(world, ref)
        if read is not None:
            row = checked.vocabulary.said_of(ref.word, world.kind_of(ref.element))
            out[ref] = UsedFact(ref, saying.value(read.value, row.dimension if row else None, row is not None and row.gives == "share"), read.how, read.at)
    return tuple(out.values())


def _read(world: World, ref: FactRef) -> Reading | None:
    try:
        return world.reading(ref.word, ref.element)
    except (KeyError, ValueError, TooMuchWork):
        return None

