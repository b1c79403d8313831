"""Whatever the bytes: diagnostics or a description, never an exception, and soon."""

from __future__ import annotations

import string
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linter.base import kinds
from linter.base.diagnostic import in_order
from linter.description import schema
from linter.description.build import describe
from linter.description.read import read_text
from linter.description.tree import Troubles
from tests.description.cases import GOOD

KINDS = dict(kinds.DESCRIPTION)
TEXTS = [path.read_text(encoding="utf-8") for path in GOOD]
PIECES = [
    "?",
    "none",
    "yes",
    "no",
    "on",
    "1,2 m",
    "-3 m",
    "4 to 3 m",
    "12 V",
    "[]",
    "{}",
    "[a, b]",
    "{a: b}",
    "&a",
    "*a",
    "!x",
    "like: B1",
    "kind: fuse",
    "\t",
    "'",
    '"',
    "}",
    "]",
    ":",
    ",",
    "-",
    "0 mm",
    "B1 positive",
    "F1",
    "F1 load",
    "engine runs",
    "K1 both",
    "\u202e",
    "\x00",
    "😀",
    "~",
    "null",
    "<<: *a",
    "---\n",
    "include: [x.yaml]",
    "is: 3 A",
    "2026-02-30",
    "9" * 50,
    "a" * 300,
    "| \n",
]


def holds(text: bytes) -> None:
    """Diagnostics of known kinds, sorted by place; a description exactly if nothing fatal was told; what is accepted the schema accepts."""
    described, diagnostics = describe(text, "any.yaml", lambda _: text)
    assert (described is None) == any(d.fatal for d in diagnostics)
    assert all(d.kind in KINDS and d.headline and d.at.line >= 1 and d.at.column >= 1 for d in diagnostics)
    assert diagnostics == in_order(diagnostics)
    for d in diagnostics:
        assert d.headline.isprintable() and (d.remedy is None or d.remedy.isprintable())
    if described is not None:
        tree = read_text(text, "any.yaml", Troubles()).tree
        assert tree is not None
        assert not [(list(e.absolute_path), e.message) for e in schema.errors(tree)]


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=400))
def test_any_bytes(text: bytes) -> None:
    """No bytes make an exception."""
    holds(text)


@settings(deadline=None, max_examples=300)
@given(st.text(alphabet=string.printable + "²°é\u0085\u2028\u202e", max_size=300))
def test_any_text(text: str) -> None:
    """No text makes an exception, with the head of a description before it or without."""
    holds(text.encode())
    holds(b"tugtest: 1\nlisted: so far\nparts:\n  B1: " + text.encode())


@settings(deadline=None, max_examples=250)
@given(st.data())
def test_a_sound_description_spoilt_at_random(data: st.DataObject) -> None:
    """Pieces cut out, doubled, or put in somewhere."""
    text = data.draw(st.sampled_from(TEXTS))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.integers(0, 60))
        what = data.draw(st.sampled_from(["cut", "double", "put in"]))
        piece = text[start : start + length]
        text = text[:start] + {"cut": "", "double": piece + piece, "put in": data.draw(st.sampled_from(PIECES)) + piece}[what] + text[start + length :]
    holds(text.encode())


@settings(deadline=None, max_examples=250)
@given(st.data())
def test_a_sound_description_with_lines_changed(data: st.DataObject) -> None:
    """Whole lines exchanged, dropped or repeated, values replaced: the slips of people."""
    lines = data.draw(st.sampled_from(TEXTS)).split("\n")
    for _ in range(data.draw(st.integers(1, 5))):
        one, other = data.draw(st.integers(0, len(lines) - 1)), data.draw(st.integers(0, len(lines) - 1))
        what = data.draw(st.sampled_from(["exchange", "drop", "repeat", "value", "key"]))
        key, colon, _ = lines[one].partition(": ")
        if what == "exchange":
            lines[one], lines[other] = lines[other], lines[one]
        elif what == "drop" and len(lines) > 1:
            del lines[one]
        elif what == "repeat":
            lines.insert(other, lines[one])
        elif what == "value" and colon:
            lines[one] = f"{key}: {data.draw(st.sampled_from(PIECES))}"
        elif what == "key" and colon:
            indent = len(key) - len(key.lstrip())
            lines[one] = (
                " " * indent
                + data.draw(st.sampled_from(["kind", "place", "like", "dial", "joins", "size", "hottest", "title", "parts", "B1"]))
                + lines[one][len(key) :]
            )
    holds("\n".join(lines).encode())


