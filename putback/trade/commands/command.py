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

    def words(self) -> Iterator[str]:
        """Give what the person typed in it: words that may call for a caution."""
        return iter(())
