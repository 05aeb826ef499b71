"""Rules for what is sent out: several things and whole bags as one trip, and how each comes back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.checks.ledger import reachable
from putback.trade.commands.bagging import bag_numbered, plain_name, thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.jobs import more_jobs
from putback.trade.commands.machines import clean_name
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.machine import Part
from putback.trade.record.phrases import counted, few, quoted, times
from putback.trade.record.place import LOOSE, MISSING, SHELF, bag_number, in_bag, read_place, sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trip import AS_SENT, CHANGED, DAMAGED, NOT_THERE, TAKEN_APART, UNITS, HowBack, Sent

Named = tuple[int, str]
"""A thing by the number of the step that released it and its name, with or without its size."""


class SendOut(Command, frozen=True, kw_only=True):
    """Send things and whole bags out as one trip; all of each that is at hand goes."""

    is_work = False
    free_words = ("what",)

    to: str
    """To whom, as `plater`."""
    what: str = ""
    """What for, as `nickel`; empty where nothing was said."""
    due: str = ""
    """The day on which it is due, as 2025-11-20; empty where that is not known."""
    things: tuple[int, ...] = ()
    """The things' numbers in the workshop."""
    named: tuple[Named, ...] = ()
    """Things by step and name, where their numbers are not known."""
    bags: tuple[int, ...] = ()
    """The numbers of bags that go with all that is in them."""


class CameBack(Command, frozen=True, kw_only=True):
    """Say how something that was sent out came back: as sent, changed, damaged, or not there."""

    is_work = False

    how: HowBack
    """One of `record.trip.HOW_BACK`."""
    sent: int = 0
    """Its number among what was sent, in the workshop; 0 where step and name say it."""
    thing: int = 0
    """The thing's number in the workshop, where it was only moved out of the house and belongs to no trip."""
    named: Named = (0, "")
    """The thing by step and name."""
    note: str = ""
    """What was seen; needed where it was changed or damaged."""
    put: str = ""
    """Where it lies now, as a place; empty: where it lay before."""
    mixed: bool = False
    """Whether it came in one tin with others: one lot until it is sorted by hand, in `put` or a box of its own."""
    unit: str = ""
    """What of a unit is so after all, of `record.trip.UNITS`; empty where nothing is said."""


class AllBack(Command, frozen=True, kw_only=True):
    """Say that all of a trip that is not back yet came back as sent: each to where it lay, or mixed in one tin."""

    is_work = False

    to: str
    """Who had it."""
    at: str
    """The stamp at which it went: that of the trip."""
    put: str = ""
    """Where all of it lies now, as a place; empty: each where it lay before, a mixed lot in a box of its own."""
    mixed: bool = False
    """Whether it came in one tin: one lot until it is sorted by hand."""


def still_out(record: Record, machine: int) -> list[Sent]:
    """Return what was sent out as a trip and is still where it was sent, in the order it went."""
    left: dict[tuple[int, str], int] = {}
    found = []
    for sent in record.all(Sent, machine):
        key = sent.thing, f"away: {sent.to}"
        if not sent.back:
            there = left.setdefault(key, record.standing(sent.thing).get(key[1], 0))
            if there >= sent.count:
                left[key] -= sent.count
                found.append(sent)
    return found


def checked_due(due: str) -> str:
    """Return a day as it is kept. Raises BadInput where it is none."""
    text = due.strip()
    try:
        return date.fromisoformat(text).isoformat() if text else ""
    except ValueError as fault:
        raise BadInput(f"{quoted(due)} is not a day; say it as 2025-11-20.") from fault


def named_things(draft: Draft, named: Named) -> list[Thing]:
    """Return the things of a step that are called so. Raises Refused where there is none."""
    step = step_numbered(draft, named[0])
    wanted = plain_name(named[1])
    found = [t for t in draft.record.things_of(step) if wanted in (plain_name(t.name), plain_name(t.called))]
    if not found:
        known = few(dict.fromkeys(t.called for t in draft.record.things_of(step))) or "nothing"
        raise Refused(f"Step {step.number} released no {quoted(named[1])}; it released {known}.")
    return found


def send_out(draft: Draft, command: SendOut) -> Change:
    """Send things and whole bags out as one trip."""
    to = read_place(f"away: {clean_name(command.to, 'Who gets it')}")
    due = checked_due(command.due)
    going: dict[tuple[int, str], int] = {}
    things = [thing_numbered(draft, number) for number in command.things]
    things += [thing for named in command.named for thing in named_things(draft, named)]
    for thing in things:
        there = reachable(draft.record, thing)
        if not there:
            where = few(sorted(draft.standing(thing.id))) or "nowhere"
            raise Refused(f"{thing.called} is not at hand: {where}.")
        going |= {(thing.id, place): count for place, count in sorted(there.items())}
    for number in command.bags:
        held = draft.record.in_bag(bag_numbered(draft, number))
        if not held:
            raise Refused(f"Bag {number} is empty.")
        going |= {(thing, in_bag(number)): count for thing, count in sorted(held.items())}
    if not going:
        raise Refused("Say what is sent.")
    what = " ".join(command.what.split())
    for (number, place), count in going.items():
        draft.move(draft.get(Thing, number), count, place, to, note=what)
        draft.put(
            Sent(
                id=draft.new_id(Sent),
                machine=draft.machine,
                thing=number,
                count=count,
                source=place,
                to=to.removeprefix("away: "),
                at=draft.at,
                what=what,
                due=due,
            )
        )
    total = counted(sum(going.values()), "thing")
    named = few([draft.get(Thing, number).called for number, _ in going], 4)
    until = f", due {due}" if due else ""
    return draft.change("SendOut", f"sent out to {to.removeprefix('away: ')}: {total}, {named}{until}")


