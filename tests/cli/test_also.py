"""`check --also`: one installation, other trades' figures, and nothing of the run changed."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from linter import api
from linter.cli.app import tugtest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures" / "honey-trailer" / "installation.yaml"
VARIANTS = ("small-craft", "caravan", "recreational-vehicle", "off-road-house")
ON = datetime.date(2026, 11, 24)


def run(*arguments: str, file: Path = DEMO) -> tuple[int, str, str]:
    """Exit status, what was printed, what was told."""
    done = CliRunner().invoke(tugtest, ["check", "--on", "2026-11-24", str(file), *arguments], standalone_mode=False)
    assert done.exception is None, done.exception
    return done.return_value, done.stdout, done.stderr


def besides(*variants: str, file: Path = DEMO) -> dict[str, dict[str, Any]]:
    """Variant to what the JSON says of it."""
    status, out, told = run("--as", "json", *(word for name in variants for word in ("--also", name)), file=file)
    assert status != 2, told
    return {one["pack"]["name"]: one for one in json.loads(out)["sources"][0]["also"]}


def moved(one: dict[str, Any], was: str | None, now: str) -> set[tuple[str, str]]:
    """Practice and element that went from one outcome to another."""
    return {(move["practice"], move["element"]) for move in one["moved"] if (move["was"], move["now"]) == (was, now)}


@pytest.fixture(scope="module")
def demo() -> dict[str, dict[str, Any]]:
    return besides(*VARIANTS)


def test_the_run_is_what_it_was_without(demo: dict[str, dict[str, Any]]) -> None:
    """Findings, counts, packs, exit status."""
    plain_status, plain, _ = run("--as", "json")
    status, out, told = run("--as", "json", *(word for name in VARIANTS for word in ("--also", name)))
    assert status == plain_status == 1 and told == ""
    document, before = json.loads(out), json.loads(plain)
    assert [one["pack"]["name"] for one in document["sources"][0].pop("also")] == list(VARIANTS)
    assert before["sources"][0].pop("also") == [] and document == before
    assert set(demo) == set(VARIANTS)


def test_small_craft_asks_for_the_sheath_where_the_fuse_is_far(demo: dict[str, dict[str, Any]]) -> None:
    """The converter's lead is no longer too long by its length, and is told for running bare; W22 may have its F4 no more than before."""
    one = demo["small-craft"]
    assert ("charger-lead-fused-at-battery", "W25b") in moved(one, "not met", "met")
    assert ("wire-before-its-fuse-sheathed", "W25b") in moved(one, None, "not met")
    assert ("wire-before-its-fuse-sheathed", "W17") in moved(one, None, "not met")
    assert {"limit": "fuse-reach", "value": "1829 mm", "in_run": "200 mm", "way": "looser"} in one["figures"]


def test_a_caravan_finds_the_trailer_as_we_do(demo: dict[str, dict[str, Any]]) -> None:
    """A metre instead of a hand's length cures nothing here: each far fuse is farther than that."""
    assert demo["caravan"]["outcome"] == "not met"
    assert [one["limit"] for one in demo["caravan"]["figures"]] == ["fuse-reach"]


def test_a_recreational_vehicle_lets_a_fuse_carry_four_fifths(demo: dict[str, dict[str, Any]]) -> None:
    """F4 is loaded between 0.75 and 0.8, F16 above both."""
    one = demo["recreational-vehicle"]
    assert moved(one, "not met", "met") == {("fuse-carries-the-load", "F4")}


def test_the_strict_house_makes_nothing_looser(demo: dict[str, dict[str, Any]]) -> None:
    """Newly not met: the plugs that are live under their caps among them; no longer not met: nothing."""
    one = demo["off-road-house"]
    assert not moved(one, "not met", "met") and {figure["way"] for figure in one["figures"]} == {"stricter"}
    assert {element for practice, element in moved(one, None, "not met") if practice == "parted-contacts-dead"} >= {"X3 flatbed"}
    assert ("vital-circuits-keep-their-volts", "brake unit") in moved(one, "met", "not met")


def test_a_screen_says_which_are_met_and_which_not(demo: dict[str, dict[str, Any]]) -> None:
    """A section after the findings and before the counts, a few lines a variant."""
    status, out, _ = run("--also", "caravan", "--also", "recreational-vehicle")
    assert status == 1
    assert out.index("Not met, at caution or notice") < out.index("Also held against") < out.index("Taken as, because")
    section = out[out.index("Also held against"):out.index("Taken as, because")]
    assert "Caravans (caravan), edition 1.0" in section and len(section.splitlines()) < 24
    assert max(len(line) for line in out.splitlines()) <= 80


