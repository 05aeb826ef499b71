"""A face with its holes and the legend of their sizes, laid out for the room there is."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.heads import HoleView
from putback.tui.draw.holes import PLACES, Turn, even, hole_map, is_large
from putback.tui.draw.legend import SizeView, legend, longest_of, signs_text
from putback.tui.draw.text import plain
from putback.tui.draw.words import face_in_words

SMALL = 27
"""Columns of a hole map with its legend beside it."""
LARGE = (41, 13)
"""Columns and least rows of a hole map with large heads."""
LARGEST = (65, 25)
"""Columns and rows of the largest."""
BESIDE = 22
"""Columns that a legend beside the map wants."""
LEAST = 7
"""Least rows of a hole map with its legend below."""
LEAST_MAP = 5
"""Rows below which the rows of holes would lie on one another: then the sizes are told, and no map is drawn."""
MOST = 19
"""Most rows of a hole map that is not of the largest."""
LEGEND = 44
"""Columns of a legend beside the map at most: the count stands near its name."""
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
    elsewhere: str = "",
    turn: Turn = 0,
    glyphs: GlyphSet,
    taps: bool = False,
    keys: Sequence[str] = PLACES,
    spare: int = 0,
) -> list[Content]:
    """Return a hole map with its legend in at most `room` rows: beside it where there is width, else below.

    `elsewhere` says how many holes lie on other faces. `turn` is how far the face has turned clockwise since it was
    recorded; the map says so. `keys` are what the person presses for the places. A legend below the map may stand on
    `spare` rows more.
    """
    if glyphs.words:
        return face_in_words(holes, sizes, width, room, cursor=cursor, title=title, elsewhere=elsewhere, turn=turn)
    tall = room >= LARGE[1] + LEGEND_ROWS
    wide, most = SMALL, MOST
    if room > LARGEST[1] and width >= LARGEST[0] + BESIDE:
        wide, most = LARGEST
    elif tall:
        wide = LARGE[0]
    beside = width >= wide + BESIDE
    wide = wide if beside else even(width)
    longest = longest_of(holes, sizes)
    # Which size goes where is what the picture is for: the map gives way to the names before they are cut.
    least = min(LEGEND_ROWS, max(1, room - LEAST))
    marked = bool(signs_text(holes, width, cursor=cursor, glyphs=glyphs))
    under = max(least, min(len(sizes) + marked, room - LEAST))
    rows = even(min(room, most) if beside else max(LEAST, min(room - under, MOST)))
    if rows < LEAST_MAP:
        return _as_many(
            legend(sizes, min(LEGEND, width), glyphs=glyphs, map_size=(wide, LEAST_MAP), longest=longest), room, width
        )
    drawn = hole_map(
        holes,
        wide,
        rows,
        cursor,
        title=title,
        elsewhere=elsewhere,
        turn=turn,
        glyphs=glyphs,
        taps=taps,
        keys=keys,
        longest=longest,
    )
    room_beside = min(LEGEND, width - wide - 2) if beside else width
    names = legend(sizes, room_beside, glyphs=glyphs, map_size=(wide, rows), longest=longest)
    signs = signs_text(holes, room_beside, cursor=cursor, large=is_large(wide, rows), glyphs=glyphs)
    if beside:
        names = _as_many(names, rows, room_beside)
        if len(names) + 1 + len(signs) <= rows:
            names += [Content(""), *signs]
        return [Content.assemble(row, "  ", *names[i : i + 1]) for i, row in enumerate(drawn)]
    under += spare
    names = _as_many(names, under, width)
    return drawn + [*names, *signs][: max(len(names), under)]


def _as_many(names: list[Content], rows: int, width: int) -> list[Content]:
    """As many names as `rows` hold; where that is not all of them, the last row says how many more there are."""
    if len(names) <= rows or rows < 1:
        return names[: max(0, rows)]
    more = f"and {len(names) - rows + 1} sizes more" if rows > 1 else f"{len(names)} sizes"
    return [*names[: rows - 1], plain(more, width, "$pb-muted")]


def plate_pages(
    holes: Sequence[HoleView],
    sizes: Sequence[SizeView],
    width: int,
    room: int,
    *,
    cursor: str | None = None,
    title: str = "",
    elsewhere: str = "",
    turn: Turn = 0,
    glyphs: GlyphSet,
) -> list[list[Content]]:
    """Return a hole map with its whole legend on pages of at most `room` rows: together where that goes, else the map
    first and the names after it. As `plate` otherwise."""
    if glyphs.words:
        said = face_in_words(holes, sizes, width, MOST * 9, cursor=cursor, title=title, elsewhere=elsewhere, turn=turn)
        return [said[at : at + room] for at in range(0, len(said), max(1, room))]

    longest = longest_of(holes, sizes)

    def signs(wide: int, rows: int, across: int) -> list[Content]:
        return signs_text(holes, across, cursor=cursor, large=is_large(wide, rows), glyphs=glyphs)

    def drawn(wide: int, rows: int) -> list[Content]:
        return hole_map(
            holes,
            wide,
            rows,
            cursor,
            title=title,
            elsewhere=elsewhere,
            turn=turn,
            glyphs=glyphs,
            longest=longest,
        )

    if width >= SMALL + BESIDE:
        wide = LARGE[0] if room >= LARGE[1] and width >= LARGE[0] + BESIDE else SMALL
        rows, across = even(min(room, MOST)), min(LEGEND, width - wide - 2)
        beside = legend(sizes, across, glyphs=glyphs, map_size=(wide, rows), whole=True, longest=longest)
        beside += signs(wide, rows, across)
        if len(beside) <= rows:
            return [[Content.assemble(row, "  ", *beside[i : i + 1]) for i, row in enumerate(drawn(wide, rows))]]
    wide = even(min(width, LARGE[0]))
    names = legend(sizes, width, glyphs=glyphs, map_size=(wide, LEAST), whole=True, longest=longest)
    high = even(min(MOST, room - len(names) - len(signs(wide, LEAST, width))))
    if high >= LEAST_MAP:
        return [[*drawn(wide, high), *names, *signs(wide, high, width)]]
    high = max(LEAST_MAP, even(min(MOST, room - len(signs(wide, room, width)))))
    step = max(1, room)
    return [
        [*drawn(wide, high), *signs(wide, high, width)],
        *(names[at : at + step] for at in range(0, len(names), step)),
    ]
