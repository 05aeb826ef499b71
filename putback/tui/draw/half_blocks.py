"""A picture as rows of half blocks: each cell is two pixels, one above the other."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

if TYPE_CHECKING:
    from PIL.Image import Image

UPPER = "▀"
CELL = 2.0
"""How much taller than wide a cell is."""


def cells_within(width: int, height: int, columns: int, rows: int) -> tuple[int, int]:
    """Return the columns and rows of the largest picture of that shape in a box of cells; at least one of each.

    `width` and `height` are the picture's own, in pixels.
    """
    scale = min(columns / width, rows * CELL / height)
    return max(1, min(columns, round(width * scale))), max(1, min(rows, round(height * scale / CELL)))


def half_blocks(picture: Image, columns: int, rows: int) -> list[Strip]:
    """Return a picture in colour as `rows` strips of `columns` cells."""
    from PIL.Image import Resampling  # the picture library, only where there is a picture

    small = picture.resize((columns, rows * 2), Resampling.BOX)
    pixels = small.tobytes()
    colours = [tuple(pixels[at : at + 3]) for at in range(0, len(pixels), 3)]
    strips = []
    for row in range(rows):
        upper = colours[2 * row * columns : (2 * row + 1) * columns]
        lower = colours[(2 * row + 1) * columns : (2 * row + 2) * columns]
        segments = []
        for (above, below), run in groupby(zip(upper, lower, strict=True)):
            style = Style(color=Color.from_rgb(*above), bgcolor=Color.from_rgb(*below))
            segments.append(Segment(UPPER * len(list(run)), style))
        strips.append(Strip(segments, columns))
    return strips
