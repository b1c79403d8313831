"""Text to cards. Never raises on a bad pack: everything wrong with it comes back as diagnostics, all at once, in file order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from linter.base import bounds
from linter.base.diagnostic import Diagnostic, in_order
from linter.language import complaint, prescan
from linter.language import syntax as s
from linter.language.prescan import Odd
from linter.language.shape import Shaper
from linter.language.tables import END, Token, Unexpected, drive, tokens_of

MOST_DIAGNOSTICS = 200


def parse_pack(text: bytes | str, file: str, examples: bool = True) -> tuple[s.Pack | None, list[Diagnostic]]:
    """One file of a pack.

    Args:
        text: Its bytes, or text that was decoded strictly.
        file: As the reader should see it named.
        examples: False leaves the examples out without reading them.

    Returns:
        The cards that could be read, and what is wrong with the rest. None when nothing could be read at all.
    """
    if isinstance(text, str):
        try:
            text = text.encode("utf-8")
        except UnicodeEncodeError:
            return None, [Diagnostic("pack-not-text", "this is not plain text in UTF-8", s.Source(file, "").span(0))]
    decoded, fault = prescan.decode(text)
    source = s.Source(file, decoded)
    if fault is not None:
        return None, [_told(fault, source)]
    odd = prescan.characters(decoded)
    if odd and odd[0].headline.startswith("an invisible byte-order") and odd[0].at == 0:
        decoded = " " + decoded[1:]
        source = s.Source(file, decoded)
    scanned = decoded if examples else prescan.without_examples(decoded)
    tokens, more = _tokens(scanned)
    odd = [*odd, *more]
    if len(tokens) > bounds.PACK_TOKENS.most:
        return None, [_told(prescan.too_much(bounds.PACK_TOKENS, len(tokens), 0), source)]
    pack, more = _items(tokens, source, [o.at for o in odd], len(scanned))
    found = in_order([_told(o, source) for o in (*odd, *more)])
    if len(found) > MOST_DIAGNOSTICS:
        left = len(found) - MOST_DIAGNOSTICS
        found = [*found[:MOST_DIAGNOSTICS], Diagnostic("pack-order", f"{left} more faults like these", found[MOST_DIAGNOSTICS].at)]
    return pack, found


def joined(packs: Iterable[s.Pack]) -> s.Pack:
    """The files of one pack as one. The first head counts; a second one is for `check` to complain about."""
    parts = list(packs)
    return s.Pack(
        next((p.head for p in parts if p.head), None), tuple(x for p in parts for x in p.limits), tuple(x for p in parts for x in p.readings),
        tuple(x for p in parts for x in p.practices), tuple(x for p in parts for x in p.examples), tuple(x for p in parts for x in p.house),
        tuple(x for p in parts for x in p.sources))


def _told(odd: Odd, source: s.Source) -> Diagnostic:
    return Diagnostic(odd.kind, odd.headline, source.span(odd.at), remedy=odd.remedy)


def _tokens(text: str) -> tuple[list[Token], list[Odd]]:
    tokens, _, stopped = tokens_of(text)
    odd: list[Odd] = []
    while stopped is not None:
        fault, go_on = complaint.unreadable(text, stopped)
        # A strange character was already named by the first look at the text.
        if fault.kind:
            odd.append(fault)
        if len(odd) > MOST_DIAGNOSTICS * 2:
            break
        more, _, stopped = tokens_of(text, go_on)
        tokens.extend(more)
    return tokens, odd


def _items(tokens: list[Token], source: s.Source, broken: list[int], length: int) -> tuple[s.Pack | None, list[Odd]]:
    """Cuts the text at the words that open an item and parses each by itself."""
    odd: list[Odd] = []
    starts = [i for i, token in enumerate(tokens) if token[0] in complaint.STARTERS]
    if tokens and (not starts or starts[0] > 0):
        first = tokens[0]
        odd.append(Odd("pack-order", f'found "{first[1][:40]}" where a card should begin',
                       "A file holds pack, limit, reading, practice and example cards.", first[2]))
    if len(starts) > bounds.PACK_ITEMS.most + bounds.PACK_EXAMPLES.most:
        return None, [prescan.too_much(bounds.PACK_ITEMS, len(starts), tokens[starts[0]][2])]
    actions = Shaper(source).actions
    heads: list[s.Head] = []
    made: dict[str, list[Any]] = {"Limit": [], "ReadingCard": [], "Practice": [], "Example": [], "House": []}
    broken = sorted(broken)
    skip = False
    for number, first_index in enumerate(starts):
        last_index = starts[number + 1] if number + 1 < len(starts) else len(tokens)
        item = tokens[first_index:last_index]
        following = tokens[last_index] if last_index < len(tokens) else None
        end = following[2] if following else length
        if skip:
            skip = False
            continue
        if any(item[0][2] <= at < end for at in broken):
            continue
        cap = prescan.caps(item)
        if cap is not None:
            odd.append(cap)
            continue
        start = "pack_head" if item[0][0] == "PACK" else "item"
        try:
            node = drive(item, (END, "", end), start, actions)
        except Unexpected as fault:
            place = next((i for i, token in enumerate(item) if token is fault.token), len(item))
            told = complaint.unexpected(fault, item[place - 1] if place else None, item[0], following)
            # `limit reading is …`: the fixed word opened an item of its own; that one needs no second complaint.
            skip = fault.token[0] == END and told.kind == "pack-reserved"
            odd.append(told)
            continue
        if isinstance(node, s.Head):
            if heads:
                odd.append(Odd("pack-order", "a second pack begins in this file", "One file holds cards of one pack.", node.at))
            heads.append(node)
        else:
            made[type(node).__name__].append(node)
    pack = s.Pack(heads[0] if heads else None, tuple(made["Limit"]), tuple(made["ReadingCard"]), tuple(made["Practice"]), tuple(made["Example"]),
                  tuple(made["House"]), (source,))
    return pack, odd
