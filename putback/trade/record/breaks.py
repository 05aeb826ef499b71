"""What was seen to at a break: the tools counted back in, and a note to oneself for the next time."""

from __future__ import annotations

from msgspec import Struct


class Break(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One count of the tools, or one note for the next time."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine on the bench."""
    at: str
    """When."""
    session: int = 0
    """The session that went on, or 0."""
    counted: bool = False
    """Whether the tools were counted."""
    tools: tuple[str, ...] = ()
    """The tools that were counted."""
    missing: tuple[str, ...] = ()
    """Those of them that were not there."""
    note: str = ""
    """What to know at the next return."""
