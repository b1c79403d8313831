"""Pure formulas of the analyses N1 to N23: plain SI numbers in, plain SI numbers out. Nothing here knows of an installation."""
