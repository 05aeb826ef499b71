"""Rules for a part that does not come off yet: put on hold, and taken up again behind what was in its way.

Steps are numbered as parts come off. So the one on hold gets its number when it is taken up again, after those that
were begun meanwhile, and what the record keeps by number follows.
"""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import LARGEST_SHIFT, Draft
from putback.trade.commands.machines import clean_name
from putback.trade.commands.needs import off_assembly
from putback.trade.commands.which_step import being_done
from putback.trade.record.change import Change
from putback.trade.record.phrases import few
from putback.trade.record.record import Record
from putback.trade.record.step import Step

IN_THE_WAY = "something is in the way"
"""Why a step is on hold, where no more was said."""

WAS_IN_THE_WAY = "was on hold until then: "
"""What stands before the reason once a step is taken up again: it is so no more."""


class PutOnHold(Command, frozen=True, kw_only=True):
    """Put the step being done on hold, with all that was said of it; another can be begun."""

    reason: str = ""
    """Why, in the person's own words; empty is that something is in the way."""
    in_the_way: bool = True
    """Whether what comes off meanwhile is in its way, so that it needs that off; False where it only has to wait."""


class TakeUpHeld(Command, frozen=True, kw_only=True):
    """Take up a step again that was on hold; its number comes after those that were done meanwhile."""

    step: int = 0
    """Its number on this machine; 0 for the one that was put on hold last."""


class DropHeld(Command, frozen=True, kw_only=True):
    """Drop a step that is on hold: its part stays on. What came out at it goes in again on the way back."""

    step: int = 0
    """Its number on this machine; 0 for the one that was put on hold last."""


def put_on_hold(draft: Draft, command: PutOnHold) -> Change:
    """Put the step being done on hold."""
    step = being_done(draft)
    reason = clean_name(command.reason, "A reason") if command.reason.strip() else IN_THE_WAY
    draft.alter(step, on_hold=reason, in_the_way=command.in_the_way)
    return draft.change("PutOnHold", f"step {step.number}, {step.name}, is on hold: {reason}")


def take_up_held(draft: Draft, command: TakeUpHeld) -> Change:
    """Take up a step again; those done meanwhile have a number less, and it needs those that were in its way.

    What it needed and is back since was not in its way after all.
    """
    record = draft.record
    unfinished = record.open_step(draft.machine)
    if unfinished is not None:
        raise Refused(f"Step {unfinished.number}, {unfinished.name}, is not done yet.")
    step = _step_on_hold(draft, command.step)
    later = _close_up(draft, step)
    way = {other.number for other in later if stood_in_the_way(record, step, other)}
    number = step.number + len(later)
    needs = tuple(sorted({*_still_off(record, step), *(other - 1 for other in way)}))
    why = f"{WAS_IN_THE_WAY}{step.on_hold}" if way else step.why_needs
    draft.alter(step, number=number, needs=needs, why_needs=why, on_hold="", in_the_way=False)
    off = [f"{other.name} (step {other.number - 1})" for other in later if other.number in way]
    return draft.change("TakeUpHeld", _said(step, number, off), largest=LARGEST_SHIFT)


def drop_held(draft: Draft, command: DropHeld) -> Change:
    """Drop a step on hold. One at which something came out is done, and takes off no part."""
    record = draft.record
    step = _step_on_hold(draft, command.step)
    if record.things_of(step):
        needs = _still_off(record, step)
        draft.alter(step, do="undo", needs=needs, ended=draft.at, on_hold="", in_the_way=False, facing="")
        text = f"{step.name} stays on; what came out at step {step.number} goes in again on the way back"
        return draft.change("DropHeld", text)
    for photo in record.photos_of(step):
        draft.alter(photo, step=0, when="", back=False)
    _close_up(draft, step)
    draft.drop(step)
    text = f"step {step.number}, {step.name}, is dropped: it stays on"
    return draft.change("DropHeld", text, largest=LARGEST_SHIFT)


def _step_on_hold(draft: Draft, number: int) -> Step:
    """Return the step on hold of that number, or with 0 the last one. Raises Refused where there is none."""
    held = draft.record.held_steps(draft.machine)
    step = draft.record.step(draft.machine, number) if number else held[-1] if held else None
    if step is None or not step.on_hold:
        raise Refused(f"Step {number} is not on hold." if number else "Nothing is on hold.")
    return step


def _still_off(record: Record, step: Step) -> tuple[int, ...]:
    """Return what a step needs, without what is back since."""
    return tuple(n for n in step.needs if (need := record.step(step.machine, n)) is not None and not need.back)


def _close_up(draft: Draft, step: Step) -> list[Step]:
    """Give the steps behind one a number less; return them as they were."""
    later = [other for other in draft.record.all(Step, draft.machine) if other.number > step.number]
    for other in later:
        needs = tuple(need - 1 if need > step.number else need for need in other.needs)
        draft.alter(other, number=other.number - 1, needs=needs)
    return later


def _said(step: Step, number: int, off: list[str]) -> str:
    text = f"{step.name} is taken up again: step {number}"
    if number == step.number:
        return text
    text = f"{text} now, was {step.number}"
    return f"{text}; what was in its way is off: {few(off)}" if off else text


def held_because(record: Record, step: Step) -> str:
    """Return why a step is on hold, and what was in its way and is off since: it may go on now."""
    off = [
        other.name
        for other in record.all(Step, step.machine)
        if other.number > step.number and not other.is_open and stood_in_the_way(record, step, other)
    ]
    return f"{step.on_hold}; off since: {few(off)}" if off else step.on_hold


def stood_in_the_way(record: Record, held: Step, other: Step) -> bool:
    """Tell whether a step that was begun behind one on hold is in its way, as far as is known: it is off, and was
    not work inside a unit that lies on the bench by itself."""
    if not held.in_the_way or other.back or other.skipped or other.on_hold:
        return False
    return off_assembly(record, other.area) == off_assembly(record, held.area)


RULES: dict[type[Command], Any] = {PutOnHold: put_on_hold, TakeUpHeld: take_up_held, DropHeld: drop_held}
