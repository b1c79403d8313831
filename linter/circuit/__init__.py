"""Terminals, elements and operating states of one installation."""
