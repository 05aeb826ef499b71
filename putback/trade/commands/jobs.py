"""Rules for jobs: said of a step, a bag or the machine, taken in hand, done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.mended_words import job_mended
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.fastener import spot
from putback.trade.record.holes import read_spot
from putback.trade.record.job import DONE, IN_HAND, NOW, SIDES, SORTS, STATES, TAKES, WHENS, Job
from putback.trade.record.machine import Machine
from putback.trade.record.making import MOST_PIECES, checked_dimension
from putback.trade.record.phrases import few, quoted
from putback.trade.record.step import Step


class WorkOn(Command, frozen=True, kw_only=True):
    """Say how the job about `what` stands: to do, in hand, done; `result` is what came of it.

    It is a job of step `step`, 0 for the one being done; of bag `bag`, where that is said; or of the machine itself.
    `do` is its sort, needed only where two jobs are about the same.
    """

    is_work = False

    what: str
    """What the job is about, in the words it was noted with; capitals do not matter."""
    state: str
    """One of `record.job.STATES`."""
    step: int = 0
    """The number of the job's step on this machine."""
    bag: int = 0
    """The number of the job's bag on this machine; 0 where it is of no bag."""
    of_machine: bool = False
    """Whether it is a job of the machine itself."""
    result: str = ""
    """What came of it, said with `done` only; empty leaves what was said before."""
    do: str = ""
    """One of `record.job.SORTS`; empty where one job of the step is about that."""

    def words(self) -> Iterator[str]:
        """Give what is to be done as it is taken in hand: once it is done nobody has to be told of it."""
        yield self.result
        yield "" if self.state == DONE else self.what


class SayJob(Command, frozen=True, kw_only=True):
    """Note a job: of step `step`, 0 for the one being done; of bag `bag`; or of the machine itself."""

    is_work = False

    job: Job
    """The job; one about the same that stands otherwise is refused."""
    step: int = 0
    """The number of the step on this machine."""
    bag: int = 0
    """The number of the bag on this machine; 0 where it is of no bag."""
    of_machine: bool = False
    """Whether it is a job of the machine itself."""


class MendJob(Command, frozen=True, kw_only=True):
    """Say what is so of a job that was noted wrong, or that it is not a job at all. It is found as by WorkOn."""

    is_work = False

    what: str
    """What the job is about, in the words it was noted with; capitals do not matter."""
    job: Job | None
    """The job as it should be; None takes it out."""
    step: int = 0
    """The number of the step on this machine."""
    bag: int = 0
    """The number of the bag on this machine; 0 where it is of no bag."""
    of_machine: bool = False
    """Whether it is a job of the machine itself."""
    do: str = ""
    """One of `record.job.SORTS`; empty where one job there is about that."""


def checked_job(job: Job, draft: Draft) -> Job:
    """Return a job as it is kept: its texts clean, its stamps real ones, its measures with their unit.

    Raises BadInput where its sort or time is unknown, it is about nothing, or a stamp or a measure is none.
    """
    for word, words, what in (
        (job.do, SORTS, "sort of job"),
        (job.when, WHENS, "time for a job"),
        (job.takes, ("", *TAKES), "time that a job takes"),
        (job.side, ("", *SIDES), "side of a job"),
    ):
        if word not in words:
            raise BadInput(f"{quoted(word)} is not a {what}; say {', '.join(filter(None, words))}.")
    hole = spot(*read_spot(job.hole)) if job.hole else ""
    stamps = {name: draft.at if stamp == NOW else stamp for name, stamp in (("since", job.since), ("done", job.done))}
    for stamp in stamps.values():
        checked_stamp(stamp)
    if job.hours:
        if job.do != "soak":
            raise BadInput("Only a job to soak has hours.")
        checked_hours(job.hours)
    what = _folded(job.what)
    if not what:
        raise BadInput("Say what the job is about.")
    return replace(_checked_making(job, draft), what=what, result=_folded(job.result), hole=hole, **stamps)


