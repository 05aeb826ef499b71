"""Every thread an old machine may hold: series, basic sizes, class bands. Built once from the tables in data/."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from putback.sizing import limits
from putback.sizing.limits import Band
from putback.sizing.reference_tables import rows
from putback.sizing.units import MM_PER_INCH

Family = Literal["us", "uk", "metric"]
"""Where a series is at home."""

SIXTY_FOURTHS = "sixty-fourths"
"""Series of the sixty-fourths of sewing machines and instruments; they are called NS like other specials."""

SIXTY = Fraction(60)
WHITWORTH_ANGLE = Fraction(55)
BA_ANGLE = Fraction(95, 2)
LOEWENHERZ_ANGLE = Fraction(5313, 100)


class Thread(Struct, frozen=True):
    """One standard thread. Lengths are exact; `bands` are in millimetres."""

    name: str
    """As people write it: #8-32 UNC, M5x0.8, 2BA, 1/4 BSF."""
    series: str
    """UNC, UNF, UNEF, NS, UN, ISO coarse, ISO fine, ..."""
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


def _bands(*found: tuple[str, limits.Limits | None, float], scale: Fraction = Fraction(1)) -> tuple[Band, ...]:
    have = [(name, pair, share) for name, pair, share in found if pair is not None]
    whole = sum(share for _, _, share in have)
    return tuple(Band(name, pair[0] * scale, pair[1] * scale, share / whole) for name, pair, share in have)


_UNIFIED_SPECIAL = {"UNEF", "NS", "UN", SIXTY_FOURTHS}
"""Series whose tolerance is computed for an engagement of nine pitches (ASME B1.1)."""

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
"""Pitches of the old machine-screw gauge that no later standard took over."""


def _american_choice(size: str, count: str, series: str) -> int:
    """How widely a US thread was stocked (common practice, no source)."""
    if inch_size(size) > 1 or (series == "NS" and f"{size}-{count}" in {*GAUGE_TAPS, "5/32-36"}):
        return 3
    if size.startswith("#") and inch_size(size) > inch_size("#14"):  # dropped between the wars
        return 2
    return 2 if size in _LESS_US else 1


def _american_rows() -> Iterator[tuple[str, str, str]]:
    """Size, series and count of every American thread."""
    for row in rows("unified.csv"):
        for series in ("UNC", "UNF", "UNEF", "NS", "UN"):
            yield row["size"], series, row[series]
    for row in rows("sixty_fourths.csv"):
        yield row["size"], SIXTY_FOURTHS, row["counts"]


def _unified() -> Iterator[Thread]:
    for size, series, counts in _american_rows():
        major = inch_size(size)
        for count in counts.split():
            tpi = Fraction(count)
            special = series in _UNIFIED_SPECIAL
            now = limits.unified(major, tpi, special=special)
            old = limits.machine_screw_1907(major, tpi) if size.startswith("#") else None
            between = limits.national(major, tpi)
            # Old screws had no allowance: the crest may stand at the nominal size exactly. How many of each
            # class a machine holds is a guess: common practice, no source.
            shares = (0.45, 0.35, 0.2) if series in ("NS", SIXTY_FOURTHS) else (0.6, 0.3, 0.1)
            yield Thread(
                name=f"{size}-{count} {'NS' if series == SIXTY_FOURTHS else series}",
                series=series,
                size=size,
                family="us",
                major=major * MM_PER_INCH,
                pitch=MM_PER_INCH / tpi,
                tpi=tpi,
                flank=SIXTY,
                bands=_bands(
                    ("2A", now, shares[0]),
                    ("American National 2", between, shares[1]),
                    ("A.S.M.E. 1907", old, shares[2]),
                    scale=MM_PER_INCH,
                ),
                choice=_american_choice(size, count, series),
            )


_LESS_UK = {"5/32", "7/32", "9/32", "7/16", "9/16", "11/16", "13/16", "1/16", "3/32"}
"""British fractional sizes made but seldom met (common practice, no source)."""


def _british_choice(size: str, series: str) -> int:
    """How widely a British thread was stocked (common practice, no source)."""
    if series == "BSB" and size in ("9/16", "11/16", "13/16"):  # gas fitters' sizes were the eighths
        return 3
    if series == "CEI" and inch_size(size) < Fraction(1, 4):  # spokes and their like, hardly in another machine
        return 4
    return 2 if size in _LESS_UK else 3 if inch_size(size) > 1 or size.startswith(".") else 1


