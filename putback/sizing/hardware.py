"""Pins, rings, nuts, washers, bearings and their like: the standard size that what was measured stands for."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import exp
from typing import Literal

from msgspec.structs import replace

from putback.sizing.exact import Exact
from putback.sizing.kinds import kind_named
from putback.sizing.reading import Measure
from putback.sizing.readings import Readings
from putback.sizing.standard_sizes import SOFT, standard_sizes
from putback.sizing.verdict import LIKELY, SURE, Candidate, NextReading, Verdict, Word

TAPER = {"in": Fraction(1, 48), "mm": Fraction(1, 50)}
"""Taper of pins: a quarter inch to the foot (ASME B18.8.2), 1 in 50 (ISO 2339)."""

BLUR = 0.012
"""Scale of the error on a pin's diameter, mm: the caliper's, and a bruised end (common practice, no source)."""

SOLD_EVERYWHERE = frozenset({"ball bearing", "o-ring", "belt", "chain", "tapping screw"})
"""Kinds of which one list serves inch and metric machines."""

UNLISTED = 0.03
"""Share of pins and washers that were turned for the job (common practice, no source)."""


PINS = frozenset({"taper pin", "straight pin", "split pin"})
"""Kinds named by the diameter in `od`."""


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


def name_standard(readings: Readings, read: Exact) -> Verdict | None:
    """The verdict on the standard size of what has no thread; None for kinds without a table or nothing to go by.

    A nut's width across flats narrows its size only; its thread is named by the gauge. Where nothing of a table fits,
    a ball, a bearing, a key, a belt and their like are kept as measured, and that is no question: None.
    """
    scored: dict[str, float] = {}
    sizes = standard_sizes(readings.kind)
    asked = False
    for size in sizes:
        first = _value(read, size.main) if size.main else measured(readings.kind, read, size.home)
        rest = [(value, low, high) for field, low, high in size.more if (value := _value(read, field)) is not None]
        if first is None and not (size.main and rest):
            continue
        asked = True
        fit = 1.0 if first is None else _inside(float(first), float(size.low), float(size.high))
        for place, (value, low, high) in enumerate(rest):
            alone = first is None and place == 0
            fit *= _inside(float(value), float(low), float(high)) * (1.0 if alone else float(high - low))
        weight = _weight(readings, size.home)
        if fit > 0:
            scored[size.name] = max(scored.get(size.name, 0.0), fit * weight)
    if not asked:
        return None
    verdict = _verdict(scored, len(sizes))
    if readings.kind in SOFT:
        return None if verdict.word == "none" else _one_more(readings, read, verdict)
    return verdict


def _value(read: Exact, field: str) -> Fraction | None:
    """One dimension that was read, mm."""
    if field == "pitch":
        return read.pitch
    found: Measure | None = getattr(read, field)
    return None if found is None else found.mm


def _one_more(readings: Readings, read: Exact, verdict: Verdict) -> Verdict:
    """The verdict, with the diameter asked for where several sizes fit and it was not read."""
    wanted = "od" in kind_named(readings.kind).asks and read.od is None
    if verdict.word != "either" or not wanted:
        return verdict
    names = " or ".join(c.name for c in verdict.candidates[:2])
    return replace(verdict, ask=NextReading("od", f"the diameter outside: {names}?"))


def _inside(value: float, low: float, high: float) -> float:
    """Density of reading `value` when the truth is anywhere from low to high, per mm."""
    width = max(high - low, 1e-6)

    def below(z: float) -> float:
        return 1.0 if z > 36 else 0.0 if z < -36 else 1 / (1 + exp(-z))

    return (below((value - low) / BLUR) - below((value - high) / BLUR)) / width


def _weight(readings: Readings, home: Literal["in", "mm"]) -> float:
    """Inch or metric hardware by the machine's origin; it ranks only."""
    if readings.origin == "unknown" or readings.kind in SOLD_EVERYWHERE:
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
