"""The hole map: a face of a part drawn as a plate with its holes where the keypad has its keys.

A hole to come is hollow, a hole that is done a solid head; each size has its letter and its shape. A screw that
is out, or still to go in, shows its thread, a stroke for an eighth of an inch (3 mm) of its length, as the plate's
lower edge says. What is threaded on it (washers, spacers) crosses it. A screw that is in shows its head alone. One
unlike all its neighbours has a mark. Before each stands the number of its place. The place the hand is at stands
between the corners of a finder. None of this needs colour.

Holes stand in the middle of their thirds, and the margins left and right of them are equal, as are those above and
below, where the plate has an odd number of columns and rows: `even` gives such a number.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content

from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.heads import HoleView, head, large_head, shank, small_sign, style_of
from putback.tui.draw.palette import CURSOR, LOOK, QUIET
from putback.tui.draw.text import fitted
from putback.tui.draw.threads import Strokes, scale_text, strokes
from putback.tui.keyboard.tapping import tap_style

Turn = Literal[0, 90, 180, 270]

LARGE = (35, 13)
"""The least width and height at which heads are drawn three rows high."""

PLACES = "123456789"


def even(cells: int) -> int:
    """Return so many cells or one fewer, so that the hole in the middle has as many on either side."""
    return cells if cells % 2 else cells - 1


def hole_map(
    holes: Sequence[HoleView],
    width: int,
    height: int,
    cursor: str | None = None,
    *,
    title: str = "",
    elsewhere: str = "",
    turn: Turn = 0,
    mirror: bool = False,
    glyphs: GlyphSet = UNICODE,
    taps: bool = False,
    keys: Sequence[str] = PLACES,
    longest: int = 0,
    most: int = 99,
) -> list[Content]:
    """A face as a picture: `height` rows of exactly `width` cells.

    width, height  21x5 or more, odd for equal margins; heads are drawn small below 35x13 and three rows high from there
    cursor         the place the hand is at, where no hole is in state `now`: `7`, or `5a` for a
                   hole that is about to be added
    title          the face, in the plate's upper edge
    elsewhere      how many holes lie on other faces, `right 2, top 1`, in its lower edge
    turn           how far the machine is turned clockwise as one looks at the face
    mirror         the face is seen from behind; mirrored first, then turned
    taps           each place can be tapped, as large as a third of the plate
    keys           what the person presses for the places 1 to 9, one sign each
    longest        eighths of an inch of the longest screw that stands beside it and is drawn to its scale
    most           cells of a thread at most, where others of the picture have no more room
    """
    sheet = Canvas(width, height, "$pb-panel")
    large = is_large(width, height)
    top = strokes(max(longest, *(hole.long for hole in holes), 0), min(most, longest_thread(width, height)))
    shows = any(hole.long and hole.has_thread for hole in holes)
    _plate(sheet, title, elsewhere, turn, mirror, glyphs, top if shows else None)
    if cursor and all(hole.place != cursor for hole in holes):
        holes = [*holes, HoleView(cursor, "now")]
    groups = _by_place(holes)
    for key in PLACES:
        column, row = spot(key, turn, mirror)
        crowded_above = row == 2 and len(groups.get(key_at(column, 1, turn, mirror), ())) > 2
        cell = _cell(width, height, column, row, large, crowded_above)
        here = groups.get(key, ())
        if not here:
            sheet.put(cell.middle, cell.row, keys[int(key) - 1], QUIET)
        elif len(here) > 1:
            _several(sheet, cell, here, keys[int(key) - 1], cursor, top, glyphs)
        else:
            lone = here[0]
            (_large if large else _small)(sheet, cell, lone, keys[int(key) - 1], _is_at(lone, cursor), top, glyphs)
        if taps:
            left, right = (1 + edge * (width - 2) // 3 for edge in (column, column + 1))
            for y in range(1 + row * (height - 2) // 3, 1 + (row + 1) * (height - 2) // 3):
                sheet.tap(left, y, right - left, tap_style("place", key))
    return sheet.rows()


class _Cell(Struct, frozen=True):
    """The part of the sheet that belongs to one place."""

    middle: int
    """The column of its middle."""
    row: int
    """The row of its middle."""
    y: int
    """The first row of it."""
    width: int
    """How many columns it has."""
    rows: int
    """Rows it may fill from `y` down."""
    spare: bool = False
    """Whether the row above `y` is free too."""


def _cell(width: int, height: int, column: int, row: int, large: bool, crowded_above: bool) -> _Cell:
    across, down = _pitch(width, height)
    middle = 1 + (width - 3) // 2 + (column - 1) * across
    at = 1 + (height - 3) // 2 + (row - 1) * down
    y = at - 1 if large else at
    rows = down - 1 if large else max(1, min(down, height - 1 - at))
    return _Cell(middle, at, y, across, rows, spare=down > 1 and row == 2 and not crowded_above)


def _pitch(width: int, height: int) -> tuple[int, int]:
    """Columns and rows from one place to the next."""
    return (width - 2) // 3, (height - 1) // 3


def spot(key: str, turn: Turn = 0, mirror: bool = False) -> tuple[int, int]:
    """Where a place is drawn: (column, row), both 0..2 from the upper left."""
    number = int(key) - 1
    column, row = number % 3, 2 - number // 3
    if mirror:
        column = 2 - column
    for _ in range(turn // 90):
        column, row = 2 - row, column
    return column, row


def key_at(column: int, row: int, turn: Turn = 0, mirror: bool = False) -> str:
    """Which place is drawn there: the way back from `spot`."""
    return next(key for key in PLACES if spot(key, turn, mirror) == (column, row))


def _by_place(holes: Sequence[HoleView]) -> dict[str, Sequence[HoleView]]:
    groups: dict[str, list[HoleView]] = {}
    for hole in sorted(holes, key=lambda hole: hole.place):
        groups.setdefault(hole.place[:1], []).append(hole)
    return {place: here for place, here in groups.items()}


def is_large(width: int, height: int) -> bool:
    """Whether a map of that size has heads of three rows."""
    return width >= LARGE[0] and height >= LARGE[1]


def longest_thread(width: int, height: int) -> int:
    """Crests of the longest thread that a map of that size has room for beside every head."""
    across, _ = _pitch(width, height)
    beside = (width - 3) // 2 - across  # columns right of the last head's middle
    if is_large(width, height):
        return max(1, min(across - 8, beside - 2))
    return max(1, min(across - 5, beside - 1))


# --- the plate

ELSEWHERE_LEAST = 3
"""Columns for the number of holes on other faces; where what each has does not fit it is their sum alone, `+3`."""


def _plate(
    sheet: Canvas, title: str, elsewhere: str, turn: Turn, mirror: bool, glyphs: GlyphSet, scale: Strokes | None
) -> None:
    width, height = sheet.width, sheet.height
    edge = glyphs.plate
    style = "$pb-line"
    sheet.put(0, 0, edge[0] + edge[1] * (width - 2) + edge[2], style)
    for y in range(1, height - 1):
        sheet.put(0, y, edge[3], style)
        sheet.put(width - 1, y, edge[3], style)
    sheet.put(0, height - 1, edge[4] + edge[5] * (width - 2) + edge[6], style)
    if title:
        words = fitted(title, width - 6, glyphs.ellipsis)
        sheet.put(2, 0, " ", style)
        sheet.put_words(3, 0, words, "bold $pb-text")
        sheet.put(3 + cell_len(words), 0, " ", style)
    says = _lies(turn, mirror)
    if says:
        sheet.put(width - 3 - len(says), height - 1, f" {says} ", LOOK)
    room = width - 6 - (len(says) + 2 if says else 0)
    if elsewhere and room >= ELSEWHERE_LEAST:
        words = elsewhere if cell_len(elsewhere) <= room else f"+{sum(map(int, re.findall('[0-9]+', elsewhere)))}"
        sheet.put(2, height - 1, f" {words} ", "$pb-text")
        room -= cell_len(words) + 3
    words = scale_text(scale, glyphs, room) if scale is not None else ""
    if words and says:
        sheet.put(2 if not elsewhere else width - 6 - len(says) - len(words), height - 1, f" {words} ", QUIET)
    elif words:
        sheet.put(width - 4 - len(words), height - 1, f" {words} ", QUIET)


def _lies(turn: Turn, mirror: bool) -> str:
    """How the face lies, where it does not lie as recorded."""
    words = []
    if mirror:
        words.append("from behind")
    if turn:
        words.append({90: "top is right", 180: "top is down", 270: "top is left"}[turn])
    return ", ".join(words)


# --- one hole


def _small(
    sheet: Canvas, cell: _Cell, hole: HoleView, key: str, at_cursor: bool, top: Strokes, glyphs: GlyphSet
) -> None:
    """Number, head and thread in a row, the head in the middle; what marks the hole stands close about it."""
    x, y = cell.middle - 1, cell.row
    style = CURSOR if at_cursor else style_of(hole)
    sheet.put(x - 1, y, key, QUIET)
    sheet.put(x, y, head(hole, glyphs), style)
    if hole.is_solid:
        sheet.paint(x + 1, y, 1, f"{style} reverse")
    if at_cursor:
        sheet.put(x - 2, y, glyphs.right, CURSOR)
        sheet.put(x + 3, y, glyphs.left, CURSOR)
    elif hole.warns:
        sheet.put(x - 2, y, hole.warns, LOOK)
    sheet.put(x + 3 + at_cursor, y, shank(hole, top, glyphs), style)


def _large(
    sheet: Canvas, cell: _Cell, hole: HoleView, key: str, at_cursor: bool, top: Strokes, glyphs: GlyphSet
) -> None:
    """The same with a head of three rows; the finder's corners stand close about it."""
    x, y = cell.middle - 2, cell.row - 1
    style = CURSOR if at_cursor else style_of(hole)
    sheet.put(x - 2, y + 1, key, QUIET)
    for down, row in enumerate(large_head(hole, glyphs)):
        sheet.put(x, y + down, row, style)
    if hole.is_solid:
        sheet.paint(x + 2, y + 1, 1, f"{style} reverse")
    sheet.put(x + 5, y + 1, shank(hole, top, glyphs), style)
    if at_cursor:
        for at, down, corner in zip((-1, 5, -1, 5), (0, 0, 2, 2), glyphs.corners, strict=True):
            sheet.put(x + at, y + down, corner, CURSOR)
        sheet.put(x - 3, y + 1, glyphs.right, CURSOR)
    if hole.warns:
        sheet.put(x - 2, y, hole.warns, LOOK)


