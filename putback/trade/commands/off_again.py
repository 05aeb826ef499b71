"""Rules for refit that does not go straight on: a step skipped and taken up again, and one taken off again."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from putback.errors import Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.machines import clean_name
from putback.trade.commands.putting_back import still_off, tick_off, uncovered
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.place import FITTED, LOOSE, bag_number, out_of_reach, read_place
from putback.trade.record.step import Step
from putback.trade.refit.orientation import lies_for, lies_now


class SkipStep(Command, frozen=True, kw_only=True):
    """Pass a step over at refit, with a reason; it stays open, and holds nothing up."""

    step: int
    """The number of a step that is off."""
    reason: str
    """Why, in the person's own words; never empty."""


class TakeUp(Command, frozen=True, kw_only=True):
    """Take up a step again that was skipped."""

    step: int
    """The number of a step that was skipped."""


class TakeOffAgain(Command, frozen=True, kw_only=True):
    """Take off again what a step put back; everything goes to `put`, empty means to where it came from."""

    step: int
    """The number of a step that is back."""
    put: str = ""
    """A bag, a box, the shelf or the bench, as a place."""


def skip_step(draft: Draft, command: SkipStep) -> Change:
    """Pass a step over, with a reason; it stays open until it is done, and holds nothing up."""
    step = still_off(draft, command.step)
    if not command.reason.strip():
        raise Refused(f"Say why step {step.number}, {step.name}, is skipped.")
    reason = clean_name(command.reason, "A reason")
    if step.skipped == reason:
        raise Refused(f"Step {step.number}, {step.name}, is skipped already: {reason}.")
    draft.alter(step, skipped=reason)
    tick_off(draft)
    return draft.change("SkipStep", f"step {step.number}, {step.name}, skipped: {reason}")


def take_up(draft: Draft, command: TakeUp) -> Change:
    """Take up a step that was skipped: it holds up again what it held up before."""
    step = still_off(draft, command.step)
    if not step.skipped:
        raise Refused(f"Step {step.number}, {step.name}, was not skipped.")
    _uncover(draft, step, "can be taken up")
    draft.alter(step, skipped="")
    return draft.change("TakeUp", f"step {step.number}, {step.name}, is taken up again")


def _uncover(draft: Draft, step: Step, what: str) -> None:
    """See that a step can be got at; turns, marks and measures before it are to be done again."""
    for again in uncovered(draft.record, step, what):
        draft.alter(draft.get(Step, again.id), back="", **_asked_anew(draft.get(Step, again.id)))


def _asked_anew(step: Step) -> dict[str, Any]:
    """Return the fields of a step of which all is asked for once more: work with a side is open again, and what its
    settings came to is to be read anew."""
    todo = tuple(replace(job, done="") if job.side and job.asked in step.confirmed else job for job in step.todo)
    unset = tuple(replace(setting, as_set="", why_so="") for setting in step.adjust)
    return {"confirmed": (), "todo": todo, "adjust": unset}


def take_off_again(draft: Draft, command: TakeOffAgain) -> Change:
    """Take off again what a step had put back: its fasteners to where they came from, its part, too.

    Whatever else was done since stays done.
    """
    record = draft.record
    step = step_numbered(draft, command.step) if command.step else None
    if step is None:
        raise Refused("Say which step comes off again.")
    if step.is_open or not step.back:
        raise Refused(f"Step {step.number}, {step.name}, is not back on.")
    coming_off = record.open_step(draft.machine)
    if coming_off is not None:
        raise Refused(f"Step {coming_off.number}, {coming_off.name}, is still coming off; finish it first.")
    put = read_place(command.put) if command.put else ""
    if put == FITTED or (put and out_of_reach(put)):
        raise Refused("What comes off again goes into a bag, into a box, onto the shelf or the bench.")
    off = record.off_at(step.part) if step.part else None
    if off is not None:
        raise Refused(f"{step.name} is off already, since step {off.number}.")
    later = [s for s in record.steps_of_part(step.part) if s.number > step.number and s.takes_off] if step.part else []
    if later:
        last = later[-1]
        raise Refused(f"{step.name} came off once more at step {last.number}; take that one off again.")
    _uncover(draft, step, "comes off again")
    moved = 0
    for thing in record.things_of(step):
        for place, count in _came_from(draft, step, thing):
            target = put or place
            number = bag_number(target)
            bag = None if number is None else draft.bag(number)
            if bag is not None and bag.closed:
                draft.alter(bag, closed="")
            draft.move(thing, count, FITTED, target, note=f"step {step.number} off again")
            moved += count
    draft.alter(draft.get(Step, step.id), back="", answers=(), **_asked_anew(draft.get(Step, step.id)))
    text = f"step {step.number}, {step.name}, is off again" + (f": {moved} out" if moved else "")
    if step.next_time:
        text = f"{text}; next time: {'; '.join(step.next_time)}"
    machine = draft.get(Machine, draft.machine)
    lies = lies_for(record, step)
    if lies and lies.casefold() != lies_now(machine).casefold():
        draft.alter(machine, lies=lies)
        text = f"{text}; {machine.name} lies {lies}"
    return draft.change("TakeOffAgain", text)


def _came_from(draft: Draft, step: Step, thing: Thing) -> list[tuple[str, int]]:
    """Return where a step's last putting back took a thing from, as far as it still stands fitted."""
    left = draft.standing(thing.id).get(FITTED, 0)
    found = []
    for move in reversed(draft.record.moves_of(step.id)):
        if move.thing != thing.id or move.target != FITTED:
            continue
        if not left:
            break
        count = min(left, move.count)
        found.append((_home(draft, step, thing) if move.source == LOOSE else move.source, count))
        left -= count
    return found


def _home(draft: Draft, step: Step, thing: Thing) -> str:
    """Return where a thing of a step belongs that lay on the bench before it went in."""
    for move in draft.record.moves_of(step.id):
        kin = draft.get(Thing, move.thing)
        alike = kin.spot == thing.spot and kin.sort == thing.sort
        if move.source == FITTED and alike and not out_of_reach(move.target):
            return move.target
    return LOOSE


RULES: dict[type[Command], Any] = {
    SkipStep: skip_step,
    TakeUp: take_up,
    TakeOffAgain: take_off_again,
}
