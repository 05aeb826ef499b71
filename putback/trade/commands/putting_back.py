"""Rules for refit: settings confirmed, and a step put back with everything it took off."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace as replaced

from putback.errors import Refused
from putback.trade.checks.last_look import last_look
from putback.trade.checks.ledger import on_without, reachable, short_of
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.checks.skipped_steps import held_by, in_the_way
from putback.trade.checks.soaks import in_soak, lift_first
from putback.trade.commands.bagging import stand_in
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.machines import clean_name
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import few, quoted, times
from putback.trade.record.place import FITTED, LOOSE, SCRAPPED, bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import LAST_LOOK, Step
from putback.trade.refit.confirmations import goes_in_new, to_ask, unasked
from putback.trade.refit.orientation import lies_for, turn_first


class Confirm(Command, frozen=True, kw_only=True):
    """Say that one setting or refit-only piece of work of a step is done, or a new piece at hand.

    `anyway` are the words with which a one-use piece goes in again, or a cover is closed over what is open.
    """

    step: int
    """The number of a step that is off."""
    item: str
    """What is confirmed, in the words in which it was asked."""
    anyway: str = ""
    """Empty where it is done as asked."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


class PutBack(Command, frozen=True, kw_only=True):
    """Put back everything a step took off."""

    step: int
    """The number of a step that is off and waits for nothing."""


def needed_by(record: Record, step: Step) -> list[Step]:
    """Return the steps that hold up `step`, in order: not back yet, and not skipped.

    A turn or a soak that waits for nothing itself is none of them: it ticks itself off.
    """
    return [other for other in held_by(record, step) if not ticks_itself_off(record, other)]


def ticks_itself_off(record: Record, step: Step) -> bool:
    """Tell whether refit has nothing to do for a step: a turn or a soak that nothing waiting needs."""
    seen = {step.id}
    looked_at = [step]
    while looked_at:
        here = looked_at.pop()
        if not asks_nothing(record, here):
            return False
        above = [s for s in held_by(record, here) if s.id not in seen]
        seen.update(s.id for s in above)
        looked_at += above
    return True


def asks_nothing(record: Record, step: Step) -> bool:
    """Tell whether a step is a turn or a soak with nothing to do or confirm and nothing taken out at it."""
    if step.do not in ("turn", "soak") or step.is_open or step.unconfirmed or jobs_first(record, step):
        return False
    return not record.things_of(step)


def still_off(draft: Draft, number: int) -> Step:
    """Return a step that is done and not back. Raises Refused otherwise."""
    step = step_numbered(draft, number) if number else None
    if step is None:
        raise Refused("Say which step goes back.")
    if step.is_open:
        stands = "on hold, with its part on" if step.on_hold else "still coming off"
        raise Refused(f"Step {step.number}, {step.name}, is {stands}.")
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back already.")
    return step


def confirm(draft: Draft, command: Confirm) -> Change:
    """Say that a caution was seen, a setting made, a piece of refit-only work done, or a new piece got."""
    step, item = still_off(draft, command.step), command.item
    if item and item == turn_first(draft.record, step):
        draft.alter(draft.get(Machine, draft.machine), lies=lies_for(draft.record, step))
        return draft.change("Confirm", f"{item}, done")
    if item in [job.question for job in jobs_first(draft.record, step)]:
        return _put_on_as_it_is(draft, step, item, command.anyway)
    for held in short_of(draft.record, step):
        if item == on_without(held) and held.thing.sort != "part":
            return _put_on_as_it_is(draft, step, item, command.anyway)
    if item not in to_ask(draft.record, step):
        raise Refused(f"Step {step.number} has nothing like {quoted(item)} to confirm.")
    if item in step.confirmed:
        raise Refused(f"Confirmed already: {item}.")
    anyway = clean_name(command.anyway, "An answer") if command.anyway.strip() else ""
    spent = goes_in_new(draft.record, step).get(item, [])
    if spent and not anyway:
        return _new_ones(draft, step, spent)
    answer = ""
    if spent:
        answer = f"{few([t.called for t in spent])} in once more: {anyway}"
    elif item == LAST_LOOK:
        still_open = [end.words for end in last_look(draft.record, step) if end.open]
        if still_open and not anyway:
            raise Refused(f"Behind {step.name}: {few(still_open)}. See to it, or close it anyway.")
        if still_open:
            answer = f"closed over {few(still_open)}: {anyway}"
    work = tuple(
        replaced(job, done=draft.at) if job.side and job.open and job.asked == item else job for job in step.todo
    )
    answers = (*step.answers, *filter(None, [answer]))
    lifts = step.soak is not None and item == lift_first(step) and in_soak(draft.record, step)
    lifted = draft.at if lifts else step.lifted
    if lifts and step.soak is not None:
        answer = f"{step.soak.what} lifted out"
    draft.alter(step, confirmed=(*step.confirmed, item), answers=answers, todo=work, lifted=lifted)
    return draft.change("Confirm", f"step {step.number}: {answer or f'{item}, done'}")


