"""What soaks, and when it comes out: the soaks that nobody has gone on from yet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct

from putback.dates import day_in_words
from putback.trade.cautions.dangers import dangers_in
from putback.trade.checks.all_jobs import JobAt
from putback.trade.checks.soaks import out_at, soaking, soaks_since
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.session import minutes_between


class Bath(Struct, frozen=True):
    """A soak that nobody has gone on from yet."""

    what: str
    """What soaks, in what."""
    step: int
    """The step that began it; 0 where it is of a bag or of the machine."""
    hours_left: float
    """Hours until it is due; below 0 it is overdue by so many."""
    hours: float = 0.0
    """How long it was to last."""
    out_at: str = ""
    """When it is to come out, as a stamp."""
    acid: bool = False
    """Whether it is in what eats the part when it is in there too long."""

    at: JobAt | None = None
    """The job that it is, where it was said as one; None where it was said at its step."""

    @property
    def where(self) -> str:
        """What soaks it is of: `step 3`, `bag 2`, `the machine`."""
        return f"step {self.step}" if self.step or self.at is None else self.at.where

    @property
    def text(self) -> str:
        """How it stands."""
        if self.hours_left > 0:
            return f"{self.hours_left:.0f} h to go" if self.hours_left >= 2 else f"{self.hours_left * 60:.0f} min to go"
        over = -self.hours_left
        if over < 1:
            return "due"
        return f"overdue by {over:.0f} h" if over <= 72 else f"overdue by {over / 24:.0f} days"

    @property
    def stands(self) -> str:
        """How it stands, with the hour: `out 3 Nov 21:00, 12 h to go`, `was due 3 Nov 21:00, overdue by 24 h`."""
        if not self.out_at:
            return self.text
        at = f"{day_in_words(self.out_at)} {self.out_at[11:16]}"
        return f"{'out' if self.hours_left > 0 else 'was due'} {at}, {self.text}"

    @property
    def short(self) -> str:
        """A line for the header: `soak due: lever, 48 h`."""
        return f"soak {self.text}: {self.what}, {self.hours:g} h"


def soaks(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks that run or are due: what is too long in acid first, then the most overdue.

    `now` is the stamp of now.
    """
    found = list(_as_jobs(record, machine, now))
    for step, soak in soaking(record, machine):
        began = soaks_since(step)
        gone = _hours_gone(began, now)
        out = out_at(step)
        acid = _in_acid(soak.what, step.name)
        found.append(Bath(soak.what, step.number, soak.hours - gone, soak.hours, out.isoformat(), acid))
    return sorted(found, key=worst)


def _as_jobs(record: Record, machine: int, now: str) -> Iterator[Bath]:
    """Give the soaks that were said as jobs with their hours: of a bag, of the machine, of a step."""
    steps, bags = record.soaking_by_jobs(machine)
    jobs = [
        *(JobAt(job, machine, step) for step in steps for job in step.todo),
        *(JobAt(job, machine, bag=bag) for bag in bags for job in bag.todo),
        *(JobAt(job, machine) for job in record.get(Machine, machine).todo),
    ]
    for one in jobs:
        job = one.job
        if job.soaks:
            out = datetime.fromisoformat(job.since) + timedelta(hours=job.hours)
            left = job.hours - _hours_gone(job.since, now)
            step = one.step.number if one.step is not None else 0
            yield Bath(job.what, step, left, job.hours, out.isoformat(), _in_acid(job.what), one)


def _hours_gone(began: str, now: str) -> float:
    early = datetime.fromisoformat(now) < datetime.fromisoformat(began)
    return 0.0 if early else minutes_between(began, now) / 60


def _in_acid(*words: str) -> bool:
    return any(danger.cause == "acid" for danger in dangers_in(words))


def worst(bath: Bath) -> tuple[bool, float]:
    """Return by what soaks are sorted: what is too long in acid first, then the most overdue."""
    return not (bath.acid and bath.hours_left <= 0), bath.hours_left


def soaks_due(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks of a machine whose hours are over at the stamp `now`."""
    return [bath for bath in soaks(record, machine, now=now) if bath.hours_left <= 0]