def test_beside_a_variant_the_owner_named_another_may_be_held(tmp_path: Path) -> None:
    """Named in the description it counts, and every report begins with it; --also sets its figures aside for the other's."""
    text = DEMO.read_text(encoding="utf-8").replace("packs: [low-voltage-basics]", "packs: [low-voltage-basics]\nhouse packs: [recreational-vehicle]", 1)
    file = tmp_path / "trailer.yaml"
    file.write_text(text, encoding="utf-8")
    status, out, told = run("--also", "caravan", file=file)
    assert status == 1, told
    words = " ".join(out.split())
    assert words.index("fuse-reach is adopted at 457 mm, looser than the 200 mm") < words.index("WARNING not met")
    assert "at most 457 mm (limit fuse-reach)" in words
    one = besides("caravan", file=file)["caravan"]
    assert {"limit": "fuse-reach", "value": "1 m", "in_run": "457 mm", "way": "looser"} in one["figures"]
    assert moved(one, "met", "not met") == {("fuse-carries-the-load", "F4")}
    same = besides("recreational-vehicle", file=file)["recreational-vehicle"]
    assert same["figures"] == [] and same["moved"] == []


def test_two_variants_at_once_are_for_the_owner_to_settle(tmp_path: Path) -> None:
    """Two figures for one limit cannot both count."""
    text = DEMO.read_text(encoding="utf-8").replace("packs: [low-voltage-basics]", "packs: [low-voltage-basics]\nhouse packs: [caravan, small-craft]", 1)
    file = tmp_path / "trailer.yaml"
    file.write_text(text, encoding="utf-8")
    status, out, told = run(file=file)
    assert status == 2 and out == ""
    assert "two packs adopt fuse-reach, caravan at 1 m and small-craft at 1829 mm; the owner must pick one" in " ".join(told.split())


def test_a_variant_nobody_named_is_refused_as_a_pack(tmp_path: Path) -> None:
    """--pack adds practices and never moves a figure."""
    status, _, told = run("--pack", "recreational-vehicle")
    assert status == 2 and "recreational-vehicle may not adopt other figures" in told and "--also recreational-vehicle" in " ".join(told.split())


def test_one_that_is_not_there_is_told_and_the_run_still_printed() -> None:
    """Unusable input is exit 2, as everywhere."""
    status, out, told = run("--also", "caravn")
    assert status == 2 and 'Did you mean "caravan"?' in told
    assert "WARNING   not met" in out and "Also held against" not in out


def test_a_folder_and_a_pack_of_any_sort_will_do(tmp_path: Path) -> None:
    """A pack that adopts nothing adds what it asks."""
    home = tmp_path / "winch-yard"
    home.mkdir()
    (home / "pack.yaml").write_text("title: Winch\u202eyard <b>\nedition: 3\nspeaks: 1\n", encoding="utf-8")
    (home / "a.practice").write_text('''limit rope is 5 m allowed 1 m to 9 m stricter when lower because "A rope."
practice long-winded says "No wire is longer than a rope." look at each conductor C require length of C at most rope
weight notice because "b" follows "f" remedy "r" done
''', encoding="utf-8")
    status, out, told = run("--also", str(home))
    assert status == 1, told
    assert "Winchyard <b> (winch-yard), edition 3" in out.replace("\\u202e", "") and "\u202e" not in out
    assert "Asked only here" in out and "long-winded (not met)" in out


def test_the_same_from_python() -> None:
    """`packs_for(…, also=…)` and `survey(…, also=…)`."""
    found, told = api.read(DEMO.read_bytes(), "installation.yaml", on=ON)
    assert found is not None, told
    names = found.described.packs
    packs, told = api.packs_for(names, on=ON)
    assert packs is not None, told
    variant, told = api.packs_for(names, on=ON, also="recreational-vehicle", read=packs)
    assert variant is not None and variant.variant == "recreational-vehicle", told
    plain, besides_it = api.survey(found, packs, on=ON), api.survey(found, packs, on=ON, also=[variant])
    assert plain.also == () and plain.findings == besides_it.findings and plain.summary == besides_it.summary
    assert besides_it.also[0].outcome == "not met" and besides_it.also[0].pack.house
    assert api.exit_status((plain,)) == api.exit_status((besides_it,))
