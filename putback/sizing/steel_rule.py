"""A quantity as a steel rule: a graduated stretch with class bands or stocked lengths on it, and a pointer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from putback.sizing.evidence import shape_of
from putback.sizing.exact import Exact, exact
from putback.sizing.hardware import PINS
from putback.sizing.lengths import Stocked, stocked
from putback.sizing.reading import Measure
from putback.sizing.readings import Readings
from putback.sizing.standard_sizes import Standard, standard_sizes
from putback.sizing.units import Unit
from putback.sizing.verdict import Verdict
from putback.sizing.wording import shown

SHOWN = 5
"""At most so many marks."""


class SizeBand(Struct, frozen=True):
    """One band on the rule, in the scale's unit."""

    label: str
    """What stands there: #8-32 UNC, 3/8."""
    low: float
    """Where it begins: the smallest the standard allows."""
    high: float
    """Where it ends."""
    nominal: float
    """Its nominal value."""
    is_best: bool
    """True for the likeliest candidate of a verdict that names one."""


class SteelRule(Struct, frozen=True):
    """What to draw; pure numbers, no characters."""

    unit: Unit
    """Inches or millimetres, for every number here."""
    pointer: float | None
    """The reading; None when the quantity itself was not read."""
    pointer_text: str
    """The reading as a person writes it."""
    marks: tuple[SizeBand, ...]
    """From small to large."""
    low: float
    """The left end of the stretch worth drawing."""
    high: float
    """The right end."""


def scale(half: Verdict, readings: Readings) -> SteelRule:
    """The rule for one half of an answer: the thread's crest diameter, the length, or a pin's diameter.

    `readings` are those that the answer came from. Raises Unreadable as `snap` does.
    """
    read = exact(readings)
    per_unit = 25.4 if readings.unit == "in" else 1.0
    named = half.candidates[0].name if half.candidates and half.word != "none" else ""
    if half.half == "thread":
        measure = read.od
        shapes = [(c.name, shape_of(c.name)) for c in half.candidates[:SHOWN]]
        spans = [(name, shape.bottom, shape.top, shape.major) for name, shape in shapes]
    elif half.half == "length":
        measure = read.length
        at = float(measure.mm) if measure is not None else 0.0
        spans = _spans(sorted(stocked(half.against), key=lambda s: abs(float(s.nominal) - at))[:4])
    else:
        sizes = {s.name: s for s in standard_sizes(readings.kind)}
        picked = [sizes[c.name] for c in half.candidates[:SHOWN] if c.name in sizes]
        measure = _main(read, readings.kind, picked[0].main if picked else "")
        spans = _spans(picked)
    marks = tuple(
        SizeBand(label, low / per_unit, high / per_unit, nominal / per_unit, label == named)
        for label, low, high, nominal in sorted(spans, key=lambda s: (s[3], s[1]))
    )
    pointer = None if measure is None else float(measure.mm) / per_unit
    low, high = _stretch(marks, pointer)
    return SteelRule(readings.unit, pointer, "" if measure is None else shown(measure), marks, low, high)


def _main(read: Exact, kind: str, named: str) -> Measure | None:
    """The measure by which a standard part is told, by its name in its table, or by its kind."""
    if named:
        main: Measure | None = getattr(read, named) if named != "pitch" else None
        return main
    return read.od if kind in (*PINS, "ball") else read.width or read.bore or read.groove


def _spans(items: Iterable[Stocked | Standard]) -> list[tuple[str, float, float, float]]:
    """Name, lowest, highest and nominal value of each, mm."""
    return [(item.name, float(item.low), float(item.high), float(item.nominal)) for item in items]


def _stretch(marks: Sequence[SizeBand], pointer: float | None) -> tuple[float, float]:
    """Everything on the rule with a tenth to spare at both ends."""
    ends = [m.low for m in marks] + [m.high for m in marks] + [m.nominal for m in marks]
    if pointer is not None:
        ends.append(pointer)
    if not ends:
        return 0.0, 1.0
    low, high = min(ends), max(ends)
    spare = (high - low) / 10 or high / 20 or 0.05
    return max(0.0, low - spare), high + spare
