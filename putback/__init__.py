"""Putback: what is taken apart here goes back together, complete, in the right order."""

__version__ = "0.1.0"
