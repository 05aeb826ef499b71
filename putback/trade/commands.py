"""Everything a person can do, as data. `apply` turns one into a change, or says why not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any

from msgspec import Struct

from putback.errors import Refused
from putback.trade.change import Change
from putback.trade.draft import Draft
from putback.trade.machine import Machine
from putback.trade.record import Record
from putback.trade.step import Adjustment, Chore, Soak

Readings = dict[str, str]


class Command(Struct, frozen=True, kw_only=True):
    """Something a person asks for."""


# -- the machine and its tree ------------------------------------------------------------------------


class NewMachine(Command, frozen=True, kw_only=True):
    """Put a machine on the bench."""

    name: str
    serial: str = ""
    maker: str = ""
    model: str = ""
    origin: str = "unknown"
    unit: str = ""
    mass: str = ""
    intent: str = ""
    orientation: str = ""


class AddAssembly(Command, frozen=True, kw_only=True):
    """Say that parts sit in `name`, which itself sits in `inside` (empty: the machine)."""

    name: str
    inside: str = ""


class RenamePart(Command, frozen=True, kw_only=True):
    """Give the part of a step another name."""

    step: int
    name: str


# -- sessions ----------------------------------------------------------------------------------------


class StartSession(Command, frozen=True, kw_only=True):
    """Sit down at the bench."""

    title: str = ""
    target: float = 40.0
    box: str = ""
    note: str = ""


class Pause(Command, frozen=True, kw_only=True):
    """Stop the segment."""


class Resume(Command, frozen=True, kw_only=True):
    """Begin the next segment."""


class EndSession(Command, frozen=True, kw_only=True):
    """Leave the bench, with a note to oneself."""

    note: str = ""


class WalkBack(Command, frozen=True, kw_only=True):
    """Answer for one step of the walk-back: true, not so, cannot see it now."""

    step: int
    answer: str


# -- taking off --------------------------------------------------------------------------------------


class Begin(Command, frozen=True, kw_only=True):
    """Begin a step. `needs` None means the step before; `bag` 0 means a new bag once one is wanted."""

    do: str = "take off"
    name: str
    inside: str = ""
    face: str = ""
    bag: int = 0
    needs: tuple[int, ...] | None = None
    whole: bool = False
    tag: str = ""
    state: str = ""


class Enter(Command, frozen=True, kw_only=True):
    """Take one fastener out of its hole. Its size was named before, by the readings."""

    hole: str
    kind: str = "screw"
    size: str = ""
    thread: str = ""
    length: str = ""
    verdict: str = ""
    readings: Readings = {}
    head: str = ""
    drive: str = ""
    hand: str = ""
    small_end: str = ""
    turns: float = 0
    found: str = ""
    should_be: str = ""
    note: str = ""


class EnterPiece(Command, frozen=True, kw_only=True):
    """Take out loose pieces, all alike; `put` empty means the step's bag."""

    name: str
    count: int = 1
    put: str = ""
    note: str = ""


class Annotate(Command, frozen=True, kw_only=True):
    """Add to a step; `step` 0 means the one being done."""

    step: int = 0
    cautions: tuple[str, ...] = ()
    adjust: tuple[Adjustment, ...] = ()
    at_refit: tuple[str, ...] = ()
    todo: tuple[Chore, ...] = ()
    tools: tuple[str, ...] = ()
    soak: Soak | None = None
    cover: bool | None = None
    note: str = ""


class SetNeeds(Command, frozen=True, kw_only=True):
    """Say which steps had to be done before; none means it could have come off any time."""

    step: int = 0
    needs: tuple[int, ...] = ()


class TurnFace(Command, frozen=True, kw_only=True):
    """Say which face the step being done is on."""

    face: str


class Finish(Command, frozen=True, kw_only=True):
    """Nothing more holds it: the part comes off and goes to `put`; any other step is done."""

    put: str = ""
    minutes: float | None = None
    count: int | None = None


# -- bags and moves ----------------------------------------------------------------------------------


class TakeBag(Command, frozen=True, kw_only=True):
    """Let what comes off from now on go into bag `number`; 0 means a new one.

    `code` is the code of a label printed ahead: the new bag bears it. Whether it is well formed is for
    the caller to know.
    """

    number: int = 0
    code: str = ""


class CloseBag(Command, frozen=True, kw_only=True):
    """Seal a bag."""

    number: int


class ReopenBag(Command, frozen=True, kw_only=True):
    """Open a sealed bag again."""

    number: int


class Carry(Command, frozen=True, kw_only=True):
    """Move some of a thing from a place to a place."""

    thing: int
    count: int
    source: str
    target: str
    note: str = ""


