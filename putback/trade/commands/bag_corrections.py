"""Rules for bags that hold something else than the record says: one thing moved, a bag split, two made one."""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.trade.commands.bagging import bag_numbered, thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.corrections import last_move
from putback.trade.commands.draft import Draft
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.phrases import counted
from putback.trade.record.place import bag_number, checked_bag, in_bag
from putback.trade.record.step import Step


class Rebag(Command, frozen=True, kw_only=True):
    """Say that a thing went into another bag than the record says; 0 means a new one."""

    is_work = False

    thing: int
    """The thing's number in the workshop."""
    bag: int = 0
    """The number of the bag it is really in."""


class SplitBag(Command, frozen=True, kw_only=True):
    """Move all of some things of a bag into bag `into`; 0 means a new one."""

    is_work = False

    number: int
    """The number of the bag that is split; it is open."""
    things: tuple[int, ...]
    """Numbers in the workshop of the things that go; some, and never all, that are in the bag."""
    into: int = 0
    """The number of the bag they go into."""


class MergeBags(Command, frozen=True, kw_only=True):
    """Tip everything of a bag into another."""

    is_work = False

    number: int
    """The number of the bag that is emptied; it is open."""
    into: int
    """The number of the bag that gets everything; it is open, too."""


def rebag(draft: Draft, command: Rebag) -> Change:
    """Say that a thing went into another bag.

    Where it has not moved since it came off, the move that took it there is set right, so that the step
    and the plan know the bag; else it is moved from bag to bag.
    """
    thing = thing_numbered(draft, command.thing)
    into = in_bag(checked_bag(command.bag) if command.bag else draft.next_bag())
    bags = {place: count for place, count in draft.standing(thing.id).items() if bag_number(place)}
    if not bags:
        raise Refused(f"{thing.called} is in no bag now; carry it from where it is.")
    if into in bags:
        raise Refused(f"{thing.called} is in {into} already.")
    move = last_move(draft.record, thing)
    if move is not None and move.step == thing.step and bags == {move.target: move.count}:
        draft.redirect(move, into)
        step = draft.get(Step, thing.step)
        if thing.sort == "part" and step.put == move.target:
            draft.alter(step, put=into)
    else:
        for place, count in sorted(bags.items()):
            draft.move(thing, count, place, into, note="was in the wrong bag")
    return draft.change("Rebag", f"{thing.called} is in {into} now")


def _opened(draft: Draft, number: int) -> Bag:
    bag = bag_numbered(draft, number)
    if bag.closed:
        raise Refused(f"Bag {bag.number} is closed; reopen it first.")
    return bag


def split_bag(draft: Draft, command: SplitBag) -> Change:
    """Move some things of a bag into another, as a rule a new one; something stays behind."""
    bag = _opened(draft, command.number)
    held = draft.record.in_bag(bag)
    wanted = dict.fromkeys(command.things)
    if not wanted:
        raise Refused("Say what is to go into another bag.")
    for number in wanted:
        thing = thing_numbered(draft, number)
        if number not in held:
            raise Refused(f"{thing.called} is not in bag {bag.number}.")
    if len(wanted) == len(held):
        raise Refused(f"That is all there is in bag {bag.number}: nothing would stay behind.")
    into = checked_bag(command.into) if command.into else draft.next_bag()
    if into == bag.number:
        raise Refused(f"It is in bag {bag.number} already.")
    moved = _tip(draft, bag, into, {number: held[number] for number in wanted})
    return draft.change("SplitBag", f"bag {bag.number} split: {moved} into bag {into}")


def merge_bags(draft: Draft, command: MergeBags) -> Change:
    """Tip everything of a bag into another; a part coming off goes on with that one."""
    bag = _opened(draft, command.number)
    other = _opened(draft, command.into)
    if other.number == bag.number:
        raise Refused("A bag cannot be tipped into itself.")
    held = draft.record.in_bag(bag)
    if not held:
        raise Refused(f"Bag {bag.number} is empty.")
    moved = _tip(draft, bag, other.number, held)
    coming_off = draft.record.open_step(draft.machine)
    if coming_off is not None and coming_off.bag == bag.number:
        draft.alter(coming_off, bag=other.number)
    return draft.change("MergeBags", f"bag {bag.number} into bag {other.number}: {moved} moved, one bag less to open")


def _tip(draft: Draft, bag: Bag, into: int, held: dict[int, int]) -> str:
    source, target = in_bag(bag.number), in_bag(into)
    for number, count in sorted(held.items()):
        draft.move(thing_numbered(draft, number), count, source, target)
    return counted(sum(held.values()), "piece")


RULES: dict[type[Command], Any] = {
    Rebag: rebag,
    SplitBag: split_bag,
    MergeBags: merge_bags,
}
