"""Sessions at the bench and their segments. Time is stamps: ISO 8601 texts with an offset."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

TARGET = 40.0
"""Minutes of a segment where none was said; common practice, no source."""


class Segment(Struct, frozen=True, omit_defaults=True):
    """A stretch of a session between breaks."""

    start: str
    """When it began."""
    end: str = ""
    """When it ended; empty while it runs."""


WRONG = "not so"
"""The answer of a walk-back that is closed once it was put right."""

ANSWERS = {
    "true": "right",
    WRONG: "wrong",
    "cannot see it now": "cannot see",
    "put right": "was wrong, and is put right",
    "right after all": "is right after all",
}
"""What a walk-back, and the card behind it, can say of a step, as it is kept and as it is said."""

CLOSE = frozenset({"true", "put right", "right after all"})
"""The answers that close an earlier WRONG of the same step."""


class WalkBackAnswer(Struct, frozen=True, omit_defaults=True):
    """One answer of a walk-back."""

    step: int
    """The number that the step had on its machine when it was asked about."""
    answer: str
    """One of ANSWERS, as it is kept."""
    at: str
    """When it was given."""
    step_id: int = 0
    """The step's number in the workshop, which stays when a forgotten step is written in before it."""


class Session(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One stay at the bench with one machine."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine."""
    number: int
    """Its number on that machine, from 1."""
    title: str = ""
    """What it is about."""
    target: float = TARGET
    """Minutes a segment should last."""
    box: str = ""
    """The box for bags begun in it."""
    note: str = ""
    """A note to oneself."""
    parting: str = ""
    """What of the note was left at the end, for the next return."""
    segments: tuple[Segment, ...] = ()
    """Its stretches, in order."""
    walked: tuple[WalkBackAnswer, ...] = ()
    """What the walk-back said."""
    ended: str = ""
    """When it ended; empty while it goes on."""

    @property
    def start(self) -> str:
        """When it began."""
        return self.segments[0].start

    @property
    def paused(self) -> bool:
        """Whether no segment runs."""
        return not self.segments or bool(self.segments[-1].end)

    def minutes(self, at: str) -> float:
        """Minutes of hand-on time until the stamp `at`, breaks left out."""
        return sum(minutes_between(s.start, s.end or at) for s in self.segments)

    def segment_minutes(self, at: str) -> float:
        """Minutes of the last segment until its end or the stamp `at`."""
        last = self.segments[-1]
        return minutes_between(last.start, last.end or at)


def minutes_between(start: str, end: str) -> float:
    """Return minutes from one stamp to another; never below 0, so a clock set back counts nothing."""
    span = datetime.fromisoformat(end) - datetime.fromisoformat(start)
    return max(0.0, span.total_seconds() / 60)
