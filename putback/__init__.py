"""Putback: what is taken apart here goes back together, complete, in the right order."""

__version__ = "0.2.0.dev0"
"""The version, here and nowhere else: the build reads it, and docs/changelog.md has a part for it."""
