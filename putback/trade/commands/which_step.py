"""Which step a command means: the one being done, or one by its number."""

from __future__ import annotations

from putback.errors import Refused
from putback.trade.commands.draft import Draft
from putback.trade.record.step import Step


def being_done(draft: Draft) -> Step:
    """Return the step being done. Raises Refused where there is none."""
    step = draft.record.open_step(draft.machine)
    if step is None:
        raise Refused("Nothing is coming off; begin a part first.")
    return draft.get(Step, step.id)


def step_numbered(draft: Draft, number: int) -> Step:
    """Return step `number`, or with 0 the one being done. Raises Refused where there is none."""
    if not number:
        return being_done(draft)
    step = draft.record.step(draft.machine, number)
    if step is None:
        raise Refused(f"There is no step {number}.")
    return step
