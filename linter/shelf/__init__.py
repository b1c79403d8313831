"""Finds our own `rules/` and `grammar/`: inside the installed package first, in a checkout second, never in the working folder."""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).resolve().parent
_CHECKOUT = _HERE.parent.parent


def folder(name: str) -> Path:
    """The folder `rules` or `grammar` that belongs to this very code.

    Raises:
        FileNotFoundError: the installation is broken.
    """
    for root in (_HERE, _CHECKOUT):
        if (root / name).is_dir():
            return root / name
    raise FileNotFoundError(f"tugtest is installed without its {name} folder; install it again")


def text(name: str) -> str:
    """The text of one file of `grammar/`."""
    return (folder("grammar") / name).read_text(encoding="utf-8")
