"""What is said of a step: notes, cautions, settings, jobs; and the same said again in a line, so that the person sees
what was written down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from putback.errors import Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.jobs import checked_hours, checked_stamp, more_jobs
from putback.trade.commands.machines import clean_name
from putback.trade.commands.said import checked_turns
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.job import Job
from putback.trade.record.machine import Part
from putback.trade.record.phrases import cut
from putback.trade.record.step import LIST_NAMES, LISTS, Adjustment, OfStep, Soak


class Annotate(OfStep, Command, frozen=True, kw_only=True):
    """Add to a step; `step` 0 means the one being done. `whole`: its part comes off in one piece."""

    is_work = False
    free_words = ("tools",)

    step: int = 0
    """The number of the step on this machine."""
    adjust: tuple[Adjustment, ...] = ()
    """More settings, as found and as they should be."""
    todo: tuple[Job, ...] = ()
    """More jobs; one about the same that stands otherwise is refused."""
    soak: Soak | None = None
    """What it is left to soak in and for how long, in place of what was said; None changes nothing."""
    cover: bool | None = None
    """Whether it closes something at refit, so that a last look comes first; None changes nothing."""
    whole: bool | None = None
    """True where it comes off in one piece, to be opened later; None changes nothing."""
    note: str = ""
    """The person's own words, which go below those so far; empty adds nothing."""


LONGEST = 60
"""Characters of what is said again; the rest stands on the step's card."""


def noted(command: Annotate, number: int) -> str:
    """Return what was said of step `number`, as `caution noted: the drum turns freely (step 5)`; cut where long."""
    return f"{cut('; '.join(_parts(command)) or 'nothing new noted', LONGEST)} (step {number})"


def _parts(command: Annotate) -> Iterator[str]:
    if command.note.strip():
        yield f"noted: {command.note}"
    soaks = [command.soak] if command.soak is not None else []
    behind = {
        "cautions": [f"setting noted: {_setting(setting)}" for setting in command.adjust],
        "at_refit": [f"job noted: {job.text}" for job in command.todo],
        "tools": [f"soak noted: {soak.what}, {soak.hours:g} h" for soak in soaks],
    }
    for one in LISTS:
        yield from one.told(getattr(command, one.name) or ())
        yield from behind.get(one.name, ())
    if command.whole is not None:
        yield "noted: a unit in one piece, to be taken apart" if command.whole else "noted: it is a single part"
    if command.cover is not None:
        yield "noted: it closes something at refit" if command.cover else "noted: it closes nothing at refit"


def _setting(setting: Adjustment) -> str:
    return f"{setting.text} ({setting.why})" if setting.why else setting.text


def annotate(draft: Draft, command: Annotate) -> Change:
    """Add to what is said of a step."""
    step = step_numbered(draft, command.step)
    since = ""
    if command.soak is not None:
        checked_hours(command.soak.hours)
        since = checked_stamp(command.soak.since) or (draft.at if step.ended else "")
    todo = more_jobs(step.todo, command.todo, draft)
    if command.whole is not None and not step.part:
        raise Refused(f"Step {step.number} takes no part off that could be in one piece.")
    if command.whole and not draft.get(Part, step.part).assembly:
        draft.alter(draft.get(Part, step.part), assembly=True)
    draft.alter(
        step,
        adjust=(*step.adjust, *map(checked_setting, command.adjust)),
        todo=todo,
        soak=replace(command.soak, since=since) if command.soak is not None else step.soak,
        lifted="" if command.soak is not None else step.lifted,
        cover=step.cover if command.cover is None else command.cover,
        whole=step.whole if command.whole is None else command.whole,
        note="\n".join(filter(None, (step.note, command.note.strip()))),
        **{name: _more(getattr(step, name), clean_texts(getattr(command, name) or ())) for name in LIST_NAMES},
    )
    new = replace(command, todo=todo[len(step.todo) :])
    return draft.change("Annotate", noted(new, step.number))


def clean_texts(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Return texts without white space around them, empty ones left out."""
    return tuple(text.strip() for text in texts if text.strip())


def _more(had: tuple[Any, ...], new: tuple[Any, ...]) -> tuple[Any, ...]:
    return had + tuple(item for item in dict.fromkeys(new) if item not in had)


def checked_setting(adjustment: Adjustment) -> Adjustment:
    """Return a setting as it is. Raises BadInput where it says of nothing, or turns without end."""
    clean_name(adjustment.what, "A setting")
    if adjustment.turns is not None:
        checked_turns(adjustment.turns)
    return adjustment


RULES: dict[type[Command], Any] = {Annotate: annotate}
