"""Making a workshop folder, and folding its journal into its snapshot, safe at every byte.

A fold writes the new snapshot and the new, empty journal aside and flushes both; gives the old snapshot a
second name in the history; renames the new snapshot into place (from here on the fold counts); gives the
old journal a second name in the history; renames the new journal into place. A folder found between the
two renames has a journal one fold behind its snapshot and ending where the snapshot does: the opening copy
does the last two steps again.
"""

from __future__ import annotations

from pathlib import Path

from putback.store import snapshot, upgrade
from putback.store.disk import ASIDE, Disk
from putback.store.folder import Folder
from putback.store.journal import Tables
from putback.store.line import LINE_LIMIT, Fault, Head, epoch_of, head_line, read_head


def aside(path: Path) -> Path:
    """Where a file is written before it takes its place."""
    return path.with_name(path.name + ASIDE)


def create(folder: Folder, disk: Disk, workshop: str) -> None:
    """Make an empty workshop. The snapshot comes last: without it the folder counts as not begun."""
    head = Head(version=upgrade.FORMAT, epoch=epoch_of(workshop, 1), after=0)
    title = snapshot.Title(format=upgrade.FORMAT, workshop=workshop, fold=1, number=0, last_ids={})
    disk.put(folder.journal, head_line(head))
    snapshot.write(disk, aside(folder.snapshot), title, {})
    disk.rename(aside(folder.snapshot), folder.snapshot)
    disk.flush_folder(folder.path)


def unfinished(folder: Folder) -> bool:
    """Whether a folder was left in the middle of `create`: a first journal without a change, no snapshot."""
    if folder.snapshot.exists() or not folder.journal.exists():
        return False
    with open(folder.journal, "rb") as file:
        line = file.readline(LINE_LIMIT)
        more = file.read(1)
    try:
        head = read_head(line)
    except Fault:
        return False
    return not more and head.fold == 1 and head.after == 0 and not folder.history.exists()


def begin(folder: Folder, disk: Disk, head: Head, number: int, tables: Tables) -> None:
    """Put the new snapshot in place. Raises OSError with the old one in place."""
    fold = head.fold + 1
    last_ids = {name: rows.last_id for name, rows in tables.items() if rows.last_id}
    title = snapshot.Title(format=upgrade.FORMAT, workshop=head.workshop, fold=fold, number=number, last_ids=last_ids)
    disk.make_folder(folder.history)
    snapshot.write(disk, aside(folder.snapshot), title, tables)
    _write_next(folder, disk, head, number)
    disk.second_name(folder.snapshot, folder.old_snapshot(head.fold))
    disk.flush_folder(folder.history)
    disk.rename(aside(folder.snapshot), folder.snapshot)


def finish(folder: Folder, disk: Disk, head: Head, number: int) -> Head:
    """Put the old journal into the history and the new one in its place; gives the new one's head.

    May be done again where it broke off. Raises OSError.
    """
    disk.flush_folder(folder.path)
    if not aside(folder.journal).exists():
        _write_next(folder, disk, head, number)
    disk.make_folder(folder.history)
    disk.second_name(folder.journal, folder.old_journal(head.fold))
    disk.flush_folder(folder.history)
    disk.rename(aside(folder.journal), folder.journal)
    disk.flush_folder(folder.path)
    for fold, path in folder.old_snapshots():
        if fold < head.fold:
            disk.remove(path)
    return _next(head, number)


def keep_old_format(folder: Folder, disk: Disk, version: int) -> Path:
    """Give a snapshot of an older format a second name that no fold removes; gives it. Raises OSError."""
    disk.make_folder(folder.history)
    kept = folder.history / f"format-{version}.json"
    disk.second_name(folder.snapshot, kept)
    disk.flush_folder(folder.history)
    return kept


def _next(head: Head, number: int) -> Head:
    return Head(version=upgrade.FORMAT, epoch=epoch_of(head.workshop, head.fold + 1), after=number)


def _write_next(folder: Folder, disk: Disk, head: Head, number: int) -> None:
    file = disk.create(aside(folder.journal))
    try:
        disk.write(file, head_line(_next(head, number)))
        disk.flush(file)
    finally:
        disk.close(file)


def sweep(folder: Folder, disk: Disk) -> None:
    """Remove what an earlier copy wrote aside and never put in place."""
    for path in (folder.snapshot, folder.journal):
        disk.remove(aside(path))
