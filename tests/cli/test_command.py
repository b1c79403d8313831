"""The command as a person meets it: what it prints, where, and with which exit status. Never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures" / "honey-trailer" / "installation.yaml"
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}
README = (ROOT / "README.md").read_text(encoding="utf-8")


def tugtest(*arguments: str, text: bytes | None = None, cwd: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """A whole process."""
    done = subprocess.run([sys.executable, "-m", "linter", *arguments], input=text, capture_output=True, cwd=cwd or ROOT,
                          env={**ENVIRONMENT, **environment}, check=False)
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace"))


def sample() -> str:
    """The description in the README."""
    return README.partition("```yaml\n")[2].partition("```")[0]


@pytest.fixture(scope="module")
def demo() -> subprocess.CompletedProcess[str]:
    return tugtest("check", "--on", "2026-11-24", str(DEMO))


def test_the_demo_finds_faults_and_exits_1(demo: subprocess.CompletedProcess[str]) -> None:
    """By design: the trailer described there has faults."""
    assert demo.returncode == 1, demo.stderr
    assert "WARNING   not met   " in demo.stdout
    assert "Held against low-voltage-basics" in demo.stdout
    assert max(len(line) for line in demo.stdout.splitlines()) <= 80


def test_output_looks_like_a_sheet_not_like_a_compiler(demo: subprocess.CompletedProcess[str]) -> None:
    """No file:line:col prefixes, no codes, no carets."""
    import re

    assert not re.search(r"\.yaml:\d", demo.stdout)
    assert "^" not in demo.stdout.replace("A^0", "") and "~~~" not in demo.stdout
    assert not re.search(r"\b(error|Error|ERROR)\b", demo.stdout)


def test_every_format_tells_the_same_number(tmp_path: Path) -> None:
    """--as and --to: the JSON counts what the SARIF lists."""
    for form in ("json", "sarif"):
        done = tugtest("check", "--on", "2026-11-24", "--as", form, "--to", str(tmp_path / form), str(DEMO))
        assert done.returncode == 1 and done.stdout == ""
    findings = json.loads((tmp_path / "json").read_text(encoding="utf-8"))["sources"][0]["findings"]
    assert len(findings) == len(json.loads((tmp_path / "sarif").read_text(encoding="utf-8"))["runs"][0]["results"])


def test_the_same_run_twice_gives_the_same_bytes(demo: subprocess.CompletedProcess[str]) -> None:
    """Whatever the hash seed."""
    assert tugtest("check", "--on", "2026-11-24", str(DEMO), PYTHONHASHSEED="7").stdout == demo.stdout


def test_fail_at_moves_the_status() -> None:
    """The weight at which a run fails is the user's choice; unknowns may be let pass."""
    assert tugtest("check", "--fail-at", "danger", "--fail-on-unknown", "never", str(DEMO)).returncode in (0, 1)
    assert tugtest("check", "--fail-at", "notice", str(DEMO)).returncode == 1


def test_the_readme_sample_can_be_read() -> None:
    """What the README shows works, from standard input."""
    done = tugtest("check", "-", text=sample().encode())
    assert done.returncode in (0, 1, 3), done.stderr
    assert "Pump box" in done.stdout


def test_a_folder_is_searched_for_descriptions(tmp_path: Path) -> None:
    """Only files with a `tugtest:` key count."""
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "a.yaml").write_text(sample(), encoding="utf-8")
    (tmp_path / "b.yml").write_text(sample().replace("Pump box", "Second box"), encoding="utf-8")
    (tmp_path / "other.yaml").write_text("kind: something else\n", encoding="utf-8")
    done = tugtest("check", str(tmp_path))
    assert "Pump box" in done.stdout and "Second box" in done.stdout and "other.yaml" not in done.stdout + done.stderr


