"""The logbook: who did what when, from the journal and the history."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import islice
from typing import Any

from msgspec import Struct

from putback.dates import day
from putback.errors import Damaged
from putback.reports.blocks import Block
from putback.store import Entry
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record


class LogRow(Struct, frozen=True):
    """One change, as the logbook tells of it."""

    number: int
    """Its number; the first is 1, and none is left out."""
    at: str
    """When, as a stamp with an offset."""
    who: str
    """Who was at the keyboard; empty where the system did not know."""
    machine: str
    """The machine, name and serial; empty where it is about the whole workshop."""
    did: str
    """The command."""
    said: str
    """What happened, in words."""
    undoes: int
    """The change that it takes back, or 0."""
    undone_by: int
    """The change that took it back, or 0."""

    def to_json(self) -> dict[str, Any]:
        """Return the row as the command line prints it."""
        return {
            "number": self.number,
            "at": self.at,
            "who": self.who,
            "machine": self.machine,
            "did": self.did,
            "said": self.said,
            "undoes": self.undoes or None,
            "undone_by": self.undone_by or None,
        }


def log_rows(
    newest_first: Iterable[Entry], record: Record, *, machine: int = 0, last: int | None = None
) -> list[LogRow]:
    """Return the logbook, newest last: of one machine, or with 0 of all; only the `last` rows where given.

    `newest_first` is the store's entries from the newest back; no more are read than are wanted. A change is
    always taken back by a later one, so reading back meets that first. Raises Damaged where an older line
    cannot be read, saying how many can.
    """
    rows: list[LogRow] = []
    try:
        rows.extend(islice(_rows(newest_first, record, machine), last))
    except Damaged as fault:
        raise Damaged(f"{fault} What came after it can be read: putback log --last {len(rows)}.") from fault
    rows.reverse()
    return rows


def _rows(newest_first: Iterable[Entry], record: Record, machine: int) -> Iterator[LogRow]:
    undone: dict[int, int] = {}
    captions = {known.id: known.caption for known in record.all(Machine)}
    for entry in newest_first:
        change = entry.change
        if change.undoes:
            undone[change.undoes] = entry.number
        if machine and not _about(entry, machine):
            continue
        yield LogRow(
            entry.number,
            entry.at,
            entry.who,
            captions.get(change.machine, ""),
            change.did,
            change.said,
            change.undoes,
            undone.get(entry.number, 0),
        )


def _about(entry: Entry, machine: int) -> bool:
    """Tell whether a change is about a machine: by its own word, or by what it wrote where it says none."""
    if entry.change.machine:
        return entry.change.machine == machine
    for edit in entry.change.edits:
        found = edit.new or edit.old or {}
        if (edit.id if edit.table == "machines" else found.get("machine")) == machine:
            return True
    return False


def log_blocks(rows: list[LogRow]) -> Iterator[Block]:
    """Give the logbook, a change a row under its day; one that was taken back says so."""
    wide = len(str(rows[-1].number)) if rows else 0
    people = max((len(row.who) for row in rows), default=0)
    several = len({row.machine for row in rows if row.machine}) > 1
    day = ""
    for row in rows:
        on, at = _day_and_time(row.at)
        if on != day:
            yield Block(on, "heading", said="")
            day = on
        machine = row.machine if several else ""
        text = " ".join(row.said.split()) + (f"  [{machine}]" if machine else "")
        text += f"  (taken back by {row.undone_by})" if row.undone_by else ""
        about = ", ".join(filter(None, (f"{on} {at}", row.who, machine)))
        back = f", taken back by change {row.undone_by}" if row.undone_by else ""
        yield Block(
            sort="undone" if row.undone_by else "line",
            inset=0 if row.undone_by else 2,
            cells=(str(row.number), at, *((row.who,) if people else ()), text),
            widths=(-wide, 0, people),
            said=f"change {row.number}, {about}: {row.said}{back}",
        )
    if not rows:
        yield Block("Nothing has been done yet.")


def _day_and_time(stamp: str) -> tuple[str, str]:
    """Return a stamp's day with its offset, and its time of day, as they were at that bench."""
    try:
        when = datetime.fromisoformat(stamp)
    except ValueError:
        return stamp, ""
    return f"{day(stamp)} (UTC{when:%z})", f"{when:%H:%M:%S}"
