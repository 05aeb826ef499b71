"""Rules for bags and for moves that belong to no step."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.checks.ledger import replaced
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.which_step import being_done, step_numbered
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change
from putback.trade.record.fastener import FIELDS, Thing
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import few, quoted, times
from putback.trade.record.place import (
    FITTED,
    MISSING,
    SCRAPPED,
    bag_number,
    checked_bag,
    in_bag,
    in_line,
    out_of_reach,
    read_place,
    sort_of,
)


class TakeBag(Command, frozen=True, kw_only=True):
    """Let what comes off from now on go into bag `number`; 0 means a new one.

    `code` is the code of a label printed ahead: the new bag bears it. Whether it is well formed is for
    the caller to know.
    """

    number: int = 0
    """The bag's number on this machine, from 1; 0 for a new one with the next free number."""
    code: str = ""
    """The code on the label printed ahead; empty where the new bag gets a code of its own."""


class CloseBag(Command, frozen=True, kw_only=True):
    """Seal a bag."""

    number: int
    """The bag's number on this machine."""


class ReopenBag(Command, frozen=True, kw_only=True):
    """Open a sealed bag again."""

    number: int
    """The bag's number on this machine."""


class Carry(Command, frozen=True, kw_only=True):
    """Move some of a thing from a place to a place."""

    thing: int
    """The thing's number in the workshop."""
    count: int
    """How many of it go, from 1 to all that lie at `source`."""
    source: str
    """The place they are taken from, as `bag 3`; never `fitted`."""
    target: str
    """The place they go to, as `away: plater`; never `fitted`."""
    note: str = ""
    """Why, in the person's own words; empty where nothing was said."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


class CarryNamed(Command, frozen=True, kw_only=True):
    """Move some of what step `step` released, called `what`, from a place to a place."""

    what: str
    """The thing's name, with or without its size: `lid`, `#8-32 x 3/8`; capitals do not matter."""
    step: int
    """The number of the step that released it; 0 for the step being done."""
    count: int
    """How many go, from 1."""
    source: str
    """The place they are taken from; of a bag of the step, its other bags count too."""
    target: str
    """The place they go to; never `fitted`."""
    note: str = ""
    """Why, in the person's own words; empty where nothing was said."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


class StockTake(Command, frozen=True, kw_only=True):
    """Say how many of a thing were counted in a bag; what is short is missing from now on."""

    bag: int
    """The bag's number on this machine."""
    thing: int
    """The number in the workshop of the thing that was counted."""
    counted: int
    """How many were found in the bag, from 0; always fewer than the record says."""


class Replace(Command, frozen=True, kw_only=True):
    """Put something new in the place of something scrapped, missing or away; it lies at `put`.

    `source` says which are replaced where a thing is out of reach in several places; empty means the
    scrapped ones first, then missing, borrowed and away. It may also name a place where the thing lies at
    hand: then that one is scrapped.
    """

    thing: int
    """The number in the workshop of the thing that is replaced."""
    count: int = 1
    """How many of it are replaced, from 1."""
    put: str = "shelf"
    """Where the new ones lie: a bag, a box, the shelf or the bench."""
    size: str = ""
    """The size of the new ones; empty for the size that should be there, else that of the old ones."""
    note: str = ""
    """The person's own words; empty where nothing was said."""
    source: str = ""
    """The place of those replaced; empty: see above."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


REPLACED_FIRST = (SCRAPPED, MISSING, "borrowed", "away")
"""Which of a thing's places a replacement stands in for first, where nothing was said."""


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


def take_bag(draft: Draft, command: TakeBag) -> Change:
    """Let what comes off from now on go into a bag."""
    step = being_done(draft)
    number = checked_bag(command.number) if command.number else draft.next_bag()
    new = draft.record.bag(draft.machine, number) is None
    if command.code:
        _free_label(draft, command.code, number, new=new)
    draft.opened_bag(in_bag(number), label=command.code)
    draft.alter(step, bag=number)
    if command.code:
        return draft.change("TakeBag", f"bag {number} is new, with the label {command.code}")
    return draft.change("TakeBag", f"bag {number} is {'new' if new else 'taken'}")


