"""Practice × element → outcome, and words only for what is not plainly met."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace

from linter.base.span import Span
from linter.base.text import clean, listed
from linter.circuit.model import Circuit, Element
from linter.description.described import Described
from linter.facts.book import Book
from linter.language.explain import Explanation, absent, explain
from linter.language.judge import Judgement, compile_practice
from linter.language.typed import Checked, Practice, Setting
from linter.language.world import TooMuchWork
from linter.packs.effect import Packs, moved
from linter.survey.departures import depart
from linter.survey.record import (
    CANNOT_TELL,
    NOT_MET,
    NOTHING,
    OUTCOMES,
    WEIGHTS,
    Fact,
    Finding,
    Judged,
    PackUsed,
    Question,
    Remark,
    Summary,
    Survey,
    Taken,
    When,
    fingerprint,
    in_order,
)

_EXPLAINED = (NOT_MET, CANNOT_TELL)


def survey(described: Described, circuit: Circuit, book: Book, packs: Packs, *, on: datetime.date, supposed: tuple[str, ...] = ()) -> Survey:
    """Holds one installation against packs.

    Args:
        described, circuit, book: The installation.
        packs: In effect.
        on: Date of the run.
    """
    checked = packs.checked
    runs = {stop.element: route.run for route in described.routes for stop in route.stops if stop.sort == "conductor"}
    findings: list[Finding] = []
    judged: list[Judged] = []
    pending: list[tuple[Practice, str, Judgement]] = []
    for practice in checked.practices:
        outcomes = _one(practice, checked, book, pending)
        judged.append(Judged(practice.name, practice.pack, practice.weight, practice.card.says, tuple((o, tuple(e)) for o, e in outcomes.items())))
    # Words only when all verdicts stand: what they cost must not turn a later verdict into "too much work".
    for practice, name, judgement in pending:
        findings.append(_finding(practice, book, circuit, runs, name, _told(practice, checked, book, name, judgement)))
    names = {practice.name: practice.name for practice in checked.practices} | dict(checked.renamed)
    findings, remarks = depart(findings, described.departures, on, names, frozenset(circuit.elements))
    now = {(finding.practice, finding.element): finding.outcome for finding in findings}
    judged = [_departed(one, now) for one in judged]
    order = {name: number for number, name in enumerate(circuit.elements)}
    return Survey(described.file, described.title, on, in_order(findings, order), tuple(judged),
                  _summary(described, circuit, book, packs, judged, remarks, supposed))


def _one(practice: Practice, checked: Checked, book: Book, pending: list[tuple[Practice, str, Judgement]]) -> dict[str, list[str]]:
    """Judges every element one practice looks at; notes what wants words. Outcome to elements, in file order."""
    elements = book.members(practice.look.kind)
    if not elements:
        nothing = Judgement(absent(practice, book).outcome)
        pending.append((practice, "", nothing))
        return {nothing.outcome: [""]}
    outcomes: dict[str, list[str]] = {}
    judge = compile_practice(practice, checked)
    for name in elements:
        # A budget of its own for each practice and element, so that the order of practices decides nothing.
        book.begin()
        judgement = judge(book, name)
        if judgement.outcome in _EXPLAINED:
            pending.append((practice, name, judgement))
        outcomes.setdefault(judgement.outcome, []).append(name)
    return outcomes


def _told(practice: Practice, checked: Checked, book: Book, name: str, judgement: Judgement) -> Explanation:
    """A verdict explained. One that was too much work to reach is not worked at again."""
    if judgement.note:
        return Explanation(judgement.outcome, notes=(judgement.note,))
    book.begin()
    if not name and practice.look.kind != "installation":
        return absent(practice, book)
    told = explain(practice, checked, book, name, brisk=True)
    # Only when the words cost more than the verdict: the verdict stands, told with what could be said.
    return told if told.outcome == judgement.outcome else replace(told, outcome=judgement.outcome)


def _finding(practice: Practice, book: Book, circuit: Circuit, runs: Mapping[str, str], name: str, told: Explanation) -> Finding:
    """A verdict in words."""
    element = circuit.elements.get(name)
    kind = element.kind if element is not None else "installation"
    title = _title(element, runs)
    subject = f"{name}, {title}" if title and title != name else name or "the installation"
    return Finding(
        practice.name, practice.pack, practice.weight, told.outcome, name, kind, title, _place(element),
        element.at if element is not None else _top(circuit), _headline(subject, practice, told), tuple(zip(told.found, told.asked, strict=True)),
        practice.card.because, practice.card.remedy, practice.card.follows,
        tuple(f"{figure.label[:1].upper()}{figure.label[1:]}: {figure.text}" for figure in told.figures),
        _when(book, told), _facts(told), _questions(book, told), told.through, told.notes, None, fingerprint(practice.name, name), values=told.values)


def _headline(subject: str, practice: Practice, told: Explanation) -> str:
    if told.outcome == NOTHING:
        return f"{practice.card.says.rstrip('.')}: nothing to look at"
    if told.outcome == CANNOT_TELL:
        return f"{subject}: cannot tell whether this is kept: {practice.card.says}"
    found = "; ".join(dict.fromkeys(line for line in told.found if line))
    return f"{subject}: {found}" if found else f"{subject}: this is not kept: {practice.card.says}"


def _title(element: Element | None, runs: Mapping[str, str]) -> str:
    """What a person knows it by: its title, or for a wire its size and the run it belongs to."""
    if element is None or element.title or element.kind != "conductor":
        return element.title if element is not None else ""
    return ", ".join(part for part in (_words(element, "size"), runs.get(element.name, "")) if part)


def _place(element: Element | None) -> str:
    """Where it sits, or for a wire what it passes."""
    return "" if element is None else _words(element, "passes" if element.kind == "conductor" else "place-of")


def _words(element: Element, word: str) -> str:
    reading = element.properties.get(word)
    return ", ".join(sorted(reading.value)) if reading is not None and isinstance(reading.value, frozenset) else ""


def _top(circuit: Circuit) -> Span:
    """The top of the file an installation is described in."""
    first = next(iter(circuit.elements.values()), None)
    return Span(first.at.file if first is not None else "?")


def _when(book: Book, told: Explanation) -> When:
    if told.states is None or told.states == book.everything:
        return When()
    try:
        return When(book.describe_states(told.states), book.count(told.states), book.count(book.everything))
    except TooMuchWork:
        return When("in some states, too many to tell apart")


def _facts(told: Explanation) -> tuple[Fact, ...]:
    """What was worked out first, then what was stated, each by name: the sets they come from have no order of their own."""
    facts = sorted((Fact(Question(used.ref.element, used.ref.word, "", "").name, used.text, used.how, used.at) for used in told.facts),
                   key=lambda fact: (fact.how != "worked out", fact.name))
    facts += [Fact(f"limit {limit.name}", limit.text, ", ".join(_set_by(step) for step in limit.chain) if len(limit.chain) > 1
                   else limit.chain[0].pack if limit.chain else "") for limit in told.limits]
    return tuple(facts)


def _set_by(step: Setting) -> str:
    return f"adopted {step.text} by {step.pack}" if step.verb == "adopt" else f"{step.pack} {step.text}"


def _questions(book: Book, told: Explanation) -> tuple[Question, ...]:
    found = []
    for question in told.questions:
        element, word = question.ref.element, question.ref.word
        if word.startswith("every "):
            kind = word.removeprefix("every ").replace("-", " ")
            found.append(Question(element, word, f"Is every {kind} described?", "look; then say so under listed", question.tipping))
            continue
        row = book.row(word, element)
        asks = row.question if row is not None and row.question else f"It could not be worked out: {row.meaning if row is not None else word}."
        found.append(Question(element, word, asks, row.how if row is not None else "", question.tipping))
    return tuple(found)


def _departed(judged: Judged, findings: dict[tuple[str, str], str]) -> Judged:
    """Outcomes of one practice, with departures taken into account."""
    outcomes: dict[str, list[str]] = {}
    for outcome, elements in judged.outcomes:
        for element in elements:
            outcomes.setdefault(findings.get((judged.practice, element), outcome), []).append(element)
    return replace(judged, outcomes=tuple((outcome, tuple(elements)) for outcome, elements in outcomes.items()))


# ---- the numbers -----------------------------------------------------------------------------------------------------------------------

_MOVED = {"adopt": "adopted", "retire": "retired", "lower": "lowered", "loosen": "loosened", "raise": "raised", "tighten": "tightened"}
_NO_PARTS = ("conductor", "hole", "place", "vehicle", "coupling-half")


def _summary(described: Described, circuit: Circuit, book: Book, packs: Packs, judged: list[Judged], remarks: list[Remark],
             supposed: tuple[str, ...]) -> Summary:
    counts = {(outcome, weight): 0 for outcome in OUTCOMES for weight in WEIGHTS}
    for one in judged:
        for outcome, elements in one.outcomes:
            counts[outcome, one.weight] += len(elements)
    parts = sum(element.kind not in _NO_PARTS for element in circuit.elements.values())
    return Summary(
        counts=tuple((outcome, weight, n) for (outcome, weight), n in counts.items() if n),
        packs=tuple(PackUsed(one.name, one.manifest.title, one.manifest.edition, one.folder.content, one.house) for one in packs.loaded),
        taken_as=_taken(book), assumed=book.assume, listed=_listed(described), parts=parts, wires=len(book.members("conductor")),
        runs=len({route.run for route in described.routes}), states=book.count(book.everything),
        house=tuple(Remark(_MOVED.get(one.sort, one.sort), one.text) for one in moved(packs.checked)), departures=tuple(remarks),
        supposed=tuple(Remark("supposed", f"Supposed for this run, and not described: {clean(one, 120)}.") for one in supposed))


def _taken(book: Book) -> tuple[Taken, ...]:
    """Assumptions used, those of one word and one value together."""
    found: dict[tuple[str, str], list[str]] = {}
    for element, word, text in book.taken_as():
        found.setdefault((word, text), []).append(element)
    return tuple(Taken(tuple(elements), word, text) for (word, text), elements in found.items())


def _listed(described: Described) -> str:
    """"everything", "so far", or either with its exceptions."""
    general = described.listed.get("element", False)
    others = [f"every {kind.replace('-', ' ')}" if whole else kind.replace("-", " ") for kind, whole in described.listed.items()
              if kind != "element" and whole != general]
    if general:
        return f"everything except {listed(others)}" if others else "everything"
    return f"so far; {listed(others)}" if others else "so far"
