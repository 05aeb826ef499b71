"""A change in the making: the edits of one command, seen through as if they were done already."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

import msgspec

from putback.errors import Refused
from putback.trade.record.bag import Bag, Move
from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import times
from putback.trade.record.place import MOST_BAGS, bag_number
from putback.trade.record.record import TABLE_OF, Noun, Record, document

N = TypeVar("N", bound=Noun)

LARGEST = 1_000_000
"""Bytes of JSON that one change may come to. What is typed never does; a stuck key or a wrong file may."""

LARGEST_SHIFT = 20 * LARGEST
"""The same for a change that gives every later step another number; a long record comes to more."""


class Draft:
    """Collects edits over a record without touching it."""

    def __init__(self, record: Record, machine: int, at: str, codes: Iterable[str] = ()) -> None:
        """`at` is the stamp of now; `codes` gives unused bag codes, one for each bag begun."""
        self.record = record
        self.machine = machine
        self.at = at
        self._codes = iter(codes)
        self._edits: dict[tuple[str, int], tuple[Document | None, Noun | None]] = {}
        self._next: dict[str, int] = {}
        self._shifts: dict[int, dict[str, int]] = {}

    def new_id(self, kind: type[Noun]) -> int:
        """Return a number for a new noun."""
        table = TABLE_OF[kind]
        number = self._next.get(table, self.record.next_id(table))
        self._next[table] = number + 1
        return number

    def put(self, noun: N) -> N:
        """Write a noun, new or changed, and return it."""
        key = (TABLE_OF[type(noun)], noun.id)
        if key in self._edits:
            old = self._edits[key][0]
        else:
            found = self.record.find(type(noun), noun.id)
            old = None if found is None else document(found)
        self._edits[key] = (old, noun)
        return noun

    def drop(self, noun: Noun) -> None:
        """Take a noun of the record out of it."""
        self._edits[(TABLE_OF[type(noun)], noun.id)] = (document(noun), None)

    def alter(self, noun: N, **fields: object) -> N:
        """Write a noun with some fields changed, and return it."""
        return self.put(msgspec.structs.replace(noun, **fields))

    def get(self, kind: type[N], number: int) -> N:
        """Return a noun as this draft leaves it. Raises Refused where there is none."""
        drafted = self._edits.get((TABLE_OF[kind], number))
        if drafted is not None and isinstance(drafted[1], kind):
            return drafted[1]
        return self.record.get(kind, number)

    def standing(self, thing: int) -> dict[str, int]:
        """Return where a thing stands as this draft leaves it."""
        standing = self.record.standing(thing)
        for place, count in self._shifts.get(thing, {}).items():
            standing[place] = standing.get(place, 0) + count
        return {place: count for place, count in standing.items() if count}

    def enter(self, thing: Thing) -> Thing:
        """Write a thing seen for the first time; it stands at its start."""
        self.put(thing)
        self._shift(thing.id, thing.start, thing.count)
        return thing

    def move(self, thing: Thing, count: int, source: str, target: str, *, step: int = 0, note: str = "") -> None:
        """Write a move. Raises Refused where the source has not that many or a bag will not take them."""
        if source == target:
            raise Refused(f"{thing.called} is at “{target}” already.")
        if count < 1:
            raise Refused(f"A move takes at least one; {count} was asked for.")
        standing = self.standing(thing.id)
        if count > standing.get(source, 0):
            where = ", ".join(f"{n} at “{place}”" for place, n in sorted(standing.items()))
            raise Refused(f"There is no {times(count, thing.called)} at “{source}”; there is {where or 'none'}.")
        self.opened_bag(target)
        moved = Move(
            id=self.new_id(Move),
            machine=thing.machine,
            thing=thing.id,
            count=count,
            source=source,
            target=target,
            step=step,
            at=self.at,
            note=note,
        )
        self.put(moved)
        self._shift(thing.id, source, -count)
        self._shift(thing.id, target, count)

    def redirect(self, move: Move, target: str) -> None:
        """Let a move that was made lead elsewhere: the record was wrong, not the hand.

        Raises Refused where the thing is no longer all there, or a bag will not take it.
        """
        thing = self.get(Thing, move.thing)
        if self.standing(thing.id).get(move.target, 0) < move.count:
            raise Refused(f"{thing.called} was moved since from “{move.target}”.")
        self.opened_bag(target)
        self.alter(move, target=target, because="")  # it was said of where it led before
        self._shift(thing.id, move.target, -move.count)
        self._shift(thing.id, target, move.count)

    def _shift(self, thing: int, place: str, count: int) -> None:
        shifts = self._shifts.setdefault(thing, {})
        shifts[place] = shifts.get(place, 0) + count

    def opened_bag(self, place: str, *, label: str = "") -> Bag | None:
        """Return the bag that `place` names, begun now if it is new; None where it is not a bag.

        A new bag lies in the box of the session that goes on, and bears the code of `label` where that is
        given. Raises Refused where it is closed.
        """
        number = bag_number(place)
        if number is None:
            return None
        bag = self.bag(number)
        if bag is None:
            code = label or next(self._codes, None)
            if code is None:
                raise Refused(f"There is no label left for bag {number}.")
            session = self.record.open_session(self.machine)
            bag = Bag(
                id=self.new_id(Bag),
                machine=self.machine,
                number=number,
                code=code,
                box=session.box if session else "",
                opened=self.at,
            )
            self.put(bag)
        if bag.closed:
            raise Refused(f"Bag {number} is closed; reopen it first, or take another.")
        return bag

    def bag(self, number: int) -> Bag | None:
        """Return bag `number` of this machine as this draft leaves it, or None."""
        for _, noun in self._edits.values():
            if isinstance(noun, Bag) and noun.machine == self.machine and noun.number == number:
                return noun
        return self.record.bag(self.machine, number)

    def next_bag(self) -> int:
        """Return the lowest number above every bag of the machine, at least that of its first one.

        Raises Refused where none is left.
        """
        machine = self.record.find(Machine, self.machine)
        number = max(self.record.highest_bag(self.machine) + 1, machine.first_bag if machine else 0)
        if number > MOST_BAGS:
            raise Refused(f"There is a bag {MOST_BAGS} already, and no number above it.")
        return number

    def change(self, did: str, said: str, *, largest: int = LARGEST) -> Change:
        """Return the finished change. Documents that came out as they were are left out.

        Raises Refused where it is too large or holds half a character, which no file can keep.
        """
        edits = []
        try:
            for (table, number), (old, noun) in self._edits.items():
                new = None if noun is None else document(noun)
                if new != old:
                    edits.append(Edit(table, number, old, new))
            change = Change(did=did, said=said, edits=tuple(edits), machine=self.machine)
            size = len(msgspec.json.encode(change))
        except UnicodeEncodeError as fault:
            raise Refused("That text holds half a character and cannot be kept; type it again.") from fault
        if size > largest:
            raise Refused(f"That is too much at once: {size // 1000} kB; a change has at most {largest // 1000} kB.")
        return change
