"""What a step needs: the steps before it that are taken for granted, those that may be said, and saying so."""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.planning.tasks import Task, circle_with, say_circle
from putback.trade.checks.skipped_steps import held_by, in_the_way
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.tree import around


class SetNeeds(Command, frozen=True, kw_only=True):
    """Say which steps had to be done before; none means it could have come off any time."""

    step: int = 0
    """The number of the step on this machine; 0 for the step being done."""
    needs: tuple[int, ...] = ()
    """Numbers of the earlier steps that it needs, all of them."""
    why: str = ""
    """Why, in the person's own words, as `comes off easily, so first`; empty where that was not said."""


def off_assembly(record: Record, place: int) -> int:
    """Return the innermost assembly around `place` (itself included) that is off, or 0."""
    return next((part.id for part in around(record, place) if record.off_at(part.id)), 0)


def default_needs(record: Record, machine: int, place: int) -> tuple[int, ...]:
    """Return what a step worked in assembly `place` needs where nothing was said.

    It is the step before. Work inside an assembly that is off the machine is independent of the
    machine: there it is the last step inside that assembly, or the one that took it off. Work on
    the machine looks in the same way past what was done inside assemblies lying on the bench, and
    past steps that are back.
    """
    home = off_assembly(record, place)
    last = record.last_step(machine)
    number = last.number if last else 0
    off = record.off_at(home) if home else None
    for back in range(number, 0, -1):
        step = record.step(machine, back)
        if step is None or step.back or step.skipped or step.on_hold:
            continue
        if off is not None and step.id == off.id:
            return (back,)
        if off_assembly(record, step.area) == home:
            return (back,)
    return ()


def check_needs(draft: Draft, number: int, needs: tuple[int, ...], *, step: Step | None = None) -> tuple[int, ...]:
    """Return the needs of step `number` in order, each once; `step` is that step where there is one already.

    Raises Refused where one is not an earlier step, with the circle it makes where it makes one, or is back on
    the machine while this one is off.
    """
    record, machine = draft.record, draft.machine
    held = step is None or not (step.back or (step.skipped and not held_by(record, step)))
    for need in needs:
        other = record.step(machine, need)
        if need == number:
            raise Refused(f"Step {number} cannot need itself: that makes a circle.")
        if other is None:
            raise Refused(f"Step {number} needs step {need}, and there is no step {need}.")
        if need > number:
            circle = circle_with([Task(s.number, frozenset(s.needs)) for s in record.all(Step, machine)], number, need)
            if circle:
                raise Refused(f"{say_circle(circle, {s.number: s.name for s in record.all(Step, machine)})}.")
            raise Refused(f"Step {number} cannot need step {need}, {other.name}, which was done later.")
        if other.on_hold:
            raise Refused(f"Step {need}, {other.name}, is on hold and still on, so step {number} cannot need it off.")
        if held and other.back:
            raise Refused(f"Step {need}, {other.name}, is back already, so step {number} cannot need it off.")
        if held and other.skipped and (behind := in_the_way(record, other)[0]):
            over = f"step {behind[0].number} ({behind[0].name})"
            raise Refused(f"Step {need}, {other.name}, was skipped, and {over} is on again over it.")
    return tuple(sorted(set(needs)))


def set_needs(draft: Draft, command: SetNeeds) -> Change:
    """Say which steps had to be done before."""
    step = step_numbered(draft, command.step)
    needs = check_needs(draft, step.number, command.needs, step=step)
    why = command.why.strip()
    draft.alter(step, needs=needs, why_needs=why)
    text = f"step {step.number} needs {', '.join(map(str, needs))}"
    if not needs:
        text = f"step {step.number}: could have come off any time"
    return draft.change("SetNeeds", f"{text}; {why}" if why else text)


RULES: dict[type[Command], Any] = {SetNeeds: set_needs}
