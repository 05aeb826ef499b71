"""Rules for a break: tools counted back in, what lies loose hung with a tag, a note for the next time, a soak
lifted out.

A break has documents of its own, so that each of these can be taken back though the time goes on.
"""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.checks.hang_tags import LETTERS, free_tag, tag_holder
from putback.trade.checks.tools_out import plain_tool
from putback.trade.commands.bagging import thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.machines import clean_name
from putback.trade.commands.notes import clean_texts
from putback.trade.commands.said import checked_minutes
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.breaks import Break
from putback.trade.record.change import Change
from putback.trade.record.phrases import counted, few, quoted
from putback.trade.record.place import LOOSE


class CountTools(Command, frozen=True, kw_only=True):
    """Count tools back in; `missing` are those of `tools` that are not there. Finding one is counting it again."""

    is_work = False
    is_of_the_end = True

    tools: tuple[str, ...] = ()
    """Every tool that was counted, by its name; empty where none was out."""
    missing: tuple[str, ...] = ()
    """Those of them that were not found, by the same names; empty where all are there."""


class LeaveNote(Command, frozen=True, kw_only=True):
    """Leave a note that the next return shows first."""

    is_work = False
    is_of_the_end = True

    note: str
    """The note, in the person's own words; never empty."""


class HangTag(Command, frozen=True, kw_only=True):
    """Hang a tag on a thing that lies loose on the bench; an empty `tag` means the next free letter."""

    is_work = False
    is_of_the_end = True

    thing: int
    """The thing's number in the workshop."""
    tag: str = ""
    """A letter from A to Z; small letters are taken as capitals."""


class EndSoak(Command, frozen=True, kw_only=True):
    """Lift out what was left to soak at a step; `minutes` are those it took hands on."""

    is_work = False

    step: int
    """The number of the step at which it was left to soak; 0 for the step being done."""
    minutes: float | None = None
    """Minutes of work on it, which are added to the step's; None where they were not said."""


def _session(draft: Draft) -> int:
    session = draft.record.open_session(draft.machine)
    return session.id if session else 0


def count_tools(draft: Draft, command: CountTools) -> Change:
    """Count tools back in; those missing are open until a later count has them."""
    tools = tuple(dict.fromkeys(clean_texts(command.tools)))
    missing = tuple(dict.fromkeys(clean_texts(command.missing)))
    if not tools:
        raise Refused("No tool was entered as out, so there is none to count.")
    there = {plain_tool(tool) for tool in tools}
    for tool in missing:
        if plain_tool(tool) not in there:
            raise BadInput(f"{quoted(tool)} is missing, and not among the tools that were counted.")
    draft.put(
        Break(
            id=draft.new_id(Break),
            machine=draft.machine,
            at=draft.at,
            session=_session(draft),
            counted=True,
            tools=tools,
            missing=missing,
        )
    )
    if missing:
        text = f"not there: {few(missing)}; look inside the machine before anything closes"
    elif len(tools) == 1:
        text = f"{tools[0]} is there"
    else:
        text = f"tools counted: all {len(tools)} there"
    return draft.change("CountTools", text)


def leave_note(draft: Draft, command: LeaveNote) -> Change:
    """Leave a note that the next return shows first."""
    if not command.note.strip():
        raise BadInput("A note needs a word at least.")
    note = clean_name(command.note, "A note")
    draft.put(Break(id=draft.new_id(Break), machine=draft.machine, at=draft.at, session=_session(draft), note=note))
    return draft.change("LeaveNote", f"for next time: {note}")


def hang_tag(draft: Draft, command: HangTag) -> Change:
    """Hang a tag on something that lies loose on the bench."""
    thing = thing_numbered(draft, command.thing)
    if not draft.standing(thing.id).get(LOOSE):
        raise Refused(f"{thing.called} does not lie loose on the bench.")
    tag = command.tag.strip().upper() or free_tag(draft.record, draft.machine)
    if not tag:
        raise Refused("Every hang-tag from A to Z is in use; say which one is free again.")
    if tag not in LETTERS:
        raise BadInput(f"A hang-tag has one letter from A to Z; {quoted(command.tag)} is not one.")
    holder = tag_holder(draft.record, draft.machine, tag)
    if holder and thing.tag != tag:
        raise Refused(f"Tag {tag} hangs on {holder} already.")
    draft.alter(thing, tag=tag)
    return draft.change("HangTag", f"tag {tag} hangs on {thing.called}")


def end_soak(draft: Draft, command: EndSoak) -> Change:
    """Lift out what soaked."""
    step = step_numbered(draft, command.step)
    if step.soak is None:
        raise Refused(f"Nothing was left to soak at step {step.number}, {step.name}.")
    if step.lifted:
        raise Refused(f"{step.soak.what} was lifted out already.")
    minutes = step.minutes
    if command.minutes is not None:
        minutes = (minutes or 0) + checked_minutes(command.minutes)
    draft.alter(step, lifted=draft.at, minutes=minutes)
    took = f", {counted(round(command.minutes), 'minute')} hands on" if command.minutes else ""
    return draft.change("EndSoak", f"step {step.number}: {step.soak.what} lifted out{took}")


RULES: dict[type[Command], Any] = {
    CountTools: count_tools,
    LeaveNote: leave_note,
    HangTag: hang_tag,
    EndSoak: end_soak,
}
