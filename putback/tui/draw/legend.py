"""Which letter of a hole map is which size, and what its signs mean."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content

from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.heads import EMPTY, TROUBLE, HoleView, head, shank, style_of
from putback.tui.draw.holes import longest_thread
from putback.tui.draw.palette import QUIET
from putback.tui.draw.text import fitted, wrapped
from putback.tui.draw.threads import SHORT, cells_of, strokes

MOST_HOLLOW = 4
"""Shapes of holes to come that are named at most, where a map has many sizes."""


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
    style = style_of(hole)
    sheet.put(0, 0, head(hole, glyphs), style)
    sheet.paint(1, 0, 1, f"{style} reverse")
    sheet.put(3, 0, shank(hole, scale, glyphs), style)
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
        style = QUIET if size.done < size.total else "bold $pb-text"
        sheet.put(width - 3 - most - len(count), 0, count, style)
        sign = size_sign(size, glyphs, longest=longest, room=fits)
        rows.append(Content.assemble(sign, sheet.rows()[0]))
        rows += [Content.assemble(" " * left, row) for row in more]
    return rows


def _hollow(holes: Sequence[HoleView], glyphs: GlyphSet) -> str:
    """Return the hollow heads on a map, each size in its own shape: `(A) /B/`."""
    found = {hole.mark: head(hole, glyphs) for hole in holes if hole.state == "empty" and hole.mark}
    heads = [found[letter] for letter in sorted(found)]
    return " ".join(heads[:MOST_HOLLOW]) + (f" {glyphs.ellipsis}" if len(heads) > MOST_HOLLOW else "")


def signs_text(
    holes: Sequence[HoleView], width: int, *, cursor: str | None = None, large: bool = False, glyphs: GlyphSet = UNICODE
) -> list[Content]:
    """What the signs on a map mean, those that it shows: as many on a row as `width` cells hold.

    `cursor` is the place the hand is at, which has a finder instead of a sign; `large`: heads are three rows high.
    """
    bare, soon = ("hollow:", "dashed:") if large else ("( )", " ".join(glyphs.next_caps))
    lettered = "hollow:" if large else _hollow(holes, glyphs)
    signs: dict[str, Callable[[HoleView], bool]] = {
        f"{soon} next": lambda hole: hole.state == "next",
        f"{bare} still to come": lambda hole: hole.state == "empty" and not hole.mark,
        f"{lettered} to go back": lambda hole: hole.state == "empty" and bool(hole.mark),
        f"({glyphs.cross}) found empty": lambda hole: hole.state == "found_empty",
        f"({glyphs.cross}) stays empty": lambda hole: hole.state == "left_empty",
        f"{TROUBLE} trouble": lambda hole: hole.trouble,
        "! unlike the others": lambda hole: _shows_odd(hole, cursor),
    }
    rows: list[str] = []
    for one in (text for text, has in signs.items() if any(map(has, holes))):
        if rows and cell_len(rows[-1]) + 3 + cell_len(one) <= width:
            rows[-1] += f"   {one}"
        else:
            rows.append(one)
    return [Content.styled(fitted(row, width, glyphs.ellipsis), QUIET) for row in rows]


def _shows_odd(hole: HoleView, cursor: str | None) -> bool:
    """Whether the sign of an odd one is seen at a hole: there is one sign for each, and a finder hides it."""
    return hole.odd and not hole.trouble and hole.state not in (*EMPTY, "now") and hole.place != cursor
