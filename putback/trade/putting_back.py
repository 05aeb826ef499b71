"""Rules for refit: settings confirmed, and a step put back with everything it took off."""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.trade import commands as c
from putback.trade.change import Change
from putback.trade.draft import Draft
from putback.trade.ledger import reachable, short_of
from putback.trade.lying import lies_for, turn_first
from putback.trade.machine import Machine
from putback.trade.place import FITTED, bag_number
from putback.trade.record import Record
from putback.trade.step import Step
from putback.trade.taking_off import step_numbered
from putback.trade.wording import few, quoted, times


def needed_by(record: Record, step: Step) -> list[Step]:
    """Return the steps that need `step` and are not back yet, in order.

    A turn or a soak that waits for nothing itself is none of them: it ticks itself off.
    """
    return [
        other
        for other in record.steps_needing(step.machine, step.number)
        if not other.back and not ticks_itself_off(record, other)
    ]


def ticks_itself_off(record: Record, step: Step) -> bool:
    """Tell whether refit has nothing to do for a step: a turn or a soak that nothing waiting needs."""
    seen = {step.id}
    looked_at = [step]
    while looked_at:
        here = looked_at.pop()
        if not asks_nothing(record, here):
            return False
        above = [s for s in record.steps_needing(here.machine, here.number) if not s.back and s.id not in seen]
        seen.update(s.id for s in above)
        looked_at += above
    return True


def asks_nothing(record: Record, step: Step) -> bool:
    """Tell whether a step is a turn or a soak with nothing to confirm and nothing taken out at it."""
    if step.do not in ("turn", "soak") or step.is_open or step.unconfirmed:
        return False
    return not record.things_of(step)


def still_off(draft: Draft, number: int) -> Step:
    """Return a step that is done and not back. Raises Refused otherwise."""
    step = step_numbered(draft, number) if number else None
    if step is None:
        raise Refused("Say which step goes back.")
    if step.is_open:
        raise Refused(f"Step {step.number}, {step.name}, is still coming off.")
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back already.")
    return step


def confirm(draft: Draft, command: c.Confirm) -> Change:
    """Say that a caution was seen, or a setting or a piece of refit-only work is done."""
    step = still_off(draft, command.step)
    if command.item and command.item == turn_first(draft.record, step):
        draft.alter(draft.get(Machine, draft.machine), lies=lies_for(draft.record, step))
        return draft.change("Confirm", f"{command.item}: done")
    if command.item not in step.to_confirm:
        raise Refused(f"Step {step.number} has nothing like {quoted(command.item)} to confirm.")
    if command.item in step.confirmed:
        raise Refused(f"Confirmed already: {command.item}.")
    draft.alter(step, confirmed=(*step.confirmed, command.item))
    return draft.change("Confirm", f"step {step.number}: {command.item}: done")


def put_back(draft: Draft, command: c.PutBack) -> Change:
    """Put back everything a step took off, out of where it lies; a closed bag is opened for it."""
    record = draft.record
    step = still_off(draft, command.step)
    coming_off = record.open_step(draft.machine)
    if coming_off is not None:
        raise Refused(f"Step {coming_off.number}, {coming_off.name}, is still coming off; finish it first.")
    first = needed_by(record, step)
    if first:
        names = few([f"step {other.number} ({other.name})" for other in reversed(first)], 3)
        raise Refused(f"Before step {step.number}, {step.name}, comes {names}.")
    short = short_of(record, step)
    if short:
        missing = few([f"{times(h.count, h.thing.called)} ({h.place})" for h in short])
        raise Refused(f"Step {step.number}, {step.name}, waits for {missing}.")
    turn = turn_first(record, step)
    if turn:
        raise Refused(f"Step {step.number}, {step.name}: first {turn}.")
    if step.unconfirmed:
        raise Refused(f"Step {step.number}: confirm first: {step.unconfirmed[0]}.")
    moved = 0
    for thing in record.things_of(step):
        for place, count in sorted(reachable(record, thing).items()):
            number = bag_number(place)
            bag = None if number is None else draft.bag(number)
            if bag is not None and bag.closed:
                draft.alter(bag, closed="")
            draft.move(thing, count, place, FITTED, step=step.id)
            moved += count
    draft.alter(step, back=draft.at)
    _tick_off(draft)
    fitted = f": {moved} fitted" if moved else ""
    return draft.change("PutBack", f"step {step.number}, {step.name}, is back{fitted}")


def _tick_off(draft: Draft) -> None:
    """Mark as back the turns and soaks that nothing waiting needs any more."""
    idle = [s for s in draft.record.all(Step, draft.machine) if s.do in ("turn", "soak") and not s.back]
    for step in reversed(idle):
        above = draft.record.steps_needing(step.machine, step.number)
        if asks_nothing(draft.record, step) and all(draft.get(Step, s.id).back for s in above):
            draft.alter(step, back=draft.at)


RULES: dict[type[c.Command], Any] = {
    c.Confirm: confirm,
    c.PutBack: put_back,
}
