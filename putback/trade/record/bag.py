"""Bags, and moves between places."""

from __future__ import annotations

from msgspec import Struct

from putback.trade.record.job import Job


class Bag(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One numbered bag of one machine."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    number: int
    """Its number on that machine, from 1."""
    code: str
    """The code on its label."""
    box: str = ""
    """The box it lies in."""
    opened: str = ""
    """When it was begun."""
    closed: str = ""
    """When it was closed; empty while it is open."""
    label: str = ""
    """What its label says, as last printed; empty where none was."""
    printed: str = ""
    """When that was."""
    todo: tuple[Job, ...] = ()
    """The jobs on all that is in it, done ones too."""

    @property
    def state(self) -> str:
        """open or closed."""
        return "closed" if self.closed else "open"


class Move(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """Some of one thing from a place to a place, at a step."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    thing: int
    """What was moved."""
    count: int
    """How many."""
    source: str
    """From where."""
    target: str
    """To where."""
    step: int = 0
    """The step it was done at, or 0."""
    at: str = ""
    """When."""
    note: str = ""
    """The person's own words."""
    because: str = ""
    """Why an original was thrown away, of a machine that is kept as found."""
