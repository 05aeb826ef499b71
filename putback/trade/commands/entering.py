"""Rules for what a step releases: a fastener out of its hole, loose pieces."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import field
from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command, Readings
from putback.trade.commands.draft import Draft
from putback.trade.commands.holes import check_hole
from putback.trade.commands.machines import clean_name
from putback.trade.commands.naming_lengths import name_alike
from putback.trade.commands.said import check_readings, checked, one_of
from putback.trade.commands.which_step import being_done
from putback.trade.record.change import Change
from putback.trade.record.face import Face
from putback.trade.record.fastener import FIELDS, KINDS, Found, Said, Thing, Verdict, read_hole
from putback.trade.record.holes import face_of, place_of
from putback.trade.record.phrases import times
from putback.trade.record.place import FITTED, bag_number, in_bag, read_place
from putback.trade.record.step import Step
from putback.trade.sizes.just_like import one_before


class Enter(Said, Command, frozen=True, kw_only=True):
    """Take one fastener out of its hole. Its size was named before, by the readings.

    `face` is the one its hole is on; that of the first hole is its step's where none was said yet. `like`: it is
    as the one of its kind before it, and was not measured.
    """

    hole: str
    """A place 1 to 9, with a letter where one place holds several: `7`, `7a`."""
    face: Face = ""
    """One of FACES; empty where it is the one in hand: that of the step, or the one turned to since."""
    kind: str = "screw"
    """What it is, one of KINDS."""
    size: str = ""
    """Its size as it is said: `#8-32 UNC x 3/8`; empty until the readings name it."""
    thread: str = ""
    """The thread alone, as `#8-32 UNC`; empty where it has none or it is not sure."""
    length: str = ""
    """The length alone, as `3/8`; empty where none was read."""
    verdict: Verdict = ""
    """How sure the size is: sure, likely, either of, none; empty where it was said and not read."""
    readings: Readings = field(default_factory=dict)
    """What was read, as typed, by READINGS, and how, by TAKEN_BY; empty where nothing was measured."""
    found: Found = ""
    """`empty` where the hole had nothing in it; empty where it had."""
    once: bool | None = None
    """Whether a new one goes in at refit; None: as is usual for its kind."""
    like: bool = False
    """Readings and size are those of the one before, where none are given."""


class EnterPiece(Command, frozen=True, kw_only=True):
    """Take out loose pieces, all alike; `put` empty means the step's bag."""

    free_words = ("name",)

    name: str
    """What they are, as the person calls them; never empty."""
    count: int = 1
    """How many, from 1."""
    put: str = ""
    """Where they go, as a place; never `fitted`."""
    note: str = ""
    """The person's own words; empty where nothing was said."""
    once: bool | None = None
    """Whether new ones go in at refit; None: as is usual for what is called so."""


MOST_PIECES = 10_000
"""How many equal pieces one entry may hold; a slip of the finger is caught above."""


def step_bag(draft: Draft, step: Step) -> str:
    """Return the place that is the step's bag, beginning a new one where it has none yet."""
    if not step.bag:
        step = draft.alter(step, bag=draft.next_bag())
    draft.opened_bag(in_bag(step.bag))
    return in_bag(step.bag)


def fitted_again(draft: Draft, step: Step) -> Iterator[tuple[Step, Thing]]:
    """Give, with its step, what an earlier step on the same part left on the machine: put back, or only loosened.

    When that part comes off once more, these are the same things and move on with the new step; entering
    them a second time would count them twice.
    """
    for earlier in draft.record.steps_of_part(step.part) if step.part else ():
        if earlier.id != step.id and (earlier.back or earlier.do == "loosen"):
            for thing in draft.record.things_of(earlier):
                if thing.count and draft.standing(thing.id) == {FITTED: thing.count}:
                    yield earlier, thing


def released(draft: Draft, step: Step, thing: Thing) -> Thing:
    """Write a thing that a step releases: the one that was fitted again where it is that, else a new one."""
    for earlier, known in fitted_again(draft, step):
        once = known.once if thing.once is None else thing.once
        alike = replace(
            thing, id=known.id, start=known.start, replaces=known.replaces, once=once, trouble=known.trouble
        )
        if _identity(earlier, known) == _identity(step, alike):
            return draft.put(alike)
    return draft.enter(thing)