def _free_label(draft: Draft, code: str, number: int, *, new: bool) -> None:
    """Raise Refused where a label cannot become that of bag `number`."""
    holder = draft.record.bag_by_code(code)
    if holder is not None:
        owner = draft.record.find(Machine, holder.machine)
        raise Refused(f"{code} is on bag {holder.number} of {owner.caption if owner else 'another machine'} already.")
    if not new:
        raise Refused(f"Bag {number} has its label already.")


def close_bag(draft: Draft, command: CloseBag) -> Change:
    """Seal a bag."""
    bag = bag_numbered(draft, command.number)
    if bag.closed:
        raise Refused(f"Bag {bag.number} is closed already.")
    draft.alter(bag, closed=draft.at)
    held = draft.record.total(draft.machine, in_bag(bag.number))
    return draft.change("CloseBag", f"bag {bag.number} closed with {held} in it")


def reopen_bag(draft: Draft, command: ReopenBag) -> Change:
    """Open a sealed bag again."""
    bag = bag_numbered(draft, command.number)
    if not bag.closed:
        raise Refused(f"Bag {bag.number} is open already.")
    draft.alter(bag, closed="")
    return draft.change("ReopenBag", f"bag {bag.number} open again")


# -- moves -------------------------------------------------------------------------------------------


def _ends(source: str, target: str) -> tuple[str, str]:
    """Return both ends of a move, read. Raises Refused where one is the machine itself."""
    ends = read_place(source), read_place(target)
    if FITTED in ends:
        raise Refused("Things leave their place on the machine by a step, and go back at refit.")
    return ends


def _carry(draft: Draft, thing: Thing, count: int, source: str, target: str, note: str) -> None:
    """Write a move. Raises Refused as `Draft.move`, and where something new stands in for the thing."""
    draft.move(thing, count, source, target, note=note)
    if source == SCRAPPED and draft.standing(thing.id).get(SCRAPPED, 0) < replaced(draft.record, thing):
        raise Refused(f"{thing.called} was replaced: it stays scrapped as long as something else is in its place.")


def carry(draft: Draft, command: Carry) -> Change:
    """Move some of a thing from a place to a place."""
    thing = thing_numbered(draft, command.thing)
    source, target = _ends(command.source, command.target)
    _carry(draft, thing, command.count, source, target, command.note)
    return draft.change("Carry", f"{times(command.count, thing.called)}: {in_line(source)} to {in_line(target)}")


def carry_named(draft: Draft, command: CarryNamed) -> Change:
    """Move some of what a step released, known by its name, from a place to a place."""
    step = step_numbered(draft, command.step)
    wanted = plain_name(command.what)
    things = draft.record.things_of(step)
    named = [t for t in things if wanted in (plain_name(t.name), plain_name(t.called))]
    if not named:
        known = few(dict.fromkeys(t.called for t in things)) or "nothing"
        raise Refused(f"Step {step.number} released no {quoted(command.what)}; it released {known}.")
    source, target = _ends(command.source, command.target)
    sources = [source]
    if bag_number(source) in draft.record.bags_filled_by(step.id):
        # What is counted by hand is looked for in every bag of the step: its fasteners and its part
        # often lie in two bags side by side, and the tally names either.
        sources += sorted({p for t in named for p in draft.standing(t.id) if bag_number(p)} - {source})
    left = command.count
    for place in sources:
        for thing in named:
            taken = min(left, draft.standing(thing.id).get(place, 0))
            if taken:
                _carry(draft, thing, taken, place, target, command.note)
                left -= taken
    if left or command.count < 1:
        where = few([f"{n} at “{place}”" for t in named for place, n in sorted(draft.record.standing(t.id).items())])
        raise Refused(
            f"There is no {times(command.count, command.what)} of step {step.number} at “{source}”; "
            f"there is {where or 'none'}."
        )
    return draft.change(
        "CarryNamed", f"{times(command.count, named[0].called)}: {in_line(source)} to {in_line(target)}"
    )


@lru_cache(maxsize=4096)  # for a donor the names of everything in the workshop are compared
def plain_name(words: str) -> str:
    """Return a name as two spellings of it compare: no capitals, no `#`, no thread series."""
    kept = [w for w in words.casefold().replace("#", "").split() if w not in ("unc", "unf", "unef", "ns")]
    return " ".join(kept)


