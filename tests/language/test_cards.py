"""Reading, printing, checking and moving good packs."""

from __future__ import annotations

import time
from dataclasses import fields, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from linter import shelf
from linter.base.truth import Truth
from linter.language import syntax as s
from linter.language.build_tables import build, digest, written
from linter.language.check import check_packs
from linter.language.compare import covers
from linter.language.coverage import coverage
from linter.language.explain import explain
from linter.language.judge import compile_practice
from linter.language.layout import card, limit, reading, tidy
from linter.language.mutate import mutants
from linter.language.parse import joined, parse_pack
from linter.language.prescan import without_examples
from linter.language.stage import Stage
from linter.language.tables import tables
from linter.language.wording import number_of
from linter.units.table import UNITS
from linter.vocabulary import vocabulary
from tests.language.fake_world import FakeWorld

GOOD = (Path(__file__).parent / "good.practice").read_text(encoding="utf-8")
HOUSE = '''pack our-yard edition 2.1 speaks 1
  says "How our yard does it."
  builds on trial-basics edition 1.0
done
'''


def checked(*texts: str, on: date | None = date(2026, 11, 25), house: tuple[str, ...] = ("our-yard",)) -> Any:
    """Packs checked together: what is in effect and the fatal complaints."""
    packs, faults = [], []
    for text in texts:
        pack, found = parse_pack(text, "trial.practice")
        assert pack is not None
        packs.append(pack)
        faults += found
    effect, found = check_packs(packs, on=on, house=house)
    return effect, [d for d in (*faults, *found) if d.fatal]


def bare(node: Any) -> Any:
    """A tree without its places."""
    if isinstance(node, tuple):
        return tuple(bare(part) for part in node)
    if is_dataclass(node) and not isinstance(node, s.Source):
        return (type(node).__name__, *(bare(getattr(node, f.name)) for f in fields(node) if f.name not in ("at", "source") and not f.name.endswith("_at")
                                       and not (isinstance(node, s.OneOf) and f.name == "words")))
    return None if isinstance(node, s.Source) else node


def test_a_good_pack_passes_without_a_word() -> None:
    """Nothing to complain of, and everything is there."""
    effect, faults = checked(GOOD)
    assert not faults
    assert [p.name for p in effect.practices] == ["fuse-near-the-post", "chargers-within-the-battery", "plugs-sealed", "unlike-kept-apart"]
    assert effect.practice("post-fused") is effect.practices[0]
    assert len(effect.examples) == 10


def test_a_card_printed_and_read_again_is_the_same_card() -> None:
    """Printing loses nothing but the author's line breaks."""
    pack, _ = parse_pack(GOOD, "trial.practice")
    assert pack is not None
    again, faults = parse_pack("\n".join([*map(limit, pack.limits), *map(reading, pack.readings), *map(card, pack.practices)]), "again.practice")
    assert again is not None and not faults
    for before, after in zip((*pack.limits, *pack.readings, *pack.practices), (*again.limits, *again.readings, *again.practices), strict=True):
        assert bare(before) == bare(after)


def test_a_tidy_pack_stays_as_it_is() -> None:
    """The pack above is laid out as the tool would."""
    assert tidy(GOOD) == GOOD


def test_leaving_examples_out_keeps_every_place() -> None:
    """A check of an installation reads no example, and points to the same lines."""
    pack, _ = parse_pack(GOOD, "trial.practice")
    short, faults = parse_pack(GOOD, "trial.practice", examples=False)
    assert pack is not None and short is not None and not faults and not short.examples
    assert [p.source.span(p.at) for p in pack.practices] == [p.source.span(p.at) for p in short.practices]
    tricky = 'limit l1 is 1 A stricter neither way because "no example done" # example\nexample x says "done" tries p fitted battery B expect B met done'
    assert without_examples(tricky).rstrip() == tricky[:tricky.index("\nexample")]


