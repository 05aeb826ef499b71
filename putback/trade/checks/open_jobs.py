"""Open jobs on the way back: which stop a step, and what is still open when everything is back."""

from __future__ import annotations

from putback.trade.checks.all_jobs import jobs_kept, waived
from putback.trade.checks.filled_holes import holes_at_refit
from putback.trade.checks.ledger import left_over
from putback.trade.checks.soaks import soaking
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.phrases import times
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.tree import around
from putback.trade.record.trip import TAKEN_APART, Sent


def jobs_first(record: Record, step: Step) -> list[Job]:
    """Return the open jobs that stop a step: to be done before it goes back, and not passed over."""
    if step.back:
        return []
    return [job for job in step.todo if job.first and not waived(step, job)]


def open_jobs(record: Record, machine: int) -> list[tuple[Step, Job]]:
    """Return every job of a machine's steps that is not done, with its step, by step and then as said."""
    return [(step, job) for step in record.all(Step, machine) for job in step.todo if job.open]


def never_opened(record: Record, machine: int) -> list[Step]:
    """Return the steps whose unit came off in one piece, to be opened later, and was never worked in."""
    worked_in = {step.area for step in record.all(Step, machine) if step.area}
    worked_in |= {part.id for area in worked_in for part in around(record, area)}
    return [s for s in record.all(Step, machine) if s.whole and s.part and s.ended and s.part not in worked_in]


def open_work(record: Record, machine: int) -> list[str]:
    """Return, a sentence each, the open jobs of a machine, and the units that were to be opened and never were."""
    found = [one.text for one in jobs_kept(record, machine) if one.job.open]
    apart = {record.get(Thing, sent.thing).step for sent in record.all(Sent, machine) if sent.unit == TAKEN_APART}
    for step in never_opened(record, machine):
        how = "came off in one piece, to be opened later, and was not"
        if step.id in apart:
            how = "came back taken apart, and what was in it is not recorded yet"
        found.append(f"{step.name} {how} (step {step.number})")
    return found


def not_in_its_place(record: Record, machine: int) -> list[str]:
    """Return, a sentence each, which holes of the steps that are back are open, and what lies about of them."""
    holes = [hole for hole in holes_at_refit(record, machine) if hole.open]
    told = {hole.step.id for hole in holes}
    over = [held for held in left_over(record, machine) if held.thing.step not in told]
    return [
        *(f"{hole.words} (step {hole.step.number})" for hole in holes),
        *(f"{times(held.count, held.thing.called)}: {held.told}" for held in over),
    ]


def still_open(record: Record, machine: int) -> list[str]:
    """Return, a sentence each, what is open of a machine wherever its parts are: what is on hold, jobs, units to be
    opened, soaks.

    What is not back, and what lies where, is not among it: the plan and the ledger tell that.
    """
    held = [f"on hold, still on the machine: {s.name} (step {s.number})" for s in record.held_steps(machine)]
    found = held + open_work(record, machine)
    return found + [f"still soaking: {soak.what} (step {step.number})" for step, soak in soaking(record, machine)]