class CarryNamed(Command, frozen=True, kw_only=True):
    """Move some of what step `step` released, called `what`, from a place to a place."""

    what: str
    step: int
    count: int
    source: str
    target: str
    note: str = ""


class StockTake(Command, frozen=True, kw_only=True):
    """Say how many of a thing were counted in a bag; what is short is missing from now on."""

    bag: int
    thing: int
    counted: int


class Replace(Command, frozen=True, kw_only=True):
    """Put something new in the place of something scrapped, missing or away; it lies at `put`.

    `source` says which are replaced where a thing is out of reach in several places; empty means the
    scrapped ones first, then missing, borrowed and away.
    """

    thing: int
    count: int = 1
    put: str = "shelf"
    size: str = ""
    note: str = ""
    source: str = ""


# -- putting back ------------------------------------------------------------------------------------


class Confirm(Command, frozen=True, kw_only=True):
    """Say that one setting or refit-only piece of work of a step is done."""

    step: int
    item: str


class PutBack(Command, frozen=True, kw_only=True):
    """Put back everything a step took off."""

    step: int


# -- photos ------------------------------------------------------------------------------------------


class Shown(Struct, frozen=True, kw_only=True):
    """One picture and the step it shows; steps are told by their numbers on the machine, 0 for none."""

    file: str
    name: str = ""
    taken: str = ""
    step: int = 0
    when: str = ""
    doubt: bool = False
    instead: int = 0


class FilePhotos(Command, frozen=True, kw_only=True):
    """File pictures that lie in the workshop's photos folder with the steps they show."""

    photos: tuple[Shown, ...]


class SettlePhoto(Command, frozen=True, kw_only=True):
    """Say which step a photo shows, by its number on the machine; 0 means none."""

    photo: int
    step: int
    when: str = ""


# -- mending the record ------------------------------------------------------------------------------


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
    todo: tuple[Chore, ...] | None = None
    minutes: float | None = None
    cover: bool | None = None
    put: str | None = None
    state: str | None = None
    tag: str | None = None


class MendFastener(Command, frozen=True, kw_only=True):
    """Say what is so of a fastener; a field that is None stays as it is.

    Readings are given whole, and name the size anew; the fields of the size are filled in from them.
    """

    thing: int
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


# -- a break -----------------------------------------------------------------------------------------


class CountTools(Command, frozen=True, kw_only=True):
    """Count tools back in; `missing` are those of `tools` that are not there. Finding one is counting it again."""

    tools: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


class LeaveNote(Command, frozen=True, kw_only=True):
    """Leave a note that the next return shows first."""

    note: str


class HangTag(Command, frozen=True, kw_only=True):
    """Hang a tag on a thing that lies loose on the bench; an empty `tag` means the next free letter."""

    thing: int
    tag: str = ""


class EndSoak(Command, frozen=True, kw_only=True):
    """Lift out what was left to soak at a step; `minutes` are those it took hands on."""

    step: int
    minutes: float | None = None


Rule = Callable[[Draft, Any], Change]

TAKE_IN = "TakeIn"
"""What the change is called that takes in machines of another workshop; no command makes it."""

NOT_TAKEN_BACK = frozenset({"NewMachine", TAKE_IN, "StartSession", "Pause", "Resume", "EndSession", "WalkBack"})
"""Changes that taking back passes over: a machine on the bench or taken in, and time at it.

Those about time touch sessions only, and no other command does, so what lies before them can still be
taken back.
"""


@cache
def _rules() -> Mapping[type[Command], Rule]:
    # The rules import the commands, so they are gathered on first use.
    from putback.trade import (
        bagging,
        breaking_off,
        forgotten,
        mending_record,
        picturing,
        putting_back,
        setting_up,
        sitting,
        taking_off,
    )

    return {
        **setting_up.RULES,
        **sitting.RULES,
        **taking_off.RULES,
        **bagging.RULES,
        **putting_back.RULES,
        **mending_record.RULES,
        **forgotten.RULES,
        **picturing.RULES,
        **breaking_off.RULES,
    }


def apply(record: Record, machine: int, command: Command, *, at: str, codes: Iterable[str] = ()) -> Change:
    """Return the change that `command` makes on `machine`, leaving the record as it is.

    `at` is the stamp of now, ISO 8601 with an offset; `codes` gives unused bag codes, one for each bag
    that the command begins. Raises Refused, or BadInput for words that mean nothing, with one sentence;
    then nothing is changed.
    """
    if isinstance(command, NewMachine):
        machine = record.next_id("machines")
    elif record.find(Machine, machine) is None:
        raise Refused("There is no such machine on the bench." if machine else "There is no machine on the bench yet.")
    change = _rules()[type(command)](Draft(record, machine, at, codes), command)
    if not change.edits:
        raise Refused(f"Nothing to do: {change.said}.")
    return change
