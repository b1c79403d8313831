"""How the cost of facts grows with the size of an installation: 30, 300, 3,000 and 30,000 runs; time, fitted exponent, peak memory;
once with every bank an island, once with all banks linked by fused tie cables, where everything is one wiring and any bank may stand alone.

Run by hand: `python -m tests.benchmarks.facts_growth [largest]`. Time is processor time. Every size is worked
out in a process of its own, so that peak memory is its own.
"""

from __future__ import annotations

import json
import math
import resource
import subprocess
import sys
import time

from linter.circuit.model import Circuit
from linter.facts.book import Book
from tests.circuits import circuit, part

# Loads on one sub-bar, sub-bars on one bank: a long trailer park rather than one bar with thousands of studs.
LOADS, BARS = 5, 6
WORDS = {
    "conductor": ("corrected-capacity", "worst-current", "unfused-length", "fed-from-both-ends", "through-current", "far-end-multiple", "limited-sum",
                  "other-return-capacity", "overload-possible", "has-twin", "outlasts-its-fuse"),
    "protection": ("usable-rating", "load-share", "prospective-short", "breaking-capacity", "upstream-multiple"),
    "load": ("feed-current", "drop-share", "start-voltage", "lowest-voltage"),
    "battery": ("battery-short", "bank-charge-limit", "share-ratio"),
    "charger": ("charge-arriving",),
}


def park(runs: int, *, linked: bool = False) -> Circuit:
    """Banks with their bars, sub-bars and fused loads, out and back; every bank has an isolator and a charger.

    Args:
        runs: How many, about.
        linked: Whether each bank's bars are joined with the next bank's by fused tie cables, or the banks are islands.
    """
    things = []
    routes: list[str] = []
    wires: dict[str, dict[str, object]] = {}
    thick, thin = [], []
    number = bank = 0
    while number < runs:
        b = f"b{bank}"
        things += [part(f"{b}B", "battery", chemistry="AGM lead-acid", capacity=100 * 3600.0, short_circuit_current=3000, internal_resistance=0.01,
                        rest_voltage=12.8, floor_voltage=11.8, charge_current_at_most=20),
                   part(f"{b}F", "fuse", family="class T", rating=225, place_of="box"), part(f"{b}I", "switch", isolator=True),
                   part(f"{b}bar", "bus"), part(f"{b}neg", "bus", common_negative=True),
                   part(f"{b}C", "shore-charger", isolated=True, output_current_at_most=15, absorption=14.4, efficiency=0.9),
                   part(f"{b}CF", "fuse", family="terminal cube", rating=30, place_of="box")]
        routes += [f"{b}B positive, {b}w1 0.2 m, {b}F, {b}w2 0.5 m, {b}I, {b}w3 0.3 m, {b}bar", f"{b}B negative, {b}n1 0.8 m, {b}neg",
                   f"{b}C out positive, {b}w4 1.5 m, {b}CF, 0 mm, {b}bar", f"{b}C out negative, {b}n4 1.5 m, {b}neg"]
        thick += [f"{b}w1", f"{b}w2", f"{b}w3", f"{b}n1"]
        thin += [f"{b}w4", f"{b}n4"]
        number += 4
        if linked and bank:
            things.append(part(f"{b}TF", "fuse", family="class T", rating=200, place_of="box"))
            routes += [f"b{bank - 1}bar, 0 mm, {b}TF, {b}t 4 m, {b}bar", f"b{bank - 1}neg, {b}tn 4 m, {b}neg"]
            thick += [f"{b}t", f"{b}tn"]
            number += 2
        for s in range(BARS):
            if number >= runs:
                break
            k = f"{b}s{s}"
            things += [part(f"{k}F", "fuse", family="terminal cube", rating=50, place_of="box"), part(f"{k}bar", "bus"), part(f"{k}neg", "bus")]
            routes += [f"{b}bar, 0 mm, {k}F, {k}w 3 m, {k}bar", f"{k}neg, {k}n 3 m, {b}neg"]
            thin += [f"{k}w", f"{k}n"]
            number += 2
            for m in range(LOADS):
                if number >= runs:
                    break
                one = f"{k}l{m}"
                things += [part(f"{one}F", "fuse", family="standard blade", rating=10, place_of="box"),
                           part(f"{one}L", "load", current=5, start_current=9, vital=False)]
                routes += [f"{k}bar, 0 mm, {one}F, {one}w 2 m, {one}L positive", f"{one}L negative, {one}n 2 m, {k}neg"]
                wires[f"{one}w {one}n"] = {"area": 2.5e-6, "material": "copper", "insulation": 105, "passes": "box"}
                number += 2
        bank += 1
    things.append(part("box", "place", ambient=45))
    wires[" ".join(thick)] = {"area": 70e-6, "material": "copper", "insulation": 105, "passes": "box"}
    wires[" ".join(thin)] = {"area": 10e-6, "material": "copper", "insulation": 105, "passes": "box"}
    return circuit(things, routes, wires=wires, facts={"coldest": -10, "hottest": 45, "system-voltage": 12})


