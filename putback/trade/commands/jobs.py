"""Rules for jobs: said at a step, taken in hand, done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.job import DONE, IN_HAND, NOW, SORTS, STATES, WHENS, Job
from putback.trade.record.phrases import few, quoted
from putback.trade.record.step import Step


class WorkOn(Command, frozen=True, kw_only=True):
    """Say how the job about `what` of a step stands: to do, in hand, done; `result` is what came of it.

    `step` 0 means the one being done; `do` is its sort, needed only where two jobs are about the same.
    """

    is_work = False

    step: int
    """The number of the job's step on this machine."""
    what: str
    """What the job is about, in the words it was noted with; capitals do not matter."""
    state: str
    """One of `record.job.STATES`."""
    result: str = ""
    """What came of it, said with `done` only; empty leaves what was said before."""
    do: str = ""
    """One of `record.job.SORTS`; empty where one job of the step is about that."""

    def words(self) -> Iterator[str]:
        yield self.result


def checked_job(job: Job, at: str) -> Job:
    """Return a job as it is kept: its texts clean, its stamps real ones; `at` is the stamp of now.

    Raises BadInput where its sort or time is unknown, it is about nothing, or a stamp is none.
    """
    for word, words, what in ((job.do, SORTS, "sort of job"), (job.when, WHENS, "time for a job")):
        if word not in words:
            raise BadInput(f"{quoted(word)} is not a {what}; say {', '.join(words)}.")
    stamps = {name: at if stamp == NOW else stamp for name, stamp in (("since", job.since), ("done", job.done))}
    for stamp in filter(None, stamps.values()):
        if not _is_stamp(stamp):
            raise BadInput(f"{quoted(stamp)} is not a date and time with an offset.")
    what = _folded(job.what)
    if not what:
        raise BadInput("Say what the job is about.")
    return replace(job, what=what, result=_folded(job.result), **stamps)


def _folded(words: str) -> str:
    return " ".join(words.split())


def _is_stamp(stamp: str) -> bool:
    try:
        return datetime.fromisoformat(stamp).tzinfo is not None
    except ValueError:
        return False


def checked_jobs(jobs: Iterable[Job], at: str) -> tuple[Job, ...]:
    """Return the jobs of a step as they are kept. Raises BadInput where two are the same."""
    checked = tuple(checked_job(job, at) for job in jobs)
    seen: set[tuple[str, str]] = set()
    for job in checked:
        if _same(job) in seen:
            raise BadInput(f"{quoted(job.called)} is there twice.")
        seen.add(_same(job))
    return checked


def _same(job: Job) -> tuple[str, str]:
    """Return what tells the jobs of one step apart."""
    return job.do, _folded(job.what).casefold()


def more_jobs(had: tuple[Job, ...], new: Iterable[Job], at: str) -> tuple[Job, ...]:
    """Return a step's jobs with more said; one said again just so counts once.

    Raises BadInput where one is there already and stands otherwise, or two of the new ones are the same.
    """
    known = {_same(job): job for job in had}
    added = []
    for job in checked_jobs(dict.fromkeys(new), at):
        there = known.get(_same(job))
        if there is None:
            added.append(job)
        elif there != job:
            raise BadInput(f"{quoted(job.called)} is among the jobs of this step already: {there.stands}.")
    return (*had, *added)


def work_on(draft: Draft, command: WorkOn) -> Change:
    """Say how a job stands: to do, in hand, done."""
    step = step_numbered(draft, command.step)
    if command.state not in STATES:
        raise BadInput(f"{quoted(command.state)} is not a state of a job; say {', '.join(STATES)}.")
    job = _meant(step, command)
    result = _folded(command.result)
    if result and command.state != DONE:
        raise Refused("A result is entered when the job is done.")
    if command.state == job.state and (job.result == result or not result):
        raise Refused(f"{quoted(job.what)} is {job.state} already.")
    if command.state == DONE:
        new = replace(job, done=job.done or draft.at, result=result or job.result)
    else:
        new = replace(job, since=draft.at if command.state == IN_HAND else "", done="", result="")
    draft.alter(step, todo=tuple(new if one is job else one for one in step.todo))
    came = f": {result}" if result else ""
    return draft.change("WorkOn", f"{command.state}: {job.what} (step {step.number}){came}")


def _meant(step: Step, command: WorkOn) -> Job:
    """Return the job of a step that a command is about. Raises Refused where there is none, or more than one."""
    wanted = _folded(command.what).casefold()
    if command.do and command.do not in SORTS:
        raise BadInput(f"{quoted(command.do)} is not a sort of job; say {', '.join(SORTS)}.")
    found = [
        job for job in step.todo if _folded(job.what).casefold() == wanted and (not command.do or job.do == command.do)
    ]
    if not found:
        named = few([quoted(job.what) for job in step.todo]) or "none"
        raise Refused(f"Step {step.number} has no job about {quoted(command.what)}; its jobs are: {named}.")
    if len(found) > 1:
        sorts = few([job.do for job in found])
        raise Refused(f"Step {step.number} has several jobs about {quoted(command.what)}; say which: {sorts}.")
    return found[0]


RULES: dict[type[Command], Any] = {WorkOn: work_on}
