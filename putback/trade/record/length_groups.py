"""The lengths of one machine as its record has them, kept from change to change and never counted anew at a key."""

from __future__ import annotations

from bisect import bisect_left
from operator import itemgetter
from typing import TYPE_CHECKING, cast

from msgspec import Struct

from putback.errors import BadInput
from putback.sizing.answer import grouped
from putback.sizing.house_lengths import House, Place
from putback.sizing.instruments import Way, split_way
from putback.sizing.length_names import by_datum, list_of, place_of, seen
from putback.sizing.length_odds import LengthGroup
from putback.sizing.reading import Measure, Unfinished, read_length, split_datum
from putback.sizing.units import Unit
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import FACES, Machine

if TYPE_CHECKING:
    from putback.trade.record.record import Record

KEPT = 200
"""So many fasteners back the lengths are at hand as they were before each; what is older is read again."""


class GroupedLength(Struct, frozen=True):
    """What of a fastener its length's group depends on."""

    label: str
    """Its thread, or the two it may be, or what was read of it."""
    kind: str
    """screw, bolt, ..."""
    head: str
    """Its head."""
    read: str
    """Its length as typed."""
    by: str
    """How that was taken, where it is said."""
    where: int
    """The part and face it came off: eight numbers a step, one for each face."""
    like: int
    """The fastener it was taken to be like and not read itself; 0 where it was."""


def label_of(thing: Thing) -> str:
    """Return a fastener's thread as the first half of its size has it; empty where nothing of it was read."""
    return thing.thread or (thing.size.partition(" x ")[0] if " x " in thing.size else "")


def grouped_length(thing: Thing) -> GroupedLength | None:
    """Return what a fastener's group depends on, or None where it is not among the machine's lengths."""
    read = thing.readings.get("length", "")
    if thing.sort != "fastener" or thing.found or thing.replaces or not read.strip() or not grouped(thing.name):
        return None
    by = thing.readings.get("length_by", "")
    return GroupedLength(label_of(thing), thing.name, thing.head, read, by, _where(thing), thing.like)


def _where(thing: Thing) -> int:
    return thing.step * (len(FACES) + 1) + (FACES.index(thing.face) + 1 if thing.face in FACES else 0)


def measured(lies: GroupedLength, unit: str) -> tuple[Measure, Way] | None:
    """Return a length by its head's datum and how it was taken, or None where the text is not a length."""
    try:
        bare, way = split_way(lies.read, "length")
        found = read_length(bare, cast(Unit, unit))
    except BadInput:
        return None
    if isinstance(found, Unfinished):
        return None
    return by_datum(found, lies.label, lies.kind, lies.head), cast(Way, lies.by or way or "caliper")


def place_on(machine: Machine, found: GroupedLength, house: House) -> Place:
    """Return the shelf of a machine's house that a fastener's length lies on."""
    which = list_of(found.label, found.kind, found.head, machine.origin, machine.unit)
    return place_of(found.label, which, found.kind, found.head, house, split_datum(found.read)[1])


class LengthBook:
    """One machine's lengths, read on from what changed, and only that, when they are asked for."""

    def __init__(self, fresh: set[int]) -> None:
        """`fresh` are the fasteners that came, changed or went; it is emptied here and filled by the record."""
        self._fresh = fresh
        self._house = House()
        self._taken: list[tuple[int, GroupedLength, Place, House | None]] = []
        """Each fastener in the house, in the order of their numbers, with the house before it."""
        self._by: tuple[str, str] = ("", "")
        """Origin and unit of the machine they were read by."""

    @property
    def behind(self) -> bool:
        """Whether the record has fasteners that are not read yet."""
        return bool(self._fresh)

    def up_to(self, record: Record, machine: Machine, most: int | None = None) -> House:
        """Return the machine's lengths as the record is now, or with `most` read on so many fasteners further."""
        if self._by != (machine.origin, machine.unit):
            self._by = (machine.origin, machine.unit)
            self._fresh.update(number for number, *_ in self._taken)
            self._house = House()
            self._taken.clear()
        if self._fresh:
            fresh = sorted(self._fresh)[:most]
            self._fresh.difference_update(fresh)
            self._read(record, machine, fresh)
        return self._house

    def place(self, thing: int) -> Place | None:
        """Return the shelf that a fastener's length lies on, or None. The book must be up to the record."""
        at = self._at(thing)
        return self._taken[at][2] if at < len(self._taken) and self._taken[at][0] == thing else None

    def group(self, thing: int) -> LengthGroup | None:
        """Return the group of a fastener's length, or None. The book must be up to the record."""
        place = self.place(thing)
        return None if place is None else self._house.shelf(place).of(thing)

    def _at(self, number: int) -> int:
        return bisect_left(self._taken, number, key=itemgetter(0))

    def _read(self, record: Record, machine: Machine, fresh: list[int]) -> None:
        """Take the house back to before the first fastener that is not as it was, and go on from there."""
        now = {number: self._lying(record, number) for number in fresh}
        changed = [number for number in fresh if now[number] != self._had(number)]
        if not changed:
            return
        at = self._at(changed[0])
        if at < len(self._taken):
            before = self._taken[at][3]
            if before is None:
                at, before = 0, House()
            again = [number for number, *_ in self._taken[at:]]
            self._house = before
            del self._taken[at:]
            changed = sorted({*again, *changed})
        for number in changed:
            found = now[number] if number in now else self._lying(record, number)
            if found is not None:
                self._take(machine, number, found)

    def _had(self, number: int) -> GroupedLength | None:
        at = self._at(number)
        return self._taken[at][1] if at < len(self._taken) and self._taken[at][0] == number else None

    def _lying(self, record: Record, number: int) -> GroupedLength | None:
        thing = record.find(Thing, number)
        return None if thing is None else grouped_length(thing)

    def _take(self, machine: Machine, number: int, found: GroupedLength) -> None:
        read = measured(found, machine.unit)
        if read is None:
            return
        before = self._house
        place = place_on(machine, found, before)
        if found.like and self.place(found.like) == place:
            self._house = before.with_more(place, number, found.like)
        else:
            self._house = before.with_seen(place, seen(number, *read, where=found.where))
        self._taken.append((number, found, place, before))
        if len(self._taken) > KEPT:  # the house before it is let go; its readings stay
            self._taken[-KEPT - 1] = (*self._taken[-KEPT - 1][:3], None)


def lengths_of(record: Record, machine: Machine) -> House:
    """Return a machine's lengths, gathered into groups."""
    return record.length_book(machine.id).up_to(record, machine)


def read_on(record: Record, machine: Machine, most: int) -> bool:
    """Gather the lengths of `most` fasteners more, before they are asked for; tell whether there are others still."""
    book = record.length_book(machine.id)
    book.up_to(record, machine, most)
    return book.behind


def without(record: Record, machine: Machine, thing: int) -> House:
    """Return a machine's lengths without one fastener's: to name that one anew."""
    house, place = lengths_of(record, machine), record.length_book(machine.id).place(thing)
    return house if place is None else house.without(place, thing)


def group_of(record: Record, machine: Machine, thing: int) -> tuple[Place, LengthGroup] | None:
    """Return the shelf and the group of a fastener's length, or None where it has none."""
    lengths_of(record, machine)
    book = record.length_book(machine.id)
    place, group = book.place(thing), book.group(thing)
    return None if place is None or group is None else (place, group)
