"""What is said as a machine goes together again: settings as set, with their reading; what one would do differently."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.sizing.units import Unit
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.machines import clean_name
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import cut, quoted
from putback.trade.record.step import Adjustment, Step
from putback.trade.refit.as_set import difference, wanted

LONGEST = 60
"""Characters of what is said again."""


class SetAs(Command, frozen=True, kw_only=True):
    """Say what a setting of a step, or of the machine itself, came to on the way back; it counts as confirmed then."""

    step: int = 0
    """The number of the step; 0 for the machine itself."""
    what: str
    """The setting: its line as it was asked, or what it is of."""
    reading: str
    """What it came to, as it was read: `2.5 turns`, `.012`; empty takes away what was said."""
    why: str = ""
    """Why it stays so, where it is far from what it was to be."""


class NextTime(Command, frozen=True, kw_only=True):
    """Answer what one would do differently, of a step or of the machine; asked once at the end of the way back."""

    is_work = False

    step: int = 0
    """The number of the step it is about; 0 for the machine as a whole."""
    words_said: str = ""
    """What one would do differently; empty: nothing, and it is not asked again."""


def set_as(draft: Draft, command: SetAs) -> Change:
    """Keep what a setting came to."""
    machine = draft.get(Machine, draft.machine)
    step = step_numbered(draft, command.step) if command.step else None
    if step is not None and step.is_open:
        raise Refused(f"Step {step.number}, {step.name}, is not off yet: its settings are set on the way back.")
    holder: Step | Machine = machine if step is None else step
    setting = setting_named(holder.adjust, command.what, f"step {step.number}" if step else "the machine")
    reading = clean_name(command.reading, "A reading") if command.reading.strip() else ""
    why = clean_name(command.why, "A reason") if reading and command.why.strip() else ""
    off = too_far(setting, reading, machine.unit) if reading else ""
    if off and not why:
        raise Refused(f"{off}. Set it anew, or say why it stays so.")
    new = replace(setting, as_set=reading, why_so=why)
    kept = tuple(new if one is setting else one for one in holder.adjust)
    if step is None:
        draft.alter(machine, adjust=kept)
    else:
        confirmed = step.confirmed if setting.text in step.confirmed else (*step.confirmed, setting.text)
        draft.alter(step, adjust=kept, confirmed=confirmed if reading else step.confirmed)
    of = f"step {step.number}" if step else "the machine"
    found = difference(new, reading, _unit(machine)) if reading else None
    text = f"set to {reading}{f', {found.words}' if found else ''}" if reading else "what it was set to is taken out"
    return draft.change("SetAs", f"{of}: {setting.what} {text}")


def _unit(machine: Machine) -> Unit:
    return "mm" if machine.unit == "mm" else "in"


def setting_named(settings: tuple[Adjustment, ...], what: str, of: str) -> Adjustment:
    """Return the setting of that line or that name. Raises Refused where there is none."""
    wanted_name = " ".join(what.casefold().split())
    for one in settings:
        if wanted_name in (one.text.casefold(), one.what.casefold()):
            return one
    raise Refused(f"There is no setting {quoted(what)} of {of}.")


def too_far(setting: Adjustment, reading: str, unit: str) -> str:
    """Return what is asked where a reading is far from what the setting was to be; empty where it is not."""
    off = difference(setting, reading, "mm" if unit == "mm" else "in")
    if off is None or not off.far:
        return ""
    return f"{setting.what}: {reading} is {off.words} than {wanted(setting)}"


def next_time(draft: Draft, command: NextTime) -> Change:
    """Keep what one would do differently, and that it was asked."""
    machine = draft.get(Machine, draft.machine)
    text = " ".join(command.words_said.split())
    if not text and (machine.looked_back or command.step):
        raise BadInput("Say what you would do differently.")
    machine = draft.alter(machine, looked_back=machine.looked_back or draft.at)
    if not text:
        return draft.change("NextTime", "nothing would be done differently")
    step = step_numbered(draft, command.step) if command.step else None
    holder: Step | Machine = machine if step is None else step
    if text in holder.next_time:
        raise Refused(f"That is said already: {text}.")
    draft.alter(holder, next_time=(*holder.next_time, text))
    of = f"step {step.number}, {step.name}" if step else "the machine"
    return draft.change("NextTime", f"{cut(f'next time: {text}', LONGEST)} ({of})")


RULES: dict[type[Command], Any] = {SetAs: set_as, NextTime: next_time}