def _identity(step: Step, thing: Thing) -> tuple[str, str, str, str, int, int]:
    """A fastener is known by its hole, so by its face too."""
    at = thing.goes_in
    face = (face_of(at) or step.face) if at else ""
    return thing.sort, thing.name, place_of(at), face, thing.part, thing.count


def enter(draft: Draft, command: Enter) -> Change:
    """Take one fastener out of its hole, into the step's bag."""
    return take_out(draft, being_done(draft), command)


def take_out(draft: Draft, step: Step, command: Enter) -> Change:
    """Take one fastener of a step out of its hole. Raises Refused where the hole is taken."""
    one_of(command.kind, KINDS, "kind of fastener", needed=True)
    said = checked(command)
    face = command.face or step.face_in_hand
    if face and not step.face and not any(t.hole for t in draft.record.things_of(step)):
        step = draft.alter(step, face=face)
    check_readings(command.readings)
    hole = read_hole(command.hole)
    before = one_before(draft.record, step, command.kind) if command.like else None
    if command.like and before is None:
        raise Refused(f"No {command.kind} came out before that this one could be like.")
    if before is not None and not command.size:
        command = as_before(command, before)
    thing = Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=step.id,
        sort="fastener",
        name=command.kind,
        count=0 if command.found else 1,
        hole=hole,
        face=step.own_face(face),
        size=command.size,
        thread=command.thread,
        length=command.length,
        verdict=command.verdict,
        readings=command.readings,
        found=command.found,
        once=command.once,
        like=(before.like or before.id) if before is not None else 0,
        **said,
    )
    check_hole(thing, draft.record.things_of(step))
    thing = released(draft, step, thing)
    if thing.like == thing.id:  # it came off before, and was measured then
        thing = draft.alter(thing, like=0)
    if thing.found:
        return draft.change("Enter", f"hole {thing.spot} found empty")
    thing, renamed = name_alike(draft, thing)
    others = f"; {renamed}" if renamed else ""
    if step.do == "loosen":
        return draft.change("Enter", f"hole {thing.spot}: {thing.called} loosened {thing.turns:g} turns{others}")
    target = step_bag(draft, step)
    draft.move(thing, 1, FITTED, target, step=step.id)
    return draft.change("Enter", f"hole {thing.spot}: {thing.called} into {target}{others}")


def enter_piece(draft: Draft, command: EnterPiece) -> Change:
    """Take out loose pieces, all alike."""
    return take_out_piece(draft, being_done(draft), command)


def take_out_piece(draft: Draft, step: Step, command: EnterPiece) -> Change:
    """Take out loose pieces of a step, all alike."""
    if not 1 <= command.count <= MOST_PIECES:
        raise BadInput(f"Pieces are counted from 1 to {MOST_PIECES}; {command.count} was said.")
    name = clean_name(command.name, "A loose piece")
    target = read_place(command.put) if command.put else step_bag(draft, step)
    if target == FITTED:
        raise BadInput(f"{name} comes off, so it cannot go to “fitted”.")
    piece = Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=step.id,
        sort="piece",
        name=name,
        count=command.count,
        note=command.note,
        once=command.once,
    )
    draft.move(released(draft, step, piece), command.count, FITTED, target, step=step.id)
    where = f" into {target}" if bag_number(target) else f": {target}"
    return draft.change("EnterPiece", times(command.count, name) + where)


def as_before(command: Enter, before: Thing) -> Enter:
    """Return a command with readings and size of the one before; where it looks otherwise it is still to be named."""
    names = [field for field in FIELDS if field.names]
    looks = [field.kept(getattr(command, field.name) or "") for field in names]
    if before.readings and looks != [getattr(before, field.name) for field in names]:
        return replace(command, readings=before.readings)
    return replace(
        command,
        readings=before.readings,
        size=before.size,
        thread=before.thread,
        length=before.length,
        verdict=before.verdict,
    )


RULES: dict[type[Command], Any] = {
    Enter: enter,
    EnterPiece: enter_piece,
}
