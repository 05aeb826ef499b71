"""The machines of the workshop: how each stands, since when nobody touched it, what is due, what it waits for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any, Literal

from msgspec import Struct

from putback.dates import day_in_words
from putback.reports.blocks import Block
from putback.reports.going_back import ready
from putback.reports.sent import sent_out
from putback.reports.soaking import soaks_due
from putback.reports.summary import where_to_start
from putback.trade.checks.open_jobs import not_in_its_place
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.refit.way_back import chases, steps_off, what_waits

State = Literal["coming apart", "waiting", "going back", "done"]
"""coming apart: nothing is back yet. waiting: it goes back, and no step of it can go on now. going back: some can.
done: every step is back."""


FAR_BACK = 300
"""Days from which on a day is told with its year."""


class MachineLine(Struct, frozen=True):
    """One machine in a line."""

    number: int
    """Its number in the workshop."""
    machine: str
    """Name and serial."""
    state: State
    """How it stands."""
    touched: str
    """When something was done at it last, as a stamp; empty where nothing was yet."""
    days: int
    """Whole days since then."""
    due: tuple[str, ...]
    """Soaks that are due, and what was sent out and is due."""
    waits: tuple[str, ...]
    """What it waits for, what holds up most first."""
    next: str
    """Where to start."""
    amiss: int = 0
    """Of a machine whose every step is back: how many holes are open, and things lie about."""

    @property
    def text(self) -> str:
        """How it stands in a line: `going back, 3 days since 7 Nov; waits for bracket (away: plater)`."""
        year = f" {self.touched[:4]}" if self.days >= FAR_BACK else ""
        if not self.touched and self.state == "coming apart":
            return "not begun"
        since = f", {counted(self.days, 'day')} since {day_in_words(self.touched)}{year}" if self.days else ", today"
        since = since if self.touched else ""
        amiss = f", {counted(self.amiss, 'thing')} not in its place" if self.amiss == 1 else ""
        amiss = amiss or (f", {counted(self.amiss, 'thing')} not in their places" if self.amiss else "")
        return f"{self.state}{amiss}{since}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "state": self.state,
            "touched": self.touched or None,
            "days": self.days if self.touched else None,
            "due": list(self.due),
            "waits": list(self.waits),
            "next": self.next,
        }


def machine_state(record: Record, machine: int) -> State:
    """Return how a machine stands."""
    off = steps_off(record, machine)
    if record.open_step(machine) is not None or not any(step.back for step in record.all(Step, machine)):
        return "coming apart"
    if not off:
        return "done"
    return "going back" if ready(record, off, what_waits(record, machine)) else "waiting"


def machine_line(record: Record, machine: Machine, *, now: str) -> MachineLine:
    """Return a machine in a line; `now` is the stamp that days and soaks are counted to."""
    stamps = [
        segment.end or segment.start for session in record.all(Session, machine.id) for segment in session.segments
    ]
    touched = max(stamps, key=datetime.fromisoformat, default="")
    gone = datetime.fromisoformat(now) - datetime.fromisoformat(touched) if touched else None
    state = machine_state(record, machine.id)
    return MachineLine(
        number=machine.id,
        machine=machine.caption,
        state=state,
        touched=touched,
        days=max(0, gone.days) if gone is not None else 0,
        due=(
            *(bath.short for bath in soaks_due(record, machine.id, now=now)),
            *filter(None, (sent.due_text(now) for sent in sent_out(record, machine.id))),
        ),
        waits=tuple(chase.text for chase in chases(record, machine.id)),
        next=where_to_start(record, machine.id),
        amiss=len(not_in_its_place(record, machine.id)) if state == "done" else 0,
    )


def machine_lines(record: Record, *, now: str) -> list[MachineLine]:
    """Return every machine in a line, in the order they came to the bench."""
    return [machine_line(record, machine, now=now) for machine in record.all(Machine)]


LISTED = 9
"""Machines up to which a list says how each stands: with more, only since when nobody touched it."""


def machine_choices(record: Record, *, now: str) -> list[tuple[Machine, str]]:
    """Return every machine with a line to choose it by: how it stands, what is due, what it waits for first."""
    found: list[tuple[Machine, str]] = []
    machines = list(record.all(Machine))
    for machine in machines:
        if len(machines) > LISTED:
            found.append((machine, machine.caption))
            continue
        line = machine_line(record, machine, now=now)
        waits = [f"waits: {line.waits[0]}"] if line.waits and line.state == "waiting" else []
        found.append((machine, "; ".join((f"{machine.caption}: {line.text}", *line.due, *waits))))
    return found


def machine_blocks(found: list[MachineLine]) -> Iterator[Block]:
    """Give the machines, each with what is due, what it waits for and where to start."""
    for line in found:
        yield Block(f"{line.machine}: {line.text}", "heading")
        yield from (Block(words, inset=2) for words in (*line.due, *line.waits[:3], f"next: {line.next}"))
    if not found:
        yield Block("There is no machine in this workshop yet.")
