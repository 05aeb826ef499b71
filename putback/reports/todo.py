"""What is left to do on one machine or all: jobs, soaks that run, and what has to be got."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from msgspec import Struct

from putback.reports.size_letters import named, names_on
from putback.trade.cautions.dangers import FIRST, dangers_in
from putback.trade.checks.ledger import all_wanting, reachable
from putback.trade.checks.open_jobs import job_text
from putback.trade.checks.soaks import soaking
from putback.trade.record.fastener import Thing
from putback.trade.record.job import SORTS, Job
from putback.trade.record.machine import Machine
from putback.trade.record.place import sort_of
from putback.trade.record.record import Record
from putback.trade.record.session import minutes_between
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import left_overs, troubles_of
from putback.trade.refit.confirmations import spent


class JobRow(Struct, frozen=True):
    """One job, open or done."""

    job: Job
    """The job."""
    step: int
    """The step where it was said."""
    text: str
    """It in a line: `to get: felt (no hurry, step 3)`."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        job = self.job
        return {
            "do": job.do,
            "what": job.what,
            "when": job.when,
            "state": job.state,
            "since": job.since or None,
            "done": job.done or None,
            "result": job.result,
            "step": self.step,
        }


class Bath(Struct, frozen=True):
    """A soak that nobody has gone on from yet."""

    what: str
    """What soaks, in what."""
    step: int
    """The step that began it."""
    hours_left: float
    """Hours until it is due; below 0 it is overdue by so many."""
    hours: float = 0.0
    """How long it was to last."""

    @property
    def text(self) -> str:
        """How it stands."""
        if self.hours_left > 0:
            return f"{self.hours_left:.0f} h to go" if self.hours_left >= 2 else f"{self.hours_left * 60:.0f} min to go"
        return "due" if self.hours_left > -1 else f"overdue by {-self.hours_left:.0f} h"

    @property
    def short(self) -> str:
        """A line for the header: `soak due: lever, 48 h`."""
        return f"soak {self.text}: {self.what}, {self.hours:g} h"


class Wanted(Struct, frozen=True):
    """Something to be got: an empty hole's fastener, or what is scrapped or missing with nothing in its place."""

    count: int
    """How many."""
    what: str
    """What, with its size."""
    why: str
    """scrapped, missing, found empty, or goes in new: a one-use piece that has been in once."""
    step: int
    """The step it belongs to."""


class ToDo(Struct, frozen=True):
    """Everything left to do on one machine."""

    machine: str
    """Name and serial."""
    jobs: tuple[JobRow, ...]
    """All of them, in the order of SORTS, then by step."""
    soaks: tuple[Bath, ...]
    """The most overdue first."""
    shopping: tuple[Wanted, ...]
    """By step."""
    trouble: tuple[str, ...] = ()
    """Screws lost, broken or left over, threads gone, of what is not back: each with its step and hole."""

    @property
    def open_jobs(self) -> tuple[JobRow, ...]:
        """The jobs that are not done."""
        return tuple(row for row in self.jobs if row.job.open)

    @property
    def done_jobs(self) -> tuple[JobRow, ...]:
        """The jobs that are done."""
        return tuple(row for row in self.jobs if not row.job.open)

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "jobs": [row.to_json() for row in self.jobs],
            "soaks": [
                {"what": s.what, "step": s.step, "hours_left": round(s.hours_left, 2), "state": s.text}
                for s in self.soaks
            ],
            "cautions": list(self.cautions),
            "shopping": [{"count": w.count, "what": w.what, "why": w.why, "step": w.step} for w in self.shopping],
            "trouble": list(self.trouble),
        }

    @property
    def cautions(self) -> tuple[str, ...]:
        """The usual cautions that open jobs and soaks call up, with their rules; last whose rules come first."""
        words = [row.job.what for row in self.open_jobs] + [bath.what for bath in self.soaks]
        found = dangers_in(words)
        texts = [f"{danger.words}; rules: {danger.rules}" for danger in found]
        return (*texts, FIRST) if texts else ()


def soaks(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks that run or are due, the most overdue first. `now` is the stamp of now."""
    found = []
    for step, soak in soaking(record, machine):
        gone = minutes_between(step.ended, now) / 60
        if datetime.fromisoformat(now) < datetime.fromisoformat(step.ended):
            gone = 0.0
        found.append(Bath(soak.what, step.number, soak.hours - gone, soak.hours))
    return sorted(found, key=lambda bath: bath.hours_left)


def soaks_due(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks of a machine whose hours are over at the stamp `now`."""
    return [bath for bath in soaks(record, machine, now=now) if bath.hours_left <= 0]


def to_do(record: Record, machine: Machine, *, now: str) -> ToDo:
    """Gather what is left to do on a machine; `now` is the stamp that soaks are counted to."""
    jobs = [JobRow(job, s.number, job_text(s, job)) for s in record.all(Step, machine.id) for job in s.todo]
    wanted: Counter[tuple[int, str, str]] = Counter()
    names = names_on(record, machine.id)
    for held in all_wanting(record, machine.id):
        if sort_of(held.place) in ("scrapped", "missing"):
            step = record.get(Step, held.thing.step)
            wanted[step.number, named(held.thing, names), sort_of(held.place)] += held.count
    for step in record.all(Step, machine.id):
        for thing in spent(record, step):
            wanted[step.number, named(thing, names), "goes in new"] += sum(reachable(record, thing).values())
    for thing in record.all(Thing, machine.id):
        if thing.found and not record.stand_ins(thing.id):
            wanted[record.get(Step, thing.step).number, thing.should_be or thing.name, "found empty"] += 1
    return ToDo(
        machine.caption,
        tuple(sorted(jobs, key=lambda row: (SORTS.index(row.job.do), row.step))),
        tuple(soaks(record, machine.id, now=now)),
        tuple(Wanted(n, what, why, step) for (step, what, why), n in sorted(wanted.items())),
        tuple(_troubles(record, machine.id)),
    )


def _troubles(record: Record, machine: int) -> Iterator[str]:
    for step in record.all(Step, machine):
        if not step.back:
            yield from (f"step {step.number}, {step.name}, {words}" for words in troubles_of(record, step))
    for thing in left_overs(record, machine):
        yield f"left over, with no hole known: {thing.called}, {', '.join(record.standing(thing.id))}"


def todo_text(found: ToDo) -> str:
    """Return it as lines of text."""
    out = [found.machine]
    for do in SORTS:
        mine = [row for row in found.open_jobs if row.job.do == do]
        if mine:
            out += ["", f"To {do}"]
            out += [f"  {row.text.removeprefix(f'to {do}: ')}" for row in mine]
    if found.soaks:
        out += ["", "Soaking"]
        out += [f"  {s.what}: {s.text}  (step {s.step})" for s in found.soaks]
    if found.shopping:
        out += ["", "To be got"]
        out += [f"  {w.count} x {w.what}, {w.why}  (step {w.step})" for w in found.shopping]
    if found.trouble:
        out += ["", "Trouble with screws"]
        out += [f"  {words}" for words in found.trouble]
    if len(out) == 1:
        out.append("Nothing is left to do.")
    if found.cautions:
        out += ["", *(f"! {words}" for words in found.cautions)]
    if found.done_jobs:
        out += ["", "Done"]
        out += [f"  {row.text}" for row in found.done_jobs]
    return "\n".join(out)
