"""What is left to do on one machine or all: jobs, soaks that run, and what has to be got."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.reports.sent import SentOut, sent_out
from putback.reports.size_letters import named, names_on
from putback.reports.soaking import Bath, soaks
from putback.reports.wanted import WantedThing, is_open, wanted_things
from putback.trade.cautions.dangers import cautions_told
from putback.trade.checks.all_jobs import JobAt, all_jobs, jobs_kept
from putback.trade.checks.ledger import wanting
from putback.trade.commands.on_hold import held_because
from putback.trade.commands.sorting_lots import Lot, mixed_lots
from putback.trade.record.fastener import Thing
from putback.trade.record.job import SORTS, TAKES, Job
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, few, times
from putback.trade.record.place import sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import left_overs, troubles_of
from putback.trade.refit.way_back import chases, what_waits


class JobRow(Struct, frozen=True):
    """One job, open or done."""

    at: JobAt
    """The job, and what it is of."""
    stuck: str = ""
    """What it waits for, in words; empty where it can be done here and now."""
    frees: int = 0
    """How many steps of the way back wait for it and for nothing else."""
    holds_up: int = 0
    """How many wait for it, those among them that wait for something else, too."""

    @property
    def job(self) -> Job:
        """The job."""
        return self.at.job

    @property
    def step(self) -> int:
        """The number of its step; 0 where it is of a bag or of the machine."""
        return self.at.step.number if self.at.step is not None else 0

    @property
    def text(self) -> str:
        """It in a line: `to get: felt (no hurry, step 3)`."""
        return self.at.text

    @property
    def whole(self) -> str:
        """The same with what is known of how it is made."""
        making = self.job.making
        return f"{self.text}; {making}" if making else self.text

    def freed(self, steps: str = "") -> str:
        """Return how many steps it frees: `3 steps`, or `2 of the 5 steps that it holds up`; `steps` says which."""
        if self.frees == self.holds_up:
            return f"{counted(self.frees, 'step')}{steps}"
        return f"{self.frees} of the {counted(self.holds_up, 'step')}{steps} that it holds up"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        job = self.job
        return {
            "do": job.do,
            "what": job.what,
            "when": job.when,
            "takes": job.takes or None,
            "side": job.side or None,
            "state": job.state,
            "since": job.since or None,
            "done": job.done or None,
            "result": job.result,
            "of": self.at.where,
            "step": self.step or None,
            "bag": self.at.bag.number if self.at.bag is not None else None,
            "hole": job.hole or None,
            "stuck": self.stuck or None,
            "frees": self.frees,
            "holds_up": self.holds_up,
            "making": _making_json(job) if job.do == "make" else None,
        }


def _making_json(job: Job) -> dict[str, Any]:
    """Return what is known of a thing to be made, as the command line prints it; limits in the unit of the measure."""
    measures = []
    for one in job.measures:
        read = one.read
        limits = [float(round(end, 6)) for end in read.ends]
        ends = {"least": limits[0], "most": limits[1]} if limits else {"least": None, "most": None}
        measures.append({"of": one.of, "measure": one.measure, "unit": read.unit, **ends})
    return {
        "count": job.count,
        "material": job.material or None,
        "drawing": job.drawing or None,
        "measures": measures,
    }


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


class HeldUp(Struct, frozen=True):
    """A part that is on hold: begun, and still on the machine."""

    step: int
    """The number of its step."""
    name: str
    """The part."""
    why: str
    """Why it is on hold, in the person's words, and what is off since."""

    @property
    def text(self) -> str:
        """It in a line: `step 3, clock motor, on hold: the penetrant works till tomorrow`."""
        return f"step {self.step}, {self.name}, on hold: {self.why}"


