"""Pure functions from surveys to text. Each report lives in its own module and is imported only when asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from importlib import import_module

from linter.survey.record import Survey

Report = Callable[[tuple[Survey, ...]], str]

# Name on the command line -> module and function. Every one tells the same outcomes.
_WHERE = {
    "text": ("linter.reports.text", "text"),
    "json": ("linter.reports.json", "json_report"),
    "markdown": ("linter.reports.markdown", "markdown"),
    "html": ("linter.reports.html", "html"),
    "junit": ("linter.reports.junit", "junit"),
    "sarif": ("linter.reports.sarif", "sarif"),
}
NAMES: tuple[str, ...] = tuple(_WHERE)


def report(name: str) -> Report:
    """The report called `name`.

    Raises:
        KeyError: there is none of that name; the command line asks only for `NAMES`.
    """
    module, function = _WHERE[name]
    found: Report = getattr(import_module(module), function)
    return found


def one_ending(lines: Iterable[str]) -> str:
    """Lines as a text that ends with exactly one line end."""
    return "\n".join(lines).rstrip("\n") + "\n"
