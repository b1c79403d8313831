"""Random formulas as text, and random worlds they can be held against."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from tests.language.fake_world import AMOUNTS, FakeWorld

CHEMISTRIES = ("gel lead-acid", "lithium")
# Words of each kind with all they may be in a completion.
DOMAINS: dict[str, tuple[tuple[str, tuple[Any, ...]], ...]] = {
    "battery": (("capacity", AMOUNTS[1:4]), ("lithium", (True, False)), ("management-system", (True, False)), ("chemistry", CHEMISTRIES)),
    "load": (("current", AMOUNTS[:3]), ("vital", (True, False))),
    "shore-charger": (),
}


class _Tags:
    """Fresh tags: a card may use each but once."""

    def __init__(self) -> None:
        self.made = 0

    def __call__(self, letter: str) -> str:
        self.made += 1
        return f"{letter}{self.made}"


@st.composite
def formulas(draw: Any) -> str:
    """A formula about battery B, with quantifiers, counts, totals and states in it."""
    tags = _Tags()
    how = st.sampled_from(["at most", "at least", "below", "above"])

    def number(unit: str) -> str:
        return f"{draw(st.sampled_from([5, 10, 15, 20, 25]))} {unit}"

    def about_load(tag: str) -> str:
        return draw(st.sampled_from([f"{tag} is vital", f"{tag} is not vital", f"current of {tag} {draw(how)} {number('A')}"]))

    def amount() -> str:
        tag = tags("L")
        where = draw(st.sampled_from(["", f" with ({about_load(tag)})"]))
        which = draw(st.sampled_from(["largest", "smallest", "total", "number"]))
        if which == "number":
            return f"number of each load {tag}{where} {draw(how)} {draw(st.sampled_from([1, 2]))}"
        return f"{which} of (current of {tag}) over each load {tag}{where} {draw(how)} {number('A')}"

    def atom(state: str) -> str:
        sort = draw(st.integers(0, 8 if state else 7))
        if sort == 8:
            tag = tags("K")
            inner = draw(st.sampled_from(["charging"]))
            return draw(st.sampled_from([f"there is a shore-charger {tag} with ({tag} is {inner} B in {state})",
                                         f"each shore-charger {tag} keeps ({tag} is not {inner} B in {state})",
                                         f"number of each shore-charger {tag} with ({tag} is {inner} B in {state}) {draw(how)} 1"]))
        if sort == 0:
            return draw(st.sampled_from(["B is lithium", "B is not lithium", "B has management-system", "B has no management-system"]))
        if sort == 1:
            return f"chemistry of B is {draw(st.sampled_from(['gel-lead-acid', 'lithium']))}"
        if sort == 2:
            return f"capacity of B times 1 {draw(how)} {number('A')} times 1 h"
        if sort in (3, 4):
            tag = tags("L")
            return f"there is {draw(st.sampled_from(['a', 'no']))} load {tag} with ({about_load(tag)})"
        if sort == 5:
            tag = tags("L")
            condition = draw(st.sampled_from(["", f" with ({about_load(tag)})"]))
            return f"each load {tag}{condition} keeps ({about_load(tag)})"
        return amount()

    def whole(depth: int, state: str) -> str:
        sort = draw(st.integers(0, 5 if depth else 1))
        if sort <= 1:
            return atom(state)
        if sort == 2:
            return f"not ({whole(depth - 1, state)})"
        if sort == 5 and not state:
            tag = tags("S")
            return draw(st.sampled_from([f"each state {tag} keeps ({whole(depth - 1, tag)})", f"there is a state {tag} with ({whole(depth - 1, tag)})"]))
        word = draw(st.sampled_from(["and", "or"]))
        return f"(({whole(depth - 1, state)}) {word} ({whole(depth - 1, state)}))"
    return whole(3, "")


@st.composite
def worlds(draw: Any) -> FakeWorld:
    """One battery, up to two loads and chargers, a few facts known, a few not; small enough to fill in every way."""
    kinds = {"B1": "battery"}
    loads, chargers = draw(st.integers(0, 2)), draw(st.integers(0, 2))
    kinds.update({f"L{i}": "load" for i in range(loads)})
    kinds.update({f"K{i}": "shore-charger" for i in range(chargers)})
    facts: dict[tuple[str, str], tuple[Any, ...]] = {}
    unknown = 0
    for element, kind in kinds.items():
        for word, domain in DOMAINS[kind]:
            if unknown < 3 and draw(st.integers(0, 2)) == 0:
                unknown += 1
                if draw(st.booleans()) and len(domain) > 2:
                    facts[(element, word)] = domain[:2]
            else:
                facts[(element, word)] = (draw(st.sampled_from(domain)),)
    relations: dict[tuple[str, str, str | None], tuple[int, int]] = {}
    doubts = 0
    for i in range(chargers):
        yes = no = 0
        for bit in range(2):
            pick = draw(st.integers(0, 2)) if doubts < 2 else draw(st.integers(0, 1))
            yes, no, doubts = (yes | 1 << bit, no, doubts) if pick == 0 else (yes, no | 1 << bit, doubts) if pick == 1 else (yes, no, doubts + 1)
        relations[("charging", f"K{i}", "B1")] = (yes, no)
    open_kinds = frozenset({"load"}) if draw(st.integers(0, 3)) == 0 else frozenset()
    return FakeWorld(kinds, facts, relations, open_kinds, 2)
