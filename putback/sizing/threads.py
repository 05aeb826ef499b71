"""Every thread an old machine may hold: basic sizes and class bands, made once of the series and their tables."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from putback.sizing import limits
from putback.sizing.limits import Band
from putback.sizing.reference_tables import rows
from putback.sizing.series import SERIES, WHITWORTH_ANGLE, Series
from putback.sizing.series import Family as Family
from putback.sizing.units import MM_PER_INCH


class Thread(Struct, frozen=True):
    """One standard thread. Lengths are exact; `bands` are in millimetres."""

    name: str
    """As people write it: #8-32 UNC, M5x0.8, 2BA, 1/4 BSF."""
    series: str
    """UNC, UNF, UNEF, NS, UN, ISO coarse, ISO fine, ...: `series.SERIES` has them all."""
    size: str
    """The diameter as it is named: #8, 1/4, M5, 2BA."""
    family: Family
    """Where it is at home."""
    major: Fraction
    """Basic crest diameter, mm."""
    pitch: Fraction
    """Pitch, mm."""
    tpi: Fraction | None
    """Threads to the inch, where the standard counts so."""
    flank: Fraction
    """Included angle of the flanks, degrees."""
    depth: float
    """Basic diameter less effective diameter, in pitches."""
    bands: tuple[Band, ...]
    """Crest-diameter classes an old screw of this thread may have, mm; the commonest first."""
    choice: int = 1
    """1 for sizes everybody stocked, 2 for the less common, 3 for the scarce, 4 for those of one trade alone."""

    @property
    def low(self) -> Fraction:
        """The smallest crest diameter of any of its classes, mm."""
        return min(b.low for b in self.bands)

    @property
    def high(self) -> Fraction:
        """The largest crest diameter of any of its classes, mm."""
        return max(b.high for b in self.bands)

    @property
    def wear(self) -> Fraction:
        """How far below its band a worn crest may lie, mm: 0.010 in or a fifth of the pitch (common practice)."""
        return min(MM_PER_INCH / 100, self.pitch / 5)

    @property
    def native(self) -> Literal["in", "mm"]:
        """The unit its standard is written in."""
        return "in" if self.tpi is not None else "mm"


_UNDER_NOUGHT = {"#00": Fraction(47, 1000), "#000": Fraction(34, 1000)}
"""Number sizes below #0: each a step of 0.013 in less."""


def inch_size(text: str) -> Fraction:
    """A nominal inch diameter as named: #8 is 0.164, 1 1/4 is 1.25, .064 is 0.064."""
    if text in _UNDER_NOUGHT:
        return _UNDER_NOUGHT[text]
    if text.startswith("#"):
        number = sum((Fraction(part) for part in text[1:].split()), Fraction(0))
        return (60 + 13 * number) / 1000
    return sum((Fraction(part) for part in text.split()), Fraction(0))


_LESS_US = {"#1", "#3", "#5", "#12", "1/8", "5/32", "3/16", "7/32", "7/16", "9/16", "11/16", "13/16", "15/16"}
"""US sizes made but seldom met (common practice, no source)."""


GAUGE_TAPS = frozenset(
    f"#{number}-{count}"
    for number, counts in {
        2: "48", 3: "40", 4: "32", 5: "30 32", 6: "30", 7: "28", 8: "24", 9: "28", 11: "24 28 30", 12: "20 22",
        13: "20 22 24", 14: "22", 15: "18", 16: "16 18", 17: "16 18 20", 18: "16", 19: "16 20", 20: "16", 24: "14",
    }.items()
    for count in counts.split()
)  # fmt: skip
"""Pitches of the old machine-screw gauge that no later standard took over (early handbooks, from memory)."""


def _american(size: str, count: str, series: str) -> int:
    """How widely a US thread was stocked (common practice, no source)."""
    if inch_size(size) > 1 or (series == "NS" and f"{size}-{count}" in {*GAUGE_TAPS, "5/32-36"}):
        return 3
    if size.startswith("#") and inch_size(size) > inch_size("#14"):  # dropped between the wars
        return 2
    return 2 if size in _LESS_US else 1


_LESS_UK = {"5/32", "7/32", "9/32", "7/16", "9/16", "11/16", "13/16", "1/16", "3/32"}
"""British fractional sizes made but seldom met (common practice, no source)."""


