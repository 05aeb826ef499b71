"""Soaks that nobody has gone on from yet."""

from __future__ import annotations

from datetime import datetime, timedelta

from putback.trade.record.record import Record
from putback.trade.record.step import Soak, Step


def soaking(record: Record, machine: int) -> list[tuple[Step, Soak]]:
    """Return the soaks that run or are due, each with its step, in order.

    One is over when it was lifted out, or a step that needs it was begun once it was due; a step begun
    before that only went on elsewhere meanwhile.
    """
    return [
        (step, step.soak)
        for step in record.soaked_steps(machine)
        if step.soak is not None
        and step.ended
        and not (step.back or step.lifted or _gone_on_from(record, step, step.soak.hours))
    ]


def _gone_on_from(record: Record, step: Step, hours: float) -> bool:
    """Tell whether a step that needs this one's soak was begun once it was due."""
    due = datetime.fromisoformat(step.ended) + timedelta(hours=hours)
    later = record.steps_needing(step.machine, step.number)
    return any(s.began and datetime.fromisoformat(s.began) >= due for s in later)