def test_reading_is_fast() -> None:
    """200 practices and 400 examples are read and checked well under a second."""
    pack, _ = parse_pack(GOOD, "trial.practice")
    assert pack is not None
    many = GOOD.split("example short-lead")[0].split("practice fuse-near-the-post")[0]
    cards = "".join(card(p).replace(p.name, f"{p.name}-{i}").replace(p.says, f"{p.says[:60]} {i}") for i in range(50) for p in pack.practices)
    cards = cards.replace("  formerly fuse-at-the-post, post-fused\n", "")
    examples = "".join(f'example e{i} says "x" tries fuse-near-the-post-{i % 50} fitted battery B1 has capacity 100 Ah\nfuse F1 has rating 100 A\n'
                       "conductor W1 has length 1 m, runs from positive of B1 to line of F1\n"
                       f"that is everything expect B1 {'not met' if i % 2 else 'met'} done\n"
                       for i in range(400))
    tables()
    began = time.perf_counter()
    whole, faults = parse_pack(many + cards + examples, "many.practice")
    assert whole is not None and not faults and len(whole.practices) == 200 and len(whole.examples) == 400
    check_packs([whole])
    assert time.perf_counter() - began < 1.5


# ---- tables and words ------------------------------------------------------------------------------------------------------------------


def test_the_tables_are_those_of_the_grammar() -> None:
    """Rebuilt from the grammar's text, strictly, they are the file that ships."""
    pytest.importorskip("interegular")
    grammar = shelf.text("practice.lark")
    assert tables().digest == digest(grammar)
    assert written(build(grammar)) == shelf.text("practice.tables.json")


def test_no_word_of_the_vocabulary_is_a_fixed_word() -> None:
    """Everything the vocabulary offers can be written in a card."""
    scan, keywords = tables().scan, tables().keywords
    words = vocabulary()
    spoken = {*words.words, *words.kinds, *(t.replace(" ", "-") for k in words.kinds.values() for t in k.terminals),
              *(c.replace(" ", "-").lower() for rows in words.words.values() for row in rows for c in row.choices)}
    for word in spoken:
        found = scan.match(word)
        sort = "OFWORD" if word.endswith("-of") else "WORD"
        assert found is not None and found.lastgroup == sort and found.end() == len(word) and word not in keywords, word


def test_every_unit_a_card_may_write_is_read() -> None:
    """The grammar's units and the unit table do not drift apart."""
    for unit in UNITS:
        tried = [(name, tables().scan.match(f"7 {name}")) for name in (unit.name, *unit.also)]
        names = [name for name, found in tried if found and found.lastgroup == "QTY" and found.end() == len(name) + 2]
        assert names or not unit.name.isascii() or unit.name in ("in", "kV", "mAh", "µF", "K", "°C", "%/K", "mV/K"), unit
        for name in names:
            value, dimension = number_of(s.Value("qty", f"7 {name}", 0))
            assert dimension == unit.dimension and value.low == 7 * unit.factor


@pytest.mark.parametrize(("have", "want", "covered"), [
    ("IP67", "IP65", Truth.NO), ("IP66/IP67", "IP65", Truth.YES), ("IP66/IP67", "IP67", Truth.YES), ("IP65", "IP54", Truth.YES),
    ("IP5X", "IP54", Truth.UNKNOWN), ("IP4X", "IP54", Truth.NO), ("IP68", "IP67", Truth.YES), ("IP67", "IP64", Truth.YES), ("IP69K", "IP66", Truth.YES),
    ("IP20", "IP2X", Truth.YES), ("IP00", "IP2X", Truth.NO),
])
def test_protection_codes_are_two_ladders(have: str, want: str, covered: Truth) -> None:
    """Immersion does not stand in for jets, an X is not known, two marks count for both."""
    assert covers(frozenset({have}), frozenset({want})) is covered


# ---- examples ---------------------------------------------------------------------------------------------------------------------------


