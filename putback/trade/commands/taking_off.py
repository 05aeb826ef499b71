"""Rules for taking off: a step begun, its face, and its end."""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.entering import released
from putback.trade.commands.machines import area, clean_name
from putback.trade.commands.needs import check_needs, default_needs
from putback.trade.commands.on_hold import stood_in_the_way
from putback.trade.commands.said import checked_minutes
from putback.trade.commands.which_step import being_done
from putback.trade.record.change import Change
from putback.trade.record.face import Face
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import counts_text
from putback.trade.record.machine import Machine, Part
from putback.trade.record.phrases import few
from putback.trade.record.place import FITTED, LOOSE, checked_bag, going, read_place
from putback.trade.record.step import Doing, Step


class Begin(Command, frozen=True, kw_only=True):
    """Begin a step. `needs` None means the step before; `bag` 0 means a new bag once one is wanted."""

    free_words = ("name",)

    do: Doing = "take off"
    """What is done, one of `record.step.DOINGS`."""
    name: str
    """The part it is done to, as the person calls it; never empty."""
    inside: str = ""
    """The assembly the part sits in, by its name; empty for the machine itself."""
    face: Face = ""
    """The face it is on, one of FACES; empty where not said yet."""
    bag: int = 0
    """The number of the bag that its fasteners go into; one that is closed is refused."""
    needs: tuple[int, ...] | None = None
    """Numbers of earlier steps that had to be done first; empty where it could come off any time."""
    whole: bool = False
    """True where the part comes off in one piece, to be opened later: an assembly."""
    tag: str = ""
    """The letter of the hang-tag on what is only loosened; empty where none hangs on it."""
    state: str = ""
    """How the machine lies after a turn, as `on its back`; empty at any other step."""


class TurnFace(Command, frozen=True, kw_only=True):
    """Say which face the step being done is on; where it has holes, on which the next ones are: those stay.

    Empty: it is not said.
    """

    face: Face
    """One of FACES."""


class Finish(Command, frozen=True, kw_only=True):
    """Nothing more holds it: the part comes off and goes to `put`; any other step is done."""

    put: str = ""
    """A place; empty for the bench where a part comes off and no loose piece did, else for no part."""
    minutes: float | None = None
    """How long the step took, in minutes; None where that was not said."""
    count: int | None = None
    """How many fasteners and pieces were counted by hand; refused where the record has another number."""
    because: str = ""
    """Why it is thrown away, where `put` is scrapped and the machine is kept as found."""


HAS_PART = frozenset({"take off", "let down", "drive out", "undo", "loosen"})
"""Doings that work on a part of the tree."""

# -- a step and what it releases ---------------------------------------------------------------------


def begin(draft: Draft, command: Begin) -> Change:
    """Begin a step."""
    record = draft.record
    unfinished = record.open_step(draft.machine)
    if unfinished is not None:
        raise Refused(f"Step {unfinished.number}, {unfinished.name}, is not done yet.")
    name = clean_name(command.name, "A part")
    place = area(draft, command.inside)
    part = _part_worked_on(draft, command, name, place) if command.do in HAS_PART else None
    number = record.next_step_number(draft.machine)
    if command.needs is None:
        needs = default_needs(record, draft.machine, place)
    else:
        needs = check_needs(draft, number, command.needs)
    bag = record.bag(draft.machine, checked_bag(command.bag)) if command.bag else None
    if bag is not None and bag.closed:
        raise Refused(f"Bag {bag.number} is closed; reopen it first, or take another.")
    session = record.open_session(draft.machine)
    step = Step(
        id=draft.new_id(Step),
        machine=draft.machine,
        number=number,
        session=session.id if session else 0,
        do=command.do,
        name=name,
        part=part.id if part else 0,
        area=place,
        face=command.face,
        bag=command.bag,
        needs=needs,
        whole=command.whole,
        tag=command.tag,
        state=command.state,
        began=draft.at,
    )
    draft.put(step)
    held = [other.name for other in record.held_steps(draft.machine) if stood_in_the_way(record, other, step)]
    way = f", in the way of {few(held)}" if held else ""
    return draft.change("Begin", f"step {number}: {step.do} {name}{way}")


def _part_worked_on(draft: Draft, command: Begin, name: str, place: int) -> Part:
    """Return the part that a step is about, on the tree from now on."""
    record = draft.record
    part = record.part_named(draft.machine, name, place) or record.assembly_named(draft.machine, name)
    off = record.off_at(part.id) if part else None
    if off is not None:
        raise Refused(f"{name} is off already, since step {off.number}.")
    held = next((s for s in record.held_steps(draft.machine) if part is not None and s.part == part.id), None)
    if held is not None:
        raise Refused(f"{held.name} is on hold, as step {held.number}; take it up again.")
    if part is None:
        part = draft.put(Part(id=draft.new_id(Part), machine=draft.machine, name=name, inside=place))
    if command.whole and not part.assembly:
        part = draft.alter(part, assembly=True)
    return part


def turn_face(draft: Draft, command: TurnFace) -> Change:
    """Say which face the step being done is on, or from its first hole on, on which the next ones are."""
    face = command.face
    step = being_done(draft)
    holes = {t.spot for t in draft.record.things_of(step) if t.hole}
    if not holes:
        draft.alter(step, face=face, facing="")
        text = f"{face} face" if face else "the face is not said"
        return draft.change("TurnFace", f"step {step.number}: {text}")
    if not face and step.face:
        raise Refused(f"Step {step.number}, {step.name}, has holes on its {step.face} face; say which one comes next.")
    draft.alter(step, facing=step.own_face(face))
    text = f"{face} face for the next holes; so far {counts_text(step, holes)}"
    return draft.change("TurnFace", f"step {step.number}: {text}")


# -- its end -----------------------------------------------------------------------------------------


def finish(draft: Draft, command: Finish) -> Change:
    """End the step being done; a part that comes off goes to its place."""
    step = being_done(draft)
    things = draft.record.things_of(step)
    counted = sum(t.count for t in things if t.sort != "part")
    if command.count is not None and command.count != counted:
        raise Refused(f"Step {step.number}, {step.name}: {command.count} counted by hand, {counted} in the record.")
    if command.minutes is not None:
        checked_minutes(command.minutes)
    put = read_place(command.put) if command.put else ""
    if put == FITTED:
        raise BadInput(f"{step.name} comes off, so it cannot go to “fitted”.")
    if not put and step.do == "take off" and not any(t.sort == "piece" for t in things):
        put = LOOSE
    text = f"step {step.number}: {step.text}"
    if put:
        part = Thing(
            id=draft.new_id(Thing),
            machine=draft.machine,
            step=step.id,
            sort="part",
            name=step.name,
            part=step.part,
        )
        draft.move(released(draft, step, part), 1, FITTED, put, step=step.id)
        text = f"{text}, {counted} out, part {going(put)}" if counted else f"{text}, part {going(put)}"
    if step.do == "turn":
        draft.alter(draft.get(Machine, draft.machine), lies=step.state)
    draft.alter(draft.get(Step, step.id), put=put, minutes=command.minutes, ended=draft.at, facing="")
    return draft.change("Finish", text)


RULES: dict[type[Command], Any] = {
    Begin: begin,
    TurnFace: turn_face,
    Finish: finish,
}