@pytest.mark.parametrize(("arguments", "said"), [
    (["check", "no-such-file.yaml"], "no-such-file.yaml cannot be read"),
    (["check"], "Missing argument"),
    (["check", "--on", "2026-02-30", str(DEMO)], "is no date"),
    (["check", "--as", "xml", str(DEMO)], "--as"),
    (["check", "--pack", "no-such-pack", str(DEMO)], 'there is no pack called "no-such-pack"'),
    (["check", "--pack", "./no/such/folder", str(DEMO)], "cannot be read"),
    (["chekc", str(DEMO)], 'Did you mean "check"?'),
    (["check", "--to", "/no/such/folder/out.txt", str(DEMO)], "cannot be written"),
    (["facts", str(DEMO), "no-such-wire"], 'Nothing called "no-such-wire"'),
    (["pack", "prove", "no-such-pack"], "no-such-pack"),
    (["pack", "words", "lenght"], "length"),
    (["check", "fixtures/nothing/here/"], "cannot be read"),
])
def test_bad_input_is_told_in_words_with_status_2(arguments: list[str], said: str) -> None:
    """To standard error, nothing on standard output."""
    done = tugtest(*arguments)
    assert done.returncode == 2, done.stdout + done.stderr
    assert said in " ".join(done.stderr.split()) and done.stdout == ""


def test_a_folder_without_descriptions_says_what_it_looked_for(tmp_path: Path) -> None:
    """Not a silent success over nothing."""
    done = tugtest("check", str(tmp_path))
    assert done.returncode == 2 and "holds no description" in " ".join(done.stderr.split())


@pytest.mark.parametrize("text", [b"", b"\xff\xfe\x00", b"tugtest: 1\n\x00", b"tugtest: [", b"- a\n", b"tugtest: 9\n", b"[" * 5000, b"a: &a [*a]\n",
                                  "tugtest: 1\ntitle: \u202eevil\x1b[31m\n".encode()])
def test_any_bytes_are_refused_in_words(text: bytes) -> None:
    """No traceback, no control character on the screen."""
    done = tugtest("check", "-", text=text)
    assert done.returncode == 2 and done.stderr
    assert "\x1b" not in done.stderr and "\u202e" not in done.stderr


def test_all_problems_of_all_files_come_in_one_run(tmp_path: Path) -> None:
    """A person fixes them in one go; the sound file is still surveyed."""
    (tmp_path / "a.yaml").write_text("tugtest: 1\ntitel: x\n", encoding="utf-8")
    (tmp_path / "b.yaml").write_text("tugtest: 1\nsystme: 12 V\n", encoding="utf-8")
    (tmp_path / "c.yaml").write_text(sample(), encoding="utf-8")
    done = tugtest("check", str(tmp_path))
    assert done.returncode == 2
    assert "titel" in done.stderr and "systme" in done.stderr and "Pump box" in done.stdout


def test_a_reader_that_stops_early_changes_nothing() -> None:
    """`tugtest check … | head -1`: no complaint, and the status still tells the outcome."""
    process = subprocess.Popen([sys.executable, "-m", "linter", "check", "--all", "--as", "html", str(DEMO)], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                               env=ENVIRONMENT, cwd=ROOT)
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    said = process.stderr.read()
    assert process.wait() == 1 and said == b""
    process.stderr.close()


def test_a_screen_that_cannot_show_a_sign_gets_an_escape() -> None:
    """An ASCII terminal is no reason to crash."""
    done = tugtest("check", str(DEMO), PYTHONUTF8="0", PYTHONIOENCODING="ascii", LC_ALL="C")
    assert done.returncode == 1


