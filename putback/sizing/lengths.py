"""A measured length against the stocked ones: the datum by head, the standard's tolerance, odd lengths kept odd."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection
from fractions import Fraction
from functools import cache, lru_cache
from math import erf, sqrt
from operator import attrgetter
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.instruments import LENGTH, TOOLS, Tool, Way
from putback.sizing.kinds import OVER_ALL
from putback.sizing.reading import Measure
from putback.sizing.reference_tables import rows
from putback.sizing.series import series_named
from putback.sizing.threads import Thread
from putback.sizing.units import MM_PER_INCH
from putback.sizing.verdict import LIKELY, SURE, Candidate, NextReading, Verdict, Word

System = Literal["inch", "metric"]
"""Which list of stocked lengths."""


class Stocked(Struct, frozen=True):
    """One stocked length, mm."""

    name: str
    """3/8, 1 1/4, 12 mm."""
    nominal: Fraction
    """Its nominal value."""
    low: Fraction
    """The shortest the standard allows."""
    high: Fraction
    """The longest the standard allows."""
    weight: float
    """How often it is met beside a common length."""


_RANKS = {"common": 1.0, "less common": 0.35, "rare": 0.12}

_INCH_SHORT = ((Fraction(1, 2), 20), (Fraction(1), 30), (Fraction(2), 60))
_INCH_SHORT_BEYOND = 90
"""ASME B18.6.3 from memory: nominal length to 1/2, 1, 2 in and beyond; thousandths it may be short."""

_BOLT_SHORT = ((Fraction(1), 30), (Fraction(5, 2), 40), (Fraction(4), 60))
_BOLT_SHORT_BEYOND = 100
"""ASME B18.2.1 from memory, 1/4 to 3/8 in diameter."""

_METRIC_BOTH = ((3, 20), (6, 24), (10, 29), (18, 35), (30, 42), (50, 50), (80, 95))
_METRIC_BOTH_BEYOND = 110
"""ISO 4759-1 product grade A, js15, js16 above 50 mm; hundredths of a millimetre."""


def inch_tolerance(nominal: Fraction, *, bolt: bool = False) -> Fraction:
    """How much shorter than `nominal` inches an inch screw or bolt may be, in inches; it is never longer."""
    steps, beyond = (_BOLT_SHORT, _BOLT_SHORT_BEYOND) if bolt else (_INCH_SHORT, _INCH_SHORT_BEYOND)
    return Fraction(next((t for to, t in steps if nominal <= to), beyond), 1000)


def metric_tolerance(nominal: Fraction) -> Fraction:
    """How much a metric screw of product grade A may differ from `nominal` mm, either way, in mm."""
    return Fraction(next((t for to, t in _METRIC_BOTH if nominal <= to), _METRIC_BOTH_BEYOND), 100)


PIN_OFF = Fraction(1, 4)
"""How much a pin's length may differ either way, mm, to 50 mm: ASME B18.8.2 and ISO 2338, from memory."""

LISTS: dict[str, tuple[System, tuple[tuple[str, float], ...]]] = {
    "inch screw": ("inch", (("inch machine screw", 1.0),)),
    "inch bolt": ("inch", (("inch hex bolt", 1.0), ("inch machine screw", 0.4))),
    "inch set screw": ("inch", (("inch set screw", 1.0), ("inch machine screw", 0.4))),
    "BA screw": ("inch", (("BA screw", 1.0), ("inch machine screw", 0.4))),
    "metric screw": ("metric", (("metric machine screw", 1.0), ("old metric machine screw", 1.0))),
    "inch pin": ("inch", (("inch machine screw", 1.0),)),
    "metric pin": ("metric", (("metric machine screw", 1.0),)),
    "metric tapping screw": ("metric", (("metric tapping screw", 1.0), ("metric machine screw", 0.4))),
    "metric set screw": ("metric", (("metric set screw", 1.0), ("metric machine screw", 0.4))),
}
"""What stands on which list; what a shop stocked for another kind is the less common here."""


