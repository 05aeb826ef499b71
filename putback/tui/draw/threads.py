"""The thread of a screw as strokes: each an eighth of an inch (3 mm) of its length, in every picture.

Where the longest of a picture has no room so, all its strokes stand closer, two to a cell. What is longer still is
broken off, with a sign for it. So no two threads of a picture stand in another ratio than their screws.
"""

from __future__ import annotations

from msgspec import Struct

from putback.tui.draw.glyphs import GlyphSet

SHORT = 3
"""Cells of a thread beside the name of its size."""


class Strokes(Struct, frozen=True):
    """How the threads of one picture are drawn."""

    room: int
    """Cells that the longest may have."""
    close: bool
    """Whether two strokes stand in a cell."""


def strokes(longest: int, room: int) -> Strokes:
    """Return how threads are drawn of which the longest has so many strokes, in `room` cells or fewer."""
    return Strokes(max(1, room), longest > room)


def thread(count: int, scale: Strokes, glyphs: GlyphSet, *, stacked: int = 0) -> str:
    """Return a thread of `count` strokes; what is `stacked` on it crosses the first. 0: it has none, as a nut."""
    crossed = glyphs.shank[min(stacked, 2)] if stacked else ""
    left = max(0, count - len(crossed))
    if scale.close:
        one, two = glyphs.close
        drawn = f"{crossed}{one * (left % 2)}{two * (left // 2)}"
    else:
        drawn = crossed + glyphs.shank[0] * left
    return drawn if len(drawn) <= scale.room else f"{drawn[: scale.room - 1]}{glyphs.ellipsis}"


def cells_of(longest: int, scale: Strokes) -> int:
    """Return how many cells the longest thread takes."""
    return min(scale.room, -(-longest // 2) if scale.close else longest)


def scale_text(scale: Strokes, glyphs: GlyphSet, room: int) -> str:
    """Return what a sign of the thread stands for in at most `room` cells; nothing where they do not hold it."""
    sign, inches, mm = (glyphs.close[1], "1/4", "6") if scale.close else (glyphs.shank[0], "1/8", "3")
    whole, short = f"{sign} {inches} in ({mm} mm)", f"{sign} {inches} in"
    return whole if len(whole) <= room else short if len(short) <= room else ""