def _long(count: int, line: str, head: str = "", tail: str = "") -> bytes:
    return ("tugtest: 1\nlisted: so far\n" + head + "".join(line.format(n=n, next=n + 1) for n in range(count)) + tail).encode()


@pytest.mark.parametrize(
    "text",
    [
        _long(39_000, "  B{n}: {{kind: bus}}\n", "parts:\n"),
        _long(30_000, "  B{n}: {{like: B{next}}}\n", "parts:\n", "  B30000: {kind: bus}\n"),
        _long(30_000, "  B{n}: {{like: B{next}}}\n", "parts:\n"),
        _long(30_000, "  B{n}: {{like: B{next}}}\n", "parts:\n", "  B30000: {like: B0}\n"),
        _long(20_000, "  R{n}: {{kind: relay, closed when: R{next} closed}}\n", "parts:\n", "  R20000: {kind: relay}\n"),
        _long(20_000, "  R{n}: {{kind: relay, closed when: R{next} closed}}\n", "parts:\n", "  R20000: {kind: relay, closed when: R0 closed}\n"),
        _long(30_000, "  B{n}: {{kind: buss}}\n", "parts:\n"),
        _long(30_000, "  B{n}: {{kind: bus, place: p{n}}}\n", "places: {q: {}}\nparts:\n"),
        _long(30_000, "    - a, W{n} 1 m, b\n", "parts: {a: {kind: bus}, b: {kind: bus}}\nruns:\n  r:\n"),
        _long(30_000, "    - a, W{n} 1 m, c{n}\n", "parts: {a: {kind: bus}, b: {kind: bus}}\nruns:\n  r:\n"),
        _long(1_900, "    - " + "a " * 980 + "\n", "parts: {a: {kind: bus}, b: {kind: bus}}\nruns:\n  r:\n"),
        _long(1_900, "    - " + "a, " * 640 + "\n", "parts: {a: {kind: bus}, b: {kind: bus}}\nruns:\n  r:\n"),
        _long(30_000, "  W{n}: {{size: 2 mm²}}\n", "wires:\n"),
        _long(1_900, "  - " + "a and " * 320 + "\n", "together:\n"),
        _long(60_000, "  - [engine runs, sun gone]\n", "together:\n"),
        _long(30_000, "  - {{what: x}}\n", "attested:\n"),
        _long(9_000, "  K{n}: {{kind: selector, dial: [a, b, c, d], joins: {{a: [x, y], b: [z, y], c: none}}}}\n", "parts:\n"),
        _long(
            1,
            "  W1: {{size: 2 mm²}}\n" * 1,
            "parts: {a: {kind: bus}, b: {kind: bus}}\nruns: {r: ['a, W1 1 m, b']}\nwires:\n  " + "x" * 390 + ": {size: 2 mm²}\n",
        ),
        b"tugtest: 1\nlisted: so far\nplaces: &p {q: {vehicle: v}}\n"
        + b"defaults: {places: {vehicle: v}}\nattested: &a ["
        + b"{what: a, on: 2026-01-01, by: b, of: &o ["
        + b"q, " * 400
        + b"q]}, " * 1
        + b"]\n"
        + b"readings: ["
        + b"*o, " * 400
        + b"]\n",
    ],
    ids=[
        "parts",
        "likeness",
        "likeness to nobody",
        "ring of likeness",
        "relays",
        "ring of relays",
        "unknown kinds",
        "unknown places",
        "routes",
        "unknown ends",
        "long items",
        "many items",
        "wires",
        "long condition",
        "groups",
        "attested",
        "selectors",
        "long name",
        "aliases",
    ],
)
def test_long_descriptions_take_bounded_time(text: bytes) -> None:
    """Nothing grows with the square of the file: each takes a few seconds at most on a slow machine."""
    start = time.process_time()
    described, diagnostics = describe(text, "long.yaml")
    assert described is not None or diagnostics
    assert time.process_time() - start < 12


def test_the_honey_trailer_is_read_quickly() -> None:
    """Four hundred lines, read and built: 30 ms of our own time, thirty times that before the test complains."""
    text = next(t for p, t in zip(GOOD, TEXTS, strict=True) if p.parts[-2:] == ("honey-trailer", "installation.yaml")).encode()
    describe(text, "warm.yaml")
    start = time.process_time()
    describe(text, "trailer.yaml")
    assert time.process_time() - start < 1
