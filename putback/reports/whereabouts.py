"""Where things are now: every thing that some words name, with its place, on all machines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.reports.finding import Findable, entries, find
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import FITTED, bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import place_words


class Whereabouts(Struct, frozen=True):
    """Some of one thing, at one place."""

    machine: str
    """Whose it is, name and serial."""
    what: str
    """What it is, with its size."""
    count: int
    """How many of it are there."""
    place: str
    """Where: `bag 3, box A`, `shelf`, `on the machine`."""
    step: int
    """The step that took it off; 0 where none did."""
    holes: tuple[str, ...] = ()
    """The holes they came out of."""

    @property
    def text(self) -> str:
        """It in a line: `7 x screw #6-32 UNC x 3/8: bag 3, box A (step 5, holes 1 2 3)`."""
        holes = f", hole{'s' if len(self.holes) > 1 else ''} {' '.join(self.holes)}" if self.holes else ""
        came = f" (step {self.step}{holes})" if self.step else ""
        many = f"{self.count} x " if self.count != 1 else ""
        return f"{many}{self.what}: {self.place}{came}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "what": self.what,
            "count": self.count,
            "place": self.place,
            "step": self.step or None,
            "holes": list(self.holes),
        }


def whereabouts(record: Record, words: str, machine: int | None = None) -> list[Whereabouts]:
    """Return where everything is that words name, equal things at one place in one row; none where nothing matches.

    With `machine` only that one's things. What is called so exactly comes alone, where anything is.
    """
    known = [entry for entry in entries(record) if entry.sort != "machine" and machine in (None, entry.machine_id)]
    hits = [hit.entry for hit in find(known, words).hits]
    wanted = words.casefold().strip()
    exactly = [entry for entry in hits if wanted in (*entry.exactly, entry.title)]
    rows: dict[tuple[str, str, str, int], Whereabouts] = {}
    parts = [entry for entry in exactly if entry.sort == "part"]  # a part is meant, not what else its step released
    for entry in parts or exactly or hits:
        for row in _of(record, entry):
            rows.setdefault((row.machine, row.what, row.place, row.step), row)
    # A part that is back is found as a part, and as what its step released: it is one thing, and the step tells more.
    by_step = {(row.machine, row.what, row.place) for row in rows.values() if row.step}
    return [row for row in rows.values() if row.step or (row.machine, row.what, row.place) not in by_step]


def _of(record: Record, entry: Findable) -> Iterator[Whereabouts]:
    """Where a thing that was found is; of a step, where all that it released is; of a bag, where it stands."""
    if entry.sort == "bag":
        bag = record.get(Bag, entry.id)
        held = sum(record.in_bag(bag).values())
        where = f"box {bag.box}" if bag.box else "in no box"
        yield Whereabouts(entry.machine, f"bag {bag.number}, {held} in it", 1, where, 0)
        return
    if entry.sort == "part":
        off = record.off_at(entry.id)
        if off is None:
            part = record.get(Part, entry.id)
            yield Whereabouts(entry.machine, part.name, 1, "on the machine", 0)
        else:
            yield from _things(record, off, [thing for thing in record.things_of(off) if thing.part == entry.id])
        return
    if entry.sort == "step":
        step = record.get(Step, entry.id)
        yield from _things(record, step, list(record.things_of(step)))
        return
    thing = record.get(Thing, entry.id)
    step = record.get(Step, thing.step)
    yield from _things(record, step, [one for one in record.things_of(step) if one.called == thing.called])


def _things(record: Record, step: Step, things: list[Thing]) -> Iterator[Whereabouts]:
    caption = record.get(Machine, step.machine).caption
    counts: Counter[tuple[str, str]] = Counter()
    holes: dict[tuple[str, str], list[str]] = {}
    for thing in things:
        for place, count in record.standing(thing.id).items():
            at = thing.called, _place(record, thing, place)
            counts[at] += count
            holes.setdefault(at, []).extend([thing.hole] if thing.hole else [])
    for (what, place), count in counts.items():
        yield Whereabouts(caption, what, count, place, step.number, tuple(dict.fromkeys(holes[what, place])))


def _place(record: Record, thing: Thing, place: str) -> str:
    """A place in words, a bag with the box it lies in."""
    number = bag_number(place)
    bag = record.bag(thing.machine, number) if number is not None else None
    if bag is not None and bag.box:
        return f"{place}, box {bag.box}"
    return {FITTED: "on the machine", "loose": "loose on the bench"}.get(place) or place_words(thing, place)


def where_blocks(rows: list[Whereabouts]) -> Iterator[Block]:
    """Give the rows under each machine's name."""
    for machine in dict.fromkeys(row.machine for row in rows):
        yield Block(f"{machine}:", "heading")
        yield from (Block(row.text, inset=2) for row in rows if row.machine == machine)
