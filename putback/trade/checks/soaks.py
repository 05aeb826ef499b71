"""Soaks that nobody has gone on from yet."""

from __future__ import annotations

from datetime import datetime, timedelta

from putback.dates import day_in_words
from putback.trade.record.record import Record
from putback.trade.record.step import Soak, Step


def soaking(record: Record, machine: int) -> list[tuple[Step, Soak]]:
    """Return the soaks that run or are due, each with its step, in order.

    One is over when it was lifted out; when a step that needs it was begun once it was due; or when its own step
    went back once it was due. What was begun or went back before that only went on elsewhere meanwhile.
    """
    steps = record.soaked_steps(machine)
    return [(step, step.soak) for step in steps if step.soak is not None and in_soak(record, step)]


def in_soak(record: Record, step: Step) -> bool:
    """Tell whether what was left to soak at a step is still in, whether it is due or not."""
    if step.soak is None or not step.ended or step.lifted:
        return False
    due = out_at(step)
    if step.back and datetime.fromisoformat(step.back) >= due:
        return False
    later = record.steps_needing(step.machine, step.number)
    return not any(s.began and datetime.fromisoformat(s.began) >= due for s in later)


def soaks_since(step: Step) -> str:
    """Return when a step's soak began, as a stamp: when it was noted, where the step was done by then."""
    return (step.soak.since if step.soak is not None else "") or step.ended


def out_at(step: Step) -> datetime:
    """Return when what soaks at a step is to come out."""
    hours = step.soak.hours if step.soak is not None else 0
    return datetime.fromisoformat(soaks_since(step)) + timedelta(hours=hours)


def lift_first(step: Step) -> str:
    """Return what the way back asks for while a step's soak is still in."""
    if step.soak is None or not step.ended:
        return ""
    out = out_at(step).isoformat()
    return f"{step.soak.what} still in soak until {day_in_words(out)} {out[11:16]}: lift it out first"
