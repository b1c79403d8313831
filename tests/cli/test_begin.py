"""`tugtest begin --practice`: what it lays out proves at once, and nothing that is there is touched."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from linter.base.text import clean
from linter.cli.app import tugtest
from linter.cli.screen import Unusable


def begin(*arguments: str) -> str:
    """What it prints."""
    done = CliRunner().invoke(tugtest, ["begin", *arguments], standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    assert done.return_value == 0
    return done.stdout


def test_the_pack_proves_clean_and_is_tidy(tmp_path: Path) -> None:
    """Examples come out, every planted fault is noticed, nothing to lay out, no remark on its writing."""
    folder = str(tmp_path / "hill-farm")
    told = begin("--practice", folder)
    assert "hill-farm" in told and "pack.yaml" in told
    proved = CliRunner().invoke(tugtest, ["pack", "prove", "--noticed", "100", "--on", "2026-11-24", folder], standalone_mode=False)
    assert proved.return_value == 0, proved.output
    assert proved.stderr == "" and "1 practice" in proved.stdout
    assert CliRunner().invoke(tugtest, ["pack", "tidy", "--look", folder], standalone_mode=False).return_value == 0


def test_the_commented_limit_may_be_put_in_force(tmp_path: Path) -> None:
    """Taking the # away, as the file says."""
    folder = tmp_path / "hill-farm"
    begin("--practice", str(folder))
    cards = folder / "cards.practice"
    cards.write_text(cards.read_text(encoding="utf-8").replace("# tighten", "tighten").replace("#   because", "  because"), encoding="utf-8")
    proved = CliRunner().invoke(tugtest, ["pack", "prove", "--no-faults", "--on", "2026-11-24", str(folder)], standalone_mode=False)
    assert proved.return_value == 0 and proved.stderr == "", proved.output


def test_what_is_there_is_never_touched(tmp_path: Path) -> None:
    """A second time, over a file, over a folder with anything in it: refused, and nothing written."""
    begin("--practice", str(tmp_path / "mine"))
    before = {file.name: file.read_bytes() for file in (tmp_path / "mine").iterdir()}
    with pytest.raises(Unusable, match="already there"):
        begin("--practice", str(tmp_path / "mine"))
    assert before == {file.name: file.read_bytes() for file in (tmp_path / "mine").iterdir()}
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(Unusable, match="already there"):
        begin("--practice", str(tmp_path / "file"))
    (tmp_path / "empty").mkdir()
    begin("--practice", str(tmp_path / "empty"))
    assert (tmp_path / "empty" / "pack.yaml").is_file()


@pytest.mark.parametrize("name", ["Hill", "9-lives", "a b", "../up", "hill_farm", "low-voltage-basics", "x" * 60, ""])
def test_a_name_that_is_no_pack_is_refused(tmp_path: Path, name: str) -> None:
    """With a remedy; the folder is not made. An empty name falls back on the folder's, which is none either."""
    with pytest.raises(Unusable) as refused:
        begin("--practice", str(tmp_path / "Some Folder"), "--name", name)
    assert refused.value.labels and clean(refused.value.headline, 200) == refused.value.headline
    assert not (tmp_path / "Some Folder").exists()


def test_a_folder_may_be_called_otherwise(tmp_path: Path) -> None:
    """The name goes into pack.yaml and the head."""
    begin("--practice", str(tmp_path / "Our Practices"), "--name", "hill-farm")
    assert "pack: hill-farm" in (tmp_path / "Our Practices" / "pack.yaml").read_text(encoding="utf-8")
