"""Packs that must be refused, and what is said of them. One file each under fixtures/refused/packs; EXPECTED says which line and which words."""

from __future__ import annotations

import re
import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linter.base.diagnostic import Diagnostic, in_order
from linter.base.kinds import PACK
from linter.language.check import check_packs
from linter.language.layout import Untidy, tidy
from linter.language.parse import parse_pack
from linter.language.tables import tables, tokens_of
from tests.language.many import many

FOLDER = Path(__file__).parents[2] / "fixtures" / "refused" / "packs"
CASES = [tuple(part.strip() for part in line.split(" | ", 3)) for line in (FOLDER / "EXPECTED").read_text(encoding="utf-8").splitlines()
         if line and not line.startswith("#")]
INNER = re.compile(r"\b(?:[A-Z]{2,}_?[A-Z]*|__\w+|QTY|GAUGE|ANON)\b")
# Capitals a reader may meet: units, trade words, our own examples.
PLAIN = {"AWG", "SAE", "UTF", "IP", "IPX7", "IPX6", "NAME", "KIND", "TAG", "V", "KHz"}
HEAD = 'pack trial edition 1.0 speaks 1 says "A trial." done\n'


def read(data: bytes) -> list[Diagnostic]:
    """Everything wrong with one file of a pack."""
    pack, found = parse_pack(data, "trial.practice")
    if pack is not None:
        found = [*found, *check_packs([pack], on=date(2026, 11, 25), house={"trial"})[1]]
    return in_order(found)


def plain(diagnostic: Diagnostic) -> bool:
    """No name of our machinery in what a reader sees; the reader's own words, in quotes, are his own."""
    texts = [diagnostic.headline, diagnostic.remedy or "", *(mark.text for mark in diagnostic.because)]
    return all(word in PLAIN or word.startswith("U") for text in texts for word in INNER.findall(re.sub(r'"[^"]*"|U\+[0-9A-F]+', "", text)))


@pytest.mark.parametrize(("name", "kind", "line", "headline"), CASES, ids=[case[0] for case in CASES])
def test_a_bad_pack_is_refused_in_plain_words(name: str, kind: str, line: str, headline: str) -> None:
    """The kind, the line and the words are as written down, and nothing raises."""
    found = read((FOLDER / f"{name}.practice").read_bytes())
    assert (kind, int(line), headline) in [(d.kind, d.at.line, d.headline) for d in found]
    assert all(plain(d) for d in found), [d.headline for d in found if not plain(d)]
    assert [(d.at.line, d.at.column) for d in found[:1]] == sorted((d.at.line, d.at.column) for d in found[:1])


def test_every_bad_pack_is_expected_and_every_kind_has_one() -> None:
    """No fixture without a case, no kind of diagnostic without a fixture."""
    assert {case[0] for case in CASES} == {path.stem for path in FOLDER.glob("*.practice")}
    assert {kind for kind, _ in PACK} == {case[1] for case in CASES}


def test_one_bad_card_never_hides_another() -> None:
    """Three bad cards, three complaints, and the good one between them is read."""
    text = HEAD + "".join(f'''practice card-{i} says "Card {i}." look at each conductor C require {formula} weight notice
because "b" follows "f" remedy "r" done\n''' for i, formula in enumerate(["C is factry", "C is factory", "length of C at most 2,5 m",
                                                                        "length of C at most 5 A"]))
    pack, found = parse_pack(text, "trial.practice")
    assert pack is not None and [p.name for p in pack.practices] == ["card-0", "card-1", "card-3"]
    assert [(d.at.line, d.kind) for d in read(text.encode())] == [(2, "pack-unknown-word"), (6, "pack-number"), (8, "pack-dimension")]
    assert len(found) == 1


def card(formula: str) -> str:
    """A card round a formula."""
    return HEAD + f'practice p1 says "x" look at each battery B require {formula} weight danger because "x" follows "x" remedy "x" done\n'