def test_an_example_like_another_takes_what_it_does_not_say() -> None:
    """The wire is longer, everything else stays; an unknown word is noted as asked for."""
    effect, _ = checked(GOOD)
    stage = next(e.stage for e in effect.examples if e.name == "long-lead")
    assert isinstance(stage, Stage)
    wire = next(f for f in stage.fits if f.name == "W1")
    assert wire.facts["length"].value.low == 1.0 and set(wire.facts) == {"length", "size", "area", "size-system-known"}
    assert [(link.element, link.a, link.b) for link in stage.links] == [("W1", "B1 positive", "F1 line")]
    fuse = next(f for f in stage.fits if f.name == "F1")
    assert fuse.facts["breaks"].value == {"10000 A at 14 V", "5000 A at 32 V"}
    stage = next(e.stage for e in effect.examples if e.name == "two-chargers")
    battery = next(f for f in stage.fits if f.name == "B1")
    assert battery.asked == {"cold-charge-blocked"} and "cold-charge-blocked" not in battery.facts
    assert next(f for f in stage.fits if f.name == "Z1").joins == {"first": (("common", "first"),), "both": (("common", "first", "second"),), "off": ()}
    assert [(link.a, link.b) for link in stage.links if link.joint] == [("F1 line", "B1 positive")]
    assert stage.expected[0].found.low == 15.0 and stage.expected[0].digits == 0.5


# ---- house packs ------------------------------------------------------------------------------------------------------------------------


def test_a_house_pack_tightens_and_loosens_with_its_name_on_it() -> None:
    """The strict way freely, the loose way signed; both leave their step in the chain."""
    effect, faults = checked(GOOD, HOUSE + '''tighten fuse-reach to 150 mm because "Every van has room."
raise plugs-sealed to warning because "Two wet plugs last year."
lower unlike-kept-apart to notice because "Only alike batteries here." agreed by "the lead" until 2027-03-31
retire chargers-within-the-battery because "We fit one charger." agreed by "the lead" until 2027-03-31''')
    assert not faults
    assert effect.limits["fuse-reach"].text == "150 mm"
    assert [step.pack for step in effect.limits["fuse-reach"].chain] == ["trial-basics", "our-yard"]
    assert effect.practice("plugs-sealed").weight == "warning" and effect.practice("unlike-kept-apart").weight == "notice"
    assert effect.practice("chargers-within-the-battery") is None and effect.retired["chargers-within-the-battery"].agreed_by == "the lead"


def test_loosening_lapses_and_a_stranger_may_not() -> None:
    """After its day the inherited value is back; a pack that is no house pack is refused; without a day nothing is loosened."""
    loosen = HOUSE + 'loosen fuse-reach to 400 mm because "Measured on five vans." agreed by "the lead" until 2027-03-31'
    assert checked(GOOD, loosen)[0].limits["fuse-reach"].text == "400 mm"
    assert checked(GOOD, loosen, on=date(2027, 4, 1))[0].limits["fuse-reach"].text == "200 mm"
    assert checked(GOOD, loosen, on=None)[0].limits["fuse-reach"].text == "200 mm"
    effect, faults = checked(GOOD, loosen, house=())
    assert [f.kind for f in faults] == ["pack-house"] and effect.limits["fuse-reach"].text == "200 mm"


def test_the_strictest_of_several_counts_and_two_looseners_must_be_settled() -> None:
    """Order of loading is nothing."""
    first = HOUSE + 'tighten fuse-reach to 150 mm because "Every van has room."'
    second = HOUSE.replace("our-yard", "our-paint-shop") + 'tighten fuse-reach to 100 mm because "Every van has room."'
    for texts in ((GOOD, first, second), (GOOD, second, first), (second, first, GOOD)):
        effect, faults = checked(*texts)
        assert not faults and effect.limits["fuse-reach"].text == "100 mm"
    loosen = 'loosen fuse-reach to 400 mm because "Measured on five vans." agreed by "the lead" until 2027-03-31'
    _, faults = checked(GOOD, HOUSE + loosen, HOUSE.replace("our-yard", "our-paint-shop") + loosen, house=("our-yard", "our-paint-shop"))
    assert [f.kind for f in faults] == ["pack-house"] and "two packs loosen" in faults[0].headline


