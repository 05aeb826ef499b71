"""The standard sizes of what has no thread to name: pins, rings, nuts, washers, keys, balls, bearings, belts."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from putback.sizing.reference_tables import rows
from putback.sizing.units import MM_PER_INCH


class Standard(Struct, frozen=True):
    """One size of a table, mm: what of it is measured lies from low to high."""

    name: str
    """As the trade names it: 3/0, 1/8, 4 mm, M6, 608, -012."""
    nominal: Fraction
    """The measured dimension's nominal."""
    low: Fraction
    """Its smallest."""
    high: Fraction
    """Its largest."""
    home: Literal["in", "mm"]
    """The unit its standard is written in."""
    more: tuple[tuple[str, Fraction, Fraction], ...] = ()
    """Further dimensions by field of Exact, each from smallest to largest, mm."""
    main: str = ""
    """The field that low and high are of, where that is not the same for the whole kind."""


class Play(Struct, frozen=True):
    """How far what was made, worn and filed may lie from its nominal, where its table has no limits."""

    under: Fraction
    """This part of it below."""
    over: Fraction
    """This part of it above."""
    least: Fraction
    """And so many mm either way at least."""


LISTED: dict[str, tuple[str, Play]] = {
    "wood screw": ("wood_and_tapping.csv", Play(Fraction(0), Fraction(0), Fraction(5, 100))),
    "tapping screw": ("wood_and_tapping.csv", Play(Fraction(5, 100), Fraction(5, 100), Fraction(3, 100))),
    "ball bearing": ("bearings.csv", Play(Fraction(0), Fraction(0), Fraction(4, 100))),
    "key": ("keys.csv", Play(Fraction(2, 100), Fraction(1, 100), Fraction(4, 100))),
    "woodruff key": ("keys.csv", Play(Fraction(2, 100), Fraction(1, 100), Fraction(8, 100))),
    "o-ring": ("o_rings.csv", Play(Fraction(0), Fraction(0), Fraction(5, 100))),
    "belt": ("belts_and_chains.csv", Play(Fraction(6, 100), Fraction(3, 100), Fraction(1, 10))),
    "chain": ("belts_and_chains.csv", Play(Fraction(2, 100), Fraction(2, 100), Fraction(1, 10))),
}
"""Kinds whose table has a column for each dimension, by its field of Exact: a value, or from..to. The play is common
practice, no source."""

SOFT = frozenset({*LISTED, "ball"})
"""Kinds that are kept as measured where no standard size fits: that leaves nothing open."""

_DIMENSIONS = ("bore", "od", "width", "thick", "pitch")
"""Fields that those tables may have a column of; the first that a row has is the one it is named by."""


def _scaled(row: dict[str, str], *columns: str) -> list[Fraction]:
    scale = MM_PER_INCH if row.get("unit", "mm") == "in" else Fraction(1)
    return [Fraction(row[c]) * scale for c in columns]


@cache
def standard_sizes(kind: str) -> tuple[Standard, ...]:
    """The table of a kind; empty for kinds that are kept as measured."""
    made = {
        "taper pin": _pins,
        "straight pin": _pins,
        "split pin": _pins,
        "retaining ring": _rings,
        "nut": _nuts,
        "washer": _washers,
        "ball": _balls,
    }.get(kind, _listed)
    return tuple(sorted(made(kind), key=lambda s: s.nominal))


def _pins(kind: str) -> Iterator[Standard]:
    for row in rows("pins.csv"):
        if row["kind"] == kind:
            nominal, low, high = _scaled(row, "diameter", "min", "max")
            name = row["nominal"] if row["unit"] == "in" else f"{row['nominal']} mm"
            yield Standard(name, nominal, low, high, _home(row))


def _rings(kind: str) -> Iterator[Standard]:
    for row in rows("rings.csv"):
        groove = Fraction(row["groove"])
        slack = groove / 60  # h11 to h13 of DIN 471, 472 and 6799, near enough for naming
        internal = row["kind"] == "internal ring"
        limits = (groove, groove + slack) if internal else (groove - slack, groove)
        yield Standard(f"{row['kind']} {row['nominal']} mm", groove, *limits, "mm")
    for row in rows("rings_inch.csv"):
        groove = Fraction(row["groove"]) * MM_PER_INCH
        yield Standard(f"{row['kind']} {row['nominal']}", groove, groove - groove / 60, groove, "in")


def _nuts(kind: str) -> Iterator[Standard]:
    for row in rows("nuts.csv"):
        flats, height = _scaled(row, "flats", "height")
        low = flats - max(flats / 30, Fraction(15, 100))
        tall = (("thick", height * 9 / 10, height * 21 / 20),)
        yield Standard(f"{row['size']} ({row['standard']})", flats, low, flats, _home(row), tall)


def _washers(kind: str) -> Iterator[Standard]:
    for row in rows("washers.csv"):
        inner, outer, low, high = _scaled(row, "inner", "outer", "thick_min", "thick_max")
        slack = outer / 40
        more = (("od", outer - slack, outer + slack), ("thick", low, high))
        yield Standard(f"for {row['size']}", inner, inner - inner / 40, inner + inner / 25, _home(row), more)


_BALL = Fraction(3, 100)
"""How far a ball that has run may be under its nominal, mm; a new one is exact (ISO 3290; common practice)."""


def _balls(kind: str) -> Iterator[Standard]:
    """Balls by 32nds of an inch to an inch, by halves of a millimetre to 13 and whole ones to 25 (ISO 3290)."""
    for n in range(2, 33):
        mm = Fraction(n, 32) * MM_PER_INCH
        yield Standard(str(Fraction(n, 32)), mm, mm - _BALL, mm + _BALL / 6, "in")
    for half in (*range(2, 27), *range(28, 51, 2)):
        mm = Fraction(half, 2)
        yield Standard(f"{float(mm):g} mm", mm, mm - _BALL, mm + _BALL / 6, "mm")


def _listed(kind: str) -> Iterator[Standard]:
    if kind not in LISTED:
        return
    file, play = LISTED[kind]
    for row in rows(file):
        if row["kind"] != kind:
            continue
        spans = [(field, *_span(row[field], row["unit"], play)) for field in _DIMENSIONS if row.get(field)]
        main, low, high = spans[0]
        yield Standard(row["name"], (low + high) / 2, low, high, _home(row), tuple(spans[1:]), main)


def _span(cell: str, unit: str, play: Play) -> tuple[Fraction, Fraction]:
    """The limits that a cell has, `0.98..1.02`, or those of the play about its value; mm."""
    scale = MM_PER_INCH if unit == "in" else Fraction(1)
    low, _, high = cell.partition("..")
    one = Fraction(low) * scale
    if high:
        return one, Fraction(high) * scale
    return one - max(one * play.under, play.least), one + max(one * play.over, play.least)


def _home(row: dict[str, str]) -> Literal["in", "mm"]:
    return "in" if row["unit"] == "in" else "mm"
