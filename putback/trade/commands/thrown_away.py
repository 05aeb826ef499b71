"""What a change throws away that was on the machine when it came: asked about where that is kept as found.

Nothing is forbidden: the reason is kept with the move, and whoever gives none has thrown it away without one.
"""

from __future__ import annotations

from msgspec import convert
from msgspec.structs import replace

from putback.trade.cautions.irreversible import is_kept_as_found
from putback.trade.record.change import Change, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import few, times
from putback.trade.record.place import FITTED, MISSING, SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def thrown_away(record: Record, change: Change) -> list[Edit]:
    """Return the moves of a change by which an original of a machine kept as found ends as scrapped.

    What was lost is none of them: it was gone before.
    """
    return [edit for edit in change.edits if edit.table == "moves" and _throws(record, change, edit)]


def _throws(record: Record, change: Change, edit: Edit) -> bool:
    new = edit.new
    if new is None or new["target"] != SCRAPPED or new["source"] == MISSING:
        return False
    if edit.old is not None and edit.old["target"] == SCRAPPED:
        return False  # a move that led there before, too
    thing = _thing(record, change, new["thing"])
    if thing is None or thing.replaces or thing.start != FITTED:
        return False
    machine = record.find(Machine, thing.machine)
    return machine is not None and is_kept_as_found(machine.intent)


def _thing(record: Record, change: Change, number: int) -> Thing | None:
    """Return a thing, be it that a part comes off with this change and is written only now."""
    fresh = (edit.new for edit in change.edits if edit.table == "things" and edit.id == number and edit.old is None)
    found = next(filter(None, fresh), None)
    return record.find(Thing, number) if found is None else convert(found, Thing)


def _things(record: Record, change: Change) -> list[tuple[int, Thing]]:
    """Return what a change throws away, each with how many of it."""
    rows = [edit.new for edit in thrown_away(record, change) if edit.new is not None]
    found = [(row["count"], _thing(record, change, row["thing"])) for row in rows]
    return [(count, thing) for count, thing in found if thing is not None]


def with_because(record: Record, change: Change, because: str) -> Change:
    """Return a change with the reason beside each move that throws an original away."""
    words = " ".join(because.split())
    found = thrown_away(record, change) if words else []
    if not found:
        return change
    edits = tuple(
        Edit(edit.table, edit.id, edit.old, {**(edit.new or {}), "because": words}) if edit in found else edit
        for edit in change.edits
    )
    return replace(change, edits=edits, said=f"{change.said}; thrown away because: {words}")


def question(record: Record, change: Change) -> str:
    """Return what is asked before a change throws an original away; empty where it throws none."""
    found = _things(record, change)
    if not found:
        return ""
    named = few([times(count, thing.called) for count, thing in found])
    return f"{named}: thrown away it cannot be had back, and this machine is kept as found. Why?"


def photos_kept(record: Record, change: Change) -> tuple[str, ...]:
    """Return the names of the photos that show what a change throws away."""
    steps = dict.fromkeys(thing.step for _, thing in _things(record, change))
    photos = (photo for step in steps for photo in record.photos_of(record.get(Step, step)))
    return tuple(photo.name or photo.file for photo in photos)