def test_a_pack_speaks_only_of_packs_it_builds_on() -> None:
    """A pack that builds on nothing moves nothing."""
    _, faults = checked(GOOD, HOUSE.replace("  builds on trial-basics edition 1.0\n", "") + 'tighten fuse-reach to 150 mm because "Every van has room."')
    assert [f.headline for f in faults] == ["there is no limit called fuse-reach to tighten"]


def test_files_of_one_pack_are_joined() -> None:
    """Cards in a second file belong to the pack whose head stands in the first."""
    first, rest = GOOD.split("practice plugs-sealed")
    pack = joined([parse_pack(first, "a")[0], parse_pack("practice plugs-sealed" + rest, "b")[0]])  # type: ignore[list-item]
    effect, found = check_packs([pack])
    assert not [f for f in found if f.fatal] and len(effect.practices) == 4


# ---- planted faults ----------------------------------------------------------------------------------------------------------------------


def test_planted_faults_change_one_thing_and_still_make_a_card() -> None:
    """Every mutant is another sentence, checked; the known changes are among them."""
    effect, _ = checked(GOOD)
    found = {p.name: [m.what for m in mutants(p, effect)] for p in effect.practices}
    assert '"within" dropped' in found["fuse-near-the-post"] and "limit fuse-reach moved to 1800 mm" in found["fuse-near-the-post"]
    assert '"at most" reversed' in found["chargers-within-the-battery"] and "smallest for largest" in found["chargers-within-the-battery"]
    assert '"passing over" dropped' in found["plugs-sealed"] and '"unless" dropped' in found["plugs-sealed"]
    assert "require and forbid exchanged" in found["unlike-kept-apart"]
    for practice in effect.practices:
        for mutant in mutants(practice, effect):
            assert mutant.was != mutant.now


def test_a_planted_fault_shows_on_a_world() -> None:
    """The doubled number is met where the card was not."""
    effect, _ = checked('''pack trial-basics edition 1.0 speaks 1 says "t" done
practice trial-card says "one" look at each battery B require capacity of B at most 100 Ah weight notice because "b" follows "f" remedy "r" done''')
    world = FakeWorld({"B1": "battery"}, {("B1", "capacity"): (150.0 * 3600,)})
    practice = effect.practices[0]
    assert compile_practice(practice, effect)(world, "B1").outcome == "not met"  # type: ignore[arg-type]
    doubled = next(m for m in mutants(practice, effect) if m.what == "100 Ah doubled")
    assert compile_practice(doubled.practice, effect)(world, "B1").outcome == "met"  # type: ignore[arg-type]
    seen = {practice.demand: frozenset({Truth.NO, Truth.UNKNOWN})}
    assert [c.missing for c in coverage(practice, seen)] == [("true",)]


def test_found_and_asked_never_look_alike() -> None:
    """Two values a hair apart are written with as many digits as it takes."""
    effect, _ = checked('''pack trial-basics edition 1.0 speaks 1 says "t" done
limit most is 100 Ah allowed 50 Ah to 200 Ah stricter when lower because "x"
practice trial-card says "one" look at each battery B require capacity of B at most most weight notice because "b" follows "f" remedy "r" done''')
    told = explain(effect.practices[0], effect, FakeWorld({"B1": "battery"}, {("B1", "capacity"): (100.004 * 3600,)}), "B1")  # type: ignore[arg-type]
    assert told.outcome == "not met" and told.found == ("B1 holds 100.004 Ah",) and told.asked == ("at most 100 Ah (limit most)",)
    assert [u.name for u in told.limits] == ["most"] and [str(f.ref) for f in told.facts] == ["capacity of B1"]
