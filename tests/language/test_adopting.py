"""What variant packs adopt: a published figure of another trade, in either direction, inside the band, with its source, and only where it was named."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from linter.base.diagnostic import Diagnostic
from linter.base.values import Range
from linter.language import merge
from linter.language.check import check_packs
from linter.language.layout import tidy
from linter.language.parse import parse_pack
from linter.language.resolve import Notes
from linter.language.syntax import Pack
from tests.language.test_cards import GOOD

VARIANT = '''pack our-boats edition 1.0 speaks 1
  says "What boats do."
  builds on trial-basics edition 1.0
done
'''
OTHER = VARIANT.replace("our-boats", "our-vans")
HOUSE = VARIANT.replace("our-boats", "our-yard")


def adopts(value: str, more: str = "") -> str:
    """The statement under trial."""
    return f'adopt fuse-reach at {value} because "What that trade publishes." rests on "A rule" verified {more}\n'


def read(*texts: str) -> list[Pack]:
    """Packs from their texts."""
    packs = []
    for text in texts:
        pack, found = parse_pack(text, "trial.practice")
        assert pack is not None and not found, found
        packs.append(pack)
    return packs


def held(*texts: str, house: tuple[str, ...] = ("our-boats", "our-vans", "our-yard"), variant: str = "",
         on: date | None = date(2026, 11, 25)) -> tuple[Any, list[Diagnostic]]:
    """What is in effect, and what is fatal."""
    effect, found = check_packs(read(*texts), on=on, house=house, variant=variant)
    return effect, [one for one in found if one.fatal]


def test_it_reads_as_written() -> None:
    """Value, reason and every source; nobody's name and no day."""
    pack = read(VARIANT + adopts("400 mm", 'rests on "Another" recalled'))[0]
    said = pack.house[0]
    assert (said.verb, said.name, said.value.text if said.value else "") == ("adopt", "fuse-reach", "400 mm")
    assert [(rest.text, rest.certainty) for rest in said.rests] == [("A rule", "verified"), ("Another", "recalled")]
    assert not said.agreed_by and not said.until


@pytest.mark.parametrize(("value", "way"), [("400 mm", "looser"), ("120 mm", "stricter"), ("200 mm", "same")])
def test_it_moves_either_way_and_leaves_its_step(value: str, way: str) -> None:
    """No signature, no day: it counts on every date, and even without one."""
    effect, faults = held(GOOD, VARIANT + adopts(value), on=None)
    assert not faults
    limit = effect.limits["fuse-reach"]
    assert limit.text == value
    assert [(step.pack, step.verb, step.text) for step in limit.chain] == [("trial-basics", "limit", "200 mm"), ("our-boats", "adopt", value)]
    assert limit.chain[-1].way == way and limit.chain[-1].rests == (("A rule", "verified"),)


def test_a_pack_nobody_named_adopts_nothing() -> None:
    """Told once a pack, however much it would adopt."""
    effect, faults = held(GOOD, VARIANT + adopts("400 mm") + adopts("300 mm"), house=())
    assert [f.headline for f in faults] == ["our-boats may not adopt other figures: it was not named as a house pack"]
    assert "--also our-boats" in (faults[0].remedy or "")
    assert effect.limits["fuse-reach"].text == "200 mm"


def test_two_packs_of_two_minds_must_be_settled_and_of_one_mind_need_not() -> None:
    """Like two packs that loosen: nobody but the owner may pick."""
    for first, second in ((VARIANT + adopts("400 mm"), OTHER + adopts("150 mm")), (OTHER + adopts("150 mm"), VARIANT + adopts("400 mm"))):
        _, faults = held(GOOD, first, second)
        assert [f.kind for f in faults] == ["pack-house"] and "two packs adopt fuse-reach" in faults[0].headline
        assert "the owner must pick one" in faults[0].headline
    effect, faults = held(GOOD, VARIANT + adopts("400 mm"), OTHER + adopts("40 cm"))
    assert not faults and effect.limits["fuse-reach"].text == "400 mm"


def test_the_default_told_again_bars_another_figure() -> None:
    """A trade that holds to the default has a mind of its own."""
    _, faults = held(GOOD, VARIANT + adopts("200 mm"), OTHER + adopts("400 mm"))
    assert "two packs adopt fuse-reach" in faults[0].headline