def measure(runs: int, *, linked: bool = False) -> dict[str, object]:
    """Seconds per word and in all, number of facts, those beyond a bound, peak memory."""
    made = park(runs, linked=linked)
    took: dict[str, float] = {}
    started = time.process_time()
    book = Book(made)
    took["open"] = time.process_time() - started
    facts = troubles = gaps = 0
    for kind, words in WORDS.items():
        for word in words:
            before = time.process_time()
            for element in book.members(kind):
                book.begin()
                try:
                    found = book.reading(word, element)
                    facts += 1
                    gaps += found.gap is not None and found.gap.reason.startswith("too m")
                except Exception as trouble:  # a budget spent is a result here, told and not hidden
                    troubles += 1
                    took.setdefault(f"{word}: {type(trouble).__name__}", 0.0)
            took[word] = time.process_time() - before
    return {"runs": runs, "seconds": sum(took.values()), "facts": facts, "troubles": troubles, "gaps": gaps, "took": took,
            "peak MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}


def exponent(points: list[tuple[float, float]]) -> float:
    """Slope of the line of least squares through the logarithms."""
    xs, ys = [math.log(x) for x, _ in points], [math.log(max(y, 1e-6)) for _, y in points]
    mean_x, mean_y = sum(xs) / len(xs), sum(ys) / len(ys)
    return sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / sum((x - mean_x) ** 2 for x in xs)


def _rows(variant: str, largest: int) -> None:
    found = []
    print(variant)
    for runs in (30, 300, 3_000, 30_000):
        if runs > largest:
            break
        done = subprocess.run([sys.executable, "-m", "tests.benchmarks.facts_growth", "one", str(runs), variant], capture_output=True, text=True, check=True)
        one = json.loads(done.stdout)
        found.append(one)
        slow = sorted(one["took"].items(), key=lambda t: -t[1])[:6]
        print(f"{runs:6d} runs: {one['seconds']:8.3f} s for {one['facts']} facts, {one['gaps']} beyond a bound, {one['troubles']} over budget, "
              f"peak {one['peak MB']:.0f} MB;  " + ", ".join(f"{word} {seconds:.3f}" for word, seconds in slow), flush=True)
    if len(found) > 1:
        print(f"fitted exponent {exponent([(one['runs'], one['seconds']) for one in found]):.2f}")
        for word in sorted(found[-1]["took"], key=lambda w: -found[-1]["took"][w])[:8]:
            points = [(one["runs"], one["took"][word]) for one in found[1:] if one["took"].get(word, 0) > 1e-4]
            if len(points) > 1:
                print(f"  {word}: {exponent(points):.2f}")


def main() -> None:
    """Prints a table and the exponents, of banks that are islands and of banks that are linked."""
    if len(sys.argv) > 2 and sys.argv[1] == "one":
        print(json.dumps(measure(int(sys.argv[2]), linked="linked" in sys.argv)))
        return
    largest = int(sys.argv[1]) if len(sys.argv) > 1 else 30_000
    for variant in ("islands", "linked"):
        _rows(variant, largest)


if __name__ == "__main__":
    main()
