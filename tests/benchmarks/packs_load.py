"""How long 200 practices with 400 examples take to load: parse, then check; beside parsing the same text with a bare lark LALR parser.

Run: python tests/benchmarks/packs_load.py [N]

Prints the best of N. The bare parser is lark's own, on our grammar, building its plain tree and nothing else; ours builds the cards, keeps every place
and leaves out nothing a diagnostic needs.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from linter import shelf  # noqa: E402
from linter.language.build_tables import STARTS  # noqa: E402
from linter.language.check import check_packs  # noqa: E402
from linter.language.parse import parse_pack  # noqa: E402

PRACTICES = 200
CARD = '''
practice trial-{n}
  says "Trial {n}: no fuse is above what its wire carries."
  look at each conductor C with (C is positive-side)
  passing over C is factory or length of C at most {n}.5 mm
  require (every way from each source S with (S is hard) into C
            meets a protection F with (rating of F at most corrected-capacity of C times margin)
        or unfused-length of C at most reach)
      and (largest of (rating of G) over each fuse G at most {n} A plus 500 A
        or there is a load L with (C is attached-to L and feed-current of L at most corrected-capacity of C))
  weight warning
  because "With a fuse above what it carries the wire is the weakest part."
  follows "Every source that feeds a conductor does so through a device sized for it."
  remedy "Fit a smaller fuse or a thicker wire."
  figure "largest fuse" is corrected-capacity of C times margin
  rests on "Ohm's law" computed
done
example trial-{n}-good
  says "A fuse within the wire."
  tries trial-{n}
  fitted
    battery B1 has chemistry lithium-iron-phosphate, capacity 100 Ah
    fuse F1 has rating 60 A, line bolted to positive of B1
    conductor W1 has length 2 m, size 16 mm2, insulation 105 degC, runs from load of F1 to positive of L1
    load L1 has current 30 A, vital no
    conductor W2 has length 2 m, size 16 mm2, insulation 105 degC, runs from negative of L1 to negative of B1
    installation has coldest -10 degC, system-voltage 12 V
    that is everything
  expect W1 met
done
example trial-{n}-bad
  says "A fuse far above it."
  tries trial-{n} like trial-{n}-good
  fitted
    fuse F1 has rating 400 A
  expect W1 not met
done
'''
HEAD = '''pack trial edition 1.0 speaks 1
  says "Made for measuring."
done
limit margin is 100 % allowed 50 % to 120 % stricter when lower
  because "A reason."
limit reach is 200 mm allowed 50 mm to 1800 mm stricter when lower
  because "A reason."
'''


def best(work: Callable[[], object], runs: int) -> float:
    """Seconds of the fastest of several."""
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def main() -> None:
    """Measures and prints."""
    import lark

    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    cards = [CARD.replace("{n}", str(n)) for n in range(1, PRACTICES + 1)]
    text = HEAD + "".join(cards)
    pack, told = parse_pack(text, "trial.practice")
    assert pack is not None and not told, [one.headline for one in told][:5]
    checked, told = check_packs([pack])
    assert not any(one.fatal for one in told), [one.headline for one in told if one.fatal][:5]
    assert len(checked.practices) == PRACTICES and len(checked.examples) == 2 * PRACTICES

    parser = lark.Lark(shelf.text("practice.lark"), parser="lalr", lexer="basic", start=list(STARTS), maybe_placeholders=False)
    items = [("pack_head", HEAD.split("limit")[0])]
    for piece in [HEAD[len(items[0][1]):], *cards]:
        lines = piece.split("\n")
        starts = [i for i, line in enumerate(lines) if line.startswith(("practice ", "example ", "limit "))]
        items += [("item", "\n".join(lines[a:b])) for a, b in zip(starts, [*starts[1:], len(lines)], strict=True)]

    def bare() -> None:
        for start, item in items:
            parser.parse(item, start=start)

    parse = best(lambda: parse_pack(text, "trial.practice"), runs)
    check = best(lambda: check_packs([pack]), runs)
    lalr = best(bare, runs)
    print(f"{PRACTICES} practices, {2 * PRACTICES} examples, {len(text) / 1000:.0f} kB; best of {runs}")
    print(f"parse                     {parse * 1000:7.0f} ms")
    print(f"check                     {check * 1000:7.0f} ms")
    print(f"bare lark LALR parser     {lalr * 1000:7.0f} ms")
    print(f"parse over bare           {parse / lalr:7.2f}")
    print(f"parse and check over bare {(parse + check) / lalr:7.2f}")


if __name__ == "__main__":
    main()
