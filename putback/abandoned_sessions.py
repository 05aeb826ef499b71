"""Sessions that nobody ended: what was done last, when one counts as left, and what is said of it.

Time is stamps; the clock is given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from typing import Protocol

from putback.dates import day_in_words
from putback.trade.commands.rules import TAKE_IN
from putback.trade.record.bag import Move
from putback.trade.record.change import Change
from putback.trade.record.record import Record
from putback.trade.record.session import Session, minutes_between
from putback.trade.record.step import Step

LEFT = 4 * 60.0
"""Minutes without anything done after which a session has ended at its last act."""

STILL = 10.0
"""Minutes without anything done from which a midnight in between is asked about: less is work past midnight."""


def is_left(last: str, now: str) -> bool:
    """Tell whether a session whose last act was at `last` has been left by `now`."""
    return minutes_between(last, now) >= LEFT


def crosses_midnight(last: str, now: str) -> bool:
    """Tell whether midnight, by the clock of now, lies in a gap that is too long for work and too short for an end."""
    here = datetime.fromisoformat(now)
    there = datetime.fromisoformat(last).astimezone(here.tzinfo)
    return STILL <= minutes_between(last, now) < LEFT and there.date() != here.date()


def left_message(session: Session, last: str) -> str:
    """Return the sentence for a session that ended at its last act."""
    return f"Session {session.number} was left on {day_in_words(last)} at {last[11:16]} and has ended there."


class Entry(Protocol):
    """One line of the logbook."""

    @property
    def at(self) -> str:
        """Its stamp."""

    @property
    def change(self) -> Change:
        """What was done."""


class LastActs:
    """When something was done last on each machine: as it is told of, else as the logbook has it."""

    def __init__(self, record: Record, entries_back: Callable[[], Iterator[Entry]]) -> None:
        """`entries_back` gives the logbook, the newest first."""
        self._record = record
        self._entries_back = entries_back
        self._acted: dict[int, str] = {}

    def acted(self, machine: int, at: str) -> None:
        """Take note of something done on a machine."""
        self._acted[machine] = at

    def forget(self) -> None:
        """Ask the logbook again: another copy has written since."""
        self._acted.clear()

    def last(self, session: Session) -> str:
        """Return the stamp of the last thing done in a session that goes on."""
        machine = session.machine
        if machine not in self._acted:
            self._acted[machine] = ""
            for entry in self._entries_back():
                if entry.change.machine == machine:
                    # A machine that was taken in was worked on elsewhere, and long before that.
                    taken_in = entry.change.did == TAKE_IN
                    self._acted[machine] = self._last_stamp(machine) if taken_in else entry.at
                    break
        return _latest([session.segments[-1].start, session.segments[-1].end, self._acted[machine]])

    def _last_stamp(self, machine: int) -> str:
        """Return the latest stamp of anything done on a machine; empty where there is none."""
        steps = [stamp for s in self._record.all(Step, machine) for stamp in (s.began, s.ended, s.back)]
        return _latest([*steps, *(move.at for move in self._record.all(Move, machine))])


def _latest(stamps: Iterable[str]) -> str:
    """Return the latest of some stamps, whatever their offsets; empty ones do not count."""
    return max(filter(None, stamps), key=datetime.fromisoformat, default="")
