"""`tugtest size` as a person meets it."""

from __future__ import annotations

import json

import pytest

from tests.cli.test_command import DEMO, tugtest

WHOLE = ("size", "--amps", "30", "--length", "4 m", "--drop", "3%", "--voltage", "12 V", "--insulation", "105 °C", "--ambient", "45 °C", "--bundled", "2",
         "--fuse-family", "terminal cube")


def test_one_run_from_the_command_line() -> None:
    done = tugtest(*WHOLE)
    assert done.returncode == 0 and "25 mm²" in done.stdout and "4 AWG" in done.stdout and "the volts it may lose" in done.stdout and "Next size" in done.stdout
    document = json.loads(tugtest(*WHOLE, "--as", "json").stdout)
    assert document["format"] == "tugtest size" and [s["smallest"]["size"] for s in document["sizes"]] == ["25 mm²", "4 AWG"]


def test_a_described_wire() -> None:
    document = json.loads(tugtest("size", str(DEMO), "W35", "--as", "json").stdout)
    assert document["return"] == "W35n" and document["now"] == "10 mm²" and document["sizes"][0]["smallest"]["size"] == "6 mm²"


def test_a_missing_figure_gets_no_size() -> None:
    done = tugtest("size", "--amps", "30 A", "--length", "4 m")
    assert done.returncode == 3 and "No size is given" in done.stdout and "Smallest" not in done.stdout and "a thermometer left on a hot day" in done.stdout


@pytest.mark.parametrize(("arguments", "said"), [
    (("--amps", "30 kg"), "current"), (("--amps", "-3 A"), "least possible"), (("--amps", "3,5 A"), "comma"), (("--amps", "0 A"), "more than nothing"),
    (("--fuse-family", "terminal cub"), "terminal cube"), (("--capacity-by", "hearsay"), "own formula")])
def test_bad_input_is_told_plainly(arguments: tuple[str, str], said: str) -> None:
    whole = dict(zip(WHOLE[1::2], WHOLE[2::2], strict=True)) | dict([arguments])
    done = tugtest("size", *(part for pair in whole.items() for part in pair))
    assert done.returncode == 2 and said in done.stderr


def test_what_cannot_be_sized() -> None:
    assert "No conductor is named" in tugtest("size", str(DEMO)).stderr
    assert 'No conductor called "W35x"' in tugtest("size", str(DEMO), "W35x").stderr
    assert "is in the description" in tugtest("size", str(DEMO), "W35", "--amps", "3 A").stderr
