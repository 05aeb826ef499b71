"""Class limits of the crest (major) diameter of external threads, from the standards' formulas.

Diameters in inches (Unified, Whitworth) or millimetres (metric, BA, Thury, Loewenherz), exact after the
rounding that the standard itself does. The roots in the formulas are irrational, so they are taken in
floating point and rounded to the standard's last printed place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache
from math import floor, sqrt

from msgspec import Struct

from putback.sizing.reference_tables import rows
from putback.sizing.units import MM_PER_INCH

Limits = tuple[Fraction, Fraction]
"""Smallest and largest crest diameter of a class."""


class Band(Struct, frozen=True):
    """One tolerance class of one thread."""

    name: str
    """The class: 2A, 6g, medium, normal."""
    low: Fraction
    """Smallest crest diameter, in the thread's own unit."""
    high: Fraction
    """Largest crest diameter, same unit."""
    share: float
    """How often an old screw of this thread is of this class; the shares of a thread sum to 1."""


def _to(value: float, places: int) -> Fraction:
    """Rounded half up to `places` decimals, exact."""
    scale = 10**places
    return Fraction(floor(value * scale + 0.5), scale)


def unified(major: Fraction, tpi: Fraction, *, special: bool, grade: str = "2A") -> Limits:
    """ASME B1.1 limits in inches for class 1A, 2A or 3A.

    es = 0.300 Td2 with Td2 = 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3), Td = 0.060 P^(2/3) (1A: 0.090);
    both to four places. LE is D for coarse and fine, 9 P for UNEF, constant-pitch and special threads.
    """
    p = 1 / float(tpi)
    d = float(major)
    engaged = 9 * p if special else d
    allowance = 0.300 * (0.0015 * d ** (1 / 3) + 0.0015 * sqrt(engaged) + 0.015 * p ** (2 / 3))
    width = (0.090 if grade == "1A" else 0.060) * p ** (2 / 3)
    high = _to(d, 4) - (Fraction(0) if grade == "3A" else _to(allowance, 4))
    return high - _to(width, 4), high


@cache
def _national_tolerances() -> dict[Fraction, Fraction]:
    return {Fraction(r["tpi"]): Fraction(r["T"]) / 10_000 for r in rows("national_limits.csv")}


def national(major: Fraction, tpi: Fraction) -> Limits | None:
    """American National class 2 limits in inches, D to D - 2 T, or None where no tolerance is tabled."""
    tolerance = _national_tolerances().get(tpi)
    return None if tolerance is None else (_to(float(major - 2 * tolerance), 4), _to(float(major), 4))


def machine_screw_1907(major: Fraction, tpi: Fraction) -> Limits:
    """A.S.M.E. 1907 machine-screw limits in inches: D to D - 0.336 / (tpi + 40), early handbooks."""
    return major - _to(0.336 / (float(tpi) + 40), 4), major


@cache
def _metric_tolerances() -> dict[Fraction, Limits]:
    return {
        Fraction(r["pitch"]): (Fraction(r["es"]) / 1000, Fraction(r["Td"]) / 1000) for r in rows("metric_limits.csv")
    }


def metric(major: Fraction, pitch: Fraction, *, grade: str = "6g") -> Limits:
    """ISO 965-1 limits in millimetres for 6g, 6h, 4h or 8g: the printed es and Td, else their formulas."""
    printed = _metric_tolerances().get(pitch)
    if printed is None:
        p = float(pitch)
        printed = (_to(0.015 + 0.011 * p, 3), _to(0.180 * p ** (2 / 3) - 0.00315 / sqrt(p), 3))
    es, td6 = printed
    factor = {"4": Fraction(63, 100), "6": Fraction(1), "8": Fraction(16, 10)}[grade[0]]
    high = major - (es if grade[1] == "g" else Fraction(0))
    return high - td6 * factor, high


def whitworth(major: Fraction, tpi: Fraction, *, grade: str = "medium") -> Limits:
    """BS 84 bolts in inches: T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 p^(1/2) with L = D.

    max = D (above 3/4 in: D - 0.001), min = max - (k T + 0.01 p^(1/2)), k = 2/3 close, 1 medium, 3/2 free.
    Also the stand-in for cycle, model-engineer and brass threads, whose own tables were not at hand.
    """
    d, p = float(major), 1 / float(tpi)
    k = {"close": 2 / 3, "medium": 1.0, "free": 3 / 2}[grade]
    tolerance = 0.002 * d ** (1 / 3) + 0.003 * sqrt(d) + 0.005 * sqrt(p)
    high = _to(d, 4) - (Fraction(1, 1000) if major > Fraction(3, 4) else 0)
    return high - _to(k * tolerance + 0.01 * sqrt(p), 4), high


