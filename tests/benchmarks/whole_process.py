"""How long a whole `tugtest check` of the demo takes, beside a process that only loads the same YAML and holds it against its schema.

Run: python tests/benchmarks/whole_process.py [N]

Prints the median of N runs of each, their ratio, and where the time goes inside the process. Both sides are whole processes from start
to exit, taken in turn, so that a busy machine slows both.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures" / "honey-trailer" / "installation.yaml"
SCHEMA = ROOT / "grammar" / "description.schema.json"
# Installed packages come compiled; an environment that forbids compiled files would measure the compiler instead.
ENVIRONMENT = {**{name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}, "PYTHONPATH": str(ROOT)}
PLAIN = """
import json, sys, yaml, jsonschema
schema = json.load(open(sys.argv[2], encoding="utf-8"))
data = yaml.load(open(sys.argv[1], encoding="utf-8"), Loader=yaml.CSafeLoader)
print(sum(1 for _ in jsonschema.Draft202012Validator(schema).iter_errors(data)), "faults against the schema")
"""
BREAKDOWN = """
import datetime, sys, time
marks = [("python starts", time.perf_counter())]
def mark(name): marks.append((name, time.perf_counter()))
import linter.cli.check
from linter import api
from linter.reports.text import text
mark("imports")
found, told = api.read(open(sys.argv[1], "rb").read(), sys.argv[1])
mark("read the description, build the circuit")
packs, told = api.packs_for(found.described.packs, found.described.house_packs)
mark("load, check and merge the packs")
survey = api.survey(found, packs, on=datetime.date(2026, 11, 24))
mark("judge and explain")
out = text((survey,))
mark("write the report")
for (name, at), (_, before) in zip(marks[1:], marks):
    print(f"  {name:<42}{(at - before) * 1000:6.0f} ms")
judged = sum(len(elements) for j in survey.judged for _, elements in j.outcomes)
print(f"  {len(survey.judged)} practices, {judged} judgements, {len(survey.findings)} findings, {survey.summary.states} states")
"""


def once(arguments: list[str]) -> float:
    """Seconds of one whole process. Exit 0, 1 and 3 are answers."""
    start = time.perf_counter()
    done = subprocess.run(arguments, capture_output=True, cwd=ROOT, env=ENVIRONMENT, check=False)
    taken = time.perf_counter() - start
    if done.returncode not in (0, 1, 3):
        sys.exit(f"{arguments[:4]} ended with {done.returncode}:\n{done.stderr.decode()}")
    return taken


def main() -> None:
    """Measures and prints."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    check = [sys.executable, "-m", "linter", "check", str(DEMO)]
    topics = [*check[:-1], "--pack", "all-topics", str(DEMO)]
    plain = [sys.executable, "-c", PLAIN, str(DEMO), str(SCHEMA)]
    bare = [sys.executable, "-c", "pass"]
    once(check)  # warms the disk and the compiled files
    once(plain)
    times: dict[str, list[float]] = {"check": [], "topics": [], "plain": [], "bare": []}
    for _ in range(runs):
        for name, arguments in (("check", check), ("topics", topics), ("plain", plain), ("bare", bare)):
            times[name].append(once(arguments))
    middle = {name: statistics.median(taken) for name, taken in times.items()}
    print(f"tugtest check of the demo               {middle['check'] * 1000:7.0f} ms   median of {runs}, best {min(times['check']) * 1000:.0f}")
    print(f"the same against all topics             {middle['topics'] * 1000:7.0f} ms   median of {runs}, best {min(times['topics']) * 1000:.0f}")
    print(f"load the YAML, hold it against a schema {middle['plain'] * 1000:7.0f} ms   median of {runs}, best {min(times['plain']) * 1000:.0f}")
    print(f"python that does nothing                {middle['bare'] * 1000:7.0f} ms")
    print(f"ratio                                   {middle['check'] / middle['plain']:7.2f}, against all topics {middle['topics'] / middle['plain']:.2f}")
    print("inside one check:")
    done = subprocess.run([sys.executable, "-c", BREAKDOWN, str(DEMO)], capture_output=True, text=True, cwd=ROOT,
                          env=ENVIRONMENT, check=False)
    print(done.stdout + done.stderr, end="")


if __name__ == "__main__":
    main()
