"""Tugtest: holds a described low-voltage installation against shared practices. Only `linter.api` is promised to others."""

__version__ = "0.1.0"
