"""A step in words as the way back speaks of it: what is put on, set, worked on, and where its things were moved."""

from __future__ import annotations

from collections.abc import Iterator

from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import times
from putback.trade.record.place import in_line
from putback.trade.record.record import Record
from putback.trade.record.step import Adjustment, Step
from putback.trade.refit.as_set import as_set_words

OWN_NOTES = frozenset(
    {"replaced", "goes in once only", "new at refit", "was in the wrong bag", "back, and looked at", "found again",
     "given back", "lost", "broken", "another goes in", "left over"}
)  # fmt: skip
"""Notes that the program itself writes on a move; the move says as much."""


def moves_noted(record: Record, step: Step) -> Iterator[str]:
    """Give the moves of a step's things of which something was said, as they were made."""
    for move in record.noted_moves_of(step):
        if move.note not in OWN_NOTES or move.because:
            thing = record.get(Thing, move.thing)
            because = f"; kept as found, thrown away because: {move.because}" if move.because else ""
            way = f"{in_line(move.source)} to {in_line(move.target)}"
            yield f"{times(move.count, thing.called)}, {way}: {move.note}{because}"


def setting_words(setting: Adjustment, machine: Machine) -> str:
    """Return a setting as it is asked for: to what, how it was found, why it ought to be so; and as it was set."""
    why = f"why: {setting.why}" if setting.why else ""
    return "; ".join(filter(None, (setting.text, why, as_set_words(setting, "mm" if machine.unit == "mm" else "in"))))


def work_words(step: Step, item: str) -> str:
    """Return work of the way back as it is asked for, with what else was said: `oil the hinge (a few minutes)`."""
    job = next((job for job in step.on_the_way_back if job.asked == item), None)
    about = ", ".join(filter(None, (job.result, job.takes, job.at_hole, job.making))) if job is not None else ""
    return f"{item} ({about})" if about else item


def step_named(step: Step) -> str:
    """Return a step's number and name, as one speaks of it: `11 turn of the machine`, `9 clock motor`."""
    if step.do == "turn":
        return f"{step.number} {turn_named(step)}"
    return f"{step.number} {step.name}"


def turn_named(step: Step) -> str:
    """Return what a turn is called: `turn of the machine`."""
    return "turn of the machine" if step.name == "machine" else f"turn of {step.name}"


def at_refit(step: Step) -> str:
    """Return what refit does with a step, in words: `put on lid` for one that took it off."""
    if step.do == "turn":
        what = "the machine" if step.name == "machine" else step.name
        return f"{what} was turned here: {step.state}" if step.state else f"{what} was turned here"
    verb = {
        "take off": "put on",
        "let down": "wind up",
        "drive out": "drive in",
        "undo": "do up",
        "loosen": "tighten",
        "mark": "look at the mark:",
        "measure": "measure again:",
        "soak": "was soaked:",
    }[step.do]
    return f"{verb} {step.name}"
