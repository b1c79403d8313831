"""Packs are found by name or folder, pinned by content, and joined with what they build on."""

from __future__ import annotations

from pathlib import Path

import pytest

from linter.packs.effect import in_effect
from linter.packs.find import Places, on_the_shelf, read_folder
from linter.packs.load import given_places, load
from linter.packs.manifest import read_manifest

LIMIT = 'limit {name} is 200 mm allowed 50 mm to 1800 mm stricter when lower\n  because "A reason that is long enough."\n'


def pack(folder: Path, name: str, manifest: str = "title: A pack\nedition: 1\nspeaks: 1\n", cards: str = LIMIT) -> Path:
    home = folder / name
    home.mkdir(parents=True)
    (home / "pack.yaml").write_text(manifest, encoding="utf-8")
    (home / "cards.practice").write_text(cards.format(name=f"{name}-reach"), encoding="utf-8")
    return home


def headlines(told: list[object]) -> list[str]:
    return [one.headline for one in told]  # type: ignore[attr-defined]


def test_our_own_pack_is_on_the_shelf() -> None:
    """The default pack is found by name, wherever the command is run."""
    assert "low-voltage-basics" in on_the_shelf()


def test_content_mark_ignores_line_ends_and_nothing_else(tmp_path: Path) -> None:
    """The same pack has the same mark on every machine; one changed letter, or a moved file, another."""
    home = pack(tmp_path, "our-shop")
    first, _ = read_folder(home, "a")
    (home / "cards.practice").write_bytes((home / "cards.practice").read_bytes().replace(b"\n", b"\r\n"))
    second, _ = read_folder(home, "b")
    (home / "cards.practice").rename(home / "other.practice")
    third, _ = read_folder(home, "c")
    assert first is not None and second is not None and third is not None
    assert first.content == second.content != third.content


def test_builds_on_comes_first(tmp_path: Path) -> None:
    """What a pack builds on stands before it."""
    pack(tmp_path, "base-pack")
    pack(tmp_path, "our-shop", "title: Ours\nedition: 2.1\nspeaks: 1\nbuilds on: [base-pack edition 1]\n")
    loaded, told = load(["our-shop"], Places(beside=str(tmp_path)), house=["our-shop"])
    assert not told
    assert [(one.name, one.house) for one in loaded] == [("base-pack", False), ("our-shop", True)]


def test_a_ring_is_named(tmp_path: Path) -> None:
    """Not a hang, not a recursion error: the ring, in words."""
    pack(tmp_path, "a-pack", "title: A\nedition: 1\nspeaks: 1\nbuilds on: [b-pack edition 1]\n")
    pack(tmp_path, "b-pack", "title: B\nedition: 1\nspeaks: 1\nbuilds on: {a-pack: 1}\n")
    _, told = load(["a-pack"], Places(beside=str(tmp_path)))
    assert headlines(told) == ["packs build on one another in a ring: a-pack on b-pack on a-pack"]


def test_a_deep_chain_is_refused(tmp_path: Path) -> None:
    """The depth has a cap."""
    for number in range(12):
        pack(tmp_path, f"p{number}", f"title: P\nedition: 1\nspeaks: 1\nbuilds on: [p{number + 1} edition 1]\n")
    _, told = load(["p0"], Places(beside=str(tmp_path)))
    assert any("more than 8 deep" in line for line in headlines(told))


def test_what_pack_yaml_builds_on_reaches_the_language(tmp_path: Path) -> None:
    """The head and pack.yaml may each say it; the language checks that the editions fit."""
    pack(tmp_path, "base-pack")
    pack(tmp_path, "our-shop", "title: Ours\nedition: 2\nspeaks: 1\nbuilds on: [base-pack edition 3]\n")
    loaded, told = load(["our-shop"], Places(beside=str(tmp_path)))
    assert not told and loaded[1].pack.head is not None
    assert [(base.pack, base.edition) for base in loaded[1].pack.head.builds_on] == [("base-pack", "3")]
    _, told = in_effect(loaded, None)
    assert any("edition" in line for line in headlines(told))


def test_two_different_packs_of_one_name_are_refused(tmp_path: Path) -> None:
    """Nobody could say which was meant."""
    pack(tmp_path, "low-voltage-basics")
    _, told = load(["low-voltage-basics"], Places(beside=str(tmp_path)))
    assert headlines(told) == ['two different packs are called "low-voltage-basics"']


def test_an_unknown_name_offers_the_nearest() -> None:
    """A slip of the finger is answered with the name that was meant."""
    _, told = load(["low-voltage-basic"], Places())
    assert told[0].remedy == 'Did you mean "low-voltage-basics"?'


@pytest.mark.parametrize("name", ["../x", "/etc", "A", "http://x", "a b", "", "x" * 500])
def test_a_name_leads_nowhere_but_to_a_word(name: str) -> None:
    """No path, no address."""
    folder, told = Places().find(name)
    assert folder is None and told


def test_a_folder_may_be_given(tmp_path: Path) -> None:
    """`--pack FOLDER`; the name is the pack's own."""
    home = pack(tmp_path, "our-shop")
    names, places, told = given_places([str(home), "low-voltage-basics"], None)
    assert names == ("our-shop", "low-voltage-basics") and not told
    assert places.find("our-shop")[0] is not None


def test_a_folder_without_manifest_says_so(tmp_path: Path) -> None:
    """Not every folder is a pack."""
    _, _, told = given_places([str(tmp_path)], None)
    assert "holds no pack.yaml" in told[0].headline


@pytest.mark.parametrize(("text", "said"), [
    (b"title: [\n", "pack.yaml is not YAML"),
    (b"- a\n", "holds no keys"),
    (b"title: A\nedition: 1\nspeaks: 1\ntittle: B\n", '"tittle" is not a key'),
    (b"title: A\nspeaks: 1\n", "does not say its edition"),
    (b"title: A\nedition: 1\nspeaks: 9\n", 'speaks "9"'),
    (b"title: {a: b}\nedition: 1\nspeaks: 1\n", "title is one text"),
    (b"title: A\nedition: 1\nspeaks: 1\nbuilds on: [../x]\n", "does not name a pack"),
    (b"\xff\xfe", "not UTF-8"),
    (b"[" * 20000, "pack.yaml"),
    (b"a: &a [*a]\n", "pack.yaml"),
    (b"x" * 70_000, "too large"),
])
def test_a_bad_manifest_is_told(text: bytes, said: str) -> None:
    """Every fault in words, never an exception."""
    manifest, told = read_manifest(text, "our-shop", "our-shop/pack.yaml")
    assert manifest is None and any(said in one.headline for one in told), headlines(list(told))


def test_an_edition_is_kept_as_written() -> None:
    """1.10 is not 1.1."""
    manifest, _ = read_manifest(b"title: A\nedition: 1.10\nspeaks: 1\n", "our-shop", "f")
    assert manifest is not None and manifest.edition == "1.10"
