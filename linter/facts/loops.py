"""N20: converters that feed themselves, in whichever state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linter.circuit.model import ALWAYS
from linter.facts.protection import doubtful
from linter.facts.registry import relation
from linter.language.world import Answer

if TYPE_CHECKING:
    from linter.facts.book import Book


@relation("feeds-itself-in", "charger")
def feeds_itself_in(book: Book, charger: str, _: str | None) -> Answer:
    """What it puts out comes back to its own input, through wires, other chargers, and inverters that shore chargers are plugged into."""
    network, space = book.network, book.space
    output = network.output(charger)
    entry = network.terminal(charger, "in positive")
    entries: dict[str, None] = {entry: None} if entry is not None else {}
    certain = True
    onward: dict[str, tuple[tuple[str, object], ...]] = {}
    for one in book.members("charger"):
        into, out = network.terminal(one, "in positive"), network.output(one)
        inverters = book.words("fed-by", one) if book.is_a(one, "shore-charger") else frozenset()
        plugged = [t for i in inverters if (t := network.terminal(i, "positive")) is not None]
        if one == charger:
            entries.update(dict.fromkeys(plugged))
        if out is None:
            continue
        guard = space.any_of(book.circuit.sources_awake.get(one, ALWAYS))
        for start in ([into] if into is not None else []) + plugged:
            onward[start] = (*onward.get(start, ()), (out, guard))
    if output is None or not entries:
        return Answer(book.nothing, book.surely_not(book.nothing), book.open_wiring)
    awake = space.any_of(book.circuit.sources_awake.get(charger, ALWAYS))
    sets = []
    for sure in (True, False):
        around = book.reach.onward({output: awake}, sure=sure, onward=onward)
        found = book.nothing
        for terminal in entries:
            found = found | around.get(terminal, book.nothing)
        sets.append(found & awake)
    yes = sets[0] if certain else book.nothing
    no = book.surely_not(sets[1])
    return Answer(yes, no, frozenset() if (yes | no) == book.everything else book.open_wiring | doubtful(book),
                  through=tuple(network.owner(t) for t in entries))
