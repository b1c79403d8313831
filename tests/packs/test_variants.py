"""Variant packs: those on our shelf, what they change, and how a pack moves limits of packs it does not bring in."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from linter.base.values import less_or_equal
from linter.language.merge import in_band
from linter.packs.editions import together
from linter.packs.effect import in_effect, moved
from linter.packs.find import Places, read_folder
from linter.packs.handbook import handbook
from linter.packs.load import load, read_pack
from linter.packs.manifest import read_manifest
from linter.packs.proving import prove
from linter.reports.handbook_html import html
from linter.reports.handbook_markdown import markdown

ON = datetime.date(2026, 11, 24)
VARIANTS = ("small-craft", "caravan", "recreational-vehicle", "off-road-house")
CARD = '''limit {name}-reach is 200 mm allowed 50 mm to 1800 mm stricter when lower because "A reason that is long enough."
practice {name}-card says "Of {name}." look at each conductor C require length of C at most {name}-reach weight notice
because "b" follows "f" remedy "r" done
'''


def pack(folder: Path, name: str, cards: str, more: str = "") -> Path:
    """A pack in a folder of its own."""
    home = folder / name
    home.mkdir(parents=True)
    (home / "pack.yaml").write_text(f"title: A pack\nedition: 1\nspeaks: 1\n{more}", encoding="utf-8")
    (home / "cards.practice").write_text(cards, encoding="utf-8")
    return home


@pytest.mark.parametrize("name", VARIANTS)
def test_a_variant_of_ours_proves_clean(name: str) -> None:
    """Every example comes out, every planted fault is noticed, every limit it adopts is there, in its band."""
    proof, told = prove(name, on=ON)
    assert proof is not None and not [one.headline for one in told if one.fatal]
    assert proof.sound and proof.noticed == 1.0


@pytest.mark.parametrize("name", VARIANTS)
def test_a_variant_of_ours_says_what_each_figure_rests_on(name: str) -> None:
    """Reason and source for each; what cannot be said as a limit is listed with why."""
    _, packs, told = together((name,), ON)
    assert packs is not None, [one.headline for one in told]
    steps = [(limit, step) for limit in packs.checked.limits.values() for step in limit.chain if step.pack == name and step.verb == "adopt"]
    assert len(steps) >= 5
    for limit, step in steps:
        assert step.because and step.rests and in_band(limit, limit.value)
    manifest = next(one for one in packs.loaded if one.name == name).manifest
    assert manifest.left_out and manifest.sources


def test_the_strict_house_loosens_nothing() -> None:
    """An off-road builder's figures are all at least as tight as ours."""
    _, packs, _ = together(("off-road-house",), ON)
    assert packs is not None
    ways = {step.way for limit in packs.checked.limits.values() for step in limit.chain[1:]}
    assert ways <= {"stricter", "same"}


def test_a_report_begins_with_what_was_adopted() -> None:
    """Looser figures one by one with the reason, stricter ones in one sentence a pack, and those that stay as they are not at all."""
    loaded, _ = load(["recreational-vehicle"], Places(), ["recreational-vehicle"])
    packs, told = in_effect(loaded, ON)
    assert packs is not None, told
    said = [(one.sort, one.text) for one in moved(packs.checked)]
    assert all(sort == "adopt" for sort, _ in said)
    looser = next(text for _, text in said if text.startswith("fuse-reach"))
    assert looser.startswith("fuse-reach is adopted at 457 mm, looser than the 200 mm of low-voltage-basics, by recreational-vehicle: North American RVs")
    assert said[-1][1].startswith("recreational-vehicle adopts string-fuse-from 1.56 (1.5)")
    assert "fuse-over-wire" not in str(said)


def test_limits_of_a_pack_that_is_not_there_wait_for_it() -> None:
    """`moves` brings nothing in; where the other pack is held against, its limits move."""
    alone, _ = load(["small-craft"], Places(), ["small-craft"])
    assert [one.name for one in alone] == ["low-voltage-basics", "small-craft"]
    packs, told = in_effect(alone, ON)
    assert packs is not None and not [one for one in told if one.fatal] and "clip-gap" not in packs.checked.limits
    beside, _ = load(["routing", "small-craft"], Places(), ["small-craft"])
    packs, told = in_effect(beside, ON)
    assert packs is not None and packs.checked.limits["clip-gap"].text == "457 mm", told


