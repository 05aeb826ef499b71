"""What can be done now, over all machines, in groups: the lines of the jobs page, each with what it is about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from putback.reports.sent import SentOut
from putback.reports.soaking import Bath, soaks, worst
from putback.reports.to_get import GetLine, get_key, get_lines
from putback.reports.todo import HeldUp, JobRow, ToDo, soonest, to_do
from putback.trade.checks.all_jobs import JobAt
from putback.trade.commands.sorting_lots import Lot
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

Group = Literal["now, here", "in soak", "sent out", "to get", "stuck"]

GROUPS: tuple[Group, ...] = ("now, here", "in soak", "sent out", "to get", "stuck")
"""The groups of the page, in their order."""

Key = tuple[str | int, ...]
"""By what a line is found again after something was done."""


class JobLine(Struct, frozen=True):
    """One line of the page."""

    group: Group
    """Its group."""
    machine: int
    """The machine it is on."""
    text: str
    """It in a line."""
    key: Key
    """By what it is found again."""
    about: JobRow | Bath | SentOut | GetLine | HeldUp | Lot
    """What it is about."""

    @property
    def at(self) -> JobAt | None:
        """The job, where it is one."""
        return self.about.at if isinstance(self.about, JobRow) else None


def job_key(one: JobAt) -> Key:
    """Return by what a job is found again, however it stands."""
    step, bag = (one.step.id if one.step else 0), (one.bag.id if one.bag else 0)
    return "job", one.machine, step, bag, one.job.do, one.job.what


def lines_of_machine(found: ToDo) -> Iterator[JobLine]:
    """Give the lines of one machine, group by group."""

    def line(group: Group, text: str, about: JobRow | Bath | SentOut | HeldUp | Lot, key: Key) -> JobLine:
        return JobLine(group, found.number, text, key, about)

    for row in found.here:
        yield line("now, here", row.text, row, job_key(row.at))
    for lot in found.lots:
        yield line("now, here", lot.text, lot, ("lot", found.number, lot.place))
    for bath in found.soaks:
        yield line(
            "in soak", f"{bath.what}: {bath.stands} ({bath.where})", bath, ("soak", found.number, bath.where, bath.what)
        )
    for one in found.sent:
        yield line("sent out", one.text, one, ("sent", found.number, one.place, one.since))
    for row in found.to_get:
        yield line("to get", row.text, row, job_key(row.at))
    for row in found.stuck:
        yield line("stuck", f"{row.text}; waits for {row.stuck}", row, job_key(row.at))
    for held in found.held:
        yield line("stuck", held.text, held, ("held", found.number, held.step))


class JobsKept:
    """What is left to do of every machine, gathered again only where something changed."""

    def __init__(self) -> None:
        self._found: dict[int, tuple[int, ToDo]] = {}
        self._now: dict[int, tuple[int, str, ToDo, list[JobLine]]] = {}
        self.unsent = ("", "", "")
        """To whom, what for and until when something was to be sent, where the question what was left; else empty."""
        self.said_on = 0
        """The machine of which something was said last, on the page or on a card of it; 0 for the one on the bench."""

    def all(self, record: Record, *, now: str) -> list[ToDo]:
        """Return what is left to do, machine by machine; `now` is the stamp that soaks are counted to."""
        return [self.of(record, machine, now=now) for machine in record.all(Machine)]

    def gather_one(self, record: Record, *, now: str) -> bool:
        """Gather one machine that was not yet; tell whether there was any."""
        machine = next((one for one in record.all(Machine) if one.id not in self._found), None)
        if machine is not None:
            self.of(record, machine, now=now)
        return machine is not None

    def of(self, record: Record, machine: Machine, *, now: str) -> ToDo:
        """Return what is left to do on a machine."""
        return self._standing(record, machine, now)[0]

    def lines(self, record: Record, *, now: str) -> list[JobLine]:
        """Return the lines of all machines, machine by machine, what has to be got left out."""
        return [line for machine in record.all(Machine) for line in self._standing(record, machine, now)[1]]

    def _standing(self, record: Record, machine: Machine, now: str) -> tuple[ToDo, list[JobLine]]:
        """Return what is left to do on a machine, and its lines; hours that something soaks go on by the minute."""
        changes = record.changes(machine.id)
        kept = self._found.get(machine.id)
        if kept is None or kept[0] != changes:
            kept = self._found[machine.id] = (changes, to_do(record, machine, now=now, troubles=False))
        stands = self._now.get(machine.id)
        if stands is None or stands[0] != changes or (kept[1].soaks and stands[1] != now[:16]):
            found = kept[1]
            if found.soaks:
                found = replace(found, soaks=tuple(soaks(record, machine.id, now=now)))
            stands = self._now[machine.id] = (changes, now[:16], found, list(lines_of_machine(found)))
        return stands[2], stands[3]


def job_lines(record: Record, found: Sequence[ToDo], known: Sequence[JobLine] | None = None) -> list[JobLine]:
    """Return the lines of the page: group by group; what can be done now and what soaks by what is urgent.

    What has to be got is one list over all machines. `known` are the lines of `found` where they are at hand.
    """
    lines = [line for one in found for line in lines_of_machine(one)] if known is None else list(known)
    for wanted in get_lines(record, [thing for one in found for thing in one.wanted], ways=False):
        first = wanted.things[0]
        lines.append(JobLine("to get", first.machine, wanted.text, ("get", *get_key(first)), wanted))
    return sorted(lines, key=_place)


def _place(line: JobLine) -> tuple[int, tuple[float, ...]]:
    """Return where a line stands: in its group, and there what is most urgent of all machines first."""
    order: tuple[float, ...] = ()
    if isinstance(line.about, Bath):
        order = worst(line.about)
    elif isinstance(line.about, JobRow) and line.group == "now, here":
        order = soonest(line.about)
    return GROUPS.index(line.group), order


def first_of_all(found: Sequence[ToDo]) -> str:
    """Return which job frees most steps of all machines, as a sentence; empty where none stops any."""
    rows = [one for one in found if one.frees_most is not None]
    if not rows:
        return ""
    most = max(rows, key=lambda one: one.frees_most.frees if one.frees_most is not None else 0)
    if most.frees_most is None:
        return ""
    of = f" [{most.machine}]" if len(found) > 1 else ""
    return f"First: {most.frees_most.job.called}{of} (it frees {most.frees_most.freed()})"