def _checked_making(job: Job, draft: Draft) -> Job:
    """Return a job with what is known of a thing to be made as it is kept."""
    if job.do != "make" and job.is_measured:
        raise BadInput("Only what is to be made has measures, a material, a drawing or a count.")
    if not 1 <= job.count <= MOST_PIECES:
        raise BadInput(f"From 1 to {MOST_PIECES} are made of one thing; {job.count} was said.")
    if not job.is_measured:
        return job
    unit = draft.get(Machine, draft.machine).unit
    measures = tuple(checked_dimension(one, unit) for one in job.measures)
    of = [one.of.casefold() for one in measures]
    twice = next((one.of for one in measures if of.count(one.of.casefold()) > 1), "")
    if twice:
        raise BadInput(f"There are two measures of the {twice}; say what each is of.")
    return replace(job, measures=measures, material=_folded(job.material), drawing=_folded(job.drawing))


def _folded(words: str) -> str:
    return " ".join(words.split())


def checked_stamp(stamp: str) -> str:
    """Return a stamp as it is, empty where nothing was said. Raises BadInput where it is none."""
    if stamp and not _is_stamp(stamp):
        raise BadInput(f"{quoted(stamp)} is not a date and time with an offset.")
    return stamp


def checked_hours(hours: float) -> float:
    """Return the hours of a soak as they are. Raises BadInput where it is none, or longer than a year."""
    if not 0 < hours <= 24 * 365:
        raise BadInput("A soak must be longer than 0 hours, and at most a year.")
    return hours


def _is_stamp(stamp: str) -> bool:
    try:
        return datetime.fromisoformat(stamp).tzinfo is not None
    except ValueError:
        return False


def checked_jobs(jobs: Iterable[Job], draft: Draft) -> tuple[Job, ...]:
    """Return the jobs of a step as they are kept. Raises BadInput where two are the same."""
    checked = tuple(checked_job(job, draft) for job in jobs)
    seen: set[tuple[str, str]] = set()
    for job in checked:
        if _same(job) in seen:
            raise BadInput(f"{quoted(job.called)} is there twice.")
        seen.add(_same(job))
    return checked


def _same(job: Job) -> tuple[str, str]:
    """Return what tells the jobs of one step apart."""
    return job.do, _folded(job.what).casefold()


def more_jobs(had: tuple[Job, ...], new: Iterable[Job], draft: Draft) -> tuple[Job, ...]:
    """Return a step's jobs with more said; one said again just so counts once.

    Raises BadInput where one is there already and stands otherwise, or two of the new ones are the same.
    """
    known = {_same(job): job for job in had}
    added = []
    for job in checked_jobs(dict.fromkeys(new), draft):
        there = known.get(_same(job))
        if there is None:
            added.append(job)
        elif there != job:
            raise BadInput(f"{quoted(job.called)} is among the jobs of this step already: {there.stands}.")
    return (*had, *added)


Holder = Step | Bag | Machine
"""What a job is of."""


def _holder(draft: Draft, command: WorkOn | SayJob | MendJob) -> Holder:
    """Return what a job is of: a step, a bag, or the machine. Raises Refused where there is no such thing."""
    if command.of_machine:
        return draft.get(Machine, draft.machine)
    if command.bag:
        bag = draft.record.bag(draft.machine, command.bag)
        if bag is None:
            raise Refused(f"There is no bag {command.bag} on this machine.")
        return bag
    return step_numbered(draft, command.step)


def holder_words(holder: Holder) -> str:
    """Return what a job is of, as the end of a sentence: `step 3`, `bag 2`, `the machine`."""
    if isinstance(holder, Machine):
        return "the machine"
    return f"{'step' if isinstance(holder, Step) else 'bag'} {holder.number}"