def test_what_a_house_tightens_stays_tightened_in_any_order() -> None:
    """Adopting is before all else: a variant never undoes a house's own strictness, wherever it is loaded."""
    house = HOUSE + 'tighten fuse-reach to 150 mm because "Every van has room."'
    for texts in ((GOOD, VARIANT + adopts("400 mm"), house), (GOOD, house, VARIANT + adopts("400 mm")), (house, VARIANT + adopts("400 mm"), GOOD)):
        effect, faults = held(*texts)
        assert not faults and effect.limits["fuse-reach"].text == "150 mm"
        assert [step.verb for step in effect.limits["fuse-reach"].chain] == ["limit", "adopt", "tighten"]
    effect, faults = held(GOOD, VARIANT + adopts("120 mm"), house)
    assert not faults and effect.limits["fuse-reach"].text == "120 mm", "the strictest counts"
    _, faults = held(GOOD, VARIANT + adopts("120 mm"), house.replace("150 mm", "300 mm"))
    assert [f.headline for f in faults] == ["300 mm is not stricter than the 120 mm fuse-reach has now"]


def test_a_house_loosens_what_was_adopted_only_with_its_name() -> None:
    """What an owner's shop signs for counts from the adopted figure on."""
    house = HOUSE + 'loosen fuse-reach to 600 mm because "Measured on five vans." agreed by "the lead" until 2027-03-31'
    effect, faults = held(GOOD, VARIANT + adopts("400 mm"), house)
    assert not faults and effect.limits["fuse-reach"].text == "600 mm"
    effect, _ = held(GOOD, VARIANT + adopts("400 mm"), house, on=date(2027, 4, 1))
    assert effect.limits["fuse-reach"].text == "400 mm"


def test_beside_a_variant_what_others_adopt_stands_aside() -> None:
    """So one installation can be held against trades that disagree."""
    texts = (GOOD, VARIANT + adopts("400 mm"), OTHER + adopts("150 mm"))
    for variant, value in (("our-boats", "400 mm"), ("our-vans", "150 mm"), ("our-yard", "200 mm")):
        effect, faults = held(*texts, variant=variant)
        assert not faults and effect.limits["fuse-reach"].text == value


def test_it_speaks_only_of_packs_it_builds_on() -> None:
    """A pack that builds on nothing moves nothing."""
    _, faults = held(GOOD, VARIANT.replace("  builds on trial-basics edition 1.0\n", "") + adopts("400 mm"))
    assert [f.headline for f in faults] == ["there is no limit called fuse-reach to adopt"]


def test_tidying_gives_a_source_its_own_line_where_its_author_did() -> None:
    """As with every other statement of a house: blanks only, and twice is as once."""
    text = tidy(VARIANT + 'adopt   fuse-reach at 400 mm\nbecause "What that trade publishes."\n      rests on "A rule"   verified\nrests on "Another" trade')
    assert text.endswith('''adopt fuse-reach at 400 mm
  because "What that trade publishes."
  rests on "A rule" verified
  rests on "Another" trade
''')
    assert tidy(text) == text


def test_the_last_word_is_judged_on_the_outcome() -> None:
    """Limits before are kept apart from those after: one that grew loose with nobody's step in its history is told, and so is a lost practice."""
    effect, faults = held(GOOD, HOUSE + 'retire plugs-sealed because "We fit no plugs." agreed by "the lead" until 2027-03-31')
    assert not faults and effect.practice("plugs-sealed") is None
    before = {practice.name: practice for practice in held(GOOD)[0].practices}
    limit = effect.limits["fuse-reach"]
    after = merge.Effect({**effect.limits, "fuse-reach": replace(limit, value=Range(0.5, 0.5))},
                         {name: practice for name, practice in before.items() if name != "plugs-sealed"})
    notes = Notes()
    merge.result(after, effect.limits, before, notes)
    assert [one.headline for one in notes.found] == [
        "limit fuse-reach ended up looser than it was, and nobody loosened it", "practice plugs-sealed vanished, and nobody retired it"]
