"""Rules for what came back mixed: it lies together as one lot until it is sorted by hand, and the counts balance."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.trips import Named, home, named_things, reopened
from putback.trade.record.change import Change
from putback.trade.record.fastener import Thing
from putback.trade.record.phrases import counted, few, quoted, times
from putback.trade.record.place import FITTED, MISSING, read_place, sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trip import Sent

SORTED = "sorted by hand"
"""The note of a move out of a mixed lot."""


class Sorted(Struct, frozen=True, kw_only=True):
    """Where some of one thing of a lot go."""

    count: int
    """How many, from 1."""
    put: str
    """The place where they lie from now on; `missing` where they are not in the lot."""
    thing: int = 0
    """The thing's number in the workshop; 0 where step and name say it."""
    named: Named = (0, "")
    """The thing by step and name."""


class SortLot(Command, frozen=True, kw_only=True):
    """Say which of a mixed lot goes where; without rows all of it goes where it lay before it was sent.

    The counts have to balance: all that the record has in the lot is said, what is not there as missing.
    """

    is_work = False

    place: str
    """The place where the lot lies, as `box mixed from plater`."""
    rows: tuple[Sorted, ...] = ()
    """Where each goes."""


class Lot(Struct, frozen=True):
    """What came back mixed and lies together."""

    machine: int
    """The machine that it belongs to."""
    place: str
    """Where it lies."""
    sent: tuple[Sent, ...]
    """What of it was sent, each with how many lie in the lot."""

    @property
    def count(self) -> int:
        """How many things are in it."""
        return sum(one.count for one in self.sent)

    @property
    def bags(self) -> tuple[str, ...]:
        """Where its things lay before."""
        return tuple(dict.fromkeys(home(one) for one in self.sent))

    @property
    def text(self) -> str:
        """It in a line: `sort by hand: 7 things in box mixed from plater, of bag 3, bag 4`."""
        return f"sort by hand: {counted(self.count, 'thing')} in {self.place}, of {few(self.bags)}"


def mixed_lots(record: Record, machine: int) -> list[Lot]:
    """Return the lots of a machine that are still to be sorted, in the order they came back."""
    found: dict[str, list[Sent]] = {}
    left: dict[tuple[int, str], int] = {}
    for sent in record.all(Sent, machine):
        if not (sent.mixed and sent.lot):
            continue
        key = sent.thing, sent.lot
        there = left.setdefault(key, record.standing(sent.thing).get(sent.lot, 0))
        if there > 0:
            count = min(there, sent.count)
            left[key] -= count
            found.setdefault(sent.lot, []).append(_with_count(sent, count))
    return [Lot(machine, place, tuple(rows)) for place, rows in found.items()]


def _with_count(sent: Sent, count: int) -> Sent:
    return Sent(
        id=sent.id, machine=sent.machine, thing=sent.thing, count=count, source=sent.source, to=sent.to, at=sent.at
    )


def sort_lot(draft: Draft, command: SortLot) -> Change:
    """Move what lies in a lot to where each belongs."""
    place = read_place(command.place)
    lot = next((one for one in mixed_lots(draft.record, draft.machine) if one.place == place), None)
    if lot is None:
        raise Refused(f"There is no mixed lot at {quoted(place)} that is still to be sorted.")
    held: Counter[int] = Counter()
    for sent in lot.sent:
        held[sent.thing] += sent.count
    moves = Counter[tuple[int, str]]()
    for thing, count, put in _said(draft, command, lot):
        if thing not in held:
            raise Refused(f"{draft.get(Thing, thing).called} is not in that lot.")
        if count < 1:
            raise BadInput(f"Pieces are counted from 1; {count} was said.")
        moves[thing, put] += count
    for thing, count in held.items():
        said = sum(n for (number, _), n in moves.items() if number == thing)
        if said != count:
            called = draft.get(Thing, thing)
            step = draft.get(Step, called.step).number
            raise Refused(
                f"Of {times(count, called.called)} (step {step}) only {said} are accounted for: "
                "say where each of them lies; what is not there is missing."
            )
    for (number, put), count in sorted(moves.items()):
        if put != place:
            reopened(draft, put)
            draft.move(draft.get(Thing, number), count, place, put, note=SORTED)
    for sent in lot.sent:
        draft.alter(draft.get(Sent, sent.id), mixed=False, lot="")
    where: Counter[str] = Counter()
    for (_, put), count in moves.items():
        where[put] += count
    told = ", ".join(f"{n} {'missing' if put == MISSING else f'in {put}'}" for put, n in sorted(where.items()))
    return draft.change("SortLot", f"sorted by hand, {counted(lot.count, 'thing')} out of {place}: {told}")


def _said(draft: Draft, command: SortLot, lot: Lot) -> Iterator[tuple[int, int, str]]:
    """Give thing, count and place of each row; things that are known by step and name as they lie in the lot."""
    if not command.rows:
        yield from ((sent.thing, sent.count, home(sent)) for sent in lot.sent)
        return
    left: Counter[int] = Counter()
    for sent in lot.sent:
        left[sent.thing] += sent.count
    for row in command.rows:
        put = read_place(row.put)
        if put == FITTED or (put != MISSING and sort_of(put) in ("away", "borrowed", "scrapped")):
            raise Refused(
                "What is sorted can lie only in a bag, in a box, on the shelf or on the bench, or is missing."
            )
        if row.thing:
            yield row.thing, row.count, put
            continue
        count = row.count
        for thing in named_things(draft, row.named):
            taken = min(count, left[thing.id])
            if taken > 0:
                left[thing.id] -= taken
                count -= taken
                yield thing.id, taken, put
        if count:
            raise Refused(f"There are not {row.count} x {row.named[1]} of step {row.named[0]} in that lot.")


RULES: dict[type[Command], Any] = {SortLot: sort_lot}