HOSTILE = {
    "200,000 brackets": card("(" * 200_000 + "B is lithium" + ")" * 200_000),
    "100,000 times not": card("not (" * 100_000 + "B is lithium" + ")" * 100_000),
    "90,000 times plus": card("capacity of B at most " + " plus ".join(["1 Ah"] * 90_000)),
    "40,000 times and": card(" and ".join(["B is lithium"] * 40_000)),
    "60,000 times of": card("capacity of " * 60_000 + "B at most 1 Ah"),
    "60,000 times place-of": card("place-of " * 60_000 + "B is lidded-box"),
    "unclosed sentence of 1 MB": HEAD + 'practice p1 says "' + "x" * 900_000,
    "sentence of 1 MB": HEAD + 'practice p1 says "' + "x" * 900_000 + '"',
    "word of 1 MB": HEAD + "a" * 900_000,
    "hyphened word of 1 MB": HEAD + "a-" * 450_000,
    "1 MB of digits": HEAD + "1" * 900_000,
    "1 MB of blanks in at most": card("capacity of B at" + " " * 900_000 + "most 1 Ah"),
    "1 MB of blanks after a number": card("capacity of B at most 1" + " " * 900_000 + "Ah"),
    "5 MB of blanks": " " * 5_000_000,
    "100,000 limits": HEAD + "".join(f'limit l{i} is 1 A stricter neither way because "x"\n' for i in range(100_000)),
    "15,000 limits": HEAD + "".join(f'limit l{i} is 1 A stricter neither way because "x"\n' for i in range(15_000)),
    "1,900 times one name": HEAD + 'limit l is 1 A stricter neither way because "x"\n' * 1_900,
    "400,000 symbols": HEAD + "<=" * 400_000,
    "900,000 quotes": HEAD + '"' * 900_000,
    "an example of 30,000 things": HEAD + 'example x says "x" tries p1 fitted ' + "battery B1 " * 30_000 + "expect B1 met done",
    "a path as a name": HEAD.replace("trial", "../trial"),
    "an address as a name": HEAD.replace("trial", "http://example.invalid/trial"),
    "a lone surrogate": HEAD + 'limit l is 1 A stricter neither way because "\ud800"',
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_refused_quickly(name: str) -> None:
    """A row of the hostile-input table: a plain diagnostic, in bounded time, never a traceback."""
    began = time.perf_counter()
    pack, found = parse_pack(HOSTILE[name], "trial.practice")
    if pack is not None:
        found = [*found, *check_packs([pack])[1]]
    assert found and all(d.headline and plain(d) for d in found)
    assert time.perf_counter() - began < 5
    assert len(found) < 500


# Every row of the hostile-input table, and the case that stands for it: a name of HOSTILE, a file of fixtures/refused/packs, or a test.
ROWS = {
    "200,000 brackets; 100,000 times not (": ("200,000 brackets", "100,000 times not"),
    "100,000 times plus, and, rating of": ("90,000 times plus", "40,000 times and", "60,000 times of", "60,000 times place-of"),
    "unclosed sentence, 1 MB; 1 MB sentence": ("unclosed sentence of 1 MB", "sentence of 1 MB"),
    "1 MB word, 1 MB hyphen word, 1 MB of digits": ("word of 1 MB", "hyphened word of 1 MB", "1 MB of digits"),
    "5 MB of blanks": ("5 MB of blanks", "test_blanks_alone_are_no_fault"),
    "2 MB of blanks inside at most, or after a number": ("1 MB of blanks in at most", "1 MB of blanks after a number"),
    "100,000 limits (5 MB)": ("100,000 limits", "15,000 limits"),
    "NUL bytes, BOM, direction marks, look-alike letters, no-break space": ("nul-byte", "byte-order-mark", "direction-mark", "look-alike-letter",
                                                                            "no-break-space"),
    "lone surrogate in a sentence": ("a lone surrogate", "not-utf8"),
    "same name 5,000 times": ("1,900 times one name",),
    "ring of readings, of builds-on, of renames; deep builds-on chain": ("ring-of-readings", "builds-on-itself", "rename-in-a-ring", "test_a_ring_is_named",
                                                                         "test_a_deep_chain_is_refused"),
    "pack name such as ../x, absolute, with address": ("a path as a name", "an address as a name"),
    "a stranger's pack that retires, loosens or silences": ("test_loosening_lapses_and_a_stranger_may_not",),
    "a house pack that tightens to the other end": ("test_a_house_pack_tightens_and_loosens_with_its_name_on_it",),
    "says with HTML, terminal escapes, =cmd() for CSV": ("direction-mark", "test_no_strange_name_acts", "test_html_has_no_script_and_fetches_nothing"),
    "sentence that pretends to be a verdict line": ("test_no_strange_name_acts",),
    "example block with a million parts; examples that cost more than the rules": ("an example of 30,000 things",),
    "numbers that make huge fractions": ("1 MB of digits", "too-many-digits"),
    "division by a range round 0; ranges with swapped ends; negative lengths": ("test_a_divisor_round_zero_has_no_ends", "example-range-backwards",
                                                                               "example-below-floor"),
    "fact names a tag that is not there; device joined to itself": ("example-unknown-tag", "test_a_wire_from_a_post_to_itself_is_told"),
    "install with 100,000 parts": ("test_too_much_work_is_said_and_never_a_pass",),
    "dates 9999-12-31, 2026-02-30, a look-alike tag": ("too-far-away", "no-such-day", "look-alike-letter"),
    "two packs, same name, different content": ("test_two_different_packs_of_one_name_are_refused",),
    "that is every load, and none listed": ("test_where_there_is_nothing_to_look_at",),
    "pickled parse cache planted in a shared folder": ("test_no_pickle_is_ever_read",),
}


def test_every_row_of_the_hostile_table_has_its_case() -> None:
    """No row without a case, and no case that is not there."""
    here = Path(__file__).parents[1]
    tests = set(re.findall(r"def (test_\w+)", "".join(path.read_text(encoding="utf-8") for path in sorted(here.rglob("test_*.py")))))
    files = {path.stem for path in FOLDER.glob("*.practice")}
    missing = {row: [case for case in cases if case not in HOSTILE and case not in files and case not in tests] for row, cases in ROWS.items()}
    assert {row: cases for row, cases in missing.items() if cases} == {}


def test_blanks_alone_are_no_fault() -> None:
    """A megabyte of blanks between two cards changes nothing."""
    pack, found = parse_pack(HEAD + " \n" * 400_000 + 'limit l1 is 1 A stricter neither way because "x"', "trial.practice")
    assert pack is not None and not found and len(pack.limits) == 1


@many(150, 2000)
@given(st.one_of(st.binary(max_size=400), st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass")),
                 st.lists(st.sampled_from([*tables().keywords, "B", "B1", "rating", "5 A", "IP67", '"x"', "#", "\n"]), max_size=60).map(
                     lambda words: " ".join(words).encode())))
def test_any_bytes_give_diagnostics(data: bytes) -> None:
    """Whatever the bytes, what comes back is a pack or complaints in plain words."""
    for diagnostic in read(data):
        assert diagnostic.headline and diagnostic.kind and plain(diagnostic), diagnostic


GOOD = (Path(__file__).parent / "good.practice").read_text(encoding="utf-8")


@many(200, 2000)
@given(st.data())
def test_one_word_changed_is_told_in_plain_words(data: st.DataObject) -> None:
    """A word dropped, doubled or exchanged anywhere in a good pack: plain words, and never two hundred of them."""
    tokens, _, _ = tokens_of(GOOD)
    words = [text for _, text, _ in tokens]
    at = data.draw(st.integers(0, len(words) - 1))
    other = data.draw(st.sampled_from(words))
    how = data.draw(st.sampled_from(["drop", "double", "exchange"]))
    changed = [*words[:at], *{"drop": [], "double": [words[at], words[at]], "exchange": [other]}[how], *words[at + 1:]]
    found = read("\n".join(changed).encode())
    assert len(found) < 60
    for diagnostic in found:
        assert diagnostic.headline and plain(diagnostic), diagnostic


@many(100, 2000)
@given(st.data())
def test_tidying_keeps_every_word(data: st.DataObject) -> None:
    """Laid out at random with comments thrown in, a pack tidies to the same words, and tidying again changes nothing."""
    tokens, _, _ = tokens_of(GOOD)
    gaps = data.draw(st.lists(st.sampled_from([" ", " ", "\n", "\n\n\n", "   ", " # a remark\n", "\n# a remark\n"]), min_size=7, max_size=40))
    pieces = [piece for i, (_, text, _) in enumerate(tokens) for piece in (text, gaps[i % len(gaps)])]
    wild = "".join(pieces)
    once = tidy(wild)
    assert [(s, t) for s, t, _ in tokens_of(once)[0]] == [(s, t) for s, t, _ in tokens]
    assert tidy(once) == once


def test_tidying_refuses_what_it_cannot_read() -> None:
    """No half-tidied text."""
    with pytest.raises(Untidy):
        tidy("limit reach is 2,5 m")