class ToDo(Struct, frozen=True):
    """Everything left to do on one machine."""

    machine: str
    """Name and serial."""
    jobs: tuple[JobRow, ...]
    """All that were said as jobs, in the order of SORTS, then by step."""
    soaks: tuple[Bath, ...]
    """What is too long in acid first, then the most overdue."""
    shopping: tuple[Wanted, ...]
    """By step."""
    trouble: tuple[str, ...] = ()
    """Screws lost, broken or left over, threads gone, of what is not back: each with its step and hole."""
    sent: tuple[SentOut, ...] = ()
    """What is out of the house, by who has it."""
    on_the_way: tuple[JobRow, ...] = ()
    """Open work that is asked for at its step on the way back, by step."""
    held: tuple[HeldUp, ...] = ()
    """What is on hold, by step."""
    number: int = 0
    """The machine's number in the workshop."""
    lots: tuple[Lot, ...] = ()
    """What came back mixed and is still to be sorted."""
    wanted: tuple[WantedThing, ...] = ()
    """What has to be got, hole by hole, with how it stands."""

    @property
    def open_jobs(self) -> tuple[JobRow, ...]:
        """The jobs that are not done, without those asked for at their step on the way back."""
        return tuple(row for row in self.jobs if row.job.open and not row.job.side)

    @property
    def done_jobs(self) -> tuple[JobRow, ...]:
        """The jobs that are done."""
        return tuple(row for row in self.jobs if not row.job.open)

    @property
    def here(self) -> tuple[JobRow, ...]:
        """The jobs that can be done here and now: what takes a few minutes first, then what frees most steps."""
        rows = [row for row in self.open_jobs if row.job.do != "get" and not row.stuck and not row.job.soaks]
        return tuple(sorted(rows, key=soonest))

    @property
    def to_get(self) -> tuple[JobRow, ...]:
        """The jobs that are to get something."""
        return tuple(row for row in self.open_jobs if row.job.do == "get" and not self._is_wanted(row))

    def _is_wanted(self, row: JobRow) -> bool:
        """Tell whether a job only says how it stands with something that has to be got, which is told for itself."""
        return row.job.what.startswith("for ") and any(
            one.step == row.step and one.hole == row.job.hole and one.state == row.job.state for one in self.wanted
        )

    @property
    def stuck(self) -> tuple[JobRow, ...]:
        """The jobs that wait for something."""
        return tuple(row for row in self.open_jobs if row.job.do != "get" and row.stuck)

    @property
    def frees_most(self) -> JobRow | None:
        """The job that frees most steps of the way back, or None where none stops any."""
        rows = [row for row in self.open_jobs if row.frees]
        return max(rows, key=lambda row: row.frees) if rows else None

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        most = self.frees_most
        return {
            "machine": self.machine,
            "jobs": [row.to_json() for row in self.jobs],
            "on_the_way_back": [row.to_json() for row in self.on_the_way],
            "frees_most": {"what": most.job.called, "steps": most.frees} if most is not None else None,
            "soaks": [
                {
                    "what": s.what,
                    "step": s.step or None,
                    "of": s.where,
                    "out": s.out_at or None,
                    "hours_left": round(s.hours_left, 2),
                    "state": s.text,
                }
                for s in self.soaks
            ],
            "sent": [one.to_json() for one in self.sent],
            "mixed": [{"place": lot.place, "count": lot.count, "of": list(lot.bags)} for lot in self.lots],
            "on_hold": [{"step": one.step, "what": one.name, "why": one.why} for one in self.held],
            "cautions": list(self.cautions),
            "shopping": [{"count": w.count, "what": w.what, "why": w.why, "step": w.step} for w in self.shopping],
            "trouble": list(self.trouble),
        }

    @property
    def cautions(self) -> tuple[str, ...]:
        """The usual cautions that open jobs and soaks call up, with their rules; last whose rules come first."""
        words = [row.job.what for row in self.open_jobs] + [bath.what for bath in self.soaks]
        return cautions_told(words)


def soonest(row: JobRow) -> tuple[int, int, int]:
    """Return by what jobs that can be done now are sorted: what takes a few minutes, then what frees most steps."""
    long = TAKES.index(row.job.takes) if row.job.takes else len(TAKES)
    return long, -row.frees, SORTS.index(row.job.do)


def to_do(record: Record, machine: Machine, *, now: str, troubles: bool = True) -> ToDo:
    """Gather what is left to do on a machine; `now` is the stamp that soaks are counted to.

    Without `troubles` nothing is said of screws that are lost or broken, but what has to be got for them.
    """
    waits = what_waits(record, machine.id)
    jobs = list(jobs_kept(record, machine.id))
    frees = _freed(record, machine.id) if any(one.stops for one in jobs) else {}
    rows = [JobRow(one, _stuck(record, one), *frees.get(_of(one), (0, 0))) for one in jobs]
    wanted = wanted_things(record, machine.id)
    words = [one for one in all_jobs(record, machine.id) if one.job.open and one.job.side]
    return ToDo(
        machine.caption,
        tuple(sorted(rows, key=lambda row: (SORTS.index(row.job.do), row.step))),
        tuple(soaks(record, machine.id, now=now)),
        tuple(_shopping(record, machine.id, wanted)),
        tuple(_troubles(record, machine.id)) if troubles else (),
        tuple(sent_out(record, machine.id, waits)),
        tuple(JobRow(one) for one in sorted(words, key=lambda one: one.step.number if one.step else 0)),
        held=tuple(
            HeldUp(step.number, step.name, held_because(record, step)) for step in record.held_steps(machine.id)
        ),
        number=machine.id,
        lots=tuple(mixed_lots(record, machine.id)),
        wanted=tuple(wanted),
    )


def _of(one: JobAt) -> tuple[int, str]:
    """Return by what a job that stops a step is found among what refit waits for."""
    return one.step.number if one.step is not None else 0, one.job.called


