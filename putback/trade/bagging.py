"""Rules for bags and for moves that belong to no step."""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade import commands as c
from putback.trade.bag import Bag, Move
from putback.trade.change import Change
from putback.trade.draft import Draft
from putback.trade.fastener import Thing
from putback.trade.place import FITTED, MISSING, SCRAPPED, bag_number, in_bag, out_of_reach, read_place
from putback.trade.taking_off import being_done, next_bag, step_numbered


def bag_numbered(draft: Draft, number: int) -> Bag:
    """Return bag `number`. Raises Refused where this machine has none."""
    bag = draft.record.bag(draft.machine, number)
    if bag is None:
        raise Refused(f"There is no bag {number} on this machine.")
    return bag


def thing_numbered(draft: Draft, number: int) -> Thing:
    """Return a thing of this machine. Raises Refused where it has none of that number."""
    thing = draft.record.find(Thing, number)
    if thing is None or thing.machine != draft.machine:
        raise Refused(f"There is no thing {number} on this machine.")
    return thing


def take_bag(draft: Draft, command: c.TakeBag) -> Change:
    """Let what comes off from now on go into a bag."""
    step = being_done(draft)
    number = command.number or next_bag(draft.record, draft.machine)
    new = draft.record.bag(draft.machine, number) is None
    draft.opened_bag(in_bag(number))
    draft.alter(step, bag=number)
    return draft.change("TakeBag", f"bag {number} is {'new' if new else 'taken'}")


def close_bag(draft: Draft, command: c.CloseBag) -> Change:
    """Seal a bag."""
    bag = bag_numbered(draft, command.number)
    if bag.closed:
        raise Refused(f"Bag {bag.number} is closed already.")
    draft.alter(bag, closed=draft.at)
    held = sum(draft.record.in_bag(bag).values())
    return draft.change("CloseBag", f"bag {bag.number} closed with {held} in it")


def reopen_bag(draft: Draft, command: c.ReopenBag) -> Change:
    """Open a sealed bag again."""
    bag = bag_numbered(draft, command.number)
    if not bag.closed:
        raise Refused(f"Bag {bag.number} is open already.")
    draft.alter(bag, closed="")
    return draft.change("ReopenBag", f"bag {bag.number} open again")


def carry(draft: Draft, command: c.Carry) -> Change:
    """Move some of a thing from a place to a place."""
    thing = thing_numbered(draft, command.thing)
    source, target = read_place(command.source), read_place(command.target)
    if FITTED in (source, target):
        raise Refused("Things leave their place on the machine by a step, and go back at refit.")
    draft.move(thing, command.count, source, target, note=command.note)
    times = f"{command.count} x " if command.count > 1 else ""
    return draft.change("Carry", f"{times}{thing.called}: {source} to {target}")


def carry_named(draft: Draft, command: c.CarryNamed) -> Change:
    """Move some of what a step released, known by its name, from a place to a place."""
    step = step_numbered(draft, command.step)
    source, target = read_place(command.source), read_place(command.target)
    wanted = plain_name(command.what)
    things = draft.record.things_of(step)
    named = [t for t in things if wanted in (plain_name(t.name), plain_name(t.called))]
    if not named:
        known = ", ".join(dict.fromkeys(t.called for t in things)) or "nothing"
        raise Refused(f"Step {step.number} released no “{command.what}”; it released {known}.")
    if FITTED in (source, target):
        raise Refused("Things leave their place on the machine by a step, and go back at refit.")
    left = command.count
    sources = [source]
    if bag_number(source) is not None:
        # A piece of a step is looked for in every bag of that step: the count was made by hand, and
        # fasteners and part of one step often lie in two bags side by side.
        here = {place for t in named for place in draft.standing(t.id) if bag_number(place) is not None}
        its_bags = {m.target for m in draft.record.all(Move, draft.machine) if m.step == step.id}
        sources += sorted(here - {source}) if source in its_bags else []
    for place in sources:
        for thing in named:
            taken = min(left, draft.standing(thing.id).get(place, 0))
            if taken:
                draft.move(thing, taken, place, target, note=command.note)
                left -= taken
    if left:
        where = ", ".join(f"{n} at “{place}”" for t in named for place, n in sorted(draft.standing(t.id).items()))
        raise Refused(
            f"There is no {command.count} x {command.what} of step {step.number} at “{source}”; "
            f"there is {where}."
        )
    times = f"{command.count} x " if command.count > 1 else ""
    return draft.change("CarryNamed", f"{times}{named[0].called}: {source} to {target}")


def plain_name(words: str) -> str:
    """Return a name as two spellings of it compare: no capitals, no `#`, no thread series."""
    kept = [w for w in words.casefold().replace("#", "").split() if w not in ("unc", "unf", "unef", "ns")]
    return " ".join(kept)


def stock_take(draft: Draft, command: c.StockTake) -> Change:
    """Compare a count with the bag; what is short is missing from now on."""
    bag = bag_numbered(draft, command.bag)
    thing = thing_numbered(draft, command.thing)
    place = in_bag(bag.number)
    there = draft.standing(thing.id).get(place, 0)
    if command.counted < 0:
        raise BadInput("A count is not below 0.")
    if command.counted > there:
        raise Refused(
            f"{command.counted} x {thing.called} counted in bag {bag.number}, {there} in the record: "
            "ask which bag is now short, and move them from there."
        )
    if command.counted == there:
        raise Refused(f"Bag {bag.number}: {there} x {thing.called}, as the record says.")
    draft.move(thing, there - command.counted, place, MISSING, note=f"counted {command.counted} of {there}")
    return draft.change("StockTake", f"bag {bag.number}: {there - command.counted} x {thing.called} missing")


def replace(draft: Draft, command: c.Replace) -> Change:
    """Stand something new in for what cannot be put back; the old one ends as scrapped."""
    thing = thing_numbered(draft, command.thing)
    put = read_place(command.put)
    if put == FITTED or out_of_reach(put):
        raise Refused("A replacement lies in a bag, in a box, on the shelf or on the bench.")
    away = {place: n for place, n in draft.standing(thing.id).items() if out_of_reach(place)}
    stand_ins = sum(t.count for t in draft.record.all(Thing, draft.machine) if t.replaces == thing.id)
    if command.count < 1 or command.count > sum(away.values()) - stand_ins:
        raise Refused(f"There is no {command.count} x {thing.called} to be replaced.")
    left = command.count
    for place, held in sorted(away.items()):
        if place != SCRAPPED and left:
            taken = min(left, held)
            draft.move(thing, taken, place, SCRAPPED, note="replaced")
            left -= taken
    draft.opened_bag(put)
    draft.enter(
        Thing(
            id=draft.new_id(Thing), machine=draft.machine, step=thing.step, sort=thing.sort,
            name=thing.name, count=command.count, hole=thing.hole, part=thing.part, start=put,
            size=command.size or thing.should_be or thing.size, thread=thing.thread, head=thing.head,
            drive=thing.drive, hand=thing.hand, small_end=thing.small_end, note=command.note,
            replaces=thing.id,
        )  # fmt: skip
    )
    return draft.change("Replace", f"{thing.called} replaced, the new one at {put}")


RULES: dict[type[c.Command], Any] = {
    c.TakeBag: take_bag,
    c.CloseBag: close_bag,
    c.ReopenBag: reopen_bag,
    c.Carry: carry,
    c.CarryNamed: carry_named,
    c.StockTake: stock_take,
    c.Replace: replace,
}
