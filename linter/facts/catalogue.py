"""The modules whose facts the book knows. Importing this one announces them all; a new module is added here."""

from __future__ import annotations

import importlib
import importlib.util
from functools import cache

# Names of modules of this room, in reading order.
MODULES: tuple[str, ...] = (
    "plain", "sides", "protection", "lengths", "through", "relations", "turning", "returns",
    # electrical facts
    "capacity", "resistance", "demands", "currents", "drop", "faults", "breaking", "solar", "charging", "negative",
    "inputs", "volts", "supply", "withstand", "inrush", "alternator", "daily", "failures", "loops", "warmth", "selectivity", "surroundings", "leads",
    "joints",
    "plugs",
    "settings", "switching",
    "holding",
    "history",
)


@cache
def load() -> None:
    """Announces every fact, once."""
    for name in MODULES:
        full = f"linter.facts.{name}"
        if importlib.util.find_spec(full) is not None:
            importlib.import_module(full)
