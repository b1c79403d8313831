"""The first house pack: what `tugtest begin --practice` lays out. Texts only; writing them is the command's business."""

from __future__ import annotations

from linter.packs.manifest import NAME

BASICS = "low-voltage-basics"

_MANIFEST = """\
pack: {name}
title: {title}
edition: "0.1"
speaks: 1
says: How we build, on top of generic practice.
builds on:
  - {basics} edition {edition}
licence: Our own words.
sources:
  - {{title: Our own habit, edition: "first", status: trade}}
"""

_CARDS = """\
# {title}. What a line beginning with # says is for people only.
# `tugtest pack words` lists every word that may be used, `tugtest pack words conductor` what may be said of a wire.

pack {name} edition 0.1 speaks 1
  says "How we build, on top of generic practice."
  builds on {basics} edition {edition}
done

# A limit of the pack below, made stricter. Take the # away to put it in force.
# tighten fuse-reach to 150 mm
#   because "Every vehicle we build has room for a fuse on the post."

# A limit of our own: a number others may move inside its band.
limit thinnest-wire is 1.5 mm2 allowed 0.5 mm2 to 4 mm2 stricter when higher
  because "Thinner wire breaks at the crimp before it is ever overloaded."

# A practice of our own. Name it as it should be: short, positive, true of a sound installation.
practice wire-thick-enough-to-crimp
  says "No wire we run is too thin to crimp well."
  look at each conductor C
  passing over C is factory
  require area of C at least thinnest-wire
  weight notice
  because "A thin wire breaks where the crimp ends, long before it is overloaded."
  follows "Run nothing thinner than what the crimping tool was made for."
  remedy "Run a thicker wire."
  rests on "What came back to our shop" trade
done
"""

_EXAMPLES = """\
# One example met at the limit, one not met, one that cannot be told, one passed over. `tugtest pack prove` runs them.

example wire-at-the-limit
  says "Exactly as thick as asked for."
  tries wire-thick-enough-to-crimp
  fitted
    battery B1 has capacity 100 Ah
    load L1 has current 2 A
    conductor W1 has length 2 m, size 1.5 mm2, factory no, runs from positive of B1 to positive of L1
    that is everything
  expect W1 met found 1.5 mm2
done

example wire-a-size-below
  says "One size thinner."
  tries wire-thick-enough-to-crimp like wire-at-the-limit
  fitted
    conductor W1 has size 1 mm2
  expect W1 not met found 1 mm2
done

example wire-not-measured
  says "Nobody looked how thick it is."
  tries wire-thick-enough-to-crimp like wire-at-the-limit
  fitted
    conductor W1 has size unknown
  expect W1 cannot tell wanting size of W1
done

example wire-of-the-factory
  says "The loom the vehicle came with is not ours to judge."
  tries wire-thick-enough-to-crimp like wire-a-size-below
  fitted
    conductor W1 has factory yes
  expect W1 does not apply
done
"""


def is_name(name: str) -> bool:
    """Whether a pack may be called so."""
    return bool(NAME.match(name))


def beginning(name: str, edition: str) -> dict[str, str]:
    """Files of a first house pack: name to text.

    Args:
        name: Of the pack; a word of the practice language.
        edition: Of the basics it builds on.

    Raises:
        ValueError: the name is no word.
    """
    if not is_name(name):
        raise ValueError(name)
    words = {"name": name, "title": name.replace("-", " ").capitalize(), "basics": BASICS, "edition": edition}
    return {"pack.yaml": _MANIFEST.format(**words), "cards.practice": _CARDS.format(**words), "examples.practice": _EXAMPLES.format(**words)}
