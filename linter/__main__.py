"""`python -m linter` is `tugtest`."""

from linter.cli import main

main()
