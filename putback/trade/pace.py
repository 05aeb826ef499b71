"""How long steps take, learned from the record: this person, this machine, a forgotten timer left out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import median, quantiles

from msgspec import Struct

from putback.trade.record import Record
from putback.trade.session import Session, minutes_between
from putback.trade.step import Step

ENOUGH = 5
"""So many steps put back make a pace of one's own; before, refit is taken to last as long as taking off."""

USUAL = (0.6, 1.0, 1.6)
"""Refit against taking off before anything is known: low, likely, high (common practice, no source)."""

FAR_OUT = 3.0
"""A time further above the upper quartile than so many times the middle half is a forgotten timer (Tukey's
outer fence, Exploratory Data Analysis, 1977, from memory)."""


class TimeLeft(Struct, frozen=True):
    """What is still to do, as a range."""

    low: float
    """Minutes where all goes well."""
    likely: float
    """Minutes to expect."""
    high: float
    """Minutes where it does not."""

    @property
    def told(self) -> str:
        """The range in words: `2 h to 5 h, about 3 h`."""
        return f"about {_hours(self.likely)}, from {_hours(self.low)} to {_hours(self.high)}"


def _hours(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes < 90 else f"{minutes / 60:.1f} h"


def hands_on(record: Record, step: Step) -> float:
    """Return the minutes a step took: as said, else between its stamps with the breaks left out."""
    if step.minutes is not None:
        return step.minutes
    if not (step.began and step.ended):
        return 0.0
    session = record.find(Session, step.session)
    if session is None or not session.segments:
        return minutes_between(step.began, step.ended)
    return sum(_overlap(step.began, step.ended, s.start, s.end or step.ended) for s in session.segments)


def _overlap(began: str, ended: str, start: str, end: str) -> float:
    first = max(datetime.fromisoformat(began), datetime.fromisoformat(start))
    last = min(datetime.fromisoformat(ended), datetime.fromisoformat(end))
    return max(0.0, (last - first).total_seconds() / 60)


def minutes_of(record: Record, machine: int) -> dict[int, float]:
    """Return the minutes of every finished step by its number; a forgotten timer is cut to the fence."""
    found = {s.number: hands_on(record, s) for s in record.all(Step, machine) if not s.is_open}
    stamped = [found[s.number] for s in record.all(Step, machine) if not s.is_open and s.minutes is None]
    fence = _fence([m for m in found.values() if m > 0]) if stamped else None
    if fence is None:
        return found
    return {
        s.number: min(found[s.number], fence) if s.minutes is None else found[s.number]
        for s in record.all(Step, machine)
        if s.number in found
    }


def _fence(minutes: Sequence[float]) -> float | None:
    if len(minutes) < ENOUGH:
        return None
    low, _, high = quantiles(minutes, n=4, method="inclusive")
    return high + FAR_OUT * max(high - low, 1.0)


def time_left(record: Record, machine: int) -> TimeLeft:
    """Return how long the rest of refit takes, as a range.

    It is the time of the steps still off when they came off, times the pace of the steps put back so far:
    the middle of their ratios for what is likely, the quartiles for the range. Until ENOUGH are back the
    range is USUAL.
    """
    minutes = minutes_of(record, machine)
    rest = sum(minutes[s.number] for s in record.all(Step, machine) if s.number in minutes and not s.back)
    ratios = _ratios(record, machine, minutes)
    if len(ratios) < ENOUGH:
        low, likely, high = USUAL
    else:
        low, _, high = quantiles(ratios, n=4, method="inclusive")
        likely = median(ratios)
    return TimeLeft(rest * low, rest * likely, rest * high)


def _ratios(record: Record, machine: int, minutes: dict[int, float]) -> list[float]:
    """Return how long each step took to put back against taking it off, where the segment tells."""
    back = sorted((s for s in record.all(Step, machine) if s.back), key=lambda s: datetime.fromisoformat(s.back))
    spans = [
        (datetime.fromisoformat(seg.start), datetime.fromisoformat(seg.end) if seg.end else None)
        for session in record.all(Session, machine)
        for seg in session.segments
    ]
    found = []
    for before, step in pairwise(back):
        start, end = datetime.fromisoformat(before.back), datetime.fromisoformat(step.back)
        together = any(first <= start and (last is None or end <= last) for first, last in spans)
        if together and minutes.get(step.number, 0) > 0 and end > start:
            found.append((end - start).total_seconds() / 60 / minutes[step.number])
    return found