def _meant(draft: Draft, command: CameBack) -> Sent:
    out = still_out(draft.record, draft.machine)
    if command.sent:
        found = [sent for sent in out if sent.id == command.sent]
    else:
        things = [thing_numbered(draft, command.thing)] if command.thing else named_things(draft, command.named)
        numbers = {thing.id for thing in things}
        found = [sent for sent in out if sent.thing in numbers] or [*_strays(draft, things)]
    if not found:
        raise Refused("That is not sent out, or it is back already.")
    return found[0]


def _strays(draft: Draft, things: list[Thing]) -> Iterator[Sent]:
    """Give what is out of the house without a trip, as if it had been sent by itself; it lay on the shelf."""
    for thing in things:
        moves = draft.record.moves_of(thing.step)
        for place, count in sorted(draft.standing(thing.id).items()):
            if sort_of(place) == "away":
                went = [move.at for move in moves if (move.thing, move.target) == (thing.id, place)]
                yield Sent(
                    id=draft.new_id(Sent),
                    machine=draft.machine,
                    thing=thing.id,
                    count=count,
                    source=SHELF,
                    to=place.removeprefix("away: "),
                    at=went[-1] if went else draft.get(Step, thing.step).ended or draft.at,
                )


def home(one: Sent) -> str:
    """Return where something that was sent lies when it is back, if nothing else is said."""
    return SHELF if one.source == LOOSE else one.source


def lies(put: str, one: Sent, *, mixed: bool) -> str:
    """Return where something lies that is back; a mixed lot in a box of its own where nothing was said."""
    if put:
        return read_place(put)
    return read_place(f"box mixed from {one.to}") if mixed else home(one)


def reopened(draft: Draft, place: str) -> None:
    """Open the bag that a place names again, where it is closed."""
    number = bag_number(place)
    bag = draft.bag(number) if number is not None else None
    if bag is not None and bag.closed:
        draft.alter(bag, closed="")


def _unit(draft: Draft, thing: Thing, unit: str) -> None:
    """Let it stand with its step whether a unit that is back will be opened."""
    if unit not in UNITS:
        raise BadInput(f"{quoted(unit)} cannot be said of a unit that is back; say {' or '.join(UNITS)}.")
    step = draft.get(Step, thing.step)
    if thing.sort != "part" or not step.part or not (step.whole or draft.get(Part, step.part).assembly):
        raise Refused(f"{thing.called} did not come off as a unit.")
    if unit == TAKEN_APART:
        draft.alter(draft.get(Part, step.part), assembly=True)
    draft.alter(step, whole=unit == TAKEN_APART)


def came_back(draft: Draft, command: CameBack) -> Change:
    """Say how something that was sent out came back."""
    sent = _meant(draft, command)
    note = " ".join(command.note.split())
    if command.how in (CHANGED, DAMAGED) and not note:
        raise Refused(f"Say what is {command.how}.")
    thing, away = draft.get(Thing, sent.thing), f"away: {sent.to}"
    if command.how == NOT_THERE:
        if command.put:
            raise Refused("What is not there has no place; leave the place out.")
        put = MISSING
    else:
        put = lies(command.put, sent, mixed=command.mixed)
        reopened(draft, put)
    if command.unit:
        _unit(draft, thing, command.unit)
    said = f", {command.unit}" if command.unit else ""
    text = f"{command.how}{said}{f': {note}' if note else ''}"
    draft.move(thing, sent.count, away, put, note=f"back from {sent.to}, {text}")
    lot = put if command.mixed and command.how != NOT_THERE else ""
    draft.alter(sent, how=command.how, back=draft.at, note=note, mixed=bool(lot), lot=lot, unit=command.unit)
    if command.how == DAMAGED:
        step = draft.get(Step, thing.step)
        job = Job(do="do", what=f"{thing.called}, back damaged: {note}", hole=thing.hole)
        draft.alter(step, todo=more_jobs(step.todo, (job,), draft))
    mixed = f"; mixed with what came with it: one lot in {put} until it is sorted by hand" if lot else ""
    return draft.change("CameBack", f"{times(sent.count, thing.called)} back from {sent.to}, {text}{mixed}")


def all_back(draft: Draft, command: AllBack) -> Change:
    """Say that all of a trip that is not back yet came back as sent."""
    trip = [one for one in still_out(draft.record, draft.machine) if (one.to, one.at) == (command.to, command.at)]
    if not trip:
        raise Refused(f"Nothing of that trip to {command.to} is out any more.")
    for sent in trip:
        put = lies(command.put, sent, mixed=command.mixed)
        reopened(draft, put)
        note = f"back from {sent.to}, {AS_SENT}"
        draft.move(draft.get(Thing, sent.thing), sent.count, f"away: {sent.to}", put, note=note)
        draft.alter(sent, how=AS_SENT, back=draft.at, mixed=command.mixed, lot=put if command.mixed else "")
    total = counted(sum(one.count for one in trip), "thing")
    mixed = "; one lot until it is sorted by hand" if command.mixed else ""
    return draft.change("AllBack", f"all back from {command.to}, {AS_SENT}: {total}{mixed}")


RULES: dict[type[Command], Any] = {AllBack: all_back, SendOut: send_out, CameBack: came_back}