def _british(size: str, count: str, series: str) -> int:
    """How widely a British thread was stocked (common practice, no source)."""
    if series == "BSB" and size in ("9/16", "11/16", "13/16"):  # gas fitters' sizes were the eighths
        return 3
    if series == "CEI" and inch_size(size) < Fraction(1, 4):  # spokes and their like, hardly in another machine
        return 4
    return 2 if size in _LESS_UK else 3 if inch_size(size) > 1 or size.startswith(".") else 1


def _numbers(size: str, count: str, series: str) -> int:
    """How widely a thread by number was stocked (common practice, no source)."""
    number = int(size)
    if series == "Thury":
        return 1 if number <= 12 else 2
    return 1 if number in (0, 2, 4, 6, 8, 10) else 2 if number < 13 else 3


RARITY: dict[str, Callable[[str, str, str], int]] = {"american": _american, "british": _british, "numbers": _numbers}
"""How widely a thread was stocked, as `Thread.choice`, by size, count and series."""


def _figures(value: float, count: int) -> Fraction:
    """`value` rounded to `count` significant figures, exact."""
    return Fraction(f"{value:.{count - 1}e}")


def ba_dimensions(number: int) -> tuple[Fraction, Fraction]:
    """BS 93: crest diameter and pitch of a BA number, mm: p = 0.9^n, D = 6 p^(6/5), both to two figures."""
    exact = 0.9**number
    return _figures(6 * exact**1.2, 2), _figures(exact, 2)


def thury_dimensions(number: int) -> tuple[Fraction, Fraction]:
    """Thury's rule: crest diameter and pitch, mm, to 0.01 and 0.001: p = 0.9^n, D = 6 p^(6/5)."""
    exact = 0.9**number
    return Fraction(f"{6 * exact**1.2:.2f}"), Fraction(f"{exact:.3f}")


_BY_NUMBER = {"BA": ba_dimensions, "Thury": thury_dimensions}
"""Series without a table: crest diameter and pitch follow from the number."""

_SMALLEST_NUMBER = 25
"""The last BA and Thury number: a quarter of a millimetre."""


def _entries(series: Series) -> Iterator[tuple[dict[str, str], Fraction, str, Fraction]]:
    """Row, diameter, pitch as written and pitch or count, of each thread of a series, in its own unit."""
    if not series.table:
        for number in range(_SMALLEST_NUMBER + 1):
            major, pitch = _BY_NUMBER[series.name](number)
            yield {"size": str(number)}, major, "", pitch
        return
    for row in rows(series.table):
        diameter = Fraction(row["major"]) if "major" in row else inch_size(row["size"])
        for entry in row[series.column or series.name].split():
            yield row, diameter, entry, Fraction(entry.removesuffix("W"))


def _made(series: Series) -> Iterator[Thread]:
    """Every thread of a series, in the order of its table."""
    per = MM_PER_INCH if series.per_inch else Fraction(1)
    for row, diameter, entry, count in _entries(series):
        size = series.sized.format(size=row["size"])
        written = entry.removesuffix("W")
        flank = WHITWORTH_ANGLE if entry.endswith("W") else series.flank
        rarity = RARITY.get(series.rarity)
        yield Thread(
            name=series.called.format(size=row["size"], pitch=written, series=series.name),
            series=series.name,
            size=size,
            family=series.family,
            major=diameter * per,
            pitch=MM_PER_INCH / count if series.per_inch else count,
            tpi=count if series.per_inch else None,
            flank=flank,
            depth=series.depth_at(flank),
            bands=limits.bands(series.limits, row, diameter, count, per),
            choice=rarity(row["size"], written, series.name) if rarity else int(row.get("choice") or 1),
        )


@cache
def all_threads() -> tuple[Thread, ...]:
    """Every thread of every series, in the order of the series and of their tables."""
    return tuple(thread for series in SERIES for thread in _made(series))


@cache
def thread_index() -> dict[str, Thread]:
    """Threads by name."""
    return {t.name: t for t in all_threads()}


def thread_named(name: str) -> Thread | None:
    """The thread of that exact name, or None."""
    return thread_index().get(name)


_NAME = re.compile(r"(?:#|\.|[A-Z][A-Za-z]{0,14} ?)?[0-9][A-Za-z0-9./ -]{0,60}")


def may_be_a_thread(name: str) -> bool:
    """Tell whether a name is that of a thread, or could be one of a series that these tables do not have yet."""
    return name in thread_index() or _NAME.fullmatch(name) is not None
