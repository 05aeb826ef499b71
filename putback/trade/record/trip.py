"""What was sent out of the house, and how it came back; all that went to one person at one time is one trip."""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from putback.trade.record.words import OneOf, words_of

AS_SENT: Final = "as sent"
CHANGED: Final = "changed"
DAMAGED: Final = "damaged"
NOT_THERE: Final = "not there"

HowBack = OneOf[Literal["", "as sent", "changed", "damaged", "not there"], "how something comes back"]
"""How something comes back; empty while it is away."""
HOW_BACK: tuple[HowBack, ...] = words_of(HowBack)
"""How something comes back, in the order of the question."""

KEPT_WHOLE = "kept whole after all"
TAKEN_APART = "taken apart after all"

UNITS = (KEPT_WHOLE, TAKEN_APART)
"""What can be said of a unit that comes back: it will not be opened, or it was."""


class Sent(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing on a trip."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    thing: int
    """What was sent."""
    count: int
    """How many of it."""
    source: str
    """The place where it lay; it comes back there, if nothing else is said."""
    to: str
    """To whom."""
    at: str
    """When it went: the same for all of one trip."""
    what: str = ""
    """What for."""
    due: str = ""
    """The day on which it is due, as 2025-11-20; empty where that is not known."""
    how: HowBack = ""
    """How it came back, of HOW_BACK; empty while it is away."""
    back: str = ""
    """When it came back."""
    note: str = ""
    """What was seen when it came back."""
    mixed: bool = False
    """Whether it came back in one tin with other things of its trip: one lot until it is sorted by hand."""
    lot: str = ""
    """The place where that lot lies; empty once it is sorted."""
    unit: str = ""
    """What of a unit that was sent is so after all, of UNITS; empty where nothing was said."""
