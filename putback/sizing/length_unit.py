"""The unit of a bare length behind a thread of the other system: `m4`, then `10`, on a machine in inches."""

from __future__ import annotations

import re
from fractions import Fraction

from putback.errors import Unreadable
from putback.sizing.gauge import Gauge, Origin, read_gauge
from putback.sizing.instruments import LENGTH, Way, split_gauge, split_way
from putback.sizing.lengths import list_for, stocked
from putback.sizing.reading import tidy
from putback.sizing.threads import Thread, thread_named
from putback.sizing.units import MM_PER_INCH, Unit

_BARE = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
SLENDER = 15
"""Diameters that a screw with a head is long at most, as far as a bare figure goes: an M4 of 3 is no screw of three
inches (common practice, no source)."""

_THOUSANDTHS = re.compile(r"[0-9]{3}")


def length_behind(gauge: str, length: str, kind: str, head: str, origin: Origin, unit: Unit) -> tuple[str, str] | None:
    """Return a bare length with the unit of its thread behind it, and a note that says so; None where it stays.

    The thread has a name off the gauge plate, its system is not the machine's, and the length is a stocked one in
    the thread's unit and in the machine's is not; or in inches it would be twice the longest screw, or longer than
    any screw is for its diameter (SLENDER). Three figures without a point stay thousandths of an inch.
    """
    try:
        bare, way = split_way(length, "length")
        text = tidy(bare)
        if not _BARE.fullmatch(text) or (unit == "in" and _THOUSANDTHS.fullmatch(text)):
            return None
        threads = _threads(gauge, origin, unit)
    except Unreadable:  # said where the field is read
        return None
    metric = {thread.family == "metric" for thread in threads}
    if metric != {unit == "in"}:
        return None
    value, by = Fraction(text), way or "caliper"
    inch_list = list_for(kind, head, "inch", None if unit == "in" else threads[0])
    metric_list = list_for(kind, head, "metric", None)
    in_mm, in_inches = _fits(value, metric_list, by), _fits(value * MM_PER_INCH, inch_list, by)
    if unit == "in":
        slender = value * MM_PER_INCH > SLENDER * max(thread.major for thread in threads)
        theirs, fits = "mm", (in_mm and (slender or not in_inches)) or _beyond(value, inch_list, metric_list)
    else:
        theirs, fits = "in", in_inches and not in_mm
    if not fits:
        return None
    note = f"{text} taken as {theirs}, as the thread is {'metric' if theirs == 'mm' else 'an inch one'}"
    return length.replace(bare.strip(), f"{bare.strip()} {theirs}", 1), note


def _threads(gauge: str, origin: Origin, unit: Unit) -> list[Thread]:
    """The threads that a text off the gauge plate names; none where it is something else. Raises Unreadable."""
    plate = read_gauge(split_gauge(gauge, unit)[0], origin, unit)
    names = plate.names if isinstance(plate, Gauge) else ()
    return [thread for name in names if (thread := thread_named(name)) is not None]


def _beyond(value: Fraction, inch_list: str, metric_list: str) -> bool:
    """Whether no screw is stocked that many inches long, and in millimetres it is within what is: 10.7."""
    metric = stocked(metric_list)
    return value * MM_PER_INCH > 2 * stocked(inch_list)[-1].high and metric[0].low <= value <= metric[-1].high


def _fits(mm: Fraction, which: str, by: Way) -> bool:
    """Whether a reading fits a stocked length of a list, read as `by` says."""
    rod = LENGTH[by]
    soft = rod.soft + rod.part * float(mm)
    return any(
        float(item.low) - rod.under - soft <= float(mm) <= float(item.high) + rod.over + soft for item in stocked(which)
    )
