"""Squares that a bench has been at, read by an independent reader. The figures are in docs/labels.md."""

from collections.abc import Callable, Iterator
from random import Random

import pytest
from PIL import Image

from putback.labels import qr
from putback.labels.qr import Level, Square
from putback.scans.bag_code import new_code
from tests.labels import damage
from tests.labels.qr_reading import read_texts

SUMMARY = (
    "PB3K7M2Q4: BAG 4 - TICKET-DATING PRESS SN 2041*7 - STEP 5"
    " - 7 OF NO8-32 UNC X 3/8 + 1 OF NO8-32 UNC X 1/2 + 2 OF WASHER NO8 + 1 OF M4X0.7 X 10 MM."
)
PIXELS = 5
"""A module in the pictures."""


def code_square(rng: Random) -> Square:
    return qr.square(new_code(rng, ()))


def full_square(rng: Random) -> Square:
    return qr.square(SUMMARY, 11, Level.M)


def share_read(
    make: Callable[[Random], Square], spoil: Callable[[Image.Image, Random], Image.Image], times: int
) -> float:
    """The share of `times` spoiled squares that give their text back, and nothing else."""
    read = 0
    for seed in range(times):
        rng = Random(seed)
        square = make(rng)
        found = read_texts(spoil(qr.image(square, PIXELS).convert("L"), rng), patient=True)
        assert found in ([], [square.text])
        read += bool(found)
    return read / times


QUIET, FINDER = 4 * PIXELS, 8 * PIXELS


@pytest.mark.parametrize("make", [code_square, full_square])
@pytest.mark.parametrize(
    ("spoil", "least"),
    [
        (lambda p, rng: damage.turned(p, rng.uniform(0, 360)), 1.0),
        (lambda p, rng: damage.blurred(p, 0.5 * PIXELS), 1.0),
        (lambda p, rng: damage.askew(p, rng.uniform(0, 30), rng), 1.0),
        (lambda p, rng: damage.badly_lit(p, 0.4, rng), 0.9),
        (lambda p, rng: damage.creased(p, rng, QUIET), 0.7),
        (lambda p, rng: damage.spattered(p, 0.02, rng, QUIET, FINDER), 0.9),
        (lambda p, rng: damage.blotted(p, 0.05, rng, QUIET, FINDER), 0.9),
        (damage.photographed, 0.95),
    ],
    ids=["turned", "blurred", "askew", "badly lit", "creased", "spattered", "blotted", "photographed"],
)
def test_spoiled_squares_are_read(
    make: Callable[[Random], Square], spoil: Callable[[Image.Image, Random], Image.Image], least: float
) -> None:
    assert share_read(make, spoil, 20) >= least


def reserved(side: int, column: int, row: int) -> bool:
    """Whether a module of version 1 carries no data: corner marks, timing and format (ISO/IEC 18004)."""
    in_corner = (column < 9 and row < 9) or (column >= side - 8 and row < 9) or (column < 9 and row >= side - 8)
    return in_corner or column == 6 or row == 6


def codewords(side: int) -> Iterator[list[tuple[int, int]]]:
    """The modules of each codeword of version 1, in the standard's order: two columns at a time from
    the right, up and down in turn, past the upright timing line."""
    order: list[tuple[int, int]] = []
    upward = True
    for right in (20, 18, 16, 14, 12, 10, 8, 5, 3, 1):
        rows = range(side - 1, -1, -1) if upward else range(side)
        order.extend((c, r) for r in rows for c in (right, right - 1) if not reserved(side, c, r))
        upward = not upward
    for start in range(0, len(order), 8):
        yield order[start : start + 8]


@pytest.mark.parametrize(("level", "promised"), [(Level.H, 8), (Level.Q, 6), (Level.M, 4), (Level.L, 2)])
def test_as_many_codewords_as_the_level_promises_may_be_lost(level: Level, promised: int) -> None:
    """Version 1 corrects 2, 4, 6 and 8 of its 26 codewords (ISO/IEC 18004, table 9, from memory)."""
    for seed in range(30):
        rng = Random(seed)
        code = new_code(rng, ())
        square = Square(code, 1, level, qr._modules(code, 1, level))
        words = list(codewords(square.side))
        assert len(words) == 26
        spoiled = [list(row) for row in square.modules]
        for word in rng.sample(words, promised):
            for column, row in word:
                spoiled[row][column] = not spoiled[row][column]
        worn = Square(code, 1, level, tuple(map(tuple, spoiled)))
        assert read_texts(qr.image(worn, 3)) == [code]
