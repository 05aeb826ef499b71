"""Sessions that nobody ended: when one counts as left, and what is said of it. Time is stamps; the clock is given."""

from __future__ import annotations

from datetime import datetime

from putback.trade.record.session import Session, minutes_between

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
    there = datetime.fromisoformat(last)
    return f"Session {session.number} was left on {there.day} {there:%b} at {last[11:16]} and has ended there."
