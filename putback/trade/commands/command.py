"""What every command has in common: something a person asks for, as data."""

from __future__ import annotations

from typing import ClassVar

from msgspec import Struct

Readings = dict[str, str]
"""What was read, by the name of the reading, as typed."""


class Command(Struct, frozen=True, kw_only=True):
    """Something a person asks for."""

    can_be_taken_back: ClassVar[bool] = True
    """False for a new machine and for time at the bench: taking back passes over these, to what lies before."""
