"""The practice language: text to typed practices, and their evaluation on a World."""