def _put_on_as_it_is(draft: Draft, step: Step, item: str, anyway: str) -> Change:
    """Let a step go back though a job on it is open: that stays open, and stops it no more."""
    if not anyway.strip():
        raise Refused(f"Step {step.number}: {item}. Say that it is done, or that the part goes on as it is.")
    answer = f"{item}: {clean_name(anyway, 'An answer')}"
    draft.alter(step, confirmed=(*step.confirmed, item), answers=(*step.answers, answer))
    return draft.change("Confirm", f"step {step.number}: {answer}")


def _new_ones(draft: Draft, step: Step, spent: list[Thing]) -> Change:
    """Let new pieces stand in for one-use ones; they are at hand, the old ones are scrapped."""
    for thing in spent:
        for place, count in sorted(reachable(draft.record, thing).items()):
            draft.move(thing, count, place, SCRAPPED, note="goes in once only")
            stand_in(draft, thing, count, LOOSE, note="new at refit")
    text = few([thing.called for thing in spent])
    return draft.change("Confirm", f"step {step.number}: a new {text} is at hand; the old one is scrapped")


def put_back(draft: Draft, command: PutBack) -> Change:
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
    uncovered(record, step, "goes back")
    short = short_of(record, step)
    if short:
        missing = few([f"{times(h.count, h.thing.called)} ({h.told})" for h in short])
        raise Refused(f"Step {step.number}, {step.name}, waits for {missing}.")
    work = [job.question for job in jobs_first(record, step)]
    if work:
        text = few(work)
        raise Refused(f"Step {step.number}, {step.name}: {text}; say that it is done, or put the part on as it is.")
    turn = turn_first(record, step)
    if turn:
        raise Refused(f"Step {step.number}, {step.name}: first {turn}.")
    asked = unasked(record, step)
    if asked:
        raise Refused(f"Step {step.number}: confirm first: {asked[0]}.")
    moved = 0
    for thing in record.things_of(step):
        for place, count in sorted(reachable(record, thing).items()):
            number = bag_number(place)
            bag = None if number is None else draft.bag(number)
            if bag is not None and bag.closed:
                draft.alter(bag, closed="")
            draft.move(thing, count, place, FITTED, step=step.id)
            moved += count if thing.sort != "part" else 0
    draft.alter(step, back=draft.at, skipped="")
    tick_off(draft)
    fitted = f": {moved} in" if moved else ""
    return draft.change("PutBack", f"step {step.number}, {step.name}, is back{fitted}")


def uncovered(record: Record, step: Step, what: str) -> list[Step]:
    """See that a step can be got at: nothing it needed off is back. Return the turns, marks and measures before it
    that are done already.

    Only a step that was skipped can have been covered since. Raises Refused with what has to come off again.
    """
    first, ticked = in_the_way(record, step)
    if first:
        names = few([f"step {other.number} ({other.name})" for other in first], 3)
        raise Refused(f"Before step {step.number}, {step.name}, {what}, {names} must come off again.")
    return ticked


def tick_off(draft: Draft) -> None:
    """Mark as back the turns and soaks that nothing waiting needs any more."""

    def seen(step: Step) -> Step:
        return draft.get(Step, step.id)

    idle = [s for s in draft.record.all(Step, draft.machine) if s.do in ("turn", "soak") and not s.back]
    for step in reversed(idle):
        if asks_nothing(draft.record, step) and not held_by(draft.record, step, seen):
            draft.alter(step, back=draft.at)


RULES: dict[type[Command], Any] = {
    Confirm: confirm,
    PutBack: put_back,
}