@cache
def stocked(which: str) -> tuple[Stocked, ...]:
    """A list of stocked lengths, shortest first."""
    system, kinds = LISTS[which]
    found: dict[Fraction, Stocked] = {}
    for kind, factor in kinds:
        for row in rows("lengths.csv"):
            if row["kind"] != kind:
                continue
            nominal = sum((Fraction(part) for part in row["nominal"].split()), Fraction(0))
            weight = _RANKS[row["rank"]] * factor
            if which.endswith("pin"):
                off = PIN_OFF * (1 if nominal * (25 if system == "inch" else 1) <= 50 else 2)
                mm = nominal * (MM_PER_INCH if system == "inch" else 1)
                name = row["nominal"] + ("" if system == "inch" else " mm")
                item = Stocked(name, mm, mm - off, mm + off, weight)
            elif system == "inch":
                short = inch_tolerance(nominal, bolt=which == "inch bolt")
                mm = nominal * MM_PER_INCH
                item = Stocked(row["nominal"], mm, mm - short * MM_PER_INCH, mm, weight)
            else:
                off = metric_tolerance(nominal)
                item = Stocked(f"{row['nominal']} mm", nominal, nominal - off, nominal + off, weight)
            if item.nominal not in found:
                found[item.nominal] = item
    return tuple(sorted(found.values(), key=lambda s: s.nominal))


ODD = 0.04
"""Share of screws cut, filed or made to length at the bench (common practice, no source)."""


def _window(item: Stocked, length: float, by: Way) -> float:
    rod = LENGTH[by]
    low, high = float(item.low) - rod.under, float(item.high) + rod.over
    soft = (rod.soft + rod.part * length) * sqrt(2)
    inside = erf((length - low) / soft) - erf((length - high) / soft)
    return item.weight * inside / 2 / (high - low)


def list_for(kind: str, head: str, system: System, thread: Thread | None) -> str:
    """Which list of stocked lengths goes with a fastener."""
    if kind.endswith("pin"):
        return "metric pin" if system == "metric" else "inch pin"
    if system == "metric" and kind == "tapping screw":
        return "metric tapping screw"
    if system == "metric":
        return "metric set screw" if _headless(kind, head) else "metric screw"
    if thread is not None and series_named(thread.series).lengths == "BA":
        return "BA screw"
    if _headless(kind, head):
        return "inch set screw"
    return "inch bolt" if kind == "bolt" or head in ("hex", "square") else "inch screw"


def _headless(kind: str, head: str) -> bool:
    return kind in ("set screw", "stud") or head in ("headless", "set screw", "stud") or head.endswith(POINT)


TILT = 5.0
"""A length speaks for a thread of its own system, but screws were cut: never more than this much."""


@lru_cache(maxsize=256)
def metric_tilt(read: Measure, by: Way = "caliper") -> float:
    """How much likelier the length makes a metric thread than an inch one, 1/TILT to TILT."""
    odds = _support(read, "metric screw", by) / _support(read, "inch screw", by)
    return min(TILT, max(1 / TILT, odds))


def _support(read: Measure, which: str, by: Way) -> float:
    """Density of the reading over a list, odd lengths included."""
    near, step = _near(read, which, by)
    return ODD / step + sum(_window(s, float(read.mm), by) for s in near)


def _near(read: Measure, which: str, by: Way) -> tuple[tuple[Stocked, ...], float]:
    """The two stocked lengths on either side of a reading, by rule or eye more, and the step there in mm."""
    items = stocked(which)
    after = bisect_right(items, read.mm, key=attrgetter("nominal"))
    gap = items[min(after, len(items) - 1)].nominal - items[max(after - 1, 0)].nominal
    more = {"caliper": 2, "rule": 3}.get(by, 5)
    return items[max(0, after - more) : after + more], max(float(gap), 1.0)


_BETTER: dict[Way, tuple[Tool, ...]] = {"rule": ("caliper", "depth rod"), "eye": ("caliper", "depth rod", "rule")}
"""What measures a length better than it was; nothing does a caliper."""

