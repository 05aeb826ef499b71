"""The way back, computed from the record: what each step asks of the planner, and what waits for what."""

from __future__ import annotations

from difflib import get_close_matches

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput
from putback.planning.tasks import Task, chase_first, least_to_reach, waiting
from putback.trade.checks.ledger import Holding, all_wanting, goes_without
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.machine import Part
from putback.trade.record.phrases import counted, few, quoted, times
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import lay_before, minds_lying
from putback.trade.refit.pace import minutes_of
from putback.trade.sizes.step_drivers import tools_counted


class Waits(Struct, frozen=True):
    """A step that cannot go back yet, and the things and jobs it waits for."""

    step: int
    """The step's number."""
    things: tuple[Holding, ...]
    """What is away, borrowed, missing or scrapped, of this step or of one that must go back before it."""
    jobs: tuple[tuple[int, Job], ...] = ()
    """The jobs to be done first, of this step or of one that must go back before it, each with its step's number."""

    @property
    def text(self) -> str:
        """The things, then the jobs, in words."""
        things = ", ".join(f"{times(h.count, h.thing.called)} ({h.told})" for h in self.things)
        return "; ".join(filter(None, (things, *(job.question for _, job in self.jobs))))

    @property
    def line(self) -> str:
        """A line of its own: `waits for cam (away: plater)`, `to make first: drip felt`."""
        return f"waits for {self.text}" if self.things else self.text


class Reach(Struct, frozen=True):
    """The least that must come off to get at a part."""

    steps: tuple[int, ...]
    """Step numbers, ascending."""
    fasteners: int
    """Fasteners taken out in them."""
    bags: tuple[int, ...]
    """Numbers of the bags they fill."""
    minutes: float
    """What they took, as far as known."""
    way_back: tuple[int, ...] = ()
    """The same steps in the order in which they go on again."""


def tasks(record: Record, machine: int) -> list[Task]:
    """Return every finished step of a machine as the planner wants it, in order of number.

    A task's bags are those that the step filled, wherever their contents were moved since. Its tools are in their
    one spelling.
    """
    found = []
    minutes = minutes_of(record, machine)
    lay = lay_before(record, machine)
    for step in record.all(Step, machine):
        if step.is_open:
            continue
        found.append(
            Task(
                number=step.number,
                needs=frozenset(step.needs),
                bags=record.bags_filled_by(step.id),
                tools=tools_counted(record, step),
                area=record.get(Part, step.area).name if step.area else "",
                minutes=minutes[step.number],
                good_stop=step.do != "let down",
                lies=lay[step.number] if minds_lying(record, step) else None,
            )
        )
    return sorted(found, key=lambda task: task.number)


def _tied(record: Record, machine: int) -> list[Task]:
    """Return every finished step with its needs alone: who asks what waits wants no tools, bags and minutes."""
    return [Task(step.number, frozenset(step.needs)) for step in record.all(Step, machine) if not step.is_open]


def what_waits(record: Record, machine: int) -> list[Waits]:
    """Return every step that cannot go back yet, ascending, each with what it waits for.

    That are things out of reach and jobs to be done first. A step that was skipped waits for its own, and nothing
    else waits for them. One on hold never came off, and holds nothing up.
    """
    short: dict[int, list[Holding]] = {}
    for held in all_wanting(record, machine):
        step = record.get(Step, held.thing.step)
        if not step.back and not step.is_open and not goes_without(step, held):
            short.setdefault(step.number, []).append(held)
    for things in short.values():
        things.sort(key=lambda held: (held.thing.id, held.place))
    undone = _jobs_first(record, machine)
    causes_of = short.keys() | undone.keys()
    skipped = {number for number in causes_of if (s := record.step(machine, number)) is not None and s.skipped}
    held_up = waiting(_tied(record, machine), causes_of - skipped) if causes_of else {}
    for number in skipped:
        held_up[number] = held_up.get(number, frozenset()) | {number}
    found = []
    for number, causes in sorted(held_up.items()):
        step_there = record.step(machine, number)
        if step_there is not None and not step_there.back:
            things = [held for cause in sorted(causes) for held in short.get(cause, ())]
            work = [(cause, job) for cause in sorted(causes) for job in undone.get(cause, ())]
            found.append(Waits(number, tuple(things), tuple(work)))
    return found


def _jobs_first(record: Record, machine: int) -> dict[int, list[Job]]:
    """Return the jobs that stop a finished step, by the step's number."""
    steps = (step for step in record.all(Step, machine) if not step.is_open)
    return {step.number: found for step in steps if (found := jobs_first(record, step))}


def steps_off(record: Record, machine: int) -> list[Step]:
    """Return the steps that are done and not back, newest first: the strict reverse."""
    return [s for s in reversed(list(record.all(Step, machine))) if not s.is_open and not s.back]