# --- several holes at one place


def _several(
    sheet: Canvas, cell: _Cell, holes: Sequence[HoleView], key: str, cursor: str | None, top: Strokes, glyphs: GlyphSet
) -> None:
    """Three cells a hole: the finder's arrow, a letter or a sign, and its running letter; the place for the first."""
    in_row = max(1, cell.width // 3)
    y, rows = cell.y, cell.rows
    if rows == 1 and cell.spare and len(holes) > in_row:
        y, rows = y - 1, 2
    if cell.width >= 9 and len(holes) <= rows:
        for index, hole in enumerate(holes):
            one = _Cell(cell.middle, y + index, y + index, cell.width, 1)
            _small(sheet, one, hole, hole.place[1:2] or key, _is_at(hole, cursor), top, glyphs)
        return
    room = in_row * rows
    fits = len(holes) <= room
    shown = list(holes) if fits else _within(holes, max(1, room - 1), cursor)
    if len(shown) <= 2 * rows and cell.width < 9:
        in_row = min(in_row, 2)
    left = cell.middle - 3 * min(in_row, len(holes)) // 2
    if y < cell.row and fits:
        y += (rows - -(-len(shown) // in_row)) // 2
    for index, hole in enumerate(shown):
        x, at = left + 3 * (index % in_row), y + index // in_row
        _tiny(sheet, x, at, hole, key, _is_at(hole, cursor), glyphs)
    if not fits:
        more = f"+{len(holes) - len(shown)}"
        sheet.put(left + 3 * (len(shown) % in_row), y + rows - 1, more, QUIET)


def _tiny(sheet: Canvas, x: int, y: int, hole: HoleView, key: str, at_cursor: bool, glyphs: GlyphSet) -> None:
    """One hole in three cells."""
    sign, reverse = small_sign(hole, glyphs)
    style = CURSOR if at_cursor else style_of(hole)
    if at_cursor:
        sheet.put(x, y, glyphs.right, CURSOR)
    elif hole.warns:
        sheet.put(x, y, hole.warns, LOOK)
    elif hole.state == "next":
        sheet.put(x, y, glyphs.next_caps[0], style)
    sheet.put(x + 1, y, sign, f"{style} reverse" if reverse else style)
    sheet.put(x + 2, y, hole.place[1:2] or key, QUIET)


def _within(holes: Sequence[HoleView], room: int, cursor: str | None) -> list[HoleView]:
    """The first holes that fit, the one under the hand always among them."""
    here = next((index for index, hole in enumerate(holes) if _is_at(hole, cursor)), 0)
    return [*holes[:room]] if here < room else [*holes[: room - 1], holes[here]]


def _is_at(hole: HoleView, cursor: str | None) -> bool:
    return hole.state == "now" or cursor == hole.place
