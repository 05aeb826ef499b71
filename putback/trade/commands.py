"""Everything a person can do, as data.

What is said right afterwards is in `mends`; `rules.apply` makes a change of a command, or says why not.
"""

from __future__ import annotations

from msgspec import Struct

from putback.trade.job import Job
from putback.trade.step import Adjustment, Soak

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
    first_bag: int = 0
    parts_go: str = "shelf"


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


class WasAway(Command, frozen=True, kw_only=True):
    """Say that nobody was at the bench since a stamp: that time is a break, and the next segment begins now."""

    since: str


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
    """Take one fastener out of its hole. Its size was named before, by the readings.

    `face` is the one its hole is on, which is that of its step where none was said yet. `like`: it is as the one of
    its kind before it, and was not measured.
    """

    hole: str
    face: str = ""
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
    once: bool | None = None
    like: bool = False


class EnterPiece(Command, frozen=True, kw_only=True):
    """Take out loose pieces, all alike; `put` empty means the step's bag."""

    name: str
    count: int = 1
    put: str = ""
    note: str = ""
    once: bool | None = None


class Annotate(Command, frozen=True, kw_only=True):
    """Add to a step; `step` 0 means the one being done. `whole`: its part comes off in one piece."""

    step: int = 0
    cautions: tuple[str, ...] = ()
    adjust: tuple[Adjustment, ...] = ()
    at_refit: tuple[str, ...] = ()
    todo: tuple[Job, ...] = ()
    tools: tuple[str, ...] = ()
    soak: Soak | None = None
    cover: bool | None = None
    whole: bool | None = None
    note: str = ""


class WorkOn(Command, frozen=True, kw_only=True):
    """Say how the job about `what` of a step stands: to do, in hand, done; `result` is what came of it.

    `step` 0 means the one being done; `do` is its sort, needed only where two jobs are about the same.
    """

    step: int
    what: str
    state: str
    result: str = ""
    do: str = ""


class SetNeeds(Command, frozen=True, kw_only=True):
    """Say which steps had to be done before; none means it could have come off any time."""

    step: int = 0
    needs: tuple[int, ...] = ()


class TurnFace(Command, frozen=True, kw_only=True):
    """Say which face the step being done is on; empty: it is not said."""

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
    scrapped ones first, then missing, borrowed and away. It may also name a place where the thing lies at
    hand: then that one is scrapped.
    """

    thing: int
    count: int = 1
    put: str = "shelf"
    size: str = ""
    note: str = ""
    source: str = ""


# -- trouble with a screw ----------------------------------------------------------------------------


class Trouble(Enter, frozen=True, kw_only=True):
    """Say what went wrong with a fastener or its hole: `what` is one of trouble.TROUBLES.

    It is `thing`, else the one of that kind in `hole` of step `step` (0: the one being done, else the last). `into` is
    the hole that it goes into instead. The fields of the size are those of the one that goes in or is left over, which
    lies at `put`; empty means the step's bag where that is open, else the bench. Of one left over `thing` is one that
    was noted before, and `hole` is the one it belongs in, if that is known.
    """

    hole: str = ""
    what: str
    thing: int = 0
    step: int = 0
    into: str = ""
    put: str = ""


# -- putting back ------------------------------------------------------------------------------------


class Confirm(Command, frozen=True, kw_only=True):
    """Say that one setting or refit-only piece of work of a step is done, or a new piece at hand.

    `anyway` are the words with which a one-use piece goes in again, or a cover is closed over what is open.
    """

    step: int
    item: str
    anyway: str = ""


class PutBack(Command, frozen=True, kw_only=True):
    """Put back everything a step took off."""

    step: int


class SkipStep(Command, frozen=True, kw_only=True):
    """Pass a step over at refit, with a reason; it stays open, and holds nothing up."""

    step: int
    reason: str


class TakeUp(Command, frozen=True, kw_only=True):
    """Take up a step again that was skipped."""

    step: int


class TakeOffAgain(Command, frozen=True, kw_only=True):
    """Take off again what a step put back; everything goes to `put`, empty means to where it came from."""

    step: int
    put: str = ""


# -- photos ------------------------------------------------------------------------------------------


class Shown(Struct, frozen=True, kw_only=True):
    """One picture and the step it shows; steps are told by their numbers on the machine, 0 for none."""

    file: str
    name: str = ""
    taken: str = ""
    step: int = 0
    when: str = ""
    back: bool = False
    doubt: bool = False
    instead: int = 0


class FilePhotos(Command, frozen=True, kw_only=True):
    """File pictures that lie in the workshop's photos folder with the steps they show."""

    photos: tuple[Shown, ...]


class SettlePhoto(Command, frozen=True, kw_only=True):
    """Say which step a photo shows, by its number on the machine; 0 means none.

    `when` is one of WHENS, `back` whether it was put back then; what is left out stays for the same step. For another
    step, `when` is not known then and `back` is as it was.
    """

    photo: int
    step: int
    when: str = ""
    back: bool | None = None


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