def work_on(draft: Draft, command: WorkOn) -> Change:
    """Say how a job stands: to do, in hand, done."""
    holder = _holder(draft, command)
    if command.state not in STATES:
        raise BadInput(f"{quoted(command.state)} is not a state of a job; say {', '.join(STATES)}.")
    job = _meant(holder, command.what, command.do)
    result = _folded(command.result)
    if result and command.state != DONE:
        raise Refused("A result is entered when the job is done.")
    if command.state == job.state and (job.result == result or not result):
        raise Refused(f"{quoted(job.what)} is {job.state} already.")
    if command.state == DONE:
        new = replace(job, done=job.done or draft.at, result=result or job.result)
    else:
        new = replace(job, since=draft.at if command.state == IN_HAND else "", done="", result="")
    _exchange(draft, holder, job, new)
    came = f": {result}" if result else ""
    state = new.begun if command.state == IN_HAND else command.state
    return draft.change("WorkOn", f"{state}: {job.what} ({holder_words(holder)}){came}")


def _exchange(draft: Draft, holder: Holder, old: Job, new: Job | None) -> None:
    """Let a job stand otherwise, or go; what was confirmed of it at its step is to be asked for again."""
    todo = tuple(new if one is old else one for one in holder.todo)
    kept = tuple(job for job in todo if job is not None)
    if isinstance(holder, Step) and old.side and (new is None or new.open or new.asked != old.asked):
        confirmed = tuple(item for item in holder.confirmed if item != old.asked)
        draft.alter(holder, todo=kept, confirmed=confirmed)
    else:
        draft.alter(holder, todo=kept)


def say_job(draft: Draft, command: SayJob) -> Change:
    """Note a job of a step, a bag or the machine."""
    holder = _holder(draft, command)
    if not isinstance(holder, Step) and (command.job.side or command.job.hole):
        raise Refused("Only a job of a step can be about a hole, or be done before or after its part is on.")
    todo = more_jobs(holder.todo, (command.job,), draft)
    if todo == holder.todo:
        raise Refused(f"{quoted(command.job.called)} is among the jobs of {holder_words(holder)} already.")
    draft.alter(holder, todo=todo)
    return draft.change("SayJob", f"job noted: {todo[-1].text} ({holder_words(holder)})")


def mend_job(draft: Draft, command: MendJob) -> Change:
    """Let a job that was noted wrong be as it should, or take it out."""
    holder = _holder(draft, command)
    old = _meant(holder, command.what, command.do)
    if command.job is None:
        _exchange(draft, holder, old, None)
        return draft.change("MendJob", f"taken out: {old.called} ({holder_words(holder)})")
    if not isinstance(holder, Step) and (command.job.side or command.job.hole):
        raise Refused("Only a job of a step can be about a hole, or be done before or after its part is on.")
    new = checked_job(command.job, draft)
    checked_jobs((*(job for job in holder.todo if job is not old), new), draft)
    _exchange(draft, holder, old, new)
    return draft.change("MendJob", f"job mended: {job_mended(old, new)} ({holder_words(holder)})")


def _meant(holder: Holder, what: str, do: str) -> Job:
    """Return the job that a command is about. Raises Refused where there is none, or more than one."""
    wanted, at = _folded(what).casefold(), holder_words(holder)
    at = at[0].upper() + at[1:]
    if do and do not in SORTS:
        raise BadInput(f"{quoted(do)} is not a sort of job; say {', '.join(SORTS)}.")
    found = [job for job in holder.todo if _folded(job.what).casefold() == wanted and (not do or job.do == do)]
    if not found:
        named = few([quoted(job.what) for job in holder.todo]) or "none"
        raise Refused(f"{at} has no job about {quoted(what)}; its jobs are: {named}.")
    if len(found) > 1:
        sorts = few([job.do for job in found])
        raise Refused(f"{at} has several jobs about {quoted(what)}; say which: {sorts}.")
    return found[0]


RULES: dict[type[Command], Any] = {WorkOn: work_on, SayJob: say_job, MendJob: mend_job}
