"""The rule for how a fastener came out: one list, never carried to the next."""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.trade.commands.bagging import thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.fastener import CAME_OUT, SEIZED, came_out_words
from putback.trade.record.fastener import CameOut as CameOutWord
from putback.trade.record.step import Step


class CameOut(Command, frozen=True, kw_only=True):
    """Say how a fastener came out, in place of what was said; `thing` 0 means the last that came out."""

    is_work = False

    how: tuple[CameOutWord, ...]
    """All that is so, each one of `record.fastener.CAME_OUT`; empty where nothing is."""
    thing: int = 0
    """The fastener's number in the workshop."""
    freed: str = ""
    """With what a seized one was freed, in the person's words."""


def came_out(draft: Draft, command: CameOut) -> Change:
    """Say how a fastener came out."""
    thing = thing_numbered(draft, command.thing) if command.thing else draft.record.last_taken_out(draft.machine)
    if thing is None:
        raise Refused("Nothing has come out yet.")
    if thing.sort != "fastener" or thing.found:
        raise Refused(f"{thing.called} did not come out of a hole.")
    freed = " ".join(command.freed.split())
    if freed and SEIZED not in command.how:
        raise Refused("It did not come out seized, so nothing freed it.")
    how = tuple(word for word in CAME_OUT if word in command.how)
    new = draft.alter(thing, came_out=how, freed=freed)
    step = draft.get(Step, thing.step)
    return draft.change(
        "CameOut", f"step {step.number}, hole {thing.spot}: {came_out_words(new) or 'nothing to be said'}"
    )


RULES: dict[type[Command], Any] = {CameOut: came_out}
