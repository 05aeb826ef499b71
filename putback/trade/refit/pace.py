"""How long steps take, learned from the record: this person, this machine, a forgotten timer left out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from statistics import median, quantiles

from msgspec import Struct

from putback.trade.record.record import Record
from putback.trade.record.session import Session, minutes_between
from putback.trade.record.step import Step

ENOUGH = 5
"""So many steps put back make a pace of one's own; before, refit is taken to last as long as taking off."""

USUAL = (0.6, 1.0, 1.6)
"""Refit against taking off before anything is known: low, likely, high (common practice, no source)."""

FAR_OUT = 3.0
"""A time further above the upper quartile than so many times the middle half is a forgotten timer (Tukey's
outer fence, Exploratory Data Analysis, 1977, from memory)."""


LEAST = (0.5, 0.1)
"""Minutes below which no step is done, and for each thing that came out: less is a step written down afterwards
(common practice, no source)."""

USUAL_STEP = 5.0
"""Minutes of a step before any was timed: about the middle one of the sample sessions (common practice, no source)."""

BELIEVED = (0.1, 10.0)
"""Refit against taking off: less is a key pressed and no work done, more is a timer forgotten (common practice, no
source)."""

NARROWEST = 0.2
"""A range is at least so wide either way, however even the steps went."""


LONG = 90.0
"""Minutes from which a time is told in hours."""


class TimeLeft(Struct, frozen=True):
    """What is still to do, as a range."""

    low: float
    """Minutes where all goes well."""
    likely: float
    """Minutes to expect."""
    high: float
    """Minutes where it does not."""

    @property
    def brief(self) -> str:
        """The range by itself, in one unit: `12 to 55 min`, `0.9 to 2.4 h`."""
        if self.high >= LONG:
            return f"{self.low / 60:.1f} to {self.high / 60:.1f} h"
        return f"{_hours(self.low).removesuffix(' min')} to {_hours(self.high)}"

    @property
    def text(self) -> str:
        """The range in words: `about 3.0 h, from 2.0 h to 5.0 h`."""
        return f"about {_hours(self.likely)}, from {_hours(self.low)} to {_hours(self.high)}"


def _hours(minutes: float) -> str:
    if minutes >= LONG:
        return f"{minutes / 60:.1f} h"
    return f"{minutes:.0f} min" if minutes < 20 else f"{5 * round(minutes / 5)} min"


def hands_on(record: Record, step: Step) -> float:
    """Return the minutes a step took: as said, else between its stamps with the breaks left out."""
    if step.minutes is not None:
        return step.minutes
    if not (step.began and step.ended):
        return 0.0
    session = record.find(Session, step.session)
    if session is None or not session.segments:
        return minutes_between(step.began, step.ended)
    sat = [session]
    if session.ended and datetime.fromisoformat(session.ended) < datetime.fromisoformat(step.ended):
        sat += (later for later in record.all(Session, step.machine) if later.number > session.number)
    return sum(_overlap(step.began, step.ended, s.start, s.end or step.ended) for one in sat for s in one.segments)


def _overlap(began: str, ended: str, start: str, end: str) -> float:
    first = max(datetime.fromisoformat(began), datetime.fromisoformat(start))
    last = min(datetime.fromisoformat(ended), datetime.fromisoformat(end))
    return max(0.0, (last - first).total_seconds() / 60)


def minutes_of(record: Record, machine: int) -> dict[int, float]:
    """Return the minutes of every finished step by its number.

    What was said counts as it is. Of what the clock tells, a forgotten timer is cut to the fence, and a step that
    was only written down, done in no time, is taken to last as long as the middle one of the others.
    """
    done = [s for s in record.all(Step, machine) if not s.is_open]
    found = {s.number: hands_on(record, s) for s in done}
    stamped = {s.number for s in done if s.minutes is None}
    if not stamped:
        return found
    untimed = {s.number for s in done if s.number in stamped and found[s.number] < _least(record, s)}
    timed = [minutes for number, minutes in found.items() if number not in untimed and minutes > 0]
    fence = _fence(timed)
    usual = median(timed) if len(timed) >= ENOUGH else USUAL_STEP
    for number in stamped:
        if number in untimed:
            found[number] = usual
        elif fence is not None:
            found[number] = min(found[number], fence)
    return found


def _least(record: Record, step: Step) -> float:
    return LEAST[0] + LEAST[1] * len(record.things_of(step))


def _fence(minutes: Sequence[float]) -> float | None:
    if len(minutes) < ENOUGH:
        return None
    low, _, high = quantiles(minutes, n=4, method="inclusive")
    return high + FAR_OUT * max(high - low, 1.0)


def time_left(record: Record, machine: int) -> TimeLeft:
    """Return how long the rest of refit takes, as a range.

    It is the time of the steps still off when they came off, times the pace of the steps put back so far:
    the middle of their ratios for what is likely, the quartiles for the range. Until ENOUGH are back the
    range is USUAL; ratios that nobody can believe count for none.
    """
    minutes = minutes_of(record, machine)
    rest = sum(minutes[s.number] for s in record.all(Step, machine) if s.number in minutes and not s.back)
    ratios = _ratios(record, machine, minutes)
    if len(ratios) < ENOUGH:
        low, likely, high = USUAL
    else:
        low, _, high = quantiles(ratios, n=4, method="inclusive")
        likely = median(ratios)
        low, high = min(low, likely * (1 - NARROWEST)), max(high, likely * (1 + NARROWEST))
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
            ratio = (end - start).total_seconds() / 60 / minutes[step.number]
            if BELIEVED[0] <= ratio <= BELIEVED[1]:
                found.append(ratio)
    return found
