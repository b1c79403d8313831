"""found and asked for "every way …": the bare way named once, with the device nearest the thing asked about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.language import saying
from linter.language import typed as t
from linter.language.sink import Line, Measured, Sink

if TYPE_CHECKING:
    from linter.language.tally import Env
    from linter.language.walk import Walker


def way_line(walker: Walker, node: t.Meets, env: Env, through: tuple[str, ...], sign: str, positive: bool, within: Measured | None, sink: Sink,
             note: str) -> Line:
    """One line for one question.

    Args:
        through: The bare (or doubtful) way, from where it starts.
        sign: yes, no or open: how it came out.
        note: What the World remarked: "no way between them".
    """
    limits = walker.compiler.limits
    noun = saying.kind(walker.compiler.kinds.get(node.device.kind), node.device.kind)
    own = list(env)
    own[node.device.slot] = f"the {noun}"
    pieces = saying.such(node.device.condition, node.device.slot, own, limits, walker) if node.device.condition is not None else []
    asked = f"{saying.article(saying.with_such(noun, pieces))} on every way"
    if within is not None and node.within is not None:
        asked += f" within {saying.value(within.value, walker.dimension(node.within), False)}"
        asked += f" ({saying.term(node.within, env, limits)})" if isinstance(node.within, t.LimitOf) else ""
    if not positive:
        asked = f"not {asked}"
    if sign == "yes":
        return Line(note or f"every way meets {saying.article(noun)}", asked)
    way = f"the way {' > '.join(through)}" if through else ""
    unfit = _unfit(walker, node, env, through, sign, sink) if node.device.condition is not None else []
    if unfit:
        # The one nearest the thing asked about decides: out of a post that is the first, into a wire the last.
        nearest = unfit[0] if node.form == "out of" else unfit[-1]
        return Line(f"{nearest}, {'the nearest' if len(unfit) > 1 else 'the only one'} on {way}", asked)
    if sign == "open":
        return Line(f"whether {way or 'every way'} meets {saying.article(noun)} is not known", asked)
    if not way:
        return Line(f"a way that meets no {noun}", asked)
    on_it = [element for element in through if walker.compiler_is(element, node.device.kind)]
    if on_it and within is not None:
        return Line(f"{on_it[0]} comes too late on {way}", asked)
    return Line(f"no {noun} on {way}", asked)


def _unfit(walker: Walker, node: t.Meets, env: Env, through: tuple[str, ...], sign: str, sink: Sink) -> list[str]:
    """What is wrong with each device on the way, in its order; for an open question only those that cannot be told."""
    condition = node.device.condition
    assert condition is not None
    found: list[str] = []
    own = list(env)
    for element in dict.fromkeys(through):
        if not walker.compiler_is(element, node.device.kind):
            continue
        own[node.device.slot] = element
        told = walker.formula(condition, own)
        how = "no" if told.no == walker.all else "yes" if told.yes == walker.all else "open"
        inner = Sink()
        told.decide(walker.all, how, inner, True)
        sink.used.update({ref: used for ref, used in inner.used.items() if ref not in sink.used})
        sink.limits.extend(inner.limits)
        if inner.lines and (how == "open" if sign == "open" else how != "yes"):
            found.append(" and ".join(dict.fromkeys(line.found for line in inner.lines)))
    return found
