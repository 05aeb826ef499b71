"""Accounts and the balance: every thing is in exactly one place, whatever was done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from putback.errors import BadInput
from putback.trade.bag import Bag, Move
from putback.trade.fastener import Thing
from putback.trade.machine import Machine, Part
from putback.trade.place import FITTED, LOOSE, SCRAPPED, SORTS, bag_number, read_place, sort_of
from putback.trade.record import Record
from putback.trade.session import Session
from putback.trade.step import Step


class Finding(Struct, frozen=True):
    """Something that does not add up, and where."""

    what: str
    """The fault, as a sentence."""
    where: str
    """Machine, step, bag or line."""


class Holding(Struct, frozen=True):
    """Some of one thing at one place."""

    thing: Thing
    """What."""
    count: int
    """How many."""
    place: str
    """Where."""


def trial_balance(record: Record, machine: int) -> dict[str, int]:
    """Return how many things stand at each sort of place, in the order of SORTS, empty ones left out.

    Their sum is the number of all things of the machine.
    """
    sums: Counter[str] = Counter()
    for place in record.places(machine):
        sums[sort_of(place)] += sum(record.account(machine, place).values())
    return {sort: sums[sort] for sort in SORTS if sums[sort]}


def holdings(record: Record, machine: int, *sorts: str) -> list[Holding]:
    """Return what stands at places of the given sorts, by place and then as entered."""
    found = []
    for place in record.places(machine):
        if sort_of(place) in sorts:
            for thing, count in sorted(record.account(machine, place).items()):
                found.append(Holding(record.get(Thing, thing), count, place))
    return found


def bench_check(record: Record, machine: int) -> list[Holding]:
    """Return what lies loose on the bench; at a break there should be nothing."""
    return holdings(record, machine, LOOSE)


def reachable(record: Record, thing: Thing) -> dict[str, int]:
    """Return where a thing and what stands in for it can be taken from to put back: place to count."""
    return {place: n for place, n in record.standing(thing.id).items() if _in_reach(place)}


def _in_reach(place: str) -> bool:
    return place != FITTED and sort_of(place) not in ("away", "borrowed", "scrapped", "missing")


def chain(record: Record, step: Step) -> dict[int, list[Thing]]:
    """Return, for each thing a step released, that thing and everything that stands in for it."""
    things = record.things_of(step)
    root: dict[int, int] = {}
    chains: dict[int, list[Thing]] = {}
    for thing in things:
        root[thing.id] = root.get(thing.replaces, thing.replaces) if thing.replaces else thing.id
        chains.setdefault(root[thing.id], []).append(thing)
    return chains


def short_of(record: Record, step: Step) -> list[Holding]:
    """Return what keeps a step from going back: things away, borrowed, missing or scrapped, with nothing
    standing in for them."""
    if step.back:
        return []
    found = []
    for root, things in chain(record, step).items():
        thing = record.get(Thing, root)
        here = sum(record.standing(t.id).get(FITTED, 0) + sum(reachable(record, t).values()) for t in things)
        short = thing.count - here
        if short <= 0:
            continue
        for member in reversed(things):
            for place, count in sorted(record.standing(member.id).items()):
                if short > 0 and place != FITTED and not _in_reach(place):
                    found.append(Holding(thing, min(short, count), place))
                    short -= count
    return found


def check_balance(record: Record) -> Iterator[Finding]:
    """Give every fault of the ledger: a thing in no place or more than it has, a move or reference to
    nothing, a bag or code twice."""
    for machine in record.all(Machine):
        yield from _check_machine(record, machine)
    codes = Counter(bag.code for bag in record.all(Bag))
    for code, times in codes.items():
        if times > 1:
            yield Finding(f"The code {code} is on {times} bags.", "bags")


def _check_machine(record: Record, machine: Machine) -> Iterator[Finding]:
    owner = machine.id
    steps = {step.id for step in record.all(Step, owner)}
    parts = {part.id for part in record.all(Part, owner)}
    things = {thing.id for thing in record.all(Thing, owner)}
    sessions = {session.id for session in record.all(Session, owner)}
    bags = Counter(bag.number for bag in record.all(Bag, owner))
    where = machine.caption
    for number, times in bags.items():
        if times > 1:
            yield Finding(f"There are {times} bags {number}.", where)
    for part in record.all(Part, owner):
        if part.inside and part.inside not in parts:
            yield Finding(f"{part.name} sits in assembly {part.inside}, which is not there.", where)
    numbers = [step.number for step in record.all(Step, owner)]
    if sorted(numbers) != list(range(1, len(numbers) + 1)):
        yield Finding("The step numbers do not run from 1 without a gap.", where)
    for step in record.all(Step, owner):
        at = f"{where}, step {step.number}"
        if any(need >= step.number or need < 1 for need in step.needs):
            yield Finding(f"It needs {', '.join(map(str, step.needs))}; only earlier steps can be needed.", at)
        if (step.part and step.part not in parts) or (step.area and step.area not in parts):
            yield Finding("It names a part that is not there.", at)
        if step.session and step.session not in sessions:
            yield Finding(f"It names session {step.session}, which is not there.", at)
    for thing in record.all(Thing, owner):
        at = f"{where}, thing {thing.id} ({thing.called})"
        if thing.step not in steps:
            yield Finding("It came off at a step that is not there.", at)
        standing = record.standing(thing.id)
        if any(count < 0 for count in standing.values()) or sum(standing.values()) != thing.count:
            yield Finding(f"It is {thing.count}, and its places hold {standing}.", at)
        for place in standing:
            bag = bag_number(place)
            if bag is not None and bag not in bags:
                yield Finding(f"It is in bag {bag}, which is not there.", at)
            try:
                if read_place(place) != place:
                    yield Finding(f"“{place}” is not how a place is written.", at)
            except BadInput as fault:
                yield Finding(str(fault), at)
    for move in record.all(Move, owner):
        at = f"{where}, move {move.id}"
        if move.thing not in things:
            yield Finding(f"It moves thing {move.thing}, which is not there.", at)
        if move.count < 1:
            yield Finding(f"It moves {move.count}.", at)
        if move.step and move.step not in steps:
            yield Finding("It was made at a step that is not there.", at)


def left_over(record: Record, machine: int) -> list[Holding]:
    """Return what stands neither fitted nor scrapped beside its replacement: at the end, nothing."""
    stood_in = Counter(
        {t.replaces: 0 for t in record.all(Thing, machine) if t.replaces}
    )
    for thing in record.all(Thing, machine):
        if thing.replaces:
            stood_in[thing.replaces] += thing.count
    found = []
    for place in record.places(machine):
        if place == FITTED:
            continue
        for number, count in sorted(record.account(machine, place).items()):
            over = count - stood_in.get(number, 0) if place == SCRAPPED else count
            if over > 0:
                found.append(Holding(record.get(Thing, number), over, place))
    return found
