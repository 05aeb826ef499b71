"""The graduations of a rule: which value stands in which cell, which ticks are tall.

One cell is always worth a round amount (1, 2, 2.5 or 5 times a power of ten, or a power of two
for inch fractions), so every graduation falls on a cell and the ticks stand evenly, as they do
on a rule that was engraved and not computed.
"""

from __future__ import annotations

from fractions import Fraction
from math import floor

from msgspec import Struct

MINOR, MIDDLE, MAJOR = 0, 1, 2

_TENTHS = (Fraction(1), Fraction(2), Fraction(5, 2), Fraction(5))
_NUMBERED_AT_LEAST = Fraction(1, 16)
"""Nobody engraves 17/64; finer graduations stay without a number while two others are in sight."""
_NUMERAL_STEPS = (Fraction(1), Fraction(2), Fraction(5))


class RuleScale(Struct, frozen=True):
    """Values laid out on a row of cells."""

    first: int
    """The value in the middle of cell 0, counted in cells."""
    per_cell: Fraction
    """What one cell is worth."""
    cells: int
    """Cells in the row."""
    minor: int
    """Cells from one small tick to the next."""
    middle: int
    """Cells from one middle tick to the next; 0 for none."""
    major: int
    """Cells from one numbered tick to the next."""
    in_fractions: bool
    """Whether numerals are vulgar fractions."""

    def place(self, value: float) -> float:
        """Where a value stands, in cells from the middle of cell 0."""
        return value / float(self.per_cell) - self.first

    def cell(self, value: float) -> int:
        """The cell a value falls in; outside 0..cells-1 when it is off the rule."""
        return floor(self.place(value) + 0.5)

    def value(self, cell: int) -> Fraction:
        """The value in the middle of a cell."""
        return (self.first + cell) * self.per_cell

    def height(self, cell: int) -> int | None:
        """Which tick stands in a cell: MINOR, MIDDLE, MAJOR, or None for bare steel."""
        at = self.first + cell
        if at % self.major == 0:
            return MAJOR
        if self.middle and at % self.middle == 0:
            return MIDDLE
        return MINOR if at % self.minor == 0 else None

    def numeral(self, cell: int) -> str:
        """What is engraved at a numbered tick."""
        value = self.value(cell)
        if self.in_fractions:
            return vulgar(value)
        return decimal(value, self.major * self.per_cell)


def fit(low: float, high: float, cells: int, *, in_fractions: bool = False) -> RuleScale:
    """The finest round scale that shows low..high in so many cells, in its middle where it can."""
    low, high = min(low, high), max(low, high)
    span = Fraction(max(high - low, 1e-9))
    least = span / max(1, cells - 1)
    per_cell = _power_of_two_for(least) if in_fractions else _round_up(least)
    middle = (Fraction(low) + Fraction(high)) / 2
    first = round(middle / per_cell - Fraction(cells - 1, 2))
    if low >= 0:
        first = max(0, first)  # a rule begins at nought
    numbered = _numbered(per_cell, cells, first, in_fractions)
    return RuleScale(
        first=first,
        per_cell=per_cell,
        cells=cells,
        minor=_minor(per_cell, numbered, in_fractions),
        middle=numbered // 2 if numbered % 2 == 0 and numbered > 2 else 0,
        major=numbered,
        in_fractions=in_fractions,
    )


def vulgar(value: Fraction) -> str:
    """A fraction as the trade writes it: `3/8`, `1 1/4`, `2`."""
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole}"
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def decimal(value: Fraction, step: Fraction) -> str:
    """A decimal with as many places as the step needs and no zero before the point."""
    places = 0
    while step.denominator != 1 and places < 6:
        step *= 10
        places += 1
    words = f"{float(value):.{places}f}"
    if places and words.lstrip("-").startswith("0"):
        words = words.replace("0.", ".", 1)
    return words


def _round_up(least: Fraction) -> Fraction:
    power = Fraction(1)
    while power > least:
        power /= 10
    while power * 10 <= least:
        power *= 10
    for tenth in _TENTHS:
        if power * tenth >= least:
            return power * tenth
    return power * 10


def _power_of_two_for(least: Fraction) -> Fraction:
    power = Fraction(1)
    while power / 2 >= least:
        power /= 2
    while power < least:
        power *= 2
    return power


def _numbered(per_cell: Fraction, cells: int, first: int, in_fractions: bool) -> int:
    """Cells between numbered ticks: the closest that leaves a gap between numerals."""
    if in_fractions:
        step = max(per_cell, _NUMBERED_AT_LEAST)
        if step * 2 > cells * per_cell:
            step = per_cell
        while True:
            last = (first + cells) * per_cell // step * step
            widest = max(len(vulgar(last)), len(vulgar(last - step)))
            if step / per_cell >= widest + 2:
                return int(step / per_cell)
            step *= 2
    power = Fraction(1)
    while power > per_cell:
        power /= 10
    while True:
        for tenth in _NUMERAL_STEPS:
            step = power * tenth
            if (step / per_cell).denominator != 1:
                continue
            ends = (first * per_cell, (first + cells) * per_cell)
            widest = max(len(decimal(Fraction(floor(end / step)) * step, step)) for end in ends)
            if step / per_cell >= max(widest + 2, 5):
                return int(step / per_cell)
        power *= 10


def _minor(per_cell: Fraction, numbered: int, in_fractions: bool) -> int:
    """Cells between small ticks: the smallest round part of a numbered step, two cells or more.

    One cell is enough for tenths; halves of halves would then only make a grey strip.
    """
    if in_fractions:
        return next(cells for cells in (2, 4, 8, numbered) if numbered % cells == 0 or cells == numbered)
    step = numbered * per_cell
    for parts in (20, 10, 5, 4, 2):
        if numbered % parts == 0 and _is_round(step / parts):
            return numbered // parts
    return numbered


def _is_round(value: Fraction) -> bool:
    """Whether it is 1, 2 or 5 times a power of ten."""
    while value >= 10:
        value /= 10
    while value < 1:
        value *= 10
    return value in _NUMERAL_STEPS