def _british() -> Iterator[Thread]:
    for row in rows("british.csv"):
        size = row["size"]
        major = inch_size(size)
        for series in ("BSW", "BSF", "CEI", "ME", "BSB"):
            for count in row[series].split():
                tpi = Fraction(count.removesuffix("W"))
                angle = SIXTY if series == "CEI" and not count.endswith("W") else WHITWORTH_ANGLE
                whole = series in ("BSW", "BSF")
                yield Thread(
                    name=f"{size} {series}" if whole else f"{size}-{tpi} {series}",
                    series=series,
                    size=size,
                    family="uk",
                    major=major * MM_PER_INCH,
                    pitch=MM_PER_INCH / tpi,
                    tpi=tpi,
                    flank=angle,
                    bands=_bands(
                        ("medium", limits.whitworth(major, tpi), 0.5),
                        ("free", limits.whitworth(major, tpi, grade="free"), 0.35),
                        ("close", limits.whitworth(major, tpi, grade="close"), 0.15),
                        scale=MM_PER_INCH,
                    ),
                    choice=_british_choice(size, series),
                )


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


_SMALLEST_NUMBER = 25
"""The last BA and Thury number: a quarter of a millimetre."""


def _numbered() -> Iterator[Thread]:
    for number in range(_SMALLEST_NUMBER + 1):
        major, pitch = ba_dimensions(number)
        normal = ("normal", limits.british_association(number, major, pitch, grade="normal"), 0.7)
        close = ("close", limits.british_association(number, major, pitch, grade="close"), 0.3)
        yield Thread(
            name=f"{number}BA",
            series="BA",
            size=f"{number}BA",
            family="uk",
            major=major,
            pitch=pitch,
            tpi=None,
            flank=BA_ANGLE,
            bands=_bands(normal, close) if number <= 10 else _bands(normal),
            choice=1 if number in (0, 2, 4, 6, 8, 10) else 2 if number < 13 else 3,
        )
    for number in range(_SMALLEST_NUMBER + 1):
        major, pitch = thury_dimensions(number)
        yield Thread(
            name=f"Thury {number}",
            series="Thury",
            size=f"Thury {number}",
            family="metric",
            major=major,
            pitch=pitch,
            tpi=None,
            flank=BA_ANGLE,
            bands=_bands(("as made", limits.untabled(major, pitch), 1.0)),
            choice=1 if number <= 12 else 2,
        )


_METRIC_COLUMNS = {
    "coarse": "ISO coarse",
    "fine": "ISO fine",
    "special": "metric special",
    "old": "old metric",
    "Loewenherz": "Loewenherz",
    "small": "ISO small",
    "UNM": "UNM",
}


def _metric() -> Iterator[Thread]:
    for row in rows("metric.csv"):
        major = Fraction(row["size"])
        for column, series in _METRIC_COLUMNS.items():
            for entry in row[column].split():
                pitch = Fraction(entry)
                size = {"Loewenherz": "Loewenherz ", "ISO small": "S", "UNM": ""}.get(series, "M") + row["size"]
                if series == "Loewenherz":
                    bands = _bands(("as made", limits.untabled(major, pitch), 1.0))
                else:
                    bands = _bands(
                        ("6g", limits.metric(major, pitch), 0.75),
                        ("6h", limits.metric(major, pitch, grade="6h"), 0.15),
                        ("8g", limits.metric(major, pitch, grade="8g"), 0.1),
                    )
                yield Thread(
                    name=f"{size} UNM" if series == "UNM" else f"{size}x{entry}",
                    series=series,
                    size=size,
                    family="us" if series == "UNM" else "metric",
                    major=major,
                    pitch=pitch,
                    tpi=None,
                    flank=LOEWENHERZ_ANGLE if series == "Loewenherz" else SIXTY,
                    bands=bands,
                    choice=int(row["choice"]),
                )


def _pipe() -> Iterator[Thread]:
    for row in rows("pipe.csv"):
        major, tpi = Fraction(row["major"]) * MM_PER_INCH, Fraction(row["tpi"])
        yield Thread(
            name=f"G {row['size']}",
            series="BSP",
            size=f"G {row['size']}",
            family="uk",
            major=major,
            pitch=MM_PER_INCH / tpi,
            tpi=tpi,
            flank=WHITWORTH_ANGLE,
            bands=_bands(("A", (major - Fraction(row["tolerance"]), major), 1.0)),
        )


@cache
def all_threads() -> tuple[Thread, ...]:
    """Every thread of every series, in the order of the tables."""
    return (*_unified(), *_british(), *_numbered(), *_metric(), *_pipe())


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
