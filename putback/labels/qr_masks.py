"""Which of the eight masks a QR square gets: the one with the fewest penalty points of ISO/IEC 18004, 7.8.3.

Rows and columns are whole numbers, a bit a module, so that a line is looked at in one go and not module by module.
It knows nothing of the library that fills the square.
"""

from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise

Lines = tuple[int, ...]
"""The rows or the columns of a square; bit n is the module n, set where it is dark."""

MASKS: tuple[Callable[[int, int], bool], ...] = (
    lambda row, column: (row + column) % 2 == 0,
    lambda row, column: row % 2 == 0,
    lambda row, column: column % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: (row * column % 3 + (row + column) % 2) % 2 == 0,
)
"""The masks in the standard's order: which modules each turns over, by row and column."""


def lines_of(modules: Sequence[Sequence[object]]) -> Lines:
    """Return rows of modules as numbers."""
    return tuple(sum(1 << at for at, dark in enumerate(row) if dark) for row in modules)


def turned(lines: Lines) -> Lines:
    """Return the columns of these rows, or the rows of these columns."""
    return tuple(sum((line >> at & 1) << other for other, line in enumerate(lines)) for at in range(len(lines)))


@cache
def _mask(number: int, side: int) -> tuple[Lines, Lines]:
    """Rows and columns of a mask over a whole square."""
    rows = lines_of([[MASKS[number](row, column) for column in range(side)] for row in range(side)])
    return rows, turned(rows)


def best_mask(modules: Sequence[Sequence[object]], area: Sequence[Sequence[object]]) -> tuple[int, Lines]:
    """Return the mask that a square is read best with, and its rows then.

    `modules` are those under mask 0, `area` tells which of them a mask turns over. Of equals it is the first.
    """
    side = len(modules)
    rows, within = lines_of(modules), lines_of(area)
    columns, within_columns = turned(rows), turned(within)
    bare, best = _mask(0, side), (0, rows)
    least = -1
    for number in range(len(MASKS)):
        over = _mask(number, side)
        mine, across = (
            tuple(line ^ (old ^ new) & here for line, old, new, here in zip(*given, strict=True))
            for given in ((rows, bare[0], over[0], within), (columns, bare[1], over[1], within_columns))
        )
        points = penalty(mine, across)
        if least < 0 or points < least:
            least, best = points, (number, mine)
    return best


def penalty(rows: Lines, columns: Lines) -> int:
    """Return the points against a square: runs, blocks, shapes like a corner mark, and too much dark or light."""
    side = len(rows)
    full = (1 << side) - 1
    points = 0
    for line in (*rows, *columns):
        light = ~line & full
        equal = ~(line ^ line >> 1) & full >> 1  # a run of n modules is n - 1 of these
        runs = equal & equal >> 1 & equal >> 2 & equal >> 3
        points += runs.bit_count() + 2 * (runs & ~(runs >> 1)).bit_count()
        middle = light >> 1 & line >> 4 & light >> 5 & line >> 6 & light >> 9
        if middle:
            before = middle & line & line >> 2 & line >> 3 & light >> 7 & light >> 8 & light >> 10
            after = middle & light & light >> 2 & light >> 3 & line >> 7 & line >> 8 & line >> 10
            points += 40 * (before | after).bit_count()
    for line, below in pairwise(rows):
        beside = ~(line ^ line >> 1) & full >> 1
        under = ~(line ^ below) & full
        points += 3 * (beside & under & under >> 1).bit_count()
    dark = sum(line.bit_count() for line in rows)
    return points + 10 * int(abs(dark * 100 / side**2 - 50) / 5)
