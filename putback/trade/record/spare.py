"""Spares: bought and not used, or left of a scrapped machine. They belong to the workshop, to no machine."""

from __future__ import annotations

from msgspec import Struct

from putback.trade.record.fastener import Head, sized_name

OF_NO_MACHINE = 0
"""The machine of what belongs to the workshop."""


class Spare(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Equal spares by size and count; what came and what went are kept, so that they balance by themselves."""

    id: int
    """Its number in the workshop."""
    machine: int
    """Always OF_NO_MACHINE."""
    size: str
    """The size, as it is said of a fastener, `#8-32 UNC x 3/8`; or what it is."""
    kind: str = "screw"
    """What it is, one of KINDS; or empty, where the size says it."""
    head: Head = ""
    """The head."""
    thread: str = ""
    """The name of its thread where one was found."""
    length: str = ""
    """The name of its length where one was found."""
    came: int = 1
    """How many came."""
    gone: int = 0
    """How many of them went."""
    origin: str = ""
    """Where they are from, in the person's words: bought, left of a machine."""
    place: str = ""
    """Where they lie, in the person's words: drawer 3."""
    at: str = ""
    """When they came."""

    @property
    def left(self) -> int:
        """How many there are."""
        return self.came - self.gone

    @property
    def called(self) -> str:
        """What it is, with its size: `screw #8-32 UNC x 3/8`."""
        return sized_name(self.kind, self.size)
