"""A sheet of lines with boxes to tick: how many, what, what more there is to say, and a photo where there is one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from putback.labels.drawing import Drawing, Mark, Picture, Rectangle, Words
from putback.labels.lettering import CAP_HEIGHT, measure, printable
from putback.labels.paper import PAPERS
from putback.labels.wording import set_lines
from putback.sheets.writing import Printed

SIDE, TOP = 16.0, 16.0
"""Margins, in millimetres."""
LINE = 1.32
"""From one line to the next, in letter sizes."""

_WORDS, _NOTES, _HEAD = 4.2, 3.1, 6.4
_BOX = 5.2
_COUNT = 13.0
_PHOTO = (36.0, 27.0)
_MOST = 60


@dataclass(frozen=True, slots=True)
class Ticked:
    """One line."""

    count: str
    """How many."""
    what: str
    """What it is."""
    notes: tuple[str, ...] = ()
    """What more there is to say, a line each."""
    photo: Path | None = None
    """A picture of it."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Some lines under a title; goes on over as many pages as they need."""

    title: str
    """What it is, for whom."""
    under: tuple[str, ...]
    """Whose it is, when."""
    lines: tuple[Ticked, ...]
    """The lines."""
    foot: str = ""
    """How much it is in all."""


@dataclass(slots=True)
class _Pages:
    """Pages being filled from the top."""

    wide: float
    high: float
    pages: list[list[Mark]] = field(default_factory=list)
    y: float = TOP

    def turn(self) -> None:
        self.pages.append([])
        self.y = TOP

    def words(self, lines: Sequence[str], x: float, size: float, *, bold: bool = False) -> None:
        """Set lines one under another."""
        for line in lines:
            self.pages[-1].append(Words(x, self.y + size * CAP_HEIGHT, line, size, bold))
            self.y += size * LINE


def square(x: float, y: float, side: float, line: float = 0.25) -> list[Mark]:
    """Return a box to tick."""
    return [
        Rectangle(x, y, side, line),
        Rectangle(x, y + side - line, side, line),
        Rectangle(x, y, line, side),
        Rectangle(x + side - line, y, line, side),
    ]


def ticked_pages(sheet: Sheet, paper: str, day: str) -> list[Drawing]:
    """Return the pages of a sheet, each with its title, the day and, where there are several, its number."""
    wide, high = PAPERS[paper]
    made = _Pages(wide, high)
    _begin(made, sheet, full=True)
    photos = any(line.photo for line in sheet.lines)
    for line in sheet.lines:
        _line(made, sheet, line, photos=photos)
    if sheet.foot:
        made.y += 3
        if made.y + _WORDS > high - TOP:
            _begin(made, sheet, full=False)
        made.words([printable(sheet.foot)], SIDE + _BOX + _COUNT, _WORDS, bold=True)
    for number, page in enumerate(made.pages, 1):
        of = f"page {number} of {len(made.pages)}, {day}" if len(made.pages) > 1 else day
        page.append(Words(wide - SIDE, high - TOP + 6, printable(of), 2.6, align="right"))
    return [Drawing(wide, high, tuple(page)) for page in made.pages]


def ticked(name: str, nothing: str, sheets: Sequence[Sheet]) -> Printed:
    """Return sheets as they are printed, each on pages of its own; `nothing` is said where there is none."""
    return Printed(name, nothing, lambda paper, day: [page for one in sheets for page in ticked_pages(one, paper, day)])


def _begin(made: _Pages, sheet: Sheet, *, full: bool) -> None:
    """Begin a page under its title; all that stands under that only on the first."""
    made.turn()
    room = made.wide - 2 * SIDE
    made.words(set_lines(printable(sheet.title), room, _HEAD, True, 3), SIDE, _HEAD, bold=True)
    for words in sheet.under if full else ():
        made.words(set_lines(printable(words), room, _NOTES + 0.6, False, 6), SIDE, _NOTES + 0.6)
    made.y += 1.5
    made.pages[-1].append(Rectangle(SIDE, made.y, room, 0.4))
    made.y += 2.5


def _line(made: _Pages, sheet: Sheet, line: Ticked, *, photos: bool) -> None:
    left = SIDE + _BOX + _COUNT
    room = made.wide - SIDE - left - (_PHOTO[0] + 4 if photos else 0)
    words = set_lines(printable(line.what), room, _WORDS, True, _MOST) or [""]
    notes = [row for note in line.notes for row in set_lines(printable(note), room, _NOTES, False, _MOST)]
    tall = max(_BOX, len(words) * _WORDS * LINE + len(notes) * _NOTES * LINE, _PHOTO[1] if line.photo else 0)
    if made.y + tall + 2 > made.high - TOP and made.y > TOP + 30:
        _begin(made, sheet, full=False)
    top = made.y
    page = made.pages[-1]
    page += square(SIDE, top, _BOX)
    size = min(_WORDS, _WORDS * (_COUNT - 3) / max(0.1, measure(printable(line.count), _WORDS, True)))
    page.append(Words(left - 2.5, top + _WORDS * CAP_HEIGHT + 0.6, printable(line.count), size, True, "right"))
    if line.photo is not None:
        page.append(Picture(made.wide - SIDE - _PHOTO[0], top, *_PHOTO, line.photo))
    made.y += 0.6
    made.words(words, left, _WORDS, bold=True)
    for note in notes:  # one longer than a page goes on on the next
        if made.y + _NOTES > made.high - TOP:
            _begin(made, sheet, full=False)
            top = made.y - tall
        made.words([note], left, _NOTES)
    made.y = max(made.y, top + tall) + 1.6
    made.pages[-1].append(Rectangle(SIDE, made.y, made.wide - 2 * SIDE, 0.12))
    made.y += 1.6
