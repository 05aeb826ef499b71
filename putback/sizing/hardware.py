"""Pins, rings, nuts and washers: the standard size that a measured diameter, groove or width stands for."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from math import exp
from typing import Literal

from msgspec import Struct

from putback.sizing.readings import Exact, Readings
from putback.sizing.reference_tables import rows
from putback.sizing.units import MM_PER_INCH
from putback.sizing.verdict import LIKELY, SURE, Candidate, Verdict, Word

TAPER = {"in": Fraction(1, 48), "mm": Fraction(1, 50)}
"""Taper of pins: a quarter inch to the foot (ASME B18.8.2), 1 in 50 (ISO 2339)."""

BLUR = 0.012
"""Scale of the error on a pin's diameter, mm: the caliper's, and a bruised end (common practice, no source)."""

UNLISTED = 0.03
"""Share of pins and washers that were turned for the job (common practice, no source)."""


class Standard(Struct, frozen=True):
    """One size of a table, mm: what of it is measured lies from low to high."""

    name: str
    """As the trade names it: 3/0, 1/8, 4 mm, M6."""
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


PINS = frozenset({"taper pin", "straight pin", "split pin"})
"""Kinds named by the diameter in `od`."""


def _scaled(row: dict[str, str], *columns: str) -> list[Fraction]:
    scale = MM_PER_INCH if row.get("unit", "mm") == "in" else Fraction(1)
    return [Fraction(row[c]) * scale for c in columns]


@cache
def standard_sizes(kind: str) -> tuple[Standard, ...]:
    """The table of a kind; empty for kinds that are kept as measured."""
    made: list[Standard] = []
    if kind in PINS:
        for row in rows("pins.csv"):
            if row["kind"] == kind:
                nominal, low, high = _scaled(row, "diameter", "min", "max")
                made.append(Standard(_named(row), nominal, low, high, _home(row)))
    elif kind == "retaining ring":
        for row in rows("rings.csv"):
            groove = Fraction(row["groove"])
            slack = groove / 60  # h11 to h13 of DIN 471, 472 and 6799, near enough for naming
            internal = row["kind"] == "internal ring"
            limits = (groove, groove + slack) if internal else (groove - slack, groove)
            made.append(Standard(f"{row['kind']} {row['nominal']} mm", groove, *limits, "mm"))
    elif kind == "nut":
        for row in rows("nuts.csv"):
            flats, height = _scaled(row, "flats", "height")
            low = flats - max(flats / 30, Fraction(15, 100))
            tall = (("thick", height * 9 / 10, height * 21 / 20),)
            name = f"{row['size']} ({row['standard']})"
            made.append(Standard(name, flats, low, flats, _home(row), tall))
    elif kind == "washer":
        for row in rows("washers.csv"):
            inner, outer, low, high = _scaled(row, "inner", "outer", "thick_min", "thick_max")
            slack = outer / 40
            more = (("od", outer - slack, outer + slack), ("thick", low, high))
            made.append(Standard(f"for {row['size']}", inner, inner - inner / 40, inner + inner / 25, _home(row), more))
    return tuple(sorted(made, key=lambda s: s.nominal))


def _home(row: dict[str, str]) -> Literal["in", "mm"]:
    return "in" if row["unit"] == "in" else "mm"


def _named(row: dict[str, str]) -> str:
    return row["nominal"] if row["unit"] == "in" else f"{row['nominal']} mm"


def measured(kind: str, read: Exact, home: Literal["in", "mm"]) -> Fraction | None:
    """The dimension that names a kind, mm: for a metric taper pin the small end, reckoned from the large one."""
    if kind == "taper pin" and home == "mm":
        if read.od is None or read.length is None:
            return None
        return read.od.mm - read.length.mm * TAPER["mm"]
    chosen = {"nut": read.width, "washer": read.bore, "retaining ring": read.groove}.get(kind, read.od)
    return None if chosen is None else chosen.mm


def small_end(read: Exact, home: Literal["in", "mm"]) -> Fraction | None:
    """A taper pin's small end, mm, reckoned from its large end and length."""
    if read.od is None or read.length is None:
        return None
    return read.od.mm - read.length.mm * TAPER[home]


_OTHER_SIDE = {
    "left": "right", "right": "left", "front": "back", "back": "front", "top": "bottom", "bottom": "top",
}  # fmt: skip


def driving(side: str) -> str:
    """Which way a taper pin leaves, from the side its small end is on: `strike the small end (front); ...`."""
    side = side.strip().lower()
    leaves = _OTHER_SIDE.get(side, "large end")
    return f"strike the small end ({side}); it leaves at the {leaves}"


def driving_in(side: str) -> str:
    """Which way a taper pin goes in again: `goes in from the back, small end first, towards the front`."""
    side = side.strip().lower()
    enters = _OTHER_SIDE.get(side)
    return f"goes in from the {enters}, small end first, towards the {side}" if enters else f"small end towards {side}"


def name_standard(readings: Readings, read: Exact) -> Verdict | None:
    """The verdict on the standard size of a pin, ring, nut or washer; None for other kinds or nothing to go by.

    A nut's width across flats narrows its size only; its thread is named by the gauge.
    """
    sizes = standard_sizes(readings.kind)
    if not sizes or all(measured(readings.kind, read, home) is None for home in ("in", "mm")):
        return None
    scored: dict[str, float] = {}
    for size in sizes:
        value = measured(readings.kind, read, size.home)
        if value is None:
            continue
        fit = _inside(float(value), float(size.low), float(size.high))
        for field, low, high in size.more:
            other = getattr(read, field)
            if other is not None:
                fit *= _inside(float(other.mm), float(low), float(high)) * float(high - low)
        weight = _weight(readings, size.home)
        if fit > 0:
            scored[size.name] = max(scored.get(size.name, 0.0), fit * weight)
    return _verdict(scored, len(sizes))


def _inside(value: float, low: float, high: float) -> float:
    """Density of reading `value` when the truth is anywhere from low to high, per mm."""
    width = max(high - low, 1e-6)

    def below(z: float) -> float:
        return 1.0 if z > 36 else 0.0 if z < -36 else 1 / (1 + exp(-z))

    return (below((value - low) / BLUR) - below((value - high) / BLUR)) / width


def _weight(readings: Readings, home: Literal["in", "mm"]) -> float:
    """Inch or metric hardware by the machine's origin; it ranks only."""
    if readings.origin == "unknown":
        return 1.0
    at_home = (readings.origin == "metric") == (home == "mm")
    return 1.0 if at_home else 0.05


def _verdict(scored: dict[str, float], count: int) -> Verdict:
    none = UNLISTED * count / 15
    total = none + sum(scored.values())
    ranked: Sequence[tuple[str, float]] = sorted(scored.items(), key=lambda pair: -pair[1])
    kept = tuple(Candidate(name, value / total) for name, value in ranked[:5] if value / total > 0.002)
    if not kept or none / total >= 0.5:
        return Verdict("none", kept, None, "no standard size; kept as measured", half="standard")
    best = kept[0].probability
    word: Word = "sure" if best >= SURE else "likely" if best >= LIKELY else "either"
    return Verdict(word, kept, None, half="standard")
