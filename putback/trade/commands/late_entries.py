"""Rules for what was forgotten when it was done: a step between two others, a fastener, loose pieces.

Steps are told by their numbers, on labels and in what people say, so a step written in shifts the numbers
behind it; what the record keeps by number is shifted with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import LARGEST_SHIFT, Draft
from putback.trade.commands.entering import Enter, EnterPiece, take_out, take_out_piece
from putback.trade.commands.machines import area, clean_name
from putback.trade.commands.needs import check_needs
from putback.trade.commands.said import checked_minutes
from putback.trade.commands.taking_off import HAS_PART
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.face import Face
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import FITTED, LOOSE, checked_bag, read_place
from putback.trade.record.record import Record
from putback.trade.record.step import Doing, Step


class InsertStep(Command, frozen=True, kw_only=True):
    """Write in a step that was forgotten, before step `before`; it is done at once.

    `needs` None means the step before it, where that is still off. The step after it needs it.
    """

    free_words = ("name",)

    before: int
    """The number, now, of the step that comes after it; that step and all later ones get one more."""
    do: Doing = "take off"
    """What was done, one of `record.step.DOINGS`."""
    name: str
    """The part it was done to, as the person calls it; never empty."""
    inside: str = ""
    """The assembly the part sits in, by its name; empty for the machine itself."""
    face: Face = ""
    """The face it was on, one of FACES; empty where that was not said."""
    put: str = ""
    """Where the part went; empty for the bench when a part came off, else for no part that went anywhere."""
    because: str = ""
    """Why it was thrown away, where `put` is scrapped and the machine is kept as found."""
    needs: tuple[int, ...] | None = None
    """Numbers of earlier steps that had to be done first; empty where it could come off any time."""
    state: str = ""
    """How the machine lies after a turn, as `on its back`; empty at any other step."""
    tag: str = ""
    """The letter of the hang-tag on what was loosened; empty where none hangs on it."""
    note: str = ""
    """The person's own words; empty where nothing was said."""
    minutes: float | None = None
    """How long it took, in minutes; None where that was not said."""


class EnterLate(Enter, frozen=True, kw_only=True):
    """Write in a fastener that was forgotten at step `step`; `bag` 0 means that step's bag."""

    step: int
    """The number of its step on this machine, from 1."""
    bag: int = 0
    """The number of the bag it lies in."""


class EnterPieceLate(EnterPiece, frozen=True, kw_only=True):
    """Write in loose pieces that were forgotten at step `step`; `put` empty means that step's bag."""

    step: int
    """The number of their step on this machine, from 1."""


def insert_step(draft: Draft, command: InsertStep) -> Change:
    """Write in a step before another; the steps from there on have one number more."""
    record = draft.record
    after = record.step(draft.machine, command.before)
    if after is None:
        raise Refused(f"There is no step {command.before} to write one in before.")
    before = record.step(draft.machine, command.before - 1)
    number = after.number
    name = clean_name(command.name, "A part")
    place = area(draft, command.inside)
    if command.minutes is not None:
        checked_minutes(command.minutes)
    put = read_place(command.put) if command.put else ""
    if put == FITTED:
        raise BadInput(f"{name} comes off, so it cannot go to “fitted”.")
    if command.do == "take off":
        put = put or LOOSE
    part = _part(draft, command, name, place, number, bool(put)) if command.do in HAS_PART else 0
    needs = command.needs
    if needs is None:
        there = next((s for s in _from(record, before) if not s.on_hold), None)  # that one is still on
        needs = () if there is None or there.back or there.skipped else (there.number,)
    else:
        needs = check_needs(draft, number, needs)
    _shift(draft, number)
    at = (before.ended if before is not None else after.began) or draft.at
    step = draft.put(
        Step(
            id=draft.new_id(Step),
            machine=draft.machine,
            number=number,
            session=(before or after).session,
            do=command.do,
            name=name,
            part=part,
            area=place,
            face=command.face,
            put=put,
            needs=needs,
            tag=command.tag.strip(),
            state=command.state.strip(),
            note=command.note.strip(),
            minutes=command.minutes,
            began=at,
            ended=at,
        )
    )
    if before is None or before.number in after.needs:
        # It stood in the chain of the strict reverse, which is always right; so does the new one.
        later = draft.get(Step, after.id)
        draft.alter(later, needs=tuple(sorted({*later.needs, number})))
    if put:
        thing = Thing(id=draft.new_id(Thing), machine=draft.machine, step=step.id, sort="part", name=name, part=part)
        draft.move(draft.enter(thing), 1, FITTED, put, step=step.id)
    turns = [s for s in record.all(Step, draft.machine) if s.do == "turn"]
    machine = draft.get(Machine, draft.machine)
    if step.do == "turn" and (not turns or (turns[-1].number < number and machine.lies == turns[-1].state)):
        draft.alter(machine, lies=step.state)
    last = record.last_step(draft.machine)
    moved = (
        f"{number} is {number + 1} now"
        if last is None or last.number == number
        else (f"{number} to {last.number} are {number + 1} to {last.number + 1} now")
    )
    return draft.change("InsertStep", f"step {number} is new, {step.text}; what was {moved}", largest=LARGEST_SHIFT)


def _part(draft: Draft, command: InsertStep, name: str, place: int, number: int, comes_off: bool) -> int:
    """Return the number of the part that a forgotten step is about, on the tree from now on.

    Raises Refused where it was off by then, or comes off at another step.
    """
    record = draft.record
    part = record.part_named(draft.machine, name, place) or record.assembly_named(draft.machine, name)
    if part is None:
        return draft.put(Part(id=draft.new_id(Part), machine=draft.machine, name=name, inside=place)).id
    for step in record.steps_of_part(part.id):
        if step.takes_off and (comes_off or (step.number < number and not step.back)):
            raise Refused(f"{part.name} comes off at step {step.number} already.")
    return part.id


def _from(record: Record, step: Step | None) -> Iterator[Step]:
    """Give a step and those before it, the nearest first."""
    while step is not None:
        yield step
        step = record.step(step.machine, step.number - 1)


def _shift(draft: Draft, number: int) -> None:
    """Give every step from `number` on a number more, and follow it in what others need."""
    for step in draft.record.all(Step, draft.machine):
        if step.number >= number:
            needs = tuple(need + 1 if need >= number else need for need in step.needs)
            draft.alter(step, number=step.number + 1, needs=needs)


def _still_off(draft: Draft, number: int) -> Step:
    """Return a step to which something can be added. Raises Refused where it is back."""
    if not number:
        raise Refused("Say at which step it came off.")
    step = step_numbered(draft, number)
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back already; take it back first, then write it in.")
    return step


def enter_late(draft: Draft, command: EnterLate) -> Change:
    """Write in a fastener that was forgotten."""
    step = _still_off(draft, command.step)
    if command.bag:
        step = replace(step, bag=checked_bag(command.bag))
    change = take_out(draft, step, command)
    return replace(change, did="EnterLate", said=f"step {step.number}, {change.said}")


def enter_piece_late(draft: Draft, command: EnterPieceLate) -> Change:
    """Write in loose pieces that were forgotten."""
    step = _still_off(draft, command.step)
    change = take_out_piece(draft, step, command)
    return replace(change, did="EnterPieceLate", said=f"step {step.number}, {change.said}")


RULES: dict[type[Command], Any] = {
    InsertStep: insert_step,
    EnterLate: enter_late,
    EnterPieceLate: enter_piece_late,
}
