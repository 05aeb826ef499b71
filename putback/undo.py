"""Which of a machine's changes still stand and can be taken back, and which was taken back and can be brought again.

Both are read from the logbook, so they hold after a restart too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from putback.store import Entry
from putback.trade.commands import rules


def not_taken_back(newest_first: Iterable[Entry], machine: int) -> Iterator[Entry]:
    """Give the changes of a machine that still stand and can be taken back, newest first."""
    gone: set[int] = set()
    for entry in newest_first:
        if not _counts(entry, machine):
            continue
        if entry.change.undoes:
            gone.add(entry.change.undoes)
        elif entry.number not in gone:
            yield entry


def last_taken_back(oldest_first: Sequence[Entry], machine: int) -> Entry | None:
    """Return the change that was taken back last and was not brought again, or None.

    What was taken back can be brought again until something else is done on the machine. `oldest_first` are the last
    changes of the workshop; one from before them is not found.
    """
    known: dict[int, Entry] = {}
    waiting: list[int] = []
    for entry in oldest_first:
        if not _counts(entry, machine):
            continue
        known[entry.number] = entry
        top = known.get(waiting[-1]) if waiting else None
        if entry.change.undoes:
            waiting.append(entry.change.undoes)
        elif top is not None and (top.change.did, top.change.edits) == (entry.change.did, entry.change.edits):
            waiting.pop()
        else:
            waiting.clear()
    return known.get(waiting[-1]) if waiting else None


def _counts(entry: Entry, machine: int) -> bool:
    return entry.change.machine == machine and entry.change.did not in rules.NOT_TAKEN_BACK
