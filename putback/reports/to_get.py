"""The list of what to get, over all machines, as a shop reads it: no line twice, each with what can be done."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.reports.spreadsheet import defused
from putback.reports.wanted import WantedThing, is_open
from putback.sizing.replacing import getting
from putback.sizing.threads import thread_named
from putback.trade.cautions.irreversible import is_kept_as_found
from putback.trade.commands.bagging import plain_name
from putback.trade.commands.donors import Donor, donors
from putback.trade.record.fastener import Thing
from putback.trade.record.job import IN_HAND
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, times
from putback.trade.record.record import Record
from putback.trade.record.spare import Spare

OVER = 2
"""How many fasteners are bought beyond those needed, for the floor takes some (common practice, no source)."""

_WORDS = {"slot": "slotted"}


class GetLine(Struct, frozen=True):
    """One line of the list: everything of one sort and size, for all machines."""

    what: str
    """It as a shop reads it: `#6-32 UNC x 3/8 fillister slotted screw`."""
    needed: int
    """How many go in."""
    over: int
    """How many more to buy."""
    things: tuple[WantedThing, ...]
    """What they go in for."""
    machines: tuple[str, ...]
    """The machines, name and serial."""
    ways: tuple[str, ...]
    """What can be done, in the order to try it."""
    spares: tuple[int, ...] = ()
    """Own spares of that size, by their numbers in the workshop."""
    donors: tuple[Donor, ...] = ()
    """What other machines have of it; looked for with the ways."""

    @property
    def state(self) -> str:
        """ordered where all of it is; else to get."""
        return "ordered" if all(one.state == IN_HAND for one in self.things) else "to get"

    @property
    def text(self) -> str:
        """It in a line: `#6-32 UNC x 3/8 fillister slotted screw: 5 (3 needed, 2 extra)`."""
        count = (
            f"{self.needed + self.over} ({self.needed} needed, {self.over} extra)" if self.over else str(self.needed)
        )
        likely = next((f"; {one.likely}: likely" for one in self.things if one.likely), "")
        return f"{self.what}: {count}{likely}{'; ordered' if self.state == 'ordered' else ''}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        first = self.things[0]
        return {
            "what": self.what,
            "kind": first.kind,
            "size": first.size,
            "head": first.head,
            "drive": first.drive,
            "needed": self.needed,
            "over": self.over,
            "state": self.state,
            "likely": first.likely,
            "machines": list(self.machines),
            "for": [{"step": one.step, "hole": one.hole or None, "why": one.why} for one in self.things],
            "ways": list(self.ways),
        }


def get_key(one: WantedThing) -> tuple[str, ...]:
    """Return by what things to be got are one line: kind, size, head, drive and hand."""
    return one.kind, one.size, one.head, one.drive, one.hand


def get_lines(record: Record, wanted: Sequence[WantedThing], *, ways: bool = True) -> list[GetLine]:
    """Return the list, fasteners first, by what they are; what is in the drawer is not on it.

    Without `ways` it is not looked for what can be done: that asks all machines for a donor.
    """
    groups: dict[tuple[str, ...], list[WantedThing]] = {}
    for one in filter(is_open, wanted):
        groups.setdefault(get_key(one), []).append(one)
    spares = [spare for spare in record.all(Spare) if spare.left]
    found = [_line(record, things, spares, ways=ways) for things in groups.values()]
    return sorted(found, key=lambda line: (not line.things[0].kind, line.what.casefold()))


def _line(record: Record, things: list[WantedThing], spares: list[Spare], *, ways: bool) -> GetLine:
    first = things[0]
    looks = " ".join(filter(None, (first.head, _WORDS.get(first.drive, first.drive))))
    hand = "left-hand" if first.hand == "left" else ""
    kind = first.kind if first.kind and not first.size.startswith(first.kind) else ""
    what = " ".join(filter(None, (first.size, looks, hand, kind)))
    needed = sum(one.count for one in things)
    own = [spare for spare in spares if _fits(spare, first)]
    machines = dict.fromkeys(one.caption for one in things)
    donating = donors_of(record, things) if ways else []
    return GetLine(
        what=what,
        needed=needed,
        over=OVER if first.kind and first.size else 0,
        things=tuple(things),
        machines=tuple(machines),
        ways=tuple(_ways(record, first, things, own, donating)) if ways else (),
        spares=tuple(spare.id for spare in own),
        donors=tuple(donating),
    )


def _fits(spare: Spare, wanted: WantedThing) -> bool:
    same = plain_name(spare.size) == plain_name(wanted.size) and spare.kind == wanted.kind
    return same and (not spare.head or not wanted.head or spare.head == wanted.head)


def _ways(
    record: Record, first: WantedThing, things: list[WantedThing], own: list[Spare], found: list[Donor]
) -> Iterator[str]:
    """Give what can be done: own spares, a donor, buy, make, what can be had in its place or drilled."""
    spares = [f"own spares: {times(s.left, s.called)}{f' ({s.place})' if s.place else ''}" for s in own]
    donating = [f"donor: {text}" for text in dict.fromkeys(one.text for one in found)]
    if any(is_kept_as_found(record.get(Machine, one.machine).intent) for one in things):
        yield from (*donating, *spares, "buy new")  # an old one before a new one
    else:
        yield from (*spares, *donating, "buy")
    yield "make"
    thread = thread_named(first.thread) if first.thread else None
    if thread is not None:
        yield from getting(thread)


def donors_of(record: Record, things: Sequence[WantedThing]) -> list[Donor]:
    """Return what other machines have of what a line is about; none where no size is known."""
    first = things[0]
    if not first.thing or not first.size:
        return []
    not_of = {one.machine for one in things}
    found = donors(record, first.machine, record.get(Thing, first.thing).sort, first.called)
    return [one for one in found if one.machine.id not in not_of]


def get_blocks(lines: Sequence[GetLine]) -> Iterator[Block]:
    """Give the list: what, for what, and the ways."""
    for line in lines:
        yield Block(line.text, "heading")
        yield from (Block(f"for {one.caption}, {one.where}", inset=2) for one in line.things)
        yield Block(f"ways: {'; '.join(line.ways)}", inset=2)
    yield Block(f"{counted(len(lines), 'line')}." if lines else "Nothing has to be got.")


def get_csv(lines: Sequence[GetLine]) -> str:
    """Return the list as CSV: one row a line."""
    out = StringIO()
    columns = ("what", "kind", "size", "head", "drive", "needed", "over", "state", "likely", "machines", "ways")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n")  # what is printed has no other controls
    writer.writerow(columns)
    for line in lines:
        row = line.to_json()
        cells = (row[name] for name in columns)
        writer.writerow(defused("; ".join(cell)) if isinstance(cell, list) else _cell(cell) for cell in cells)
    return out.getvalue()


def _cell(cell: object) -> object:
    return defused(cell) if isinstance(cell, str) else cell