def stock_take(draft: Draft, command: StockTake) -> Change:
    """Compare a count with the bag; what is short is missing from now on.

    Raises Refused where the count is what the record says, or over it: then another bag is short, and
    what is over comes from there.
    """
    bag = bag_numbered(draft, command.bag)
    thing = thing_numbered(draft, command.thing)
    place = in_bag(bag.number)
    there = draft.standing(thing.id).get(place, 0)
    if command.counted < 0:
        raise BadInput("A count must be 0 or more.")
    if command.counted > there:
        raise Refused(
            f"{command.counted} x {thing.called} counted in bag {bag.number}, {there} in the record: "
            "ask which bag is now short, and move them from there."
        )
    if command.counted == there:
        raise Refused(f"Bag {bag.number}: {there} x {thing.called}, as the record says.")
    draft.move(thing, there - command.counted, place, MISSING, note=f"counted {command.counted} of {there}")
    return draft.change("StockTake", f"bag {bag.number}: {times(there - command.counted, thing.called)} missing")


def replace(draft: Draft, command: Replace) -> Change:
    """Stand something new in for what cannot be put back; the old one ends as scrapped."""
    thing = thing_numbered(draft, command.thing)
    put = read_place(command.put)
    if put == FITTED or out_of_reach(put):
        raise Refused("A replacement can lie only in a bag, in a box, on the shelf or on the bench.")
    wanted = read_place(command.source) if command.source else ""
    there = draft.standing(thing.id).items()
    gone = {place: n for place, n in there if out_of_reach(place) or (place == wanted and place != FITTED)}
    if SCRAPPED in gone:
        gone[SCRAPPED] -= replaced(draft.record, thing)
    places = [wanted] if wanted else sorted(gone, key=lambda place: (REPLACED_FIRST.index(sort_of(place)), place))
    if not 1 <= command.count <= sum(gone.get(place, 0) for place in places):
        where = f" at “{wanted}”" if wanted else ""
        raise Refused(f"There is no {times(command.count, thing.called)}{where} to be replaced.")
    left = command.count
    for place in places:
        taken = min(left, gone[place])
        if taken and place != SCRAPPED:
            scrap(draft, thing, taken, place)
        left -= taken
    draft.opened_bag(put)
    stand_in(draft, thing, command.count, put, size=command.size, note=command.note)
    return draft.change("Replace", f"{thing.called} replaced, the new one at {put}")


def gives_way(draft: Draft, thing: Thing) -> None:
    """Let one of a thing that is replaced end as scrapped, wherever it is. Raises Refused where it is in its place."""
    if thing.found:
        return
    standing = draft.standing(thing.id)
    if standing.get(SCRAPPED, 0) - replaced(draft.record, thing) > 0:
        return
    place = next((place for place in sorted(standing) if place not in (FITTED, SCRAPPED)), "")
    if not place:
        raise Refused(f"{thing.called} is in its place.")
    scrap(draft, thing, 1, place)


def scrap(draft: Draft, thing: Thing, count: int, place: str) -> None:
    """Let some of a thing end as scrapped, since something new stands in; a fastener that was missing was lost."""
    draft.move(thing, count, place, SCRAPPED, note="replaced")
    if place == MISSING and thing.sort == "fastener" and "lost" not in thing.trouble:
        draft.alter(thing, trouble=(*thing.trouble, "lost"))


def stand_in(draft: Draft, thing: Thing, count: int, put: str, *, size: str = "", note: str = "") -> Thing:
    """Write something new that stands in for scrapped ones of a thing; of the size that should be, if none is said."""
    size = size or thing.should_be or thing.size
    same = size == thing.size
    new = Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=thing.step,
        sort=thing.sort,
        name=thing.name,
        count=count,
        hole=thing.hole,
        face=thing.face,
        part=thing.part,
        start=put,
        size=size,
        thread=thing.thread if same else "",
        length=thing.length if same else "",
        material=thing.material,
        note=note,
        once=thing.once,
        replaces=thing.id,
        goes_into=thing.goes_into,
        **{field.name: getattr(thing, field.name) for field in FIELDS if field.stays},
    )
    return draft.enter(new)


RULES: dict[type[Command], Any] = {
    TakeBag: take_bag,
    CloseBag: close_bag,
    ReopenBag: reopen_bag,
    Carry: carry,
    CarryNamed: carry_named,
    StockTake: stock_take,
    Replace: replace,
}
