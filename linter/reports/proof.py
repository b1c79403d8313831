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
        lines += labelled("Card", survivor.card, width)
        lines.append("")
    if most is not None and len(proof.survivors) > most:
        lines += [f"and {plural(len(proof.survivors) - most, 'more planted fault')} that no example notices: `--all` shows them.", ""]
    if proof.survivors:
        lines += paragraph("Add an example that comes out otherwise with the sentence given here. If none can, excuse the fault in pack.yaml under "
                           "excused, with practice, change, because and card.", width)
        lines.append("")
    for lapsed in proof.lapsed:
        lines += [*paragraph(f"Excuse lapsed: {lapsed}.", width, hang=2), ""]
    shown = proof.unshown if everything else [one for one in proof.unshown if not one.open]
    practice = ""
    for one in shown[:None if everything else 3 * _SHORT]:
        if one.practice != practice:
            lines += [*([""] if practice else []), *two_ends(f"Not shown, of {one.practice}", f"{one.at.file}, line {one.at.line}", width)]
            practice = one.practice
        lines += [f"  {line}" for line in paragraph(one.situation, width - 2, hang=2)]
    if practice:
        lines.append("")
    lines += paragraph(f"{proof.name} edition {proof.edition}, content {proof.content[:12]}: {plural(proof.practices, 'practice')}, "
                       f"{plural(proof.examples, 'example')}, {proof.examples - len({s.example for s in proof.slips})} as expected; "
                       + (f"{plural(proof.faults, 'planted fault')}, {proof.faults - len(proof.survivors) - proof.excused} noticed"
                          + (f", {proof.excused} excused." if proof.excused else ".") if proof.faults else "no faults planted."),
                       width, hang=2)
    if proof.situations:
        unknown = sum(one.open for one in proof.unshown)
        other = len(proof.unshown) - unknown
        lines += paragraph(f"{proof.situations - len(proof.unshown)} of {proof.situations} situations shown; not shown: {other} in which a condition holds "
                           f"or does not, {unknown} in which it cannot be told" + ("." if everything or not unknown else " (`--all` lists them)."),
                           width, hang=2)
    if proof.untried:
        lines += paragraph(f"Without an example: {', '.join(proof.untried[:20])}" + (f" and {len(proof.untried) - 20} more" if len(proof.untried) > 20 else "")
                           + ".", width, hang=2)
    return one_ending(lines)
