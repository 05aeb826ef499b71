"""What a person presses to do one command of a session file: commands in, keys out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from putback.errors import BadInput
from putback.playing import of_fastener, of_machine, of_step
from putback.playing.presses import KeySequence, ScreenState
from putback.trade import commands as c
from putback.trade.record.job import TO_DO

BETWEEN_STEPS = (c.SayJob, c.WorkOn, c.SendOut, c.CameBack, c.SortLot, c.AddSpare)
"""What is said between two steps, on cards and pages of its own: it is entered without keys, and named."""


def without_keys(command: c.Command) -> str:
    """Return what of a command has no keys here whatever came before it, as a sentence, or nothing."""
    if isinstance(command, c.Trouble):
        return "Trouble with a screw cannot be entered by keys here; play the file without them."
    if isinstance(command, c.PutOnHold | c.TakeUpHeld | c.DropHeld):
        return "A part on hold cannot be entered by keys here; play the file without them."
    if isinstance(command, c.Enter | c.EnterPiece) and command.once is not None:
        return "Whether a thing goes in again cannot be entered by keys as it comes out; leave out “once”."
    if isinstance(command, c.NewMachine) and any(seen.came_of for seen in command.first_look):
        return "What became of a first look cannot be entered by keys when it is said; leave out “came_of”."
    jobs = command.todo if isinstance(command, c.Annotate) else ()
    state = next((job.state for job in jobs if job.state != TO_DO), "")
    if any(job.hole for job in jobs):
        return "The hole of a job cannot be entered by keys at its step; leave out “hole”."
    return f"A job that is {state} cannot be entered by keys at its step; leave out how it stands." if state else ""


def strokes(command: c.Command, at: ScreenState) -> list[KeySequence]:
    """Return what is pressed to do `command` where the screen stands so.

    Raises BadInput where the screen has no way to enter it.
    """
    if without_keys(command):
        raise BadInput(without_keys(command))
    for kind, keys_for in _KEYS_OF.items():
        if isinstance(command, kind):
            return list(keys_for(command, at))
    raise BadInput(f"{type(command).__name__} cannot be entered by keys.")


_KEYS_OF: Mapping[type[c.Command], Callable[[Any, ScreenState], Iterator[KeySequence]]] = {
    c.NewMachine: of_machine.new_machine,
    c.AddAssembly: of_machine.add_assembly,
    c.StartSession: of_machine.start_session,
    c.Pause: of_machine.pause,
    c.Resume: of_machine.resume,
    c.EndSession: of_machine.end_session,
    c.Begin: of_step.begin,
    c.SetNeeds: of_step.set_needs,
    c.Annotate: of_step.annotate,
    c.Finish: of_step.finish,
    c.CloseBag: of_step.close_bag,
    c.CarryNamed: of_step.carry_named,
    c.Enter: of_fastener.enter,
    c.EnterPiece: of_fastener.enter_piece,
    c.CameOut: of_fastener.came_out,
}