def test_check_imports_only_what_it_needs() -> None:
    """Start-up matters: what a check does not use it does not import."""
    code = ("import sys\nfrom linter.cli.app import tugtest\n"
            f"status = tugtest.main(['check', {str(DEMO)!r}], standalone_mode=False)\n"
            "heavy = {'jsonschema', 'lark', 'linter.reports.junit', 'linter.reports.sarif', 'linter.reports.html', 'asyncio', 'linter.language.mutate'}\n"
            "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=ENVIRONMENT, cwd=ROOT, check=False)
    assert done.stderr.strip() == "[]"


def test_the_version_and_help_are_there() -> None:
    """And name every command."""
    assert tugtest("--version").stdout.startswith("tugtest ")
    overview = tugtest("--help").stdout
    for command in ("check", "ask", "facts", "size", "pack"):
        assert command in overview and tugtest(command, "--help").returncode == 0


def test_ask_names_facts_and_how_to_find_them(tmp_path: Path) -> None:
    """On the README's sample, which leaves much open."""
    (tmp_path / "box.yaml").write_text(sample(), encoding="utf-8")
    done = tugtest("ask", str(tmp_path / "box.yaml"))
    assert done.returncode == 0 and "Copper or clad aluminium?" in done.stdout and "listed: " in done.stdout
    document = json.loads(tugtest("ask", "--as", "json", str(tmp_path / "box.yaml")).stdout)
    assert document["format"] == "tugtest questions" and document["sources"][0]["questions"]


def test_facts_show_their_working() -> None:
    """Formula, numbers, and how each is known."""
    done = tugtest("facts", str(DEMO), "W17")
    assert done.returncode == 0
    assert "corrected capacity  145.6 A" in done.stdout and "size  35 mm²" in done.stdout and "line " in done.stdout
    document = json.loads(tugtest("facts", "--as", "json", str(DEMO), "W17").stdout)
    capacity = next(f for f in document["elements"][0]["computed"] if f["word"] == "corrected-capacity")
    assert capacity["working"] and capacity["value"] == "145.6 A"


def test_our_own_pack_is_proved_and_tidy() -> None:
    """Its examples come out as they say; tidying changes nothing."""
    done = tugtest("pack", "prove", "--noticed", "80", "low-voltage-basics")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "as expected" in done.stdout
    assert tugtest("pack", "tidy", "--look", str(ROOT / "rules" / "low-voltage-basics")).returncode == 0


def test_tidying_moves_blanks_only(tmp_path: Path) -> None:
    """And the second time nothing."""
    card = tmp_path / "a.practice"
    card.write_text('limit   x-reach is 2 m\n allowed 1 m to 3 m stricter when lower because "A reason."\n', encoding="utf-8")
    before = card.read_text(encoding="utf-8").split()
    assert tugtest("pack", "tidy", str(card)).returncode == 0
    after = card.read_text(encoding="utf-8")
    assert after.split() == before
    assert tugtest("pack", "tidy", str(card)).returncode == 0 and card.read_text(encoding="utf-8") == after


def test_words_explain_the_vocabulary() -> None:
    """A kind, a word, and the overview."""
    assert "charge current at most" in tugtest("pack", "words", "battery").stdout
    searched = tugtest("pack", "words", "dead short").stdout
    assert "short-circuit-current" in searched and "rating" not in searched
    assert "Found by" in tugtest("pack", "words", "internal resistance").stdout
    assert "battery" in tugtest("pack", "words").stdout


def test_a_house_pack_beside_the_description_is_found_and_its_loosening_told(tmp_path: Path) -> None:
    """Named by the owner it may loosen; every report begins with that. Named by nobody it is refused."""
    home = tmp_path / "our-shop"
    home.mkdir()
    (home / "pack.yaml").write_text("title: Ours\nedition: 1\nspeaks: 1\nbuilds on: [low-voltage-basics edition 1.0]\n", encoding="utf-8")
    (home / "a.practice").write_text('lower power-wire-is-copper to notice because "All our wire is tinned." agreed by "workshop lead" until 2027-03-31\n',
                                     encoding="utf-8")
    named = sample().replace("packs: [low-voltage-basics]", "packs: [our-shop]\nhouse packs: [our-shop]")
    (tmp_path / "box.yaml").write_text(named, encoding="utf-8")
    done = tugtest("check", "--on", "2026-11-24", str(tmp_path / "box.yaml"))
    assert done.returncode in (1, 3), done.stderr
    assert "Note: power-wire-is-copper is lowered to notice by our-shop" in " ".join(done.stdout.split()) and "house pack" in done.stdout
    (tmp_path / "box.yaml").write_text(sample().replace("packs: [low-voltage-basics]", "packs: [our-shop]"), encoding="utf-8")
    refused = tugtest("check", "--on", "2026-11-24", str(tmp_path / "box.yaml"))
    assert refused.returncode == 2 and "not named as a house pack" in " ".join(refused.stderr.split())
