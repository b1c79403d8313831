"""The README's way to a first house pack, walked as a newcomer would: its files saved, its commands run in order; and the finished one."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.cli.test_command import README, ROOT, sample, tugtest

SECTION = README.partition("## Write your first house pack\n")[2].partition("\n## ")[0]
BLOCK = re.compile(r"```(\w+)\n(.*?)```", re.DOTALL)
HOUSE = ROOT / "fixtures" / "house-pack"
ON = ("--on", "2026-11-24")


def walk(folder: Path) -> dict[str, tuple[int, str]]:
    """Each command of the section in order, with its exit status and all it printed. Files of the section are saved where they are shown."""
    (folder / "fixtures").mkdir()
    shutil.copytree(HOUSE, folder / "fixtures" / "house-pack")
    seen: dict[str, tuple[int, str]] = {}
    for sort, body in BLOCK.findall(SECTION):
        if sort == "practice":
            name = body.partition("\n")[0].removeprefix("# ")
            (folder / name).write_text(body, encoding="utf-8")
        elif sort == "yaml":
            described = sample()
            assert "packs: [low-voltage-basics]\n" in described
            (folder / "pump-box.yaml").write_text(described.replace("packs: [low-voltage-basics]\n", body), encoding="utf-8")
        else:
            assert sort == "sh"
            for line in body.splitlines():
                words = line.split()
                assert words[0] == "tugtest"
                fixed = ON if words[1] == "check" or words[1:3] == ["pack", "prove"] else ()
                done = tugtest(*words[1:], *fixed, cwd=folder)
                seen[line] = (done.returncode, done.stdout + done.stderr)
    return seen


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, str]]:
    return walk(tmp_path_factory.mktemp("newcomer"))


def test_every_command_of_the_section_works(walked: dict[str, tuple[int, str]]) -> None:
    """Exit 0 throughout, save for the pump box: whatever the check says of it."""
    assert len(walked) >= 8
    for line, (status, said) in walked.items():
        assert status in ((1, 3) if line == "tugtest check pump-box.yaml" else (0,)), (line, said)


def test_the_section_proves_clean(walked: dict[str, tuple[int, str]]) -> None:
    """Nothing planted in the card goes unnoticed, and every example comes out."""
    said = walked["tugtest pack prove our-shop"][1]
    assert "No example notices" not in said and "Came out" not in said and "Without an example" not in said


def test_its_words_are_found(walked: dict[str, tuple[int, str]]) -> None:
    """What the newcomer looks up is there."""
    assert "mass" in walked["tugtest pack words battery"][1]
    assert "kg" in walked["tugtest pack words mass"][1]


def test_the_sample_is_held_against_it(walked: dict[str, tuple[int, str]]) -> None:
    """The new pack is in force, and what it loosens is said before any finding."""
    said = " ".join(walked["tugtest check pump-box.yaml"][1].split())
    assert "house pack" in said and "our-shop" in said
    assert said.index("vital-drop is loosened from 3 % to 4 % by our-shop") < said.index("Cannot tell")


def test_the_finished_one_proves_clean() -> None:
    """Every planted fault is noticed."""
    done = tugtest("pack", "prove", "--noticed", "100", *ON, str(HOUSE / "our-yard"))
    assert done.returncode == 0, done.stdout
    assert done.stderr == "" and "No example notices" not in done.stdout


def test_the_finished_one_is_tidy() -> None:
    """Laid out as `pack tidy` would."""
    assert tugtest("pack", "tidy", "--look", str(HOUSE / "our-yard")).returncode == 0


def test_its_installation_is_sound_and_the_report_begins_with_what_is_loosened() -> None:
    """Nothing not met, nothing open; the first remark is the loosening, with reason, name and day."""
    done = tugtest("check", *ON, str(HOUSE / "pond-punt.yaml"))
    assert done.returncode == 0, done.stdout
    said = " ".join(done.stdout.split())
    first = said.partition("Note: ")[2].partition("Note: ")[0]
    assert first.startswith("vital-drop is loosened from 3 % to 5 % by our-yard") and "foreman of the yard, until 2027-03-31" in first
    assert "not met 0 · cannot tell 0" in said


def test_after_its_last_day_the_loosening_counts_no_more() -> None:
    """The very day still counts; the day after, the pump's wire is held against the basics again, and everybody is told."""
    last = tugtest("check", "--on", "2027-03-31", str(HOUSE / "pond-punt.yaml"))
    assert last.returncode == 0
    after = tugtest("check", "--on", "2027-04-01", "--fail-at", "caution", "--as", "json", str(HOUSE / "pond-punt.yaml"))
    assert after.returncode == 1
    assert "2027-03-31" in after.stderr
    (source,) = json.loads(after.stdout)["sources"]
    assert {one["practice"] for one in source["findings"] if one["outcome"] == "not met"} == {"vital-circuits-keep-their-volts"}


def test_a_changed_edition_is_weighed(tmp_path: Path) -> None:
    """From the command line, with a fixed day: the lowered drop turns the pump, and the raised weight to lift turns nothing here."""
    new = tmp_path / "next"
    shutil.copytree(HOUSE / "our-yard", new)
    for name, changes in (("pack.yaml", (('"1.0"', '"1.1"'),)),
                          ("our-yard.practice", (("our-yard edition 1.0", "our-yard edition 1.1"), ("vital-drop to 5 %", "vital-drop to 4 %"),
                                                 ("lift-alone is 25 kg", "lift-alone is 30 kg")))):
        text = (new / name).read_text(encoding="utf-8")
        for was, now in changes:
            assert text.count(was) == 1
            text = text.replace(was, now)
        (new / name).write_text(text, encoding="utf-8")
    done = tugtest("pack", "weigh", *ON, "--as", "json", str(HOUSE / "our-yard"), str(new), str(HOUSE / "pond-punt.yaml"))
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert data["verdict"] == "both" and data["by_folder"] == "tighter" and "1.1" in data["overstepped"]
    assert [(one["practice"], one["element"], one["was"], one["now"]) for one in data["moved"]] == [
        ("vital-circuits-keep-their-volts", "bilge pump", "met", "not met")]
    assert tugtest("pack", "weigh", str(HOUSE / "our-yard"), "low-voltage-basics", str(HOUSE)).returncode == 2
