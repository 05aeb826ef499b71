"""Rules for what has to be got: ordered, here, or one is in the drawer."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.checks.ledger import reachable, wanting
from putback.trade.commands.bagging import scrap, stand_in, thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.job import NO_HURRY, ORDERED, Job
from putback.trade.record.phrases import quoted, times
from putback.trade.record.place import FITTED, LOOSE, MISSING, SCRAPPED, SHELF, out_of_reach, read_place
from putback.trade.record.step import Step

HERE = "here"
IN_THE_DRAWER = "in the drawer"
NOT_YET = "to get"

STATES = (ORDERED, HERE, IN_THE_DRAWER, NOT_YET)
"""What can be said of something that has to be got."""

DRAWER = "have one in the drawer"
"""The result of a job to get what is in the drawer."""


class Getting(Command, frozen=True, kw_only=True):
    """Say that what goes in for a thing is ordered, is here, or lies in the drawer, or is to get after all."""

    is_work = False

    thing: int
    """The number in the workshop of what it goes in for."""
    state: str
    """One of STATES. `here`: what came stands in for the old one. `in the drawer` counts nothing."""
    what: str = ""
    """What it is, with its size; empty for that of the thing."""
    count: int = 1
    """How many came, where they are here."""
    put: str = SHELF
    """Where they lie, where they are here, as a place."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


def get_job(step: Step, thing: Thing) -> Job | None:
    """Return the job that says how it stands with what goes in for a thing of a step, or None."""
    what = _about(thing)
    return next((job for job in step.todo if job.do == "get" and job.hole == thing.hole and job.what == what), None)


def _about(thing: Thing) -> str:
    return f"for hole {thing.hole}" if thing.hole else f"for {thing.name}"


def getting(draft: Draft, command: Getting) -> Change:
    """Say how it stands with what goes in for a thing."""
    if command.state not in STATES:
        raise BadInput(f"{quoted(command.state)} is not a state of what has to be got; say {', '.join(STATES)}.")
    thing = thing_numbered(draft, command.thing)
    step = draft.get(Step, thing.step)
    job = get_job(step, thing) or Job(do="get", what=_about(thing), when=NO_HURRY, hole=thing.hole)
    what = " ".join(command.what.split()) or thing.called
    new = {
        ORDERED: replace(job, since=draft.at, done="", result=""),
        HERE: replace(job, done=draft.at, result=f"here: {what}"),
        IN_THE_DRAWER: replace(job, done=draft.at, result=DRAWER),
        NOT_YET: replace(job, since="", done="", result=""),
    }[command.state]
    if command.state == NOT_YET and job not in step.todo:
        raise Refused("It is to get already.")
    others = tuple(one for one in step.todo if one != job)
    draft.alter(step, todo=others if command.state == NOT_YET else (*others, new))
    if command.state == HERE:
        _is_here(draft, command, thing, what)
    at = f"step {step.number}{f', hole {thing.hole}' if thing.hole else ''}"
    return draft.change("Getting", f"{at}: {times(command.count, what)} {_SAID[command.state]}")


_SAID = {ORDERED: "ordered", HERE: "here", IN_THE_DRAWER: "in the drawer", NOT_YET: "to get after all"}


def _is_here(draft: Draft, command: Getting, thing: Thing, what: str) -> None:
    """Let what came stand in for the old one, which ends as scrapped."""
    put = read_place(command.put)
    if put == FITTED or out_of_reach(put):
        raise Refused("What came can lie only in a bag, in a box, on the shelf or on the bench.")
    most = 1 if thing.found else sum(reachable(draft.record, thing).values())
    most += sum(held.count for held in wanting(draft.record, thing) if held.place in (MISSING, SCRAPPED))
    if not 1 <= command.count <= most or (thing.found and draft.record.stand_ins(thing.id)):
        raise Refused(f"{times(command.count, thing.called)} cannot go in there: {most} at most.")
    left = command.count
    short = {held.place: held.count for held in wanting(draft.record, thing) if held.place in (SCRAPPED, MISSING)}
    for place, count in sorted((short | reachable(draft.record, thing)).items(), key=_lost_first):
        taken = min(left, count)
        if taken and place != SCRAPPED:
            scrap(draft, thing, taken, place)
        left -= taken
    draft.opened_bag(put)
    stand_in(draft, thing, command.count, put, size=_size(thing, what), note="" if put != LOOSE else "new")


def _lost_first(one: tuple[str, int]) -> tuple[bool, bool, str]:
    return one[0] != SCRAPPED, one[0] != MISSING, one[0]


def _size(thing: Thing, what: str) -> str:
    return what.removeprefix(thing.name).strip() if thing.sort == "fastener" else thing.size


RULES: dict[type[Command], Any] = {Getting: getting}
