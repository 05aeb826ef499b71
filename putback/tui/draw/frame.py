"""The frame of a card: what it leaves for words, and the keys at its foot."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from putback.tui.draw.palette import KEY
from putback.tui.keyboard.tapping import tapped


def inner_width(columns: int) -> int:
    """Return the cells of a line on a card, on a screen of so many columns: what app.tcss leaves of it."""
    return max(24, min(90, int(columns * 0.92) - 6))


TALLEST = 38
"""Rows inside the frame of the tallest card: its foot is not far from what it is about."""


def inner_height(rows: int, most: int = TALLEST) -> int:
    """Return the rows inside a card's frame, on a screen of so many rows: what app.tcss leaves of it."""
    return max(6, min(most, int(rows * 0.92) - 2))


def feet(keys: Sequence[tuple[str, str]], width: int) -> list[Content]:
    """Return keys with their labels on as few lines of `width` cells as they need."""
    lines: list[Content] = []
    row = Content("")
    for shown, label in keys:
        pair = Content.assemble((shown, KEY), " ", (label, "$pb-muted"))
        pair = tapped(pair, "key", shown) if shown else pair
        if row.cell_length and row.cell_length + 3 + pair.cell_length > width:
            lines.append(row)
            row = Content("")
        row = Content.assemble(row, "   " if row.cell_length else "", pair)
    return [*lines, row]
