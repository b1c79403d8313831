"""How the cost grows with the number of independent selectors: reach, protection and ways, over all states.

Run by hand: `python -m tests.benchmarks.many_selectors`. Each selector has three positions, so forty of them stand in 3^40 ways.
"""

from __future__ import annotations

import time

from linter.base.truth import Truth
from linter.circuit.model import Circuit
from linter.facts.book import Book
from linter.facts.protection import unprotected
from linter.language.world import Ways
from tests.circuits import circuit, part

JOINS = {"one": (("common", "a"),), "two": (("common", "b"),), "off": ()}


def fan(number: int) -> Circuit:
    """Two batteries and a bar; from it `number` fused branches, each through a selector to one of two loads; the last ones chained bar to bar."""
    things = [part("B1", "battery"), part("B2", "battery"), part("bar", "bus"), part("FB1", "fuse", rating=200), part("FB2", "fuse", rating=200)]
    routes = ["B1 positive, WB1 0.2 m, FB1, WB1b 0.5 m, bar", "B2 positive, WB2 0.2 m, FB2, WB2b 0.5 m, bar"]
    wires: dict[str, dict[str, object]] = {"WB1 WB2 WB1b WB2b": {"corrected_capacity": 250, "area": 7e-5}}
    here = "bar"
    for i in range(number):
        things += [
            part(f"K{i}", "selector", dial=list(JOINS), joins=JOINS, changes="make before break"),
            part(f"F{i}", "fuse", rating=30 if i % 7 else 60),
            part(f"L{i}", "load"),
            part(f"M{i}", "load"),
            part(f"J{i}", "junction"),
        ]
        routes += [
            f"{here}, 0 mm, F{i}, Wa{i} 2 m, K{i} common",
            f"K{i} a, Wb{i} 1 m, J{i}",
            f"J{i}, Wc{i} 1 m, L{i} positive",
            f"K{i} b, Wd{i} 1 m, M{i} positive",
        ]
        wires[f"Wa{i} Wb{i} Wc{i} Wd{i}"] = {"corrected_capacity": 40, "area": 6e-6}
        # Every fourth branch goes on to the next bar, so that selectors stand in rows as well as side by side; some close rings.
        if i % 4 == 3:
            things.append(part(f"bar{i}", "bus"))
            routes += [f"J{i}, 0 mm, bar{i}"]
            if i % 8 == 7:
                routes += [f"J{i - 4}, Wr{i} 1 m, bar{i}"]
                wires[f"Wr{i}"] = {"corrected_capacity": 40, "area": 6e-6}
            here = f"bar{i}"
    return circuit(things, routes, wires=wires)


def ask(made: Circuit) -> tuple[dict[str, float], Book]:
    """Seconds per kind of question, each for every conductor or load."""
    took: dict[str, float] = {}
    started = time.perf_counter()
    book = Book(made)
    took["open"] = time.perf_counter() - started
    questions = {
        "reach": lambda: [book.relation("fed-in", load, None) for load in book.members("load")],
        "both ends": lambda: [book.reading("fed-from-both-ends", c) for c in book.members("conductor")],
        "protection": lambda: [unprotected(book, c) for c in book.members("conductor")],
        "ways": lambda: [
            book.ways(
                Ways(
                    "into",
                    book.network.outputs(book.network.batteries),
                    (c,),
                    meets={f: Truth.YES if f != "F0" else Truth.UNKNOWN for f in book.members("fuse")},
                )
            )
            for c in book.members("conductor")
        ],
        "turning": lambda: [book.reading("turns-safely", k) for k in book.members("selector")[:4]],
        "through": lambda: [book.reading("through-current", c) for c in book.members("conductor")[:20]],
        "words": lambda: [book.describe_states(unprotected(book, c)[0]) for c in book.members("conductor")],
    }
    for name, question in questions.items():
        started = time.perf_counter()
        for _ in range(1):
            book.begin()
            question()
        took[name] = time.perf_counter() - started
    return took, book


def main() -> None:
    """Prints a table."""
    before: dict[str, float] = {}
    for number in (5, 10, 20, 40):
        took, book = ask(fan(number))
        states = book.count(book.everything)
        print(
            f"{number:3d} selectors, {float(states or 0):.2g} states: "
            + ", ".join(
                f"{name} {seconds * 1000:.0f} ms" + (f" (x{seconds / before[name]:.1f})" if before.get(name, 0) > 1e-4 else "")
                for name, seconds in took.items()
            )
        )
        before = took


if __name__ == "__main__":
    main()
