"""Which step refit goes on with."""

from __future__ import annotations

from collections.abc import Sequence

from putback.trade.checks.ledger import short_of
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.commands.putting_back import needed_by, ticks_itself_off
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.way_back import Waits


def ready(record: Record, off: Sequence[Step], waits: Sequence[Waits]) -> list[Step]:
    """Return which of the steps that are off can go on now, in their order.

    What ticks itself off, a turn or a soak that nothing waits for, is left out as long as there is anything else.
    """
    waiting = {w.step for w in waits}
    found = [s for s in off if s.number not in waiting and not s.skipped and not needed_by(record, s)]
    return [step for step in found if not ticks_itself_off(record, step)] or found


def next_step(
    record: Record, off: Sequence[Step], waits: Sequence[Waits], can: Sequence[Step] | None = None
) -> Step | None:
    """Return the step to go on with: the first that can, else the first that waits for something itself.

    None where nothing is off. `can` is what `ready` gave, where that was asked before.
    """
    found = ready(record, off, waits) if can is None else can
    stopped = (s for s in off if short_of(record, s) or jobs_first(record, s))
    return found[0] if found else next(stopped, off[0] if off else None)
