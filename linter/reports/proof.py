"""How a pack stood up to its own examples and to planted faults."""

from __future__ import annotations

from linter.packs.proving import Proof
from linter.reports import one_ending
from linter.reports.page import WIDTH, labelled, paragraph, two_ends
from linter.reports.phrases import plural

_SHORT = 8


def text(proof: Proof, *, everything: bool = False, width: int = WIDTH) -> str:
    """What went wrong first, each with its card's place; then the count.

    Args:
        proof: Of one pack.
        everything: All planted faults that nobody noticed, not only the first few.
        width: Columns of the screen.
    """
    most = None if everything else _SHORT
    lines: list[str] = []
    for slip in proof.slips:
        lines += two_ends(f"Example {slip.example}", f"{slip.at.file}, line {slip.at.line}", width)
        lines += labelled("Tries", slip.practice, width)
        lines += labelled("Expected", slip.expected, width)
        lines += labelled("Came out", slip.came, width)
        lines.append("")
    for survivor in proof.survivors[:most]:
        lines += two_ends(f"No example notices: {survivor.change}", f"{survivor.at.file}, line {survivor.at.line}", width)
        lines += labelled("Practice", survivor.practice, width)
        lines += labelled("Instead", survivor.sentence, width)
        lines.append("")
    if most is not None and len(proof.survivors) > most:
        lines += [f"and {plural(len(proof.survivors) - most, 'more planted fault')} that no example notices: `--all` shows them.", ""]
    lines += paragraph(f"{proof.name} edition {proof.edition}, content {proof.content[:12]}: {plural(proof.practices, 'practice')}, "
                       f"{plural(proof.examples, 'example')}, {proof.examples - len({s.example for s in proof.slips})} as expected; "
                       + (f"{plural(proof.faults, 'planted fault')}, {proof.faults - len(proof.survivors)} noticed." if proof.faults else "no faults planted."),
                       width, hang=2)
    if proof.untried:
        lines += paragraph(f"Without an example: {', '.join(proof.untried[:20])}" + (f" and {len(proof.untried) - 20} more" if len(proof.untried) > 20 else "")
                           + ".", width, hang=2)
    return one_ending(lines)
