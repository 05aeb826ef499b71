"""The walk-back: what was done last, to be checked against the machine before a hand moves."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

from msgspec import Struct

from putback.reports.soaking import soaks_due
from putback.reports.summary import open_questions, where_to_start
from putback.trade.checks.tools_out import notes_for_return
from putback.trade.commands.on_hold import held_because
from putback.trade.record.holes import spots_named
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import holes_left, left_words

WALKED = 3
"""Steps that are walked back over; common practice, no source."""


class WalkBackReport(Struct, frozen=True):
    """What one is told on coming back to a machine."""

    machine: Machine
    """The machine."""
    notes: tuple[str, ...]
    """What was left to be said first, and soaks that are due."""
    steps: tuple[Step, ...]
    """What was done last, newest first."""
    questions: tuple[str, ...]
    """What is open."""
    next: str
    """Where to start."""
    half_done: str = ""
    """What is recorded of a step that is still coming off; empty where none is."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine.caption,
            "notes": list(self.notes),
            "steps": [{"step": step.number, "told": step.text} for step in self.steps],
            "half_done": self.half_done,
            "questions": list(self.questions),
            "next": self.next,
        }


def walk_steps(record: Record, machine: int, count: int) -> list[Step]:
    """Return what was done last, newest first: steps put back, taken off, or still coming off.

    A turn or a soak that ticked itself off on the way back was nothing that hands did.
    """

    done = (step for step in record.latest_steps(machine) if not (step.back and step.do in ("turn", "soak")))
    return list(islice(done, count))


def half_done(record: Record, step: Step) -> str:
    """Return what is recorded of a step that is still coming off, and that the rest was not kept; else nothing."""
    if not step.is_open or step.on_hold:
        return f"on hold: {held_because(record, step)}" if step.on_hold else ""
    holes = list(dict.fromkeys(thing.spot for thing in record.things_of(step) if thing.hole))
    if not holes:
        return "no hole of it is recorded; what was typed was not kept"
    are, them = ("is", "it") if len(holes) == 1 else ("are", "them")
    return f"{spots_named(holes)} {are} recorded; what was typed after {them} was not kept"


def machine_cautions(machine: Machine) -> list[str]:
    """Return the cautions of the machine itself, as they are said on every return."""
    return [f"caution, the machine: {caution}" for caution in machine.cautions]


def _left(record: Record, machine: int) -> Iterator[str]:
    """Give the holes that were left at the steps walked over."""
    for step in walk_steps(record, machine, WALKED):
        if not step.back and not step.is_open and (left := left_words(holes_left(record, step))):
            yield f"step {step.number}, {step.name}: {left}"


def walk_back(record: Record, machine: Machine, *, now: str) -> WalkBackReport:
    """Return what is said on coming back to a machine; `now` is the stamp that soaks are counted to."""
    notes = [f"your note: {note}" for note in notes_for_return(record, machine.id)]
    notes += machine_cautions(machine)
    notes += [bath.short for bath in soaks_due(record, machine.id, now=now)]
    return WalkBackReport(
        machine,
        tuple(notes),
        tuple(walk_steps(record, machine.id, WALKED)),
        (*open_questions(record, machine.id, now=now), *_left(record, machine.id)),
        where_to_start(record, machine.id),
        half_done(record, step) if (step := record.open_step(machine.id)) is not None else "",
    )
