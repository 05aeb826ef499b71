"""The logbook: every change ever made, read from the history and the journal, either way round."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from putback.errors import Damaged
from putback.store import journal
from putback.store.disk import trouble
from putback.store.folder import Folder
from putback.store.line import (
    LINE_LIMIT,
    Entry,
    Fault,
    Head,
    epoch_of,
    is_head,
    misplaced,
    read_entry,
    read_head,
)


def path_of(folder: Folder, fold: int) -> Path:
    """Where the journal of a fold lies now: in the history once it is folded in."""
    old = folder.old_journal(fold)
    return old if old.exists() else folder.journal


def forward(folder: Folder, head: Head, number: int) -> Iterator[Entry]:
    """The entries from the first to change `number`, oldest first. Raises Damaged or DiskTrouble."""
    expected = 1
    for fold in range(1, head.fold + 1):
        path = path_of(folder, fold)
        try:
            with open(path, "rb") as file:
                _belongs(folder, path, file.readline(LINE_LIMIT), head, fold)
                for at_line, line in enumerate(journal.lines(file), 2):
                    if expected > number:
                        return
                    yield _entry(line, head, fold, expected, f"{path}, line {at_line}")
                    expected += 1
        except OSError as error:
            raise trouble("could not be read", path, error) from error


def back(folder: Folder, head: Head, length: int, number: int) -> Iterator[Entry]:
    """The entries from change `number` to the first, newest first, a file at a time.

    `length` is how much of the newest journal counts. Raises Damaged or DiskTrouble.
    """
    for fold in range(head.fold, 0, -1):
        path = path_of(folder, fold)
        try:
            with open(path, "rb") as file:
                _belongs(folder, path, file.readline(LINE_LIMIT), head, fold)
            end = length if fold == head.fold else os.stat(path).st_size
            for line in journal.lines_back(path, end):
                if is_head(line):
                    break
                yield _entry(line, head, fold, number, f"{path}, change {number}")
                number -= 1
        except OSError as error:
            raise trouble("could not be read", path, error) from error


def since(folder: Folder, head: Head, length: int, number: int) -> Iterator[tuple[Head, int, Entry | None]]:
    """What was written behind `length` bytes of the journal with this head, on through later folds.

    Gives for each entry the head of its journal and the bytes read of it; and None in place of an entry
    where a new journal begins. Raises Damaged or DiskTrouble.
    """
    while True:
        path = path_of(folder, head.fold)
        try:
            with open(path, "rb") as file:
                _belongs(folder, path, file.readline(LINE_LIMIT), head, head.fold)
                if file.seek(0, os.SEEK_END) < length:
                    raise Damaged(f"{path} became shorter while this copy was reading; open it again.")
                file.seek(length)
                for line in journal.lines(file):
                    if not line.endswith(b"\n"):
                        break  # the writer is at it
                    entry = _entry(line, head, head.fold, number + 1, f"{path}, change {number + 1}")
                    length += len(line)
                    number = entry.number
                    yield head, length, entry
            if path == folder.journal:
                return
            path = path_of(folder, head.fold + 1)
            with open(path, "rb") as file:
                line = file.readline(LINE_LIMIT)
                _belongs(folder, path, line, head, head.fold + 1)
        except OSError as error:
            raise trouble("could not be read", path, error) from error
        head, length = read_head(line), len(line)
        if head.after != number:
            raise Damaged(f"{path} goes on from change {head.after}, not {number}; open it again.")
        yield head, length, None


def remembered(lines: Iterable[bytes]) -> Iterator[Entry]:
    """The entries of lines kept in memory, in their order."""
    return (read_entry(line)[1] for line in lines)


def _belongs(folder: Folder, path: Path, line: bytes, head: Head, fold: int) -> None:
    """Raise Damaged unless a file's first line says that it is the journal of this fold."""
    try:
        found = read_head(line)
    except Fault as fault:
        raise Damaged(f"{path}, line 1 {fault}.") from fault
    expected = epoch_of(head.workshop, fold)
    if found.epoch != expected:
        if path == folder.journal and found.workshop == head.workshop:
            raise Damaged(f"{folder.old_journal(fold)} is missing; the changes in it cannot be read.")
        raise Damaged(f"{path}, line 1 {misplaced(found.epoch, 0, expected, 0)}.")


def _entry(line: bytes, head: Head, fold: int, number: int, where: str) -> Entry:
    try:
        epoch, entry = read_entry(line)
    except Fault as fault:
        raise Damaged(f"{where} {fault}.") from fault
    expected = epoch_of(head.workshop, fold)
    if entry.number != number or epoch != expected:
        raise Damaged(f"{where} {misplaced(epoch, entry.number, expected, number)}.")
    return entry
