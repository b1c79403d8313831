"""Every limit on what strangers may make us do, with its name and default. One place, so that a report can name the limit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bound:
    """A named cap.

    Attributes:
        name: As a diagnostic says it.
        most: The default.
        meaning: What is counted.
    """

    name: str
    most: int
    meaning: str


FILE_BYTES = Bound("file size", 4_000_000, "bytes of one description file")
YAML_DEPTH = Bound("depth", 24, "levels of nesting in a description")
YAML_NODES = Bound("size of the text", 200_000, "values in a description, aliases counted as often as they are used")
TEXT_LENGTH = Bound("length of a text", 2_000, "characters of one value")
KEY_LENGTH = Bound("length of a key", 400, "characters of one key, which may name several wires")
NAME_LENGTH = Bound("length of a name", 60, "characters of one name")
PROBLEMS = Bound("number of problems", 300, "problems of one description told in one run")
ELEMENTS = Bound("number of elements", 40_000, "parts and wires of one installation")
STATES = Bound("number of states", 65_536, "operating states walked one by one")
STATE_NODES = Bound("number of states", 150_000, "nodes of the diagrams that hold sets of states too many to walk")
BANKS = Bound("number of banks", 24, "banks on one wiring, each looked at by itself")
PACK_BYTES = Bound("pack file size", 1_000_000, "bytes of one .practice file")
PACK_TOKENS = Bound("pack length", 200_000, "words and signs of one .practice file")
PACK_ITEMS = Bound("number of cards", 2_000, "limits, readings, practices and examples of a pack")
PACK_EXAMPLES = Bound("number of examples", 5_000, "examples of a pack")
EXAMPLE_PARTS = Bound("size of an example", 200, "things fitted in one example")
NESTING = Bound("nesting", 40, "brackets inside one another")
CHAIN = Bound("length of a chain", 200, "links of one operator, or of \"of\"")
CARD_NODES = Bound("size of a card", 2_000, "words of one formula")
SENTENCE = Bound("length of a sentence", 400, "characters between quotes")
QUANTIFIERS = Bound("quantifiers in one another", 3, "\"each\", \"there is\", \"total over\" nested")
READING_DEPTH = Bound("depth of readings", 8, "readings that use readings")
BUILDS_ON_DEPTH = Bound("depth of packs", 8, "packs that build on packs")
PACKS = Bound("number of packs", 32, "packs in one run")
PRACTICE_STEPS = Bound("work for one practice", 2_000_000, "formula nodes and wires visited")
RUN_STEPS = Bound("work for one run", 20_000_000, "formula nodes and wires visited")
INCLUDES = Bound("number of included files", 16, "files one description may bring in")
