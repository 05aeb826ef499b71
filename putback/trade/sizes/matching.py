"""A machine's fasteners compared: the odd one in the hand, what interchanges, what only looks alike."""

from __future__ import annotations

from fractions import Fraction
from typing import cast

from msgspec.structs import replace

from putback.errors import BadInput
from putback.sizing import Unfinished, Unit, read_measure
from putback.sizing.alike import AlikeGroup, Pair, Sized, beside, interchange, look_alikes
from putback.sizing.length_names import called, stray_question
from putback.sizing.lengths import stocked
from putback.sizing.odd import Placed, odd_one
from putback.trade.record.fastener import Thing
from putback.trade.record.length_groups import group_of, lengths_of
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def comparable(record: Record, machine: Machine, thing: Thing) -> Sized:
    """Return a fastener for comparing, by what was settled when it was entered and the group of its length."""
    standard = "" if thing.thread else thing.size
    name, long = thing.length, None
    if name:
        long = _mm(name, "mm" if name.endswith("mm") else "in")
    elif thing.readings.get("length"):
        name = thing.readings["length"].strip()
        long = _mm(name, machine.unit)
    found = Sized(thing.id, thing.name, thing.thread, name, long, thing.head, thing.drive, thing.hand, standard)
    return _grouped(record, machine, found)


def _grouped(record: Record, machine: Machine, item: Sized) -> Sized:
    """Return a fastener with the group of its length, as long as that is."""
    lies = group_of(record, machine, item.key)
    if lies is None:
        return item
    place, group = lies
    house = lengths_of(record, machine)
    shelf = house.shelf(place)
    length_name = called(shelf, group, house.share)
    long = Fraction(group.middle)
    if length_name.name and not length_name.house and not length_name.short:
        long = next(s.nominal for s in stocked(place.which) if s.name == length_name.name)
    length = length_name.text or item.length
    return replace(item, group=group.seen[0].key, apart=shelf.family.apart, long=long, length=length)


def _mm(text: str, unit: str) -> Fraction | None:
    try:
        read = read_measure(text, cast(Unit, unit))
    except BadInput:
        return None
    return None if isinstance(read, Unfinished) else read.mm


def odd_question(record: Record, machine: Machine, step: Step, new: Thing, *, explained: bool = False) -> str:
    """Return the one question about a fastener just entered among the others of its step and face, or nothing.

    `explained`: a hole that is its twin has the same, so that it is not asked how it differs from its neighbours.
    """
    others = [t for t in record.things_of(step) if t.sort == "fastener" and not t.found and t.id != new.id]
    before = [t for t in others if t.face == new.face]
    shown = dict(record.threads(machine.id))
    if new.thread:
        shown[new.thread] = shown.get(new.thread, 0) - 1
    pattern = [Placed(t.spot, comparable(record, machine, t)) for t in before]
    lies = group_of(record, machine, new.id)
    stray = ""
    if lies is not None:
        stray = stray_question(lengths_of(record, machine), lies[0], new.id, [thing.id for thing in before])
    found = odd_one(
        Placed(new.spot, comparable(record, machine, new)),
        pattern,
        {name: times for name, times in shown.items() if times > 0},
        machine.origin,
        stray,
        explained,
    )
    return found or ""


def neighbour(record: Record, machine: Machine, new: Sized, last: int = 60) -> str:
    """Return one line on the fastener nearest to `new` among the machine's `last` entered, or nothing.

    Of those that have its thread and are equal in all that is told, the last one stands for all.
    """
    if not new.thread or new.long is None:
        return ""
    nearest: dict[tuple[str, ...], tuple[str, Sized]] = {}
    left, step = last, record.last_step(machine.id)
    while step is not None and left > 0:
        for thing in reversed(record.things_of(step)):
            if thing.thread and not thing.found and not thing.replaces:
                left -= 1
                if thing.thread == new.thread and thing.name == new.kind:
                    place = next(iter(record.standing(thing.id)), "")
                    alike = (place, thing.length, thing.head, *(thing.readings.get(n, "") for n in _LENGTH))
                    if alike not in nearest:
                        nearest[alike] = place, comparable(record, machine, thing)
        step = record.step(machine.id, step.number - 1)
    return beside(new, list(reversed(nearest.values())))


_LENGTH = ("length", "length_by")
"""The readings that a fastener's length is named by."""


def groups(record: Record, machine: Machine) -> tuple[tuple[AlikeGroup, ...], tuple[Pair, ...]]:
    """Return which fasteners of a machine interchange, largest group first, and which only look alike."""
    items = [
        comparable(record, machine, thing)
        for thing in record.all(Thing, machine.id)
        if thing.sort == "fastener" and not thing.found and not thing.replaces
    ]
    found = interchange(items)
    return found, look_alikes(found)
