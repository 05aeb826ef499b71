"""The sheet for the cupboard door: boxes and bags of all machines, each bag with what it is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from putback.labels.drawing import Drawing, Mark, Rectangle, Words
from putback.labels.lettering import CAP_HEIGHT, measure, printable
from putback.labels.paper import PAPERS
from putback.labels.wording import set_lines

_SIDE, _TOP = 14.0, 16.0
_LINE = 1.32
_SIZES = (4.2, 3.8, 3.4, 3.0, 2.7, 2.4)
"""Letter sizes in millimetres, the largest that has all on one sheet is taken; what has no room goes on another."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """One box of one machine, or the bags that lie in none."""

    machine: str
    """Name and serial of the machine."""
    box: str
    """The box's letter; empty for bags in no box."""
    bags: tuple[tuple[int, str], ...]
    """Number of each bag and what its things are of."""


@dataclass(frozen=True, slots=True)
class _Row:
    text: str
    number: str = ""
    heading: int = 0
    """2 for a machine, 1 for a box, 0 for a bag."""


def cupboard_sheets(shelves: Sequence[Shelf], paper: str, day: str) -> list[Drawing]:
    """Return the sheets, one where all has room: machines one after another, each with its boxes and their bags."""
    wide, high = PAPERS[paper]
    rows: list[_Row] = []
    machine = None
    for shelf in shelves:
        if shelf.machine != machine:
            machine = shelf.machine
            rows.append(_Row(printable(machine), heading=2))
        rows.append(_Row(f"box {printable(shelf.box)}" if shelf.box else "in no box", heading=1))
        rows += [_Row(printable(what), str(number)) for number, what in shelf.bags]
    sheets: list[list[Mark]] = []
    for size in _SIZES:
        sheets = _set(rows, wide, high, size)
        if len(sheets) == 1:
            break
    head = Words(wide - _SIDE, _TOP - 5, printable(day), 2.6, align="right")
    return [Drawing(wide, high, (head, *marks)) for marks in sheets]


def _set(rows: list[_Row], wide: float, high: float, size: float) -> list[list[Mark]]:
    """The rows in columns at one letter size, as many sheets as they take."""
    columns = 2 if size > 3 else 3
    across = (wide - 2 * _SIDE) / columns
    sheets: list[list[Mark]] = [[]]
    column, y = 0, _TOP
    for place, row in enumerate(rows):
        letters = size * (1.35 if row.heading == 2 else 1.1 if row.heading else 1.0)
        indent = 0.0 if row.heading else measure("888", size, True) + size * 0.4
        lines = set_lines(row.text, across - indent - 4, letters, bool(row.heading), 60) or [""]
        follows = size * _LINE * 2 if row.heading and place + 1 < len(rows) else 0.0  # a heading stands over something
        if y + letters * _LINE * len(lines) + follows > high - _TOP and y > _TOP:
            column, y = column + 1, _TOP
            if column == columns:
                sheets.append([])
                column = 0
        x = _SIDE + column * across
        y += size * 0.6 if row.heading and y > _TOP else 0.0
        for at, line in enumerate(lines):
            baseline = y + letters * CAP_HEIGHT
            if row.number and not at:
                sheets[-1].append(Words(x + indent - size * 0.4, baseline, row.number, size, bold=True, align="right"))
            sheets[-1].append(Words(x + indent, baseline, line, letters, bool(row.heading)))
            y += letters * _LINE
        if row.heading == 2:
            sheets[-1].append(Rectangle(x, y - letters * 0.2, across - 4, 0.3))
            y += size * 0.3
    return sheets
