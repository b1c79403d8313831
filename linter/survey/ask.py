"""Which few facts to find out first: the least work that settles the most open findings, the heaviest first."""

from __future__ import annotations

from dataclasses import dataclass

from linter.survey.record import CANNOT_TELL, WEIGHTS, Finding, Question, Survey

# How much one settled finding of each weight is worth. Ten notices never outweigh a warning.
_WORTH = {"danger": 1_000_000, "warning": 10_000, "caution": 100, "notice": 1}
_POOL = 80
LISTED = "listed"
Fact = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing to find out.

    Attributes:
        word: Word of the vocabulary.
        elements: Elements it is asked of; more than one where the same reading off is done on several alike. For "listed", kinds.
        asks, how: For people.
        tips: Values at which verdicts turn, in words.
        weight: Heaviest of what it helps to settle.
        settles: (practice, element) that is settled once this and everything before it is known.
        helps: (practice, element) that asks for it, but needs more besides.
    """

    word: str
    elements: tuple[str, ...]
    asks: str
    how: str
    tips: tuple[str, ...]
    weight: str
    settles: tuple[tuple[str, str], ...]
    helps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Asking:
    """The questions of one survey, in the order to go about them.

    Attributes:
        file, title: Of the description.
        open_findings: How many "cannot tell" there are.
        asked: Questions.
        without: Open findings that no single stated fact would settle (a list not closed, too much work).
    """

    file: str
    title: str
    open_findings: int
    asked: tuple[Asked, ...]
    without: tuple[tuple[str, str, str], ...]


def ask(survey: Survey) -> Asking:
    """Greedy cover: again and again the open finding group that costs fewest new facts per weight settled.

    A finding is settled when every fact it wants is known, or earlier when one of them decides it; we count only the sure case. In each
    round the best finding is the one whose remaining facts, asked together, settle the most worth per fact.
    """
    open_ones = [f for f in survey.findings if f.outcome == CANNOT_TELL]
    wants: dict[int, set[Fact]] = {i: {_fact(q) for q in f.questions} for i, f in enumerate(open_ones)}
    without = tuple((f.practice, f.element, f.remarks[0] if f.remarks else "") for i, f in enumerate(open_ones) if not wants[i])
    return Asking(survey.file, survey.title, len(open_ones), _together(_order(open_ones, wants), open_ones, wants), without)


def _fact(question: Question) -> Fact:
    """What is asked. Whether lists are whole is one question, however many kinds: one line of the description answers it for all."""
    return ("", LISTED) if question.word.startswith("every ") else (question.element, question.word)


def _order(findings: list[Finding], wants: dict[int, set[Fact]]) -> list[Fact]:
    """Facts in the order to find them out."""
    # Findings that want the same facts are one: what they are worth adds up.
    left: dict[frozenset[Fact], int] = {}
    for i, facts in wants.items():
        if facts:
            left[frozenset(facts)] = left.get(frozenset(facts), 0) + _WORTH[findings[i].weight]
    order: list[Fact] = []
    while left:
        # The search is quadratic: past some dozens of different wishes only the weightiest compete in a round.
        pool = left if len(left) <= _POOL else dict(sorted(left.items(), key=lambda item: (-item[1], sorted(item[0])))[:_POOL])
        best = min(pool, key=lambda facts: (-sum(worth for wanted, worth in pool.items() if wanted <= facts) / len(facts), len(facts), sorted(facts)))
        # Inside one group the fact that most other findings also want goes first.
        worth_of = {fact: sum(worth for wanted, worth in left.items() if fact in wanted) for fact in best}
        order += sorted(best, key=lambda fact: (-worth_of[fact], fact))
        fewer: dict[frozenset[Fact], int] = {}
        for wanted, worth in left.items():
            if rest := wanted - best:
                fewer[rest] = fewer.get(rest, 0) + worth
        left = fewer
    return order


def _together(order: list[Fact], findings: list[Finding], wants: dict[int, set[Fact]]) -> tuple[Asked, ...]:
    """Questions with one word and one weight become one item, where the first of them stood: "insulation of W1, W2, W3" is one walk along the van."""
    said: dict[Fact, Question] = {}
    tips: dict[Fact, dict[str, list[str]]] = {}
    kinds: list[str] = []
    for finding in findings:
        for question in finding.questions:
            key = _fact(question)
            if key[1] == LISTED:
                kinds.append(question.word.removeprefix("every ").replace("-", " "))
                question = Question("", LISTED, "Is everything there is described?", "look; then write listed: everything, or what is missing under except")
            said.setdefault(key, question)
            if question.tips:
                tips.setdefault(key, {}).setdefault(question.tips, []).append(finding.practice)
    heaviest = {fact: min(WEIGHTS.index(findings[i].weight) for i, facts in wants.items() if fact in facts) for fact in order}
    by_word: dict[tuple[str, int], list[Fact]] = {}
    for fact in order:
        by_word.setdefault((fact[1], heaviest[fact]), []).append(fact)
    groups = list(by_word.values())
    result: list[Asked] = []
    known: set[Fact] = set()
    settled: set[int] = set()
    for group in groups:
        known |= set(group)
        now = [i for i, facts in wants.items() if facts and i not in settled and facts <= known]
        settled |= set(now)
        helps = [i for i, facts in wants.items() if i not in settled and facts & set(group)]
        weights = [findings[i].weight for i in now] or [findings[i].weight for i in helps] or ["notice"]
        first = said[group[0]]
        elements = tuple(sorted(set(kinds))) if first.word == LISTED else tuple(element for element, _ in group)
        result.append(Asked(first.word, elements, first.asks, first.how,
                            _tips([tips[fact] for fact in group if fact in tips]), min(weights, key=WEIGHTS.index),
                            tuple((findings[i].practice, findings[i].element) for i in now), tuple((findings[i].practice, findings[i].element) for i in helps)))
    return tuple(result)


def _tips(found: list[dict[str, list[str]]]) -> tuple[str, ...]:
    """Values at which verdicts turn, each once; where there are several, with the practice that turns there."""
    by_tip: dict[str, dict[str, None]] = {}
    for one in found:
        for tip, practices in one.items():
            by_tip.setdefault(tip, {}).update(dict.fromkeys(practices))
    if len(by_tip) < 2:
        return tuple(by_tip)
    return tuple(f"{', '.join(practices)}: {tip}" for tip, practices in by_tip.items())
