"""A face with its holes in the PDF, and the sizes that came out of it, each with a bar as long as the screw."""

from __future__ import annotations

from collections.abc import Sequence

from putback.book.faces import PrintedFace, PrintedHole, free_places, spots
from putback.book.leaves import Size
from putback.book.sheet import BODY, INK, LEADING, QUIET, STEEL, WHITE, PageBlock, Sheet, device
from putback.labels.lettering import CAP_HEIGHT, measure, printable, wrap

FACE = 34.0
"""Side of a face, in millimetres."""
BESIDE = FACE + 7
"""From a face's left edge to what is said beside it."""
TITLE = 4.6
"""Height of a face's name above it."""
_TRUE_LENGTH = 70.0
"""The longest screw that is drawn at its length."""


def with_face(sheet: Sheet, faces: Sequence[PrintedFace], rows: Sequence[PageBlock], x: float) -> PageBlock:
    """Return one face with rows beside it, or several faces beside one another, as one block."""
    tall = max(FACE + (TITLE if any(face.name for face in faces) else 0.0), sum(row.height for row in rows))

    def draw(y: float) -> None:
        for at, face in enumerate(faces):
            titled_plate(sheet, face, x + at * BESIDE, y + 1.0)
        down = y + 1.0
        for row in rows:
            row.draw(down)
            down += row.height

    return PageBlock(tall + 2.0, draw)


def titled_plate(sheet: Sheet, face: PrintedFace, x: float, y: float) -> None:
    """Draw a face below its name, where it has one."""
    if face.name:
        sheet.words(x, y + 3.4, f"{face.name} face", 2.9, QUIET)
    plate(sheet, face.holes, x, y + (TITLE if face.name else 0.0))


def plate(sheet: Sheet, holes: Sequence[PrintedHole], x: float, y: float) -> None:
    """Draw a face: a letter in each hole that had something, a broken ring with a cross where nothing was."""
    square, pdf = FACE / 3, sheet.paper
    pdf.set_fill_color(device(STEEL))
    pdf.set_draw_color(device(QUIET))
    pdf.set_line_width(0.25)
    pdf.rect(x, y, FACE, FACE, "DF", round_corners=True, corner_radius=2)
    for key, across, down in free_places(holes):
        at = x + across * square - measure(key, 2.6) / 2
        sheet.words(at, y + down * square + 0.95, key, 2.6, QUIET)
    for spot in spots(holes):
        middle, down, radius = x + spot.x * square, y + spot.y * square, spot.radius * square
        hole = spot.hole
        if hole.empty:
            pdf.set_draw_color(device(INK))
            pdf.set_line_width(0.35)
            pdf.set_dash_pattern(0.8, 0.6)
            pdf.circle(middle, down, radius)
            pdf.set_dash_pattern()
            reach = radius * 0.45
            sheet.line(middle - reach, down - reach, middle + reach, down + reach, INK, 0.35)
            sheet.line(middle - reach, down + reach, middle + reach, down - reach, INK, 0.35)
        else:
            pdf.set_draw_color(device(INK))
            pdf.set_line_width(0.3)
            if hole.stacked:
                pdf.circle(middle, down, radius)
                radius *= 0.82
            pdf.set_fill_color(device(INK))
            pdf.circle(middle, down, radius, "F")
            size = radius * 1.1
            left = middle - measure(hole.letter, size, True) / 2
            sheet.words(left, down + size * CAP_HEIGHT / 2, hole.letter, size, WHITE, bold=True)
        if hole.trouble:
            sheet.words(middle + radius + 0.3, down - radius * 0.3, "*", 4.5, INK, bold=True)
        if len(hole.place) > 1:
            sheet.words(middle + radius + 0.4, down + radius, hole.place[1], 2.2, QUIET)


def lettered(sheet: Sheet, letter: str, rows: Sequence[PageBlock], x: float) -> list[PageBlock]:
    """Return lines with the letter of a size before the first."""

    def draw(y: float) -> None:
        _sign(sheet, letter, x, y)
        rows[0].draw(y)

    return [PageBlock(rows[0].height, draw, rows[0].holds), *rows[1:]] if rows else []


def _sign(sheet: Sheet, letter: str, x: float, y: float) -> None:
    if letter:
        sheet.paper.set_fill_color(device(INK))
        sheet.paper.circle(x + 2.3, y + 2.6, 2.1, "F")
        left = x + 2.3 - measure(letter, 2.7, True) / 2
        sheet.words(left, y + 2.6 + 2.7 * CAP_HEIGHT / 2, letter, 2.7, WHITE, bold=True)


def size_block(sheet: Sheet, size: Size, x: float, width: float) -> PageBlock:
    """Return one size: its letter, count, name and holes, a bar of its true length, and what is to be said of it."""
    count = f"{size.count} \u00d7 " if size.count else ""
    name = wrap(printable(count + size.called), width - 7, BODY, False, 2)
    more = [
        row for words in (size.at, "; ".join(size.remarks)) for row in wrap(printable(words), width - 7, 3.0, False, 3)
    ]
    length = size.length if size.length is not None and size.length <= min(_TRUE_LENGTH, width - 8) else None
    height = BODY * LEADING * len(name) + 3.8 * len(more) + (2.6 if length else 0) + 0.8

    def draw(y: float) -> None:
        _sign(sheet, size.letter, x, y)
        at = y
        for row in name:
            sheet.words(x + 7, at + 3.7, row, BODY)
            at += BODY * LEADING
        if length:
            sheet.box(x + 7, at + 0.1, 0.9, 1.9, INK)
            sheet.box(x + 7.9, at + 0.55, max(0.1, length - 0.9), 1.0, QUIET)
            at += 2.6
        for row in more:
            sheet.words(x + 7, at + 2.8, row, 3.0, QUIET)
            at += 3.8

    return PageBlock(height, draw)
