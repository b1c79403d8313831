"""Dimensions, the unit table, reading and writing quantities. Inside the tool every number is a plain SI float."""
