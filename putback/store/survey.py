"""Every line of every journal in a folder, sound or not, for `check` and `mend`."""

from __future__ import annotations

from collections.abc import Iterator
from filecmp import cmp
from pathlib import Path

from msgspec import Struct

from putback.store.disk import trouble
from putback.store.folder import Folder
from putback.store.journal import lines, reading
from putback.store.line import LINE_LIMIT, Entry, Fault, Head, is_head, read_entry, read_head, torn


class Row(Struct, frozen=True):
    """One line as found."""

    where: str
    """File and line."""
    data: bytes
    """Its bytes, with the newline where it has one."""
    epoch: str = ""
    """The epoch it names."""
    head: Head | None = None
    """What it says, where it is a sound head."""
    entry: Entry | None = None
    """What it says, where it is a sound change."""
    fault: str | None = None
    """Why it cannot be believed."""
    torn: bool = False
    """Whether it is a last line cut short while it was written."""


def files(folder: Folder) -> list[Path]:
    """The journals of a folder in the order they were written."""
    old = [path for _, path in folder.old_journals()]
    try:
        twice = bool(old) and _head(old[-1]) == _head(folder.journal) and cmp(old[-1], folder.journal, shallow=False)
    except OSError as error:
        raise trouble("could not be read", folder.journal, error) from error
    # a fold that broke off left the journal under both its names
    return old if twice else [*old, folder.journal]


def _head(path: Path) -> bytes | None:
    if not path.exists():
        return None
    with open(path, "rb") as file:
        return file.readline(LINE_LIMIT)


def rows(folder: Folder, path: Path) -> Iterator[Row]:
    """The lines of one journal; none where there is no such file. Raises DiskTrouble."""
    try:
        if not path.exists():
            return
        with reading(path) as file:
            number = 0
            for number, line in enumerate(lines(file), 1):
                yield row(line, folder.place(path, number), first=number == 1)
            if not number:
                yield Row(folder.place(path, 1), b"", fault="is missing: the file is empty")
    except Fault as fault:
        yield Row(folder.place(path, 1), b"", fault=str(fault))
    except OSError as error:
        raise trouble("could not be read", path, error) from error


def row(line: bytes, where: str, *, first: bool) -> Row:
    """One line, read; `first` for the first line of its file, which ought to be a head."""
    if not first and not line.endswith(b"\n") and torn(line):
        return Row(where, line, fault="is cut short", torn=True)
    try:
        if first or is_head(line):
            head = read_head(line)
            return Row(where, line, epoch=head.epoch, head=head)
        epoch, entry = read_entry(line)
        return Row(where, line, epoch=epoch, entry=entry)
    except Fault as fault:
        return Row(where, line, fault=str(fault))