def test_a_limit_it_misspells_is_told_when_it_is_proved(tmp_path: Path) -> None:
    """In a check with the other pack away nobody can know; proving brings it in."""
    pack(tmp_path, "far-pack", CARD.format(name="far"))
    home = pack(tmp_path, "our-van", 'adopt far-rech at 300 mm because "A reason that is long enough." rests on "A rule" verified\n',
                "moves: [far-pack edition 1]\n")
    loaded, _ = load(["our-van"], Places(beside=str(tmp_path)), ["our-van"])
    packs, told = in_effect(loaded, ON)
    assert packs is not None and not told
    _, whole, told = together((str(home),), ON)
    assert whole is None and [one.headline for one in told if one.kind == "pack-house"] == ["there is no limit called far-rech to adopt"]


def test_what_it_moves_has_an_edition(tmp_path: Path) -> None:
    """Another edition's limits may mean something else."""
    pack(tmp_path, "far-pack", CARD.format(name="far"))
    pack(tmp_path, "our-van", 'adopt far-reach at 300 mm because "A reason that is long enough." rests on "A rule" verified\n', "moves: [far-pack edition 2]\n")
    loaded, _ = load(["our-van", "far-pack"], Places(beside=str(tmp_path)), ["our-van"])
    packs, told = in_effect(loaded, ON)
    assert packs is None and [one.headline for one in told] == ["limits of edition 2 of far-pack are moved and edition 1 is loaded"]


def test_moves_names_packs() -> None:
    """As `builds on` does."""
    _, told = read_manifest(b"title: T\nedition: 1\nspeaks: 1\nmoves: [../x edition 1]\n", "our-van", "pack.yaml")
    assert [one.headline for one in told] == ['"../x edition 1" does not name a pack whose limits it moves']


def test_a_pack_read_once_is_not_read_again(tmp_path: Path) -> None:
    """The same content at the same place; one changed letter, and it is."""
    home = pack(tmp_path, "far-pack", CARD.format(name="far"))
    folder, _ = read_folder(home, str(home))
    assert folder is not None
    first, _ = read_pack(folder, examples=False)
    assert first is not None
    again, _ = load(["far-pack"], Places(beside=str(tmp_path)), ["far-pack"], read=[first])
    assert again[0].pack is first.pack and again[0].house and not first.house
    (home / "cards.practice").write_text(CARD.format(name="far").replace("200 mm", "300 mm"), encoding="utf-8")
    changed, _ = load(["far-pack"], Places(beside=str(tmp_path)), read=[first])
    assert changed[0].pack is not first.pack


def test_the_handbook_shows_what_was_adopted_and_on_what_it_rests() -> None:
    """In the table of limits, with reason and source."""
    names, packs, _ = together(("recreational-vehicle",), ON)
    assert packs is not None
    book = handbook(packs, names)
    for page in (html(book), markdown(book)):
        assert "recreational-vehicle: 457 mm, adopted" in page.replace("\\", "")
        assert "Rests on NEC 552.10(E)(4), as quoted (verified)" in page.replace("\\", "")
    assert any(change.startswith("fuse-reach is adopted at 457 mm") for change in book.changes)


def test_all_variants_are_printed_side_by_side() -> None:
    """They contradict one another, which is no fault in a book: each is told, and limits stand as the basics have them."""
    names, packs, told = together(VARIANTS, ON)
    assert packs is not None, told
    book = handbook(packs, names)
    assert {about.name for about in book.packs} == set(VARIANTS) and packs.checked.limits["fuse-reach"].text == "200 mm"
    for name in VARIANTS:
        assert any(change.startswith(f"{name} adopts, where it is named, fuse-reach ") for change in book.changes)


def test_small_craft_reach_rests_on_its_own_card() -> None:
    """The longest way to the first fuse is no looser than the sheath it asks for."""
    _, packs, _ = together(("small-craft",), ON)
    assert packs is not None and packs.checked.practice("wire-before-its-fuse-sheathed") is not None
    reach, sheathed = packs.checked.limits["fuse-reach"], packs.checked.limits["sheathed-lead-reach"]
    assert less_or_equal(sheathed.value.low, reach.value.low)  # type: ignore[union-attr]
