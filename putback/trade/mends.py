"""What a person says right of the record afterwards, as data: machine, steps, fasteners, bags, what was forgotten."""

from __future__ import annotations

from putback.trade.commands import Command, Enter, EnterPiece, Readings
from putback.trade.job import Job
from putback.trade.step import Adjustment


class MendMachine(Command, frozen=True, kw_only=True):
    """Say what is so of the machine; a field that is None stays as it is.

    The unit follows a new origin by itself while no size was read yet.
    """

    name: str | None = None
    serial: str | None = None
    origin: str | None = None
    unit: str | None = None
    maker: str | None = None
    model: str | None = None
    mass: str | None = None
    intent: str | None = None
    orientation: str | None = None
    parts_go: str | None = None


class MendStep(Command, frozen=True, kw_only=True):
    """Say what is so of a past step; a field that is None stays as it is. Lists are given whole."""

    step: int
    name: str | None = None
    inside: str | None = None
    face: str | None = None
    note: str | None = None
    cautions: tuple[str, ...] | None = None
    adjust: tuple[Adjustment, ...] | None = None
    at_refit: tuple[str, ...] | None = None
    tools: tuple[str, ...] | None = None
    todo: tuple[Job, ...] | None = None
    minutes: float | None = None
    cover: bool | None = None
    put: str | None = None
    state: str | None = None
    tag: str | None = None


class MendFastener(Command, frozen=True, kw_only=True):
    """Say what is so of a fastener; a field that is None stays as it is.

    Readings are given whole, and name the size anew; the fields of the size are filled in from them. `also` are
    other fasteners of its step of which the same is so.
    """

    thing: int
    also: tuple[int, ...] = ()
    hole: str | None = None
    kind: str | None = None
    readings: Readings | None = None
    size: str | None = None
    thread: str = ""
    length: str = ""
    verdict: str = ""
    head: str | None = None
    drive: str | None = None
    hand: str | None = None
    small_end: str | None = None
    turns: float | None = None
    should_be: str | None = None
    note: str | None = None


class Rebag(Command, frozen=True, kw_only=True):
    """Say that a thing went into another bag than the record says; 0 means a new one."""

    thing: int
    bag: int = 0


class SplitBag(Command, frozen=True, kw_only=True):
    """Move all of some things of a bag into bag `into`; 0 means a new one."""

    number: int
    things: tuple[int, ...]
    into: int = 0


class MergeBags(Command, frozen=True, kw_only=True):
    """Tip everything of a bag into another."""

    number: int
    into: int


class InsertStep(Command, frozen=True, kw_only=True):
    """Write in a step that was forgotten, before step `before`; it is done at once.

    `needs` None means the step before it, where that is still off. The step after it needs it.
    """

    before: int
    do: str = "take off"
    name: str
    inside: str = ""
    face: str = ""
    put: str = ""
    needs: tuple[int, ...] | None = None
    state: str = ""
    tag: str = ""
    note: str = ""
    minutes: float | None = None


class EnterLate(Enter, frozen=True, kw_only=True):
    """Write in a fastener that was forgotten at step `step`; `bag` 0 means that step's bag."""

    step: int
    bag: int = 0


class EnterPieceLate(EnterPiece, frozen=True, kw_only=True):
    """Write in loose pieces that were forgotten at step `step`; `put` empty means that step's bag."""

    step: int


class MarkOnce(Command, frozen=True, kw_only=True):
    """Say that a fastener or piece will not do twice, or that it will; None leaves it to what it is."""

    thing: int
    once: bool | None = True


class NameLengths(Command, frozen=True, kw_only=True):
    """Give every screw the name of its length's group, where that is certain: those of an earlier version, too."""