def british_association(number: int, major: Fraction, pitch: Fraction, *, grade: str) -> Limits:
    """BS 93:1951 bolts in millimetres: close and normal for 0 to 10 BA, one class below that."""
    if number > 10:
        return major - pitch / 4, major
    if grade == "close":
        return major - pitch * Fraction(15, 100), major
    high = major - Fraction(25, 1000)
    return high - pitch / 5, high


def untabled(major: Fraction, pitch: Fraction) -> Limits:
    """Loewenherz and Thury: D to D - 0.2 p (common practice, no source)."""
    return major - pitch / 5, major


Classes = tuple[tuple[str, Limits | None, float], ...]
"""Classes by name, each with its limits, or None where they are not tabled, and how often an old screw is of it."""

Shares = tuple[float, float, float]
"""How often a screw is of today's class, of American National 2, and of that of 1907."""

Rule = Callable[[Mapping[str, str], Fraction, Fraction], Classes]
"""What makes the classes of one thread: its row, its diameter and its count or pitch."""


def _unified(row: Mapping[str, str], major: Fraction, tpi: Fraction, *, special: bool, shares: Shares) -> Classes:
    """Old screws had no allowance: the crest may stand at the nominal size exactly.

    How many of each class a machine holds is a guess: common practice, no source.
    """
    numbered = row["size"].startswith("#")
    return (
        ("2A", unified(major, tpi, special=special), shares[0]),
        ("American National 2", national(major, tpi), shares[1]),
        ("A.S.M.E. 1907", machine_screw_1907(major, tpi) if numbered else None, shares[2]),
    )


_USUAL: Shares = (0.6, 0.3, 0.1)


def _whitworth(row: Mapping[str, str], major: Fraction, tpi: Fraction) -> Classes:
    return (
        ("medium", whitworth(major, tpi), 0.5),
        ("free", whitworth(major, tpi, grade="free"), 0.35),
        ("close", whitworth(major, tpi, grade="close"), 0.15),
    )


def _metric(row: Mapping[str, str], major: Fraction, pitch: Fraction) -> Classes:
    return (
        ("6g", metric(major, pitch), 0.75),
        ("6h", metric(major, pitch, grade="6h"), 0.15),
        ("8g", metric(major, pitch, grade="8g"), 0.1),
    )


def _ba(row: Mapping[str, str], major: Fraction, pitch: Fraction) -> Classes:
    number = int(row["size"])
    close = british_association(number, major, pitch, grade="close") if number <= 10 else None
    return (("normal", british_association(number, major, pitch, grade="normal"), 0.7), ("close", close, 0.3))


def _column(row: Mapping[str, str], major: Fraction, pitch: Fraction) -> Classes:
    """So far below the diameter as the row's `tolerance` says, in millimetres; of a thread in inches."""
    return (("A", (major - Fraction(row["tolerance"]) / MM_PER_INCH, major), 1.0),)


def _taper(row: Mapping[str, str], major: Fraction, pitch: Fraction) -> Classes:
    """From the small end to the large one: a caliper lies anywhere between."""
    return (("taper", (Fraction(row["small"]), major), 1.0),)


CLASSES: dict[str, Rule] = {
    "unified": lambda row, d, p: _unified(row, d, p, special=False, shares=_USUAL),
    "unified special": lambda row, d, p: _unified(row, d, p, special=True, shares=_USUAL),
    "national special": lambda row, d, p: _unified(row, d, p, special=True, shares=(0.45, 0.35, 0.2)),
    "whitworth": _whitworth,
    "metric": _metric,
    "BA": _ba,
    "as made": lambda row, d, p: (("as made", untabled(d, p), 1.0),),
    "column": _column,
    "taper": _taper,
}
"""The rules by the name that a series has for its own."""


def bands(rule: str, row: Mapping[str, str], major: Fraction, pitch: Fraction, scale: Fraction) -> tuple[Band, ...]:
    """The classes of a thread by the rule of that name, `scale` mm to its unit; their shares sum to 1."""
    have = [(name, pair, share) for name, pair, share in CLASSES[rule](row, major, pitch) if pair is not None]
    whole = sum(share for _, _, share in have)
    return tuple(Band(name, pair[0] * scale, pair[1] * scale, share / whole) for name, pair, share in have)
