"""The loop between a thing and a bank: what all its batteries share, and what each has to itself."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from linter.base.gap import FactRef
from linter.base.values import INF, Range
from linter.facts.demands import EdgeCost
from linter.facts.trunks import first_way, lone_edges, post_of, share_of

if TYPE_CHECKING:
    from linter.facts.book import Book

Loop = tuple[Range, frozenset[FactRef]]


def side_by_side(parts: list[float]) -> float:
    """Resistance of branches side by side; of none, no end. [Ω]"""
    if any(p <= 0 for p in parts):
        return 0.0
    total = sum(0.0 if p == INF else 1 / p for p in parts)
    return INF if total <= 0 else 1 / total


def split_ways(book: Book, start: str | None, batteries: Iterable[str], pole: str) -> tuple[tuple[int, ...], dict[str, tuple[int, ...]]]:
    """Edges from a terminal to one pole of the batteries of a bank: those all of them share, from the terminal on, and each battery's own. A battery
    without a way is left out. Which way is told does not rest on what it costs."""
    ways: dict[str, tuple[int, ...]] = {}
    for battery in batteries:
        post = book.network.terminal(battery, pole)
        if start is None or post is None:
            continue
        states = book.reach.between(post, start, sure=False)
        found = first_way(book, start, post, states) if states != book.nothing else None
        if found is not None:
            ways[battery] = found
    common = 0
    drawn = list(ways.values())
    while drawn and all(len(way) > common and way[common] == drawn[0][common] for way in drawn):
        common += 1
    return (drawn[0][:common] if drawn else ()), {b: way[common:] for b, way in ways.items()}


def loop_to_bank(book: Book, thing: str, group: tuple[str, ...], inner: dict[str, Range], cost: EdgeCost, *, lead: bool = True) -> Loop | None:
    """Resistance from a thing's posts to a bank and back, batteries included; None where no positive way is drawn. [Ω]

    Args:
        book: Of facts.
        thing: Load or charger.
        group: Batteries always joined.
        inner: Of each battery. [Ω]
        cost: Of an edge.
        lead: Whether the wires count; with remote sense they do not.
    """
    shared, own = split_ways(book, post_of(book, thing, "positive"), group, "positive")
    if not own:
        return None
    back, own_back = split_ways(book, post_of(book, thing, "negative"), own, "negative")
    wants: set[FactRef] = set()
    alone = lone_edges(book)

    def total(edges: tuple[int, ...]) -> Range:
        low = high = 0.0
        for edge in edges:
            ohm, asks = cost(edge)
            share, more = share_of(book, edge)
            wants.update(asks | more)
            low += ohm.low * share.low if edge in alone else 0.0
            high += 0.0 if ohm.high == 0 or share.high == 0 else ohm.high * share.high
        return Range(low, high)

    lows, highs = [], []
    for battery, edges in own.items():
        # Branches of a bank lie side by side, so each has another way round it: it is its own resistance that counts here.
        parts = [cost(e) for e in (*edges, *own_back.get(battery, ()))]
        wants.update(w for _, asks in parts for w in asks)
        lows.append(inner[battery].low + (sum(r.low for r, _ in parts) if lead else 0.0))
        highs.append(inner[battery].high + (sum(r.high for r, _ in parts) if lead else 0.0))
    out, home = total(shared), total(back)
    if not own_back:
        # No return drawn: somewhere between nothing and as much again.
        home = Range(0.0, out.high)
        wants.add(FactRef("", "every conductor"))
    if not lead:
        out = home = Range(0.0, 0.0)
    return Range(side_by_side(lows) + out.low + home.low, side_by_side(highs) + out.high + home.high), frozenset(wants)