SLIP = 0.05
"""Share of odd readings that are slips of the rod on a stocked length; shared by the two neighbours."""


def name_length(read: Measure, which: str, *, by: Way = "caliper", have: Collection[Tool] = TOOLS) -> Verdict:
    """The verdict on a pin's length, measured as `by` says, against the list `which` of LISTS: each by itself.

    Screws are named by their machine's groups, in `length_names`. One taken by rule or eye is asked for again,
    where `have` has something better.
    """
    return _against(read, which, by, have)


def _against(read: Measure, which: str, by: Way, have: Collection[Tool]) -> Verdict:
    length = float(read.mm)
    near, step = _near(read, which, by)
    scored = [(_window(s, length, by), s) for s in near]
    none = ODD / step
    total = none + sum(score for score, _ in scored)
    if none / total >= 0.5:
        return odd_length(read, Verdict("none", (), half="length", against=which))
    scored.sort(key=lambda pair: -pair[0])
    best = scored[0][0] / total
    second = scored[1][0] / total if len(scored) > 1 else 0.0
    word: Word = "sure" if best >= SURE else "likely" if best >= LIKELY or second < 0.05 else "either"
    if by == "eye" and word == "sure":
        word = "likely"
    kept = tuple(Candidate(s.name, score / total, (), lies(s, read)) for score, s in scored if score / total > 0.002)
    ask = None
    better = better_tool(by, have)
    if word in ("either", "likely") and better is not None and len(kept) > 1:
        ask = NextReading("length", f"the length by {better}: {kept[0].name} or {kept[1].name}?")
    return Verdict(word, kept, ask, half="length", against=which)


def better_tool(by: Way, have: Collection[Tool]) -> Tool | None:
    """What of `have` measures a length better than it was, or None."""
    return next((tool for tool in _BETTER.get(by, ()) if tool in have), None)


def odd_length(read: Measure, verdict: Verdict) -> Verdict:
    """No stocked length: the neighbours are told, the nearer first, and the reading stays the record."""
    items = stocked(verdict.against)
    after = bisect_right(items, read.mm, key=attrgetter("nominal"))
    neighbours = items[max(0, after - 1) : after + 1]
    gaps = [abs(float(s.nominal - read.mm)) for s in neighbours]
    whole = sum(1 / (gap + 1e-9) for gap in gaps)
    texts = [
        Candidate(s.name, SLIP * (1 / (gap + 1e-9)) / whole, (), lies(s, read))
        for gap, s in sorted(zip(gaps, neighbours, strict=True), key=lambda pair: pair[0])
    ]
    return replace(verdict, word="none", candidates=tuple(texts), note="an odd length; kept as measured")


def lies(item: Stocked, read: Measure) -> str:
    """How the reading lies to the stocked length, in words and in the reading's unit."""
    off = read.mm - item.nominal
    if off == 0:
        return "exact"
    size = abs(float(off))
    text = f"{size / 25.4:.3f} in".lstrip("0") if read.unit == "in" else f"{size:.2f} mm"
    return f"{text} {'over' if off > 0 else 'under'}"


POINT = " point"
"""A set screw's point stands where others have a head: cup point, cone point."""

_DATUM = {
    "over all": ("flat", "countersunk", "csk", "headless", "set screw", "stud"),
    "from the edge of the head to the end; the crown is not counted": ("oval", "raised countersunk"),
}


def datum(kind: str, head: str | None) -> str:
    """Where a fastener's length is measured: under the head, over all, or from the head's edge.

    ASME B18.6.3, B18.3, ISO 1207, 1580, 2009, 2010, 4026; pins from memory (ASME B18.8.2, ISO 2339).
    """
    if kind == "shoulder screw":
        return "under the head to the end of the thread; the shoulder is given separately"
    if kind in OVER_ALL:
        return "over all"
    shape = (head or "").strip().lower()
    if shape.endswith(POINT):
        return "over all"
    for where, shapes in _DATUM.items():
        if shape.startswith(shapes):
            return where
    return "under the head to the extreme end"
