"""Proving: examples must come out as they say, and the faults we plant must be noticed by some of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from linter.packs.proving import Proof, prove
from linter.reports.proof import text

CARDS = '''
pack our-shop edition 1 speaks 1
  says "How our shop does it."
done
limit our-margin is 80 % allowed 50 % to 100 % stricter when lower
  because "Heat ages a fuse."

practice pump-fuse-small
  says "A pump's fuse is within what it may be."
  look at each load L with (L is vital)
  require current of L at most 10 A times our-margin
  weight caution
  because "A reason."
  follows "A habit."
  remedy "Fit a smaller one."
done

example pump-of-eight
  says "At the limit."
  tries pump-fuse-small
  fitted
    load P1 has current 8 A, vital yes
    load P2 has current 30 A, vital no
  expect P1 met
  expect P2 {other}
done
example pump-of-nine
  says "Over it."
  tries pump-fuse-small
  fitted
    load P1 has current 8.1 A, vital yes
  expect P1 not met found {found}
done
example pump-unknown
  says "Nobody looked."
  tries pump-fuse-small
  fitted
    load P1 has vital yes
  expect P1 cannot tell wanting current of P1
done
'''


def proof_of(folder: Path, *, other: str = "does not apply", found: str = "8.1 A", cards: str = CARDS) -> Proof:
    home = folder / "our-shop"
    home.mkdir()
    (home / "pack.yaml").write_text("title: Ours\nedition: 1\nspeaks: 1\n", encoding="utf-8")
    (home / "cards.practice").write_text(cards.replace("{other}", other).replace("{found}", found), encoding="utf-8")
    proof, told = prove(str(home))
    assert proof is not None, [(one.headline, str(one.at)) for one in told]
    return proof


def test_good_examples_prove_a_practice(tmp_path: Path) -> None:
    """Every example as expected, every planted fault noticed."""
    proof = proof_of(tmp_path)
    assert proof.sound and proof.examples == 3 and proof.faults > 5
    assert [s.change for s in proof.survivors] == []


@pytest.mark.parametrize(("change", "came"), [
    ({"other": "met"}, "does not apply"),
    ({"found": "8.3 A"}, "current of P1 is 8.1 A"),
])
def test_an_example_that_comes_out_otherwise_is_named(tmp_path: Path, change: dict[str, str], came: str) -> None:
    """With what was expected and what came, number and all; its practice's faults are not counted."""
    proof = proof_of(tmp_path, **change)
    assert not proof.sound and len(proof.slips) == 1
    assert came in proof.slips[0].came
    assert "Expected" in text(proof) and proof.faults == 0


def test_a_fault_nobody_notices_is_printed_as_the_changed_sentence(tmp_path: Path) -> None:
    """Without the load that is not vital, dropping the condition goes unnoticed."""
    cards = CARDS.replace("    load P2 has current 30 A, vital no\n", "").replace("  expect P2 {other}\n", "")
    proof = proof_of(tmp_path, cards=cards)
    assert proof.sound and proof.noticed < 1
    assert any("with" in s.change and "look at each load L require" in s.sentence for s in proof.survivors)
    assert "No example notices" in text(proof)


def test_an_excuse_holds_for_the_card_it_was_given_for(tmp_path: Path) -> None:
    """Excused, the fault is no survivor; when the card's words change the excuse lapses; an excuse for nothing is told."""
    cards = CARDS.replace("    load P2 has current 30 A, vital no\n", "").replace("  expect P2 {other}\n", "")
    before = proof_of(tmp_path, cards=cards)
    yaml = next(tmp_path.rglob("pack.yaml"))
    plain = yaml.read_text(encoding="utf-8")

    def again(card: str, change: str) -> Proof:
        yaml.write_text(f"{plain}\nexcused:\n" + "".join(
            f"  - {{practice: {one.practice}, change: {json.dumps(change or one.change)}, because: no such load is fitted here, card: {card or one.card}}}\n"
            for one in before.survivors), encoding="utf-8")
        proof, told = prove(str(yaml.parent))
        assert proof is not None, [one.headline for one in told]
        return proof
    assert before.survivors
    kept = again("", "")
    assert kept.survivors == () and kept.excused == len(before.survivors) and kept.lapsed == () and "excused" in text(kept)
    changed = again("0123456789", "")
    assert len(changed.survivors) == len(before.survivors) and "has changed since" in changed.lapsed[0] and "Excuse lapsed" in text(changed)
    assert "nothing to excuse" in again("", "no such change").lapsed[0]


def test_what_no_example_shows_is_said_in_words(tmp_path: Path) -> None:
    """The load that is not vital, taken out, is a situation nobody shows any more."""
    cards = CARDS.replace("    load P2 has current 30 A, vital no\n", "").replace("  expect P2 {other}\n", "")
    proof = proof_of(tmp_path, cards=cards)
    assert any("is vital does not hold" in one.situation for one in proof.unshown), proof.unshown
    assert "Not shown, of " in text(proof) and "situations shown" in text(proof)