def _freed(record: Record, machine: int) -> dict[tuple[int, str], tuple[int, int]]:
    """Return how many steps each job frees by itself, and how many it holds up, by its step's number and what it is
    called."""
    found = chases(record, machine)
    return {(row.step, row.job.called): (row.alone, row.holds_up) for row in found if row.job is not None}


def _stuck(record: Record, one: JobAt) -> str:
    """Return what a job waits for: its part or what is in its bag is out of reach, or soaks."""
    if not one.job.open:
        return ""
    if one.bag is not None or one.step is None:
        return ""
    things = record.things_of(one.step)
    about = [t for t in things if (t.spot == one.job.hole if one.job.hole else t.sort == "part")]
    gone = [held for thing in about for held in wanting(record, thing) if sort_of(held.place) in ("away", "missing")]
    if gone and one.job.do not in ("make", "get", "find out"):
        return few([f"{held.thing.called} ({held.place})" for held in gone])
    return ""


def _shopping(record: Record, machine: int, found: Sequence[WantedThing]) -> Iterator[Wanted]:
    """Give what has to be got by step; what is in the drawer is not among it."""
    wanted: Counter[tuple[int, str, str]] = Counter()
    names = names_on(record, machine)
    for one in filter(is_open, found):
        thing = record.get(Thing, one.thing)
        what = one.size or thing.name if thing.found else named(thing, names)
        wanted[one.step, what, one.why] += one.count
    for (number, what, why), count in sorted(wanted.items()):
        yield Wanted(count, what, why, number)


def _troubles(record: Record, machine: int) -> Iterator[str]:
    for step in record.all(Step, machine):
        if not step.back:
            yield from (f"step {step.number}, {step.name}, {words}" for words in troubles_of(record, step))
    for thing in left_overs(record, machine):
        yield f"left over, with no hole known: {thing.called}, {', '.join(record.standing(thing.id))}"


def todo_lines(found: ToDo) -> Iterator[tuple[str, list[str]]]:
    """Give each group of what is left to do with its lines; groups without any are left out."""
    groups = (
        ("Now, here", [*(row.whole for row in found.here), *(lot.text for lot in found.lots)]),
        ("In soak", [f"{s.what}: {s.stands} ({s.where})" for s in found.soaks]),
        ("Sent out", [one.text for one in found.sent]),
        ("To get", [row.text for row in found.to_get]),
        ("To be got", [f"{times(w.count, w.what)}, {w.why} (step {w.step})" for w in found.shopping]),
        ("Stuck", [*(f"{row.whole}; waits for {row.stuck}" for row in found.stuck), *(one.text for one in found.held)]),
        ("On the way back", [row.text for row in found.on_the_way]),
        ("Trouble with screws", list(found.trouble)),
    )
    yield from ((title, lines) for title, lines in groups if lines)


def left_to_do(found: ToDo) -> list[str]:
    """Return all of it as sentences that stand alone, the done jobs last: as a book has it."""
    return [
        *(row.whole for row in found.open_jobs if not row.job.soaks),
        *(f"soaking, {bath.what}: {bath.stands} ({bath.where})" for bath in found.soaks),
        *(f"sent out: {one.text}" for one in found.sent),
        *(lot.text for lot in found.lots),
        *(one.text for one in found.held),
        *(f"to be got: {times(w.count, w.what)}, {w.why} (step {w.step})" for w in found.shopping),
        *found.trouble,
        *(row.text for row in found.done_jobs),
    ]


def frees_text(found: ToDo) -> str:
    """Return which job frees most steps, as a sentence; empty where none stops any."""
    most = found.frees_most
    return f"{most.job.called} frees {most.freed(' of the way back')}" if most is not None else ""


def todo_blocks(found: Sequence[ToDo]) -> Iterator[Block]:
    """Give what is left to do, machine by machine: what frees most, the groups, cautions, and what is done."""
    if not found:
        yield Block("There is no machine in this workshop yet.")
    for at, one in enumerate(found):
        yield Block(one.machine, "title", apart=at > 0)
        first, groups = frees_text(one), list(todo_lines(one))
        if first:
            yield Block(f"First: {first}.", apart=True)
        for title, lines in groups:
            yield Block(title, "heading", apart=True, said="")
            yield from (Block(line, inset=2, said=f"{title.lower()}: {line}") for line in lines)
        if not groups:
            yield Block("" if first else "Nothing is left to do.", said="nothing is left to do")
        yield from (Block(words, "caution", apart=words == one.cautions[0]) for words in one.cautions)
        if one.done_jobs:
            yield Block("Done", "heading", apart=True, said="")
            yield from (Block(row.text, inset=2, said=f"done: {row.text}") for row in one.done_jobs)
