"""Rules for donors: one of another machine of the workshop goes in for what is lost, broken or worn.

It is one change over both ledgers: there its one is gone, and its gap stands among what that machine wants; here the
one that came stands in. Taken back, both are as they were.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.errors import Refused
from putback.trade.cautions.irreversible import is_kept_as_found
from putback.trade.commands.bagging import gives_way, plain_name, stand_in, thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.machine import Machine
from putback.trade.record.place import FITTED, SCRAPPED, SHELF, out_of_reach, read_place
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import in_its_place

FASTENERS = ("fastener", LEFT_OVER)
"""Sorts of a thing that goes in for a fastener."""


class FromDonor(Command, frozen=True, kw_only=True):
    """Take one of another machine: it goes in for something of this one."""

    is_work = False

    thing: int
    """The number in the workshop of what it goes in for."""
    donor: int
    """The number in the workshop of what is taken, which belongs to another machine."""
    put: str = SHELF
    """Where it lies now, as a place."""
    reason: str = ""
    """Why it is taken; has to be said where the donor is kept as found."""


class Donor(Struct, frozen=True):
    """One like it on another machine, off and at hand."""

    thing: Thing
    """What would be taken."""
    machine: Machine
    """The machine it belongs to."""
    place: str
    """Where it lies."""
    step: int
    """The number of the step that it came off at."""

    @property
    def kept(self) -> bool:
        """Whether its machine is kept as found, so that it is asked about first."""
        return is_kept_as_found(self.machine.intent)

    @property
    def text(self) -> str:
        """Whose it is, and from where: `Panel 12, step 3`, `Panel 12, step 3, left over`."""
        over = ", left over" if self.thing.sort == LEFT_OVER else ""
        return f"{self.machine.caption}, step {self.step}{over}"

    @property
    def whole(self) -> str:
        """The same with the hole it came out of, and where it lies: `Panel 12, step 3, hole 7, bag 1`."""
        hole = f", hole {self.thing.spot}" if self.thing.hole else ""
        return f"{self.text}{hole}, {self.place}"


def donors(record: Record, machine: int, sort: str, called: str) -> Iterator[Donor]:
    """Give what other machines have that is like something of `machine`: what is left over first, then by machine.

    `sort` is fastener, piece or part, `called` what it is, with its size. What has been put back is not taken off again
    for it.
    """
    wanted, sorts = plain_name(called), FASTENERS if sort in FASTENERS else (sort,)
    found = []
    for other in record.all(Machine):
        if other.id == machine:
            continue
        for thing in record.all(Thing, other.id):
            if thing.sort in sorts and not thing.replaces and plain_name(thing.called) == wanted:
                place = at_hand(record.standing(thing.id))
                if place:
                    found.append(Donor(thing, other, place, record.get(Step, thing.step).number))
    yield from sorted(found, key=lambda one: (one.thing.sort != LEFT_OVER, one.kept, one.machine.id))


def at_hand(standing: dict[str, int]) -> str:
    """Return the place from which something can be taken; empty where there is none."""
    return next((p for p, n in sorted(standing.items()) if n > 0 and p != FITTED and not out_of_reach(p)), "")


def from_donor(draft: Draft, command: FromDonor) -> Change:
    """Take one of another machine, and let it stand in for what this one wants."""
    thing = in_its_place(draft.record, thing_numbered(draft, command.thing))
    step = draft.get(Step, thing.step)
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back: take it off again first.")
    donor = draft.record.find(Thing, command.donor)
    if donor is None or donor.machine == draft.machine:
        raise Refused("A donor is another machine of this workshop that has one like it.")
    if (donor.sort in FASTENERS) != (thing.sort in FASTENERS):
        raise Refused(f"{donor.called} cannot go in for {thing.called}.")
    owner, reason = draft.get(Machine, donor.machine), " ".join(command.reason.split())
    source = at_hand(draft.standing(donor.id))
    if not source or donor.replaces:
        raise Refused(f"{donor.called} of {owner.caption} is not at hand.")
    if is_kept_as_found(owner.intent) and not reason:
        raise Refused(f"{owner.caption} is kept as found: say why its {donor.called} is taken.")
    put = read_place(command.put)
    if put == FITTED or out_of_reach(put):
        raise Refused("What goes in can lie only in a bag, in a box, on the shelf or on the bench.")
    mine = draft.get(Machine, draft.machine)
    why = f" ({reason})" if reason else ""
    draft.move(donor, 1, source, SCRAPPED, note=f"went into {mine.caption}{why}")
    draft.alter(donor, went_into=mine.caption + why)
    gives_way(draft, thing)
    draft.opened_bag(put)
    from_there = f"from {owner.caption}, step {draft.get(Step, donor.step).number}"
    new = stand_in(draft, thing, 1, put, size=donor.size, note=from_there)
    draft.alter(new, used=True)
    if donor.sort in FASTENERS:
        looks = {name: getattr(donor, name) for name in ("thread", "length", "head", "drive", "hand", "material")}
        draft.alter(draft.get(Thing, new.id), **looks)
    at = f"step {step.number}{f', hole {thing.hole}' if thing.hole else ''}"
    return draft.change("FromDonor", f"{at}: {donor.called} goes in, {from_there}; that one wants another now{why}")


RULES: dict[type[Command], Any] = {FromDonor: from_donor}
