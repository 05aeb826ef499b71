"""Lines of a report folded to the width of a terminal."""

from __future__ import annotations

from unicodedata import east_asian_width

NARROWEST = 30
"""Columns below which nothing is folded: it would be harder to read than to scroll."""


def columns(text: str) -> int:
    """Return how many columns `text` takes; wide characters take two (Unicode Standard Annex 11)."""
    return len(text) if text.isascii() else sum(2 if east_asian_width(c) in "WF" else 1 for c in text)


def folded(text: str, width: int) -> str:
    """Return `text` with lines over `width` columns folded at spaces; what is carried over is set in.

    A word that is longer than a line is left whole. Every word stays, in its order.
    """
    if width < NARROWEST:
        return text
    return "\n".join(piece for line in text.split("\n") for piece in _fold(line, width))


def _fold(line: str, width: int) -> list[str]:
    if columns(line) <= width:
        return [line]
    lead = line[: len(line) - len(line.lstrip(" "))]
    inset = (lead + "  ")[: width // 2]
    out, here = [], lead
    for word in line[len(lead) :].split(" "):
        if here.strip() and columns(here) + columns(word) > width:
            out.append(here.rstrip(" "))
            here = inset
        here += word + " "
    return [*out, here.rstrip(" ")]
