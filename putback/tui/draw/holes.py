"""The hole map: a face of a part drawn as a plate with its holes where the keypad has its keys.

A hole to come is hollow, a hole that is done a solid head; each size has its letter and its shape. A screw that
is out, or still to go in, shows its thread, a stroke for an eighth of an inch (3 mm) of its length, as the plate's
lower edge says. What is threaded on it (washers, spacers) crosses it. A screw that is in shows its head alone. One
unlike all its neighbours has a mark. Before each stands the number of its place. The place the hand is at stands
between the corners of a finder. None of this needs colour.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from textual._cells import cell_len
from textual.content import Content

from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.text import fitted, wrapped
from putback.tui.draw.threads import SHORT, Strokes, cells_of, scale_text, strokes, thread
from putback.tui.keyboard.tapping import tap_style

HoleState = Literal["empty", "filled", "taken", "now", "next", "found_empty"]
Turn = Literal[0, 90, 180, 270]

LARGE = (35, 13)
"""The least width and height at which heads are drawn three rows high."""

_CURSOR = "bold $pb-brass"
_QUIET = "$pb-muted"
AIRY = 8
"""Columns of a place in which what marks a hole stands beside its number."""
ROOMY = 10
"""Columns of a place that keeps its distance from the one to the left, marked or not."""
_ODD = "bold $pb-rust"
TROUBLE = "*"
"""The sign of a hole with trouble."""
_NO_THREAD = ("found_empty", "filled")
"""States in which no thread is seen."""


class HoleView(Struct, frozen=True):
    """One hole as it is to be drawn."""

    place: str
    """A keypad digit, and a running letter when one place holds several: `5`, `5a`, `5b`."""
    state: HoleState = "empty"
    """empty: still to come. next: the one after this. now: being done. taken: out and recorded.
    filled: the screw is in. found_empty: had no screw when it was opened."""
    mark: str = ""
    """The letter of its size; empty when not yet known."""
    long: int = 0
    """Its length in eighths of an inch; 0 for what has none, as a nut."""
    stacked: int = 0
    """Washers, spacers and the like on the same screw."""
    odd: bool = False
    """Unlike its neighbours, which are all alike."""
    trouble: bool = False
    """Its screw or its thread is not as it was: lost, broken, another one, gone."""

    @property
    def warns(self) -> str:
        """The sign beside it: trouble comes before being odd; nothing where there is neither."""
        return TROUBLE if self.trouble else "!" if self.odd else ""


PLACES = "123456789"


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
) -> list[Content]:
    """A face as a picture: `height` rows of exactly `width` cells.

    width, height  20x5 or more; heads are drawn small below 35x13 and three rows high from there
    cursor         the place the hand is at, where no hole is in state `now`: `7`, or `5a` for a
                   hole that is about to be added
    title          the face, in the plate's upper edge
    elsewhere      how many holes lie on other faces, `right 2, top 1`, in its lower edge
    turn           how far the machine is turned clockwise as one looks at the face
    mirror         the face is seen from behind; mirrored first, then turned
    taps           each place can be tapped, as large as a third of the plate
    keys           what the person presses for the places 1 to 9, one sign each
    longest        eighths of an inch of the longest screw that stands beside it and is drawn to its scale
    """
    sheet = Canvas(width, height, "$pb-panel")
    large = is_large(width, height)
    top = strokes(max(longest, longest_of(holes, ())), longest_thread(width, height))
    shows = any(hole.long and hole.mark and hole.state not in _NO_THREAD for hole in holes)
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
            x, y = (3, (cell.rows - 1) // 2) if large else (_pad(cell.width), 0)
            sheet.put(cell.x + x, cell.y + y, keys[int(key) - 1], _QUIET)
        elif len(here) > 1:
            _several(sheet, cell, here, keys[int(key) - 1], cursor, top, glyphs)
        else:
            lone = here[0]
            (_large if large else _small)(sheet, cell, lone, keys[int(key) - 1], _is_at(lone, cursor), top, glyphs)
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
    says = _lies(turn, mirror, glyphs)
    if says:
        sheet.put(width - 3 - len(says), height - 1, f" {says} ", "bold $pb-blue")
    room = width - 6 - (len(says) + 2 if says else 0)
    if elsewhere and room >= ELSEWHERE_LEAST:
        words = elsewhere if cell_len(elsewhere) <= room else f"+{sum(map(int, re.findall('[0-9]+', elsewhere)))}"
        sheet.put(2, height - 1, f" {words} ", "$pb-text")
        room -= cell_len(words) + 3
    words = scale_text(scale, glyphs, room) if scale is not None else ""
    if words and says:
        sheet.put(2 if not elsewhere else width - 6 - len(says) - len(words), height - 1, f" {words} ", _QUIET)
    elif words:
        sheet.put(width - 4 - len(words), height - 1, f" {words} ", _QUIET)


def _lies(turn: Turn, mirror: bool, glyphs: GlyphSet) -> str:
    """How the face lies, where it does not lie as recorded."""
    words = []
    if mirror:
        words.append("from behind")
    if turn:
        words.append({90: "top is right", 180: "top is down", 270: "top is left"}[turn])
    return ", ".join(words)


# --- one hole, small: one row


def _small(
    sheet: Canvas, cell: _Cell, hole: HoleView, key: str, at_cursor: bool, top: Strokes, glyphs: GlyphSet
) -> None:
    """Number, head and thread; what marks the hole takes the place of the number where there is no room for both."""
    x = cell.x + _pad(cell.width)
    left = x - (cell.width >= AIRY)
    head, style = _head(hole, glyphs)
    sheet.put(x, cell.y, key, _QUIET)
    if at_cursor:
        style = _CURSOR
    sheet.put(x + 1, cell.y, head, style)
    if _is_solid(hole):
        sheet.paint(x + 2, cell.y, 1, f"{style} reverse")
    thread = _shank(hole, top, glyphs)
    sheet.put(x + 4, cell.y, thread, style)
    if at_cursor:
        sheet.put(left, cell.y, glyphs.right, _CURSOR)
        behind = x + 4 + len(thread)
        if behind < cell.x + cell.width:
            sheet.put(behind, cell.y, glyphs.left, _CURSOR)
    elif hole.warns:
        sheet.put(left, cell.y, hole.warns, _ODD)


def _pad(cell: int) -> int:
    """Cells before the number of a small place, where there is room for any."""
    return (cell >= AIRY) + (cell >= ROOMY)


def thread_room(cell: int) -> int:
    """How many crests the longest thread of a face has, on a map whose places are `cell` columns wide."""
    return max(1, cell - 4 - _pad(cell))


def _shape(mark: str) -> int:
    """Which shape a size has, by its letter: after the last of them they begin anew."""
    return (ord(mark) - ord("A")) % len(UNICODE.solid_caps) if "A" <= mark <= "Z" else 0


def _head(hole: HoleView, glyphs: GlyphSet) -> tuple[str, str]:
    """Three cells of head and their style."""
    letter = (hole.mark or " ")[:1]
    shape = _shape(letter)
    solid, hollow = (f"{caps[shape][0]}{letter}{caps[shape][1]}" for caps in (glyphs.solid_caps, glyphs.hollow_caps))
    match hole.state:
        case "filled":
            return solid, "$pb-verdigris"
        case "taken":
            return solid, _ODD if hole.odd else "bold $pb-text"
        case "now":
            return solid if hole.mark else "( )", _CURSOR
        case "next":
            return f"{glyphs.next_caps[0]}{letter}{glyphs.next_caps[1]}", _CURSOR
        case "found_empty":
            return f"({glyphs.cross})", "$pb-rust"
        case "empty":
            return hollow, _ODD if hole.odd else "bold $pb-text" if hole.mark else _QUIET


def _is_solid(hole: HoleView) -> bool:
    return hole.state in ("filled", "taken") or (hole.state == "now" and bool(hole.mark))


def _shank(hole: HoleView, scale: Strokes, glyphs: GlyphSet) -> str:
    """The thread of a screw that is out, or is still to go in."""
    if hole.state in _NO_THREAD or not hole.mark:
        return glyphs.shank[min(hole.stacked, 2)] if hole.stacked and hole.state != "filled" else ""
    return thread(hole.long, scale, glyphs, stacked=hole.stacked)


def _finder(sheet: Canvas, cell: _Cell, glyphs: GlyphSet) -> None:
    left, right = cell.x, cell.x + cell.width - 1
    top, bottom = cell.y, cell.y + cell.rows - 1
    for x, y, corner in zip((left, right, left, right), (top, top, bottom, bottom), glyphs.corners, strict=True):
        sheet.put(x, y, corner, _CURSOR)
    sheet.put(left, (top + bottom) // 2, glyphs.right, _CURSOR)


# --- one hole, large: three rows


def _large(
    sheet: Canvas, cell: _Cell, hole: HoleView, key: str, at_cursor: bool, top: Strokes, glyphs: GlyphSet
) -> None:
    x = cell.x + 1
    y = cell.y + (cell.rows - 3) // 2
    letter = (hole.mark or " ")[:1]
    shape = _shape(letter)
    _three, style = _head(hole, glyphs)
    solid = _is_solid(hole)
    if at_cursor:
        style = _CURSOR
        _finder(sheet, cell, glyphs)
    if hole.state == "found_empty":
        letter = glyphs.big_cross
    head = glyphs.solid_heads[shape] if solid else glyphs.hollow_heads[shape]
    if hole.state == "next":
        head = glyphs.next_head
    for down, row in enumerate(head):
        sheet.put(x, y + down, row.replace("@", letter), style)
    if solid:
        sheet.paint(x + 2, y + 1, 1, f"{style} reverse")
    sheet.put(x + 5, y + 1, _shank(hole, top, glyphs), style)
    sheet.put(x + 5, y, key, _QUIET)
    if hole.warns:
        sheet.put(x + 6, y, hole.warns, _ODD)


def large_thread_room(cell: int) -> int:
    """As `thread_room`, with large heads."""
    return max(1, cell - 7)


# --- several holes at one place


def _several(
    sheet: Canvas, cell: _Cell, holes: Sequence[HoleView], key: str, cursor: str | None, top: Strokes, glyphs: GlyphSet
) -> None:
    """Three cells a hole: the finder's arrow, a letter or a sign, and its running letter; the place for the first."""
    in_row = max(1, cell.width // 3)
    if cell.rows == 1 and cell.spare and len(holes) > in_row:
        cell = _Cell(cell.x, cell.y - 1, cell.width, 2)
    if cell.width >= 9 and len(holes) <= cell.rows:
        for index, hole in enumerate(holes):
            one = _Cell(cell.x, cell.y + index, cell.width, 1)
            _small(sheet, one, hole, hole.place[1:2] or key, _is_at(hole, cursor), top, glyphs)
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
        elif hole.warns:
            sheet.put(x, y, hole.warns, _ODD)
        elif hole.state == "next":
            sheet.put(x, y, glyphs.next_caps[0], style)
        sheet.put(x + 1, y, sign, style)
        sheet.put(x + 2, y, hole.place[1:2] or key, _QUIET)
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
    long: int = 0
    """As in HoleView."""


def longest_of(holes: Sequence[HoleView], sizes: Sequence[SizeView]) -> int:
    """Return the eighths of an inch of the longest screw of a map and its legend."""
    return max(*(hole.long for hole in holes), *(size.long for size in sizes), 0, 0)


def size_sign(size: SizeView, glyphs: GlyphSet = UNICODE, *, longest: int = 0, room: int = SHORT) -> Content:
    """One size as on the map: its letter in its shape, and its thread, to the scale that `room` cells allow.

    `longest` are the eighths of an inch of the longest that it stands with: all of them take the same cells.
    """
    scale = strokes(max(longest, size.long), room)
    sheet = Canvas(3 + cells_of(max(longest, size.long), scale), 1)
    hole = HoleView("5", "taken", size.mark, size.long)
    head, style = _head(hole, glyphs)
    sheet.put(0, 0, head, style)
    sheet.paint(1, 0, 1, f"{style} reverse")
    sheet.put(3, 0, _shank(hole, scale, glyphs), style)
    return sheet.rows()[0]


def legend(
    sizes: Sequence[SizeView],
    width: int,
    *,
    glyphs: GlyphSet = UNICODE,
    map_size: tuple[int, int] | None = None,
    whole: bool = False,
    longest: int = 0,
) -> list[Content]:
    """One row a size, each `width` cells: its head and thread as on the map, its name, its count.

    `map_size` are columns and rows of the map that it belongs to, whose threads it repeats; without, they are short.
    `whole`: a name that is too long for its row goes on below it. `longest` as in `hole_map`.
    """
    longest = max(longest, longest_of((), sizes))
    fits = SHORT if map_size is None else longest_thread(*map_size)
    most = cells_of(longest, strokes(longest, fits))
    left = 3 + most + 1
    rows = []
    for size in sizes:
        count = f"{size.done}/{size.total}" if size.done < size.total else f"{size.total}"
        room = width - left - len(count) - 1
        sheet = Canvas(max(0, width - 3 - most), 1)
        first, *more = wrapped(size.label, room) if whole and room > 1 else [Content(size.label)]
        sheet.put_words(1, 0, fitted(first.plain, max(0, room), glyphs.ellipsis), "$pb-text")
        style = _QUIET if size.done < size.total else "bold $pb-text"
        sheet.put(width - 3 - most - len(count), 0, count, style)
        sign = size_sign(size, glyphs, longest=longest, room=fits)
        rows.append(Content.assemble(sign, sheet.rows()[0]))
        rows += [Content.assemble(" " * left, row) for row in more]
    return rows


def is_large(width: int, height: int) -> bool:
    """Whether a map of that size has heads of three rows."""
    return width >= LARGE[0] and height >= LARGE[1]


def longest_thread(width: int, height: int) -> int:
    """Crests of the longest thread on the narrowest place of a map."""
    cell = (width - 2) // 3
    return large_thread_room(cell) if is_large(width, height) else thread_room(cell)


def signs_text(
    holes: Sequence[HoleView], width: int, *, cursor: str | None = None, large: bool = False, glyphs: GlyphSet = UNICODE
) -> list[Content]:
    """What the signs on a map mean, those that it shows: as many on a row as `width` cells hold.

    `cursor` is the place the hand is at, which has a finder instead of a sign; `large`: heads are three rows high.
    """
    bare, lettered, soon = ("hollow:", "hollow:", "dashed:") if large else ("( )", "(A)", " ".join(glyphs.next_caps))
    texts = []
    if any(hole.state == "next" for hole in holes):
        texts.append(f"{soon} next")
    if any(hole.state == "empty" and not hole.mark for hole in holes):
        texts.append(f"{bare} still to come")
    if any(hole.state == "empty" and hole.mark for hole in holes):
        texts.append(f"{lettered} to go in")
    if any(hole.state == "found_empty" for hole in holes):
        texts.append(f"({glyphs.cross}) found empty")
    if any(hole.trouble for hole in holes):
        texts.append(f"{TROUBLE} trouble")
    odd = [hole for hole in holes if hole.odd and not hole.trouble]
    if any(hole.state != "found_empty" and not _is_at(hole, cursor) for hole in odd):
        texts.append("! unlike the others")
    rows: list[str] = []
    for one in texts:
        if rows and cell_len(rows[-1]) + 3 + cell_len(one) <= width:
            rows[-1] += f"   {one}"
        else:
            rows.append(one)
    return [Content.styled(fitted(row, width, glyphs.ellipsis), _QUIET) for row in rows]
