"""What every command has in common: something a person asks for, as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from msgspec import Struct

Readings = dict[str, str]
"""What was read, by the name of the reading, as typed."""


class Command(Struct, frozen=True, kw_only=True):
    """Something a person asks for."""

    can_be_taken_back: ClassVar[bool] = True
    """False for a new machine and for time at the bench: taking back passes over these, to what lies before."""
    is_work: ClassVar[bool] = True
    """Whether hands are at the machine: the first work begins a session, and work ends a break. Notes, jobs and photos
    are said at any time and begin none."""
    is_of_the_clock: ClassVar[bool] = False
    """Whether it stops a session's time or lets it go on: without a session there is nothing to stop."""
    is_of_the_end: ClassVar[bool] = False
    """Whether it ends a session, or is said of its end: of a session that was left it is said as at its last act."""

    free_words: ClassVar[tuple[str, ...]] = ()
    """Fields beside those of FREE in which the person's own words stand."""

    def words(self) -> Iterator[str]:
        """Give what the person typed in it: words that may call for a caution."""
        for name in (*FREE, *self.free_words):
            yield from _texts(getattr(self, name, None))


def _texts(said: object) -> Iterator[str]:
    """Give the texts of a field: of a job, a soak or a setting what it is of."""
    if isinstance(said, str):
        yield said
    elif isinstance(said, tuple):
        for one in said:
            yield from _texts(one)
    elif said is not None:
        for name in ("what", "measure", "note", "material", "result"):
            yield str(getattr(said, name, ""))


FREE = (
    "note", "notes", "caution", "cautions", "reason", "why", "anyway", "freed", "material", "result", "new", "came_of",
    "words_said", "because", "next_time", "at_refit", "todo", "job", "soak", "adjust",
)  # fmt: skip
"""Fields of commands that hold the person's own words, in whichever command they stand."""
