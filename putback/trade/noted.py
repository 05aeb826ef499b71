"""What was just said of a step, said again in a line: the person sees what was written down, not only that it was."""

from __future__ import annotations

from collections.abc import Iterator

from putback.trade.commands import Annotate
from putback.trade.step import Adjustment
from putback.trade.wording import cut

LONGEST = 60
"""Characters of what is said again; the rest stands on the step's card."""


def noted(command: Annotate, number: int) -> str:
    """Return what was said of step `number`, as `caution noted: the drum turns freely (step 5)`; cut where long."""
    return f"{cut('; '.join(_parts(command)) or 'nothing new noted', LONGEST)} (step {number})"


def _parts(command: Annotate) -> Iterator[str]:
    if command.note.strip():
        yield f"noted: {command.note}"
    for caution in filter(str.strip, command.cautions):
        yield f"caution noted: {caution}"
    for setting in command.adjust:
        yield f"setting noted: {_setting(setting)}"
    for words in filter(str.strip, command.at_refit):
        yield f"to be done before it goes on: {words}"
    for job in command.todo:
        yield f"job noted: {job.told}"
    tools = ", ".join(filter(str.strip, command.tools))
    if tools:
        yield f"to be laid out: {tools}"
    if command.soak is not None:
        yield f"soak noted: {command.soak.what}, {command.soak.hours:g} h"
    if command.whole is not None:
        yield "noted: it comes off in one piece, to be opened later" if command.whole else "noted: it is a single part"
    if command.cover is not None:
        yield "noted: it closes something at refit" if command.cover else "noted: it closes nothing at refit"


def _setting(setting: Adjustment) -> str:
    return f"{setting.told} ({setting.why})" if setting.why else setting.told
