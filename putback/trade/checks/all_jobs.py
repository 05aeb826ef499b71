"""Every job of a machine, whatever it is of: a step, a bag, the machine itself.

Work at refit that was said in words alone, and soaks, are seen as jobs with a side: they are kept at their step as they
were said, and make no step wait.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from putback.trade.checks.soaks import soaking, soaks_since
from putback.trade.record.bag import Bag
from putback.trade.record.job import BEFORE_IT_IS_ON, NO_HURRY, Job
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def waived(step: Step, job: Job) -> bool:
    """Tell whether it was said that a step's part goes back as it is, though this job is open."""
    return job.question in step.confirmed


class JobAt(Struct, frozen=True):
    """A job with what it is of."""

    job: Job
    """The job."""
    machine: int
    """The machine it is on."""
    step: Step | None = None
    """Its step; None where it is of a bag or of the machine."""
    bag: Bag | None = None
    """Its bag; None where it is of a step or of the machine."""
    kept: Literal["job", "words", "soak"] = "job"
    """How it is kept: as a job; in words, as work at refit; or as a soak."""

    @property
    def where(self) -> str:
        """What it is of: `step 3, lid`, `bag 2`, `the machine`."""
        if self.step is not None:
            return f"step {self.step.number}, {self.step.name}"
        return f"bag {self.bag.number}" if self.bag is not None else "the machine"

    @property
    def stops(self) -> bool:
        """Whether its step waits for it on the way back."""
        return self.job.first and self.step is not None and not self.step.back and not waived(self.step, self.job)

    @property
    def text(self) -> str:
        """It as it is told beside others: `to get: felt (no hurry, step 3)`."""
        as_it_is = ", put on as it is" if self.step is not None and waived(self.step, self.job) else ""
        at = f"step {self.step.number}" if self.step is not None else self.where
        return f"{self.job.called} ({self.job.how}{as_it_is}, {at})"


def jobs_kept(record: Record, machine: int) -> Iterator[JobAt]:
    """Give the jobs of a machine that were said as jobs: of its steps in order, of its bags, of itself."""
    for step in record.all(Step, machine):
        yield from (JobAt(job, machine, step) for job in step.todo)
    for bag in record.all(Bag, machine):
        yield from (JobAt(job, machine, bag=bag) for job in bag.todo)
    yield from (JobAt(job, machine) for job in record.get(Machine, machine).todo)


def all_jobs(record: Record, machine: int) -> Iterator[JobAt]:
    """Give every job of a machine: those said as jobs, work at refit, and soaks."""
    yield from jobs_kept(record, machine)
    baths = {step.id for step, _ in soaking(record, machine)}
    for step in record.all(Step, machine):
        for words in step.at_refit:
            done = step.back if words in step.confirmed else ""
            yield JobAt(Job(do="do", what=words, side=BEFORE_IT_IS_ON, done=done), machine, step, kept="words")
        if step.soak is not None and step.ended:
            over = "" if step.id in baths else step.lifted or step.back or step.ended
            soak = Job(do="soak", what=step.soak.what, when=NO_HURRY, since=soaks_since(step), done=over)
            yield JobAt(soak, machine, step, kept="soak")
