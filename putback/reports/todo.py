"""What is left to do on one machine or all: chores, soaks that run, and what has to be got."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta
from typing import Any

from msgspec import Struct

from putback.trade.asking_back import spent
from putback.trade.fastener import Thing
from putback.trade.ledger import all_wanting, reachable
from putback.trade.machine import Machine
from putback.trade.place import sort_of
from putback.trade.record import Record
from putback.trade.session import minutes_between
from putback.trade.step import CHORES, Step


class Chore(Struct, frozen=True):
    """One thing left to do."""

    do: str
    """mend, make, order or clean."""
    what: str
    """What it is about."""
    step: int
    """The step where it was said."""


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
    def told(self) -> str:
        """How it stands."""
        if self.hours_left > 0:
            return f"{self.hours_left:.0f} h to go" if self.hours_left >= 2 else f"{self.hours_left * 60:.0f} min to go"
        return "due" if self.hours_left > -1 else f"overdue by {-self.hours_left:.0f} h"

    @property
    def short(self) -> str:
        """A line for the header: `soak due: lever, 48 h`."""
        return f"soak {self.told}: {self.what}, {self.hours:g} h"


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
    chores: tuple[Chore, ...]
    """In the order of CHORES, then by step."""
    soaks: tuple[Bath, ...]
    """The most overdue first."""
    shopping: tuple[Wanted, ...]
    """By step."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "chores": [{"do": c.do, "what": c.what, "step": c.step} for c in self.chores],
            "soaks": [
                {"what": s.what, "step": s.step, "hours_left": round(s.hours_left, 2), "state": s.told}
                for s in self.soaks
            ],
            "shopping": [{"count": w.count, "what": w.what, "why": w.why, "step": w.step} for w in self.shopping],
        }


def soaks(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks that run or are due, the most overdue first. `now` is the stamp of now.

    One is over when it was lifted out, or a step that needs it was begun once it was due; a step begun
    before that only went on elsewhere meanwhile.
    """
    found = []
    for step in record.all(Step, machine):
        if step.soak is None or step.back or step.lifted or not step.ended or _gone_on_from(record, step):
            continue
        gone = minutes_between(step.ended, now) / 60
        if datetime.fromisoformat(now) < datetime.fromisoformat(step.ended):
            gone = 0.0
        found.append(Bath(step.soak.what, step.number, step.soak.hours - gone, step.soak.hours))
    return sorted(found, key=lambda bath: bath.hours_left)


def soaks_due(record: Record, machine: int, *, now: str) -> list[Bath]:
    """Return the soaks of a machine whose hours are over at the stamp `now`."""
    return [bath for bath in soaks(record, machine, now=now) if bath.hours_left <= 0]


def _gone_on_from(record: Record, step: Step) -> bool:
    """Tell whether a step that needs this one's soak was begun once it was due."""
    if step.soak is None:
        return False
    due = datetime.fromisoformat(step.ended) + timedelta(hours=step.soak.hours)
    later = record.steps_needing(step.machine, step.number)
    return any(s.began and datetime.fromisoformat(s.began) >= due for s in later)


def to_do(record: Record, machine: Machine, *, now: str) -> ToDo:
    """Gather what is left to do on a machine; `now` is the stamp that soaks are counted to."""
    chores = [Chore(c.do, c.what, s.number) for s in record.all(Step, machine.id) for c in s.todo]
    wanted: Counter[tuple[int, str, str]] = Counter()
    for held in all_wanting(record, machine.id):
        if sort_of(held.place) in ("scrapped", "missing"):
            step = record.get(Step, held.thing.step)
            wanted[step.number, held.thing.called, sort_of(held.place)] += held.count
    for step in record.all(Step, machine.id):
        for thing in spent(record, step):
            wanted[step.number, thing.called, "goes in new"] += sum(reachable(record, thing).values())
    for thing in record.all(Thing, machine.id):
        if thing.found:
            wanted[record.get(Step, thing.step).number, thing.should_be or thing.name, "found empty"] += 1
    return ToDo(
        machine.caption,
        tuple(sorted(chores, key=lambda c: (CHORES.index(c.do), c.step))),
        tuple(soaks(record, machine.id, now=now)),
        tuple(Wanted(n, what, why, step) for (step, what, why), n in sorted(wanted.items())),
    )


def todo_text(found: ToDo) -> str:
    """Return it as lines of text."""
    out = [found.machine]
    for do in CHORES:
        mine = [c for c in found.chores if c.do == do]
        if mine:
            out += ["", f"To {do}"]
            out += [f"  {c.what}  (step {c.step})" for c in mine]
    if found.soaks:
        out += ["", "Soaking"]
        out += [f"  {s.what}: {s.told}  (step {s.step})" for s in found.soaks]
    if found.shopping:
        out += ["", "To be got"]
        out += [f"  {w.count} x {w.what}, {w.why}  (step {w.step})" for w in found.shopping]
    if len(out) == 1:
        out.append("Nothing is left to do.")
    return "\n".join(out)
