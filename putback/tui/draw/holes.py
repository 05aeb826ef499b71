"""The hole map: a face of a part drawn as a plate with its holes where the keypad has its keys.

A hole to come is a hollow ring, a hole that is done a solid head with the letter of its size.
A screw that is out shows its shank, longer for a longer screw, crossed by what is threaded on it
(washers, spacers); a screw that is in shows its head alone. The place the hand is at stands
between the corners of a finder. None of this needs colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from textual._cells import cell_len
from textual.content import Content

from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.tapping import tap_style
from putback.tui.text import fitted

HoleState = Literal["empty", "filled", "taken", "now", "next", "found_empty", "odd"]
Turn = Literal[0, 90, 180, 270]

LARGE = (35, 13)
"""The least width and height at which heads are drawn three rows high."""

_CURSOR = "bold $pb-brass"
_QUIET = "$pb-muted"
_ODD = "bold $pb-rust"


class HoleView(Struct, frozen=True):
    """One hole as it is to be drawn."""

    place: str
    """A keypad digit, and a running letter when one place holds several: `5`, `5a`, `5b`."""
    state: HoleState = "empty"
    """empty: still to come. next: the one after this. now: being done. taken: out and recorded.
    filled: the screw is in. found_empty: had no screw when it was opened. odd: done, and unlike
    its neighbours."""
    mark: str = ""
    """The letter of its size; empty when not yet known."""
    long_rank: int = 0
    """0 for the shortest of this face, 1 for the next longer, and so on."""
    stacked: int = 0
    """Washers, spacers and the like on the same screw."""


def hole_map(
    holes: Sequence[HoleView],
    width: int,
    height: int,
    cursor: str | None = None,
    *,
    title: str = "",
    turn: Turn = 0,
    mirror: bool = False,
    glyphs: GlyphSet = UNICODE,
    taps: bool = False,
) -> list[Content]:
    """A face as a picture: `height` rows of exactly `width` cells.

    width, height  20x5 or more; heads are drawn small below 35x13 and three rows high from there
    cursor         the place the hand is at, where no hole is in state `now`: `7`, or `5a` for a
                   hole that is about to be added
    title          the face, in the plate's upper edge
    turn           how far the machine is turned clockwise as one looks at the face
    mirror         the face is seen from behind; mirrored first, then turned
    taps           each place can be tapped, as large as a third of the plate
    """
    sheet = Canvas(width, height, "$pb-panel")
    _plate(sheet, title, turn, mirror, glyphs)
    large = width >= LARGE[0] and height >= LARGE[1]
    if cursor and all(hole.place != cursor for hole in holes):
        holes = [*holes, HoleView(cursor, "now")]
    groups = _by_place(holes)
    for key in "123456789":
        column, row = spot(key, turn, mirror)
        crowded_above = row == 2 and len(groups.get(key_at(column, 1, turn, mirror), ())) > 2
        cell = _cell(width, height, column, row, large, crowded_above)
        here = groups.get(key, ())
        if not here:
            sheet.put(cell.x + cell.width // 2, cell.y + (cell.rows // 2 if large else 0), key, "$pb-line")
        elif len(here) > 1:
            _several(sheet, cell, here, cursor, glyphs)
        else:
            lone = here[0]
            (_large if large else _small)(sheet, cell, lone, _is_at(lone, cursor), glyphs)
        if taps:
            for y in range(1 + row * (height - 2) // 3, 1 + (row + 1) * (height - 2) // 3):
                sheet.tap(cell.x, y, cell.width, tap_style("place", key))
    return sheet.rows()


class _Cell(Struct, frozen=True):
    """The part of the sheet that belongs to one place."""

    x: int
    y: int
    width: int
    rows: int
    """Rows it may fill from `y` down."""
    spare: bool = False
    """Whether the row above `y` is free too."""


def _cell(width: int, height: int, column: int, row: int, large: bool, crowded_above: bool) -> _Cell:
    inner_w, inner_h = width - 2, height - 2
    left = 1 + column * inner_w // 3
    right = 1 + (column + 1) * inner_w // 3
    pitch = (inner_h + 1) // 3
    top = 1 + row * pitch + (inner_h + 1 - 3 * pitch) // 2
    rows = pitch - 1 if large else max(1, min(pitch, height - 1 - top))
    return _Cell(left, top, right - left, rows, spare=pitch > 1 and row == 2 and not crowded_above)


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
    return next(key for key in "123456789" if spot(key, turn, mirror) == (column, row))


def _by_place(holes: Sequence[HoleView]) -> dict[str, Sequence[HoleView]]:
    groups: dict[str, list[HoleView]] = {}
    for hole in sorted(holes, key=lambda hole: hole.place):
        groups.setdefault(hole.place[:1], []).append(hole)
    return {place: here for place, here in groups.items()}


# --- the plate


def _plate(sheet: Canvas, title: str, turn: Turn, mirror: bool, glyphs: GlyphSet) -> None:
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
    says = _lies(turn, mirror, glyphs)
    if says:
        sheet.put(width - 3 - len(says), height - 1, f" {says} ", "bold $pb-blue")


def _lies(turn: Turn, mirror: bool, glyphs: GlyphSet) -> str:
    """How the face lies, where it does not lie as recorded."""
    words = []
    if mirror:
        words.append("from behind")
    if turn:
        words.append({90: "top is right", 180: "top is down", 270: "top is left"}[turn])
    return ", ".join(words)


# --- one hole, small: one row


def _small(sheet: Canvas, cell: _Cell, hole: HoleView, at_cursor: bool, glyphs: GlyphSet) -> None:
    x = cell.x + max(1, (cell.width - 5) // 2)
    head, style = _head(hole, glyphs)
    if at_cursor:
        _finder(sheet, cell, glyphs, large=False)
        style = _CURSOR
    solid = _is_solid(hole)
    sheet.put(x, cell.y, head, style)
    if solid:
        sheet.paint(x + 1, cell.y, 1, f"{style} reverse")
    shank = _shank(hole, 2, glyphs)
    sheet.put(x + 3, cell.y, shank, style)
    if hole.state == "odd":
        sheet.put(x - 1, cell.y, "!", _ODD)


def _head(hole: HoleView, glyphs: GlyphSet) -> tuple[str, str]:
    """Three cells of head and their style."""
    letter = (hole.mark or " ")[:1]
    left, right = glyphs.solid_caps
    match hole.state:
        case "filled":
            return f"{left}{letter}{right}", "bold $pb-verdigris"
        case "taken":
            return f"{left}{letter}{right}", "bold $pb-text"
        case "odd":
            return f"{left}{letter}{right}", _ODD
        case "now":
            return f"{left}{letter}{right}" if hole.mark else "( )", _CURSOR
        case "next":
            return f"{glyphs.next_caps[0]}{letter}{glyphs.next_caps[1]}", _CURSOR
        case "found_empty":
            return f"({glyphs.cross})", "$pb-rust"
        case "empty":
            return f"({letter})", _QUIET


def _is_solid(hole: HoleView) -> bool:
    return hole.state in ("filled", "taken", "odd") or (hole.state == "now" and bool(hole.mark))


def _shank(hole: HoleView, most: int, glyphs: GlyphSet) -> str:
    """The shank of a screw that is out: half a cell longer with each rank, a whole one where large."""
    if hole.state in ("found_empty", "filled") or not hole.mark:
        return ""
    bare, one, several = glyphs.shank
    a_rank = 1 if most < 3 else 2
    halves = min((hole.long_rank + 1) * a_rank, 2 * most)
    crossed = ""
    if hole.stacked:
        crossed = one if hole.stacked == 1 else several
        halves = min(halves - a_rank, 2 * most - 2)
    return crossed + bare * (halves // 2) + (glyphs.half_shank if halves % 2 else "")


def _finder(sheet: Canvas, cell: _Cell, glyphs: GlyphSet, large: bool) -> None:
    style = _CURSOR
    left, right = cell.x, cell.x + cell.width - 1
    if not large:
        sheet.put(left, cell.y, glyphs.right, style)
        sheet.put(right, cell.y, glyphs.left, style)
        return
    corners = glyphs.corners
    top, bottom = cell.y, cell.y + cell.rows - 1
    sheet.put(left, top, corners[0], style)
    sheet.put(right, top, corners[1], style)
    sheet.put(left, bottom, corners[2], style)
    sheet.put(right, bottom, corners[3], style)
    sheet.put(left, (top + bottom) // 2, glyphs.right, style)


# --- one hole, large: three rows


def _large(sheet: Canvas, cell: _Cell, hole: HoleView, at_cursor: bool, glyphs: GlyphSet) -> None:
    x = cell.x + max(1, (cell.width - 8) // 2)
    y = cell.y + (cell.rows - 3) // 2
    letter = (hole.mark or " ")[:1]
    _three, style = _head(hole, glyphs)
    solid = _is_solid(hole)
    if at_cursor:
        style = _CURSOR
        _finder(sheet, cell, glyphs, large=True)
    if hole.state == "found_empty":
        letter = glyphs.big_cross
    look = "solid" if solid else "next" if hole.state == "next" else "hollow"
    rows = [row.replace("@", letter) for row in glyphs.heads[look]]
    for down, row in enumerate(rows):
        sheet.put(x, y + down, row, style)
    if solid:
        sheet.paint(x + 2, y + 1, 1, f"{style} reverse")
    sheet.put(x + 5, y + 1, _shank(hole, 4, glyphs), style)
    if hole.state == "odd":
        sheet.put(x + 5, y, "!", _ODD)


# --- several holes at one place


def _several(sheet: Canvas, cell: _Cell, holes: Sequence[HoleView], cursor: str | None, glyphs: GlyphSet) -> None:
    """Three cells a hole: the finder's arrow, a letter or a sign, and its running letter."""
    in_row = max(1, cell.width // 3)
    if cell.rows == 1 and cell.spare and len(holes) > in_row:
        cell = _Cell(cell.x, cell.y - 1, cell.width, 2)
    if cell.width >= 9 and len(holes) <= cell.rows:
        for index, hole in enumerate(holes):
            one = _Cell(cell.x + 1, cell.y + index, cell.width - 2, 1)
            _small(sheet, one, hole, _is_at(hole, cursor), glyphs)
            sheet.put(cell.x, cell.y + index, hole.place[1:2], _QUIET)
        return
    room = in_row * cell.rows
    fits = len(holes) <= room
    shown = list(holes) if fits else _within(holes, max(1, room - 1), cursor)
    if len(shown) <= 2 * cell.rows and cell.width < 9:
        in_row = min(in_row, 2)
    for index, hole in enumerate(shown):
        y = cell.y + index // in_row
        x = cell.x + 3 * (index % in_row)
        at_cursor = _is_at(hole, cursor)
        sign, style = _sign(hole, at_cursor, glyphs)
        if at_cursor:
            sheet.put(x, y, glyphs.right, _CURSOR)
        elif hole.state == "odd":
            sheet.put(x, y, "!", style)
        elif hole.state == "next":
            sheet.put(x, y, glyphs.next_caps[0], style)
        sheet.put(x + 1, y, sign, style)
        sheet.put(x + 2, y, hole.place[1:2], _QUIET)
    if not fits:
        more = f"+{len(holes) - len(shown)}"
        sheet.put(cell.x + 3 * (len(shown) % in_row), cell.y + cell.rows - 1, more, _QUIET)


def _within(holes: Sequence[HoleView], room: int, cursor: str | None) -> list[HoleView]:
    """The first holes that fit, the one under the hand always among them."""
    here = next((index for index, hole in enumerate(holes) if _is_at(hole, cursor)), 0)
    return [*holes[:room]] if here < room else [*holes[: room - 1], holes[here]]


def _is_at(hole: HoleView, cursor: str | None) -> bool:
    return hole.state == "now" or cursor == hole.place


def _sign(hole: HoleView, at_cursor: bool, glyphs: GlyphSet) -> tuple[str, str]:
    """A hole in one cell."""
    _three, style = _head(hole, glyphs)
    if at_cursor:
        style = _CURSOR
    if hole.state == "found_empty":
        return glyphs.cross, style
    if _is_solid(hole) and hole.mark:
        return hole.mark[:1], f"{style} reverse"
    return glyphs.ring, style


# --- which letter is which size


class SizeView(Struct, frozen=True):
    """One size of a face, for the legend."""

    mark: str
    """Its letter on the map."""
    label: str
    """Its name: `#6-32 x 3/8 fillister`."""
    total: int
    """Holes of this size."""
    done: int = 0
    """Of these, how many are done."""
    long_rank: int = 0
    """As in HoleView."""


def size_sign(size: SizeView, glyphs: GlyphSet = UNICODE) -> Content:
    """One size as on the map, in five cells: its letter in a head, and its shank."""
    sheet = Canvas(5, 1)
    hole = HoleView("5", "taken", size.mark, size.long_rank)
    head, style = _head(hole, glyphs)
    sheet.put(0, 0, head, style)
    sheet.paint(1, 0, 1, f"{style} reverse")
    sheet.put(3, 0, _shank(hole, 2, glyphs), style)
    return sheet.rows()[0]


def legend(sizes: Sequence[SizeView], width: int, *, glyphs: GlyphSet = UNICODE) -> list[Content]:
    """One row a size, each `width` cells: its head and shank as on the map, its name, its count."""
    longest = min(2, max((size.long_rank // 2 + 1 for size in sizes), default=1))
    sheet = Canvas(width, len(sizes))
    for y, size in enumerate(sizes):
        hole = HoleView("5", "taken", size.mark, size.long_rank)
        head, style = _head(hole, glyphs)
        sheet.put(0, y, head, style)
        sheet.paint(1, y, 1, f"{style} reverse")
        sheet.put(3, y, _shank(hole, 2, glyphs), style)
        count = f"{size.done}/{size.total}" if size.done < size.total else f"{size.total}"
        left = 3 + longest + 1
        room = width - left - len(count) - 1
        sheet.put_words(left, y, fitted(size.label, max(0, room), glyphs.ellipsis), "$pb-text")
        sheet.put(width - len(count), y, count, _QUIET if size.done < size.total else style)
    return sheet.rows()