def fasteners_out(record: Record, step: Step) -> int:
    """Return how many fasteners a step took out of the machine."""
    return sum(
        count for number, count in record.released_by(step.id).items() if record.get(Thing, number).sort == "fastener"
    )


def reach(record: Record, machine: int, part: str, *, now: bool = False) -> Reach:
    """Return the least that must come off to get at `part`, as if the machine were whole.

    A part that is scrapped is reached like any other: who makes a new one asks for the way to its place. With
    `now`, what is off already is left out. Raises BadInput for a part that no step took off, with the nearest names,
    and for a name that several parts have.
    """
    steps = [s for s in record.all(Step, machine) if not s.is_open]
    target = _taking_off(record, steps, part)
    off = frozenset(s.number for s in steps if not s.back) if now else frozenset()
    numbers = frozenset(least_to_reach(tasks(record, machine), target.number, already_off=off))
    taken = [s for s in steps if s.number in numbers]
    minutes = minutes_of(record, machine)
    return Reach(
        steps=tuple(sorted(numbers)),
        fasteners=sum(fasteners_out(record, s) for s in taken),
        bags=tuple(sorted({n for s in taken for n in record.bags_filled_by(s.id)})),
        minutes=sum(minutes[s.number] for s in taken),
        way_back=tuple(reversed(sorted(numbers))),
    )


def _taking_off(record: Record, steps: list[Step], part: str) -> Step:
    """Return the last step that took off the part of that name, else the last that worked on it."""
    wanted = " ".join(part.split()).casefold()
    named = [s for s in steps if s.name.casefold() == wanted]
    off = [s for s in named if s.takes_off] or [s for s in named if s.part] or named
    if not off:
        names = {s.name.casefold(): s.name for s in steps if s.part}
        near = [quoted(names[n]) for n in get_close_matches(wanted, names, n=3, cutoff=0.5)]
        hint = f"; the parts are {few(names.values())}." if names else "."
        if near:
            hint = f"; did you mean {' or '.join(near)}?"
        if not wanted:
            raise BadInput(f"Say which part is to be reached{hint}")
        raise BadInput(f"No step took off {quoted(part)}{hint}")
    if len({(s.part, 0 if s.part else s.id) for s in off}) > 1:
        where = few([f"step {s.number} in {_area(record, s)}" for s in off])
        raise BadInput(f"There is more than one {quoted(part)}: {where}. Rename one of them.")
    return off[-1]


def _area(record: Record, step: Step) -> str:
    return record.get(Part, step.area).name if step.area else "the machine"


class Chase(Struct, frozen=True):
    """One thing or job that refit waits for, and how much of it."""

    held: Holding | None
    """The thing, and where it is; None where it is a job."""
    step: int
    """The number of its step."""
    holds_up: int
    """How many steps cannot go back without it, its own among them."""
    alone: int
    """How many of them wait for nothing else."""
    job: Job | None = None
    """The job, where it is one."""

    @property
    def text(self) -> str:
        """It in words: `bracket (away: plater) holds up 7 steps`, `to do: tip broken off, holds up 1 step`."""
        if self.held is not None:
            return f"{self.held.thing.called} ({self.held.told}) holds up {counted(self.holds_up, 'step')}"
        what = self.job.called if self.job is not None else ""
        return f"{what}, holds up {counted(self.holds_up, 'step')}"


def _held_up(record: Record, held: Holding) -> bool:
    """Tell whether a step still waits for something: it is not back, nor said to go on without it."""
    step = record.get(Step, held.thing.step)
    return not step.back and not goes_without(step, held)


def chases(record: Record, machine: int) -> list[Chase]:
    """Return what refit waits for, what holds up most first; one for each step that is short or has a job first."""
    first = {h.thing.step: h for h in reversed(all_wanting(record, machine)) if _held_up(record, h)}
    short = {record.get(Step, step).number: held for step, held in first.items()}
    undone = {number: found[0] for number, found in _jobs_first(record, machine).items()}
    blocked = short.keys() | undone.keys()
    if not blocked:
        return []
    back = frozenset(step.number for step in record.all(Step, machine) if step.back)
    skipped = {step.number for step in record.all(Step, machine) if step.skipped}
    work = [replace(task, needs=task.needs - back) for task in _tied(record, machine) if task.number not in back]
    rows = [*chase_first(work, blocked - skipped), *((number, 1, 1) for number in sorted(blocked & skipped))]
    return [
        Chase(short.get(number), number, held_up, alone, None if number in short else undone[number])
        for number, held_up, alone in rows
    ]


def chase(record: Record, machine: int) -> str:
    """Return what to chase first: the thing that holds up most of the refit, and how much. Empty for nothing."""
    found = chases(record, machine)
    return found[0].text if found else ""
