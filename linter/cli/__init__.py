"""The command `tugtest`: reads, writes, prints, and decides the exit status. The only room that prints."""

from __future__ import annotations


def main() -> None:
    """Entry point of the installed command."""
    from linter.cli.app import run  # imported late: importing this package costs nothing

    run()
