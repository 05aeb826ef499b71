"""The time of one run of the program: stamps that never run back, whatever is done to the computer's clock.

A stamp is the clock's. Between two looks at it the time that really went by is known from a second source,
which nobody can set; where the clock disagrees it was set, and the stamps go on from the one before until a
session begins with the clock as it is then. So the minutes of a session stay right, and its stamps in order.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from msgspec import Struct

SLEW = 2.0
"""Seconds by which clock and true time may differ from one look to the next without the clock being set."""


class Ticks(Struct, frozen=True):
    """How long the computer has run, from a source that nobody can set."""

    elapsed: float
    """Seconds since some moment, asleep or awake."""
    asleep: float
    """Seconds of that in which the computer slept."""


class Nap(Struct, frozen=True):
    """A time in which the computer slept."""

    start: datetime
    """The last look at the clock before it."""
    end: datetime
    """The first one after it."""


class BenchClock:
    """Gives the time of now; `wall` is the computer's clock, `ticks` the second source where there is one."""

    def __init__(self, wall: Callable[[], datetime], ticks: Callable[[], Ticks] | None = None) -> None:
        self._wall = wall
        self._ticks = ticks
        self._shift = timedelta()
        self._last: datetime | None = None
        self._seen: Ticks | None = None
        self.naps: list[Nap] = []
        """Every sleep since the program began, oldest first."""

    def now(self) -> datetime:
        """Return the time of now, with the clock's offset; never before what was given last."""
        seen = self._ticks() if self._ticks is not None else None
        now = self._wall() + self._shift
        last = self._last
        if last is not None and seen is not None and self._seen is not None:
            slept = seen.asleep - self._seen.asleep
            true = last + timedelta(seconds=seen.elapsed - self._seen.elapsed)
            if abs((now - true).total_seconds()) > SLEW:
                self._shift += true - now
                now = true.astimezone(now.tzinfo)
            if slept > SLEW:
                self.naps.append(Nap(last, now))
        if last is not None and now < last:
            self._shift += last - now
            now = last.astimezone(now.tzinfo)
        self._last, self._seen = now, seen
        return now

    def not_before(self, stamp: datetime) -> None:
        """Let no stamp from now on lie before `stamp`: a session goes on that has come so far."""
        if self._last is None or self._last < stamp:
            self._last = stamp
            self._seen = None

    def start_afresh(self) -> None:
        """Believe the clock as it is from now on: no session goes on."""
        self._shift = timedelta()
        self._last = self._seen = None
