"""The handbook: every card is in it, in plain words; nothing a pack says can act in a page; it is one file without script."""

from __future__ import annotations

import datetime
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from linter.packs.editions import together
from linter.packs.handbook import Handbook, handbook
from linter.reports.handbook_html import html
from linter.reports.handbook_markdown import markdown

ROOT = Path(__file__).resolve().parents[2]
ON = datetime.date(2026, 11, 24)
HOUSE = str(ROOT / "fixtures" / "house-pack" / "our-yard")
HOSTILE = """\
pack shady edition 1.0 speaks 1
  says "</p><script>alert(1)</script> *bold* | cell"
done
limit most-ah is 100 Ah allowed 50 Ah to 200 Ah stricter when lower
  because "<img src=x onerror=alert(2)>"
practice small-batteries
  says "<b>Batteries</b> are small. [link](http://x) & more"
  look at each battery B
  require capacity of B at most most-ah
  weight caution
  because "javascript:alert(3)"
  follows "# not a heading"
  remedy "|a|b|"
  rests on "</pre></section><h1>" trade
done
example shady-one
  says "<style>*{display:none}</style>"
  tries small-batteries
  fitted
    battery B1 has capacity 100 Ah
    that is everything
  expect B1 met
done
"""


def made(*packs: str) -> Handbook:
    """The handbook of packs by name or folder."""
    names, effect, told = together(packs, ON)
    assert effect is not None, told
    return handbook(effect, names)


@pytest.fixture(scope="module")
def basics() -> Handbook:
    return made("low-voltage-basics")


class Page(HTMLParser):
    """Counts tags and checks that they nest."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: dict[str, int] = {}
        self.ids: list[str] = []
        self.links: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] = self.tags.get(tag, 0) + 1
        given = dict(attrs)
        assert not any(name.startswith("on") or name == "src" for name in given), (tag, given)
        self.ids += [value for name, value in attrs if name == "id" and value]
        self.links += [value for name, value in attrs if name == "href" and value]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, (tag, self.open[-5:])
        self.open.pop()


def test_every_practice_is_in_it_with_all_a_reader_wants(basics: Handbook) -> None:
    """Statement, why, plain words, what to find out, examples, sources."""
    entries = [entry for chapter in basics.chapters for entry in chapter.entries]
    assert len(entries) > 40
    for entry in entries:
        assert entry.says and entry.because and entry.follows and entry.remedy and entry.plain.looks and entry.plain.demand.text, entry.name
        assert entry.rests and entry.examples, entry.name
        assert {outcome for example in entry.examples for _, outcome, _ in example.comes} >= {"met", "not met"}, entry.name


def test_plain_words_hold_no_tag_and_no_signs(basics: Handbook) -> None:
    """An author's capital tags, hyphened words and slots are of no use to a reader."""
    for chapter in basics.chapters:
        for entry in chapter.entries:
            lines = [entry.plain.looks, *(text for _, text in entry.plain.demand.lines()), *(how for _, how in entry.plain.figures)]
            lines += [text for _, text in entry.plain.passing.lines()] if entry.plain.passing is not None else []
            for line in lines:
                assert "something not known" not in line and "None" not in line, (entry.name, line)
                assert not re.search(r"\bof [A-Z]\d?\b", line), (entry.name, line)


def test_a_card_in_plain_words(basics: Handbook) -> None:
    """One whole, so that a change of wording is seen."""
    entry = next(entry for chapter in basics.chapters for entry in chapter.entries if entry.name == "fuse-close-to-source")
    assert entry.plain.looks == "each battery"
    assert list(entry.plain.demand.lines()) == [(0, "every way out of the positive of the battery, leaving out each wire that is untouched factory loom, "
                                                    "meets a fuse or breaker within 200 mm (limit fuse-reach)")]
    assert ("length", "How long is it?", "string along the way, then a tape") in [(a.key, a.question, a.how) for a in entry.asked]


def test_one_file_without_script_well_formed(basics: Handbook) -> None:
    """Nothing is fetched, every link leads to a place inside."""
    text = html(basics)
    page = Page(text)
    assert not page.open and "script" not in page.tags and "link" not in page.tags and "img" not in page.tags
    assert "default-src 'none'" in text
    assert len(page.ids) == len(set(page.ids))
    assert all(link.startswith("#") and link[1:] in page.ids for link in page.links)
    assert page.tags["section"] == sum(len(chapter.entries) for chapter in basics.chapters)
    assert page.tags["figure"] == sum(len(entry.examples) for chapter in basics.chapters for entry in chapter.entries)


def test_a_limit_shows_every_pack_that_set_it() -> None:
    """The chain, with who agreed and until when; the house pack's changes first."""
    book = made(HOUSE)
    reach = next(limit for limit in book.limits if limit.name == "fuse-reach")
    assert [(step.pack, step.text) for step in reach.chain] == [("low-voltage-basics", "200 mm"), ("our-yard", "150 mm")]
    for text in (html(book), markdown(book)):
        assert "150 mm" in text and "foreman of the yard" in text and "2027-03-31" in text
    assert book.changes and book.changes[0].startswith("vital-drop is loosened")
    assert {entry.pack for chapter in book.chapters for entry in chapter.entries} == {"our-yard"}


def test_nothing_a_pack_says_acts(tmp_path: Path) -> None:
    """Sentences of a stranger are printed as they stand, in both forms."""
    folder = tmp_path / "shady"
    folder.mkdir()
    (folder / "pack.yaml").write_text('title: "<svg onload=alert(4)>"\nedition: "1.0"\nspeaks: 1\nnote: "<script>"\n', encoding="utf-8")
    (folder / "shady.practice").write_text(HOSTILE, encoding="utf-8")
    book = made(str(folder))
    page = Page(html(book))
    assert not page.open and not {"script", "img", "svg"} & page.tags.keys()
    assert page.tags["style"] == 1 and page.tags["h1"] == 1 and page.tags["section"] == 1
    text = markdown(book)
    assert "<" not in text.replace("\\<", "") and not re.search(r"(?<!\\)\]\(", text)
    assert not any(line.startswith("# not") for line in text.splitlines())
    assert all(line.count("|") - line.count("\\|") in (0, 3, 4, 5, 6, 9) for line in text.splitlines())


def test_examples_like_another_show_only_what_differs(basics: Handbook) -> None:
    """Short tables; the first one is whole."""
    entry = next(entry for chapter in basics.chapters for entry in chapter.entries if entry.name == "fuse-close-to-source")
    first, second = entry.examples[:2]
    assert not first.like and len(first.rows) > 3
    assert second.like == first.name and len(second.rows) == 1
    assert ("wire W1", "length 150 mm, rated current 120 A, from B1 positive to F1 line") in first.rows
