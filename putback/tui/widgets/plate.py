"""A face with its holes and the legend of their sizes, laid out for the room there is."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.holes import HoleView, SizeView, hole_map, legend
from putback.tui.text import plain

SMALL = 26
"""Columns of a hole map with its legend beside it."""
LARGE = (40, 13)
"""Columns and least rows of a hole map with large heads."""
BESIDE = 22
"""Columns that a legend beside the map wants."""
LEAST = 7
"""Least rows of a hole map."""
MOST = 19
"""Most rows of a hole map."""
LEGEND_ROWS = 2
"""Rows for a legend below the map."""


def plate(
    holes: Sequence[HoleView],
    sizes: Sequence[SizeView],
    width: int,
    room: int,
    *,
    cursor: str | None = None,
    title: str = "",
    glyphs: GlyphSet,
) -> list[Content]:
    """Return a hole map with its legend in at most `room` rows: beside it where there is width, else below."""
    tall = room >= LARGE[1] + LEGEND_ROWS
    beside = width >= (LARGE[0] if tall else SMALL) + BESIDE
    wide = (LARGE[0] if tall else SMALL) if beside else width
    rows = min(room, MOST) if beside else max(LEAST, min(room - LEGEND_ROWS, MOST))
    drawn = hole_map(holes, wide, rows, cursor, title=title, glyphs=glyphs)
    if beside:
        names = legend(sizes, width - wide - 2, glyphs=glyphs)[:rows]
        return [Content.assemble(row, "  ", *names[i : i + 1]) for i, row in enumerate(drawn)]
    names = legend(sizes, width, glyphs=glyphs)
    if len(names) > LEGEND_ROWS:
        more = f"and {len(names) - LEGEND_ROWS + 1} sizes more"
        names = [*names[: LEGEND_ROWS - 1], plain(more, width, "$pb-muted")]
    return drawn + names
