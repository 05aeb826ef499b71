"""How a real workshop is opened: the machine's clock, its user, and true chance for bag codes."""

from __future__ import annotations

import getpass
import random
import sys
import time
from collections.abc import Container
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

from putback.bench_clock import Ticks
from putback.dates import write_days_as
from putback.scans.bag_code import new_code
from putback.settings import settings_in
from putback.workshop import Workshop


def local_now() -> datetime:
    """Return the time of now in the local zone, with its offset."""
    return datetime.now().astimezone()


def local_ticks() -> Ticks:
    """Return how long this computer has run and slept, by clocks that nobody can set.

    Linux and macOS have one clock that stands while the computer sleeps and one that goes on (clock_gettime(2);
    macOS from memory, not tried). Where there is but one, no sleep is known.
    """
    if sys.platform == "linux":
        elapsed, awake = time.clock_gettime(time.CLOCK_BOOTTIME), time.clock_gettime(time.CLOCK_MONOTONIC)
    elif sys.platform == "darwin":
        elapsed, awake = time.clock_gettime(time.CLOCK_MONOTONIC), time.clock_gettime(time.CLOCK_UPTIME_RAW)
    else:
        elapsed = awake = time.monotonic()
    return Ticks(elapsed, elapsed - awake)


class LocalZone(tzinfo):
    """This computer's zone, with the offset that it has at each date: summer time and all."""

    def utcoffset(self, at: datetime | None) -> timedelta | None:
        """The offset at that time; now's where none is given."""
        return (datetime.now() if at is None else at.replace(tzinfo=None)).astimezone().utcoffset()

    def dst(self, at: datetime | None) -> timedelta | None:
        """Not known apart from the offset."""
        return None

    def tzname(self, at: datetime | None) -> str:
        """A word for messages."""
        return "local"

    def fromutc(self, at: datetime) -> datetime:
        """The local time of a time in UTC."""
        return at.replace(tzinfo=UTC).astimezone().replace(tzinfo=self)


def fresh_code(taken: Container[str]) -> str:
    """Return a bag code that nobody has, by the system's chance."""
    return new_code(random.SystemRandom(), taken)


def user() -> str:
    """Return who is at the keyboard, as the system knows; empty where it does not."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


def open_at(folder: Path, *, read_only: bool = False, must_exist: bool = False) -> Workshop:
    """Open the workshop in `folder` for a person. Raises a StoreError with one sentence."""
    workshop = Workshop.open(
        folder,
        clock=local_now,
        codes=fresh_code,
        who=user(),
        read_only=read_only,
        must_exist=must_exist,
        ticks=local_ticks,
    )
    settings = settings_in(folder)[0]
    write_days_as(settings.look.dates)
    workshop.record.own_tools = settings.tools.have or ()
    return workshop
