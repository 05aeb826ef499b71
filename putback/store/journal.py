"""The journal: one checksummed line for each change, on disk before anybody is told that it is saved."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from putback.errors import DiskTrouble
from putback.store import upgrade
from putback.store.disk import Disk, trouble
from putback.store.line import LINE_LIMIT, Fault, Head, misplaced, read_lean, torn
from putback.trade.record.change import Document
from putback.trade.record.rows import Rows

SIZE_LIMIT = 4 << 30
"""The largest journal, in bytes, that is read; folding keeps real ones a thousand times smaller."""

Tables = dict[str, Rows]
"""All documents, each held once, and the highest number each table has ever given away."""

Documents = dict[str, dict[int, Document]]
"""All documents as plain values, for proofs."""


class Replayed(Struct, kw_only=True):
    """What reading a journal came to."""

    number: int
    """The last change taken in."""
    length: int
    """Bytes up to the end of that change."""
    line: int
    """The number of its line; the head is line 1."""
    torn: int = 0
    """Bytes of a last line without its end."""
    fault: str | None = None
    """What is wrong with the next line, where something is."""


def reading(path: Path) -> BinaryIO:
    """Open a journal to read. Raises Fault where it is too big to be one, or OSError."""
    file = open(path, "rb")  # noqa: SIM115 - the caller closes it
    if os.fstat(file.fileno()).st_size > SIZE_LIMIT:
        file.close()
        raise Fault(f"begins a file of more than {SIZE_LIMIT} bytes, more than any workshop's journal")
    return file


def lines(file: BinaryIO) -> Iterator[bytes]:
    """The lines of an open file from where it stands, none longer than the limit."""
    return iter(lambda: file.readline(LINE_LIMIT), b"")


def replay(file: BinaryIO, head: Head, into: Tables) -> Replayed:
    """Take in every change of a journal, `file` standing behind its head.

    Stops before the first line that cannot be believed.
    """
    number, length, at_line = head.after, file.tell(), 1
    fault = None
    rest = 0
    for line in lines(file):
        if line[-1] != 10 and torn(line):
            rest = len(line)
            break
        try:
            read = read_lean(line)
        except Fault as error:
            fault = str(error)
            break
        if read.n != number + 1 or read.epoch != head.epoch:
            fault = misplaced(read.epoch, read.n, head.epoch, number + 1)
            break
        for edit in read.change.edits:
            table = into.get(edit.table)
            if table is None:
                table = into[edit.table] = Rows(edit.table)
            new = edit.after()
            if new is not None:
                new = new.copy() if read.v == upgrade.FORMAT else upgrade.text(read.v, edit.table, new)
            table.lay(edit.id, new)
        number += 1
        length += len(line)
        at_line += 1
    return Replayed(number=number, length=length, line=at_line, torn=rest, fault=fault)


def lines_back(path: Path, end: int, block: int = 1 << 16) -> Iterator[bytes]:
    """The lines of a file's first `end` bytes, last first, read block by block. The head comes last."""
    with open(path, "rb") as file:
        yield from _back(file, end, block)


def _back(file: BinaryIO, end: int, block: int) -> Iterator[bytes]:
    rest = b""  # the end of a line whose beginning is not read yet
    while end:
        begin = max(0, end - block)
        file.seek(begin)
        first, *others = (file.read(end - begin) + rest).split(b"\n")
        end, rest = begin, first
        if not others:
            block *= 2  # one line longer than a block: keep the work in proportion to its length
        for line in reversed(others):
            if line:
                yield line + b"\n"
    if rest:
        yield rest + b"\n"


class Journal:
    """An open journal to write to."""

    def __init__(self, path: Path, head: Head, read: Replayed, disk: Disk) -> None:
        """Open the file at `path`, sound for `read.length` bytes; what is behind them is cut off."""
        self.path = path
        self.head = head
        self.length = read.length
        self.number = read.number
        self._disk = disk
        self._stuck: str | None = None
        self._file = disk.open_to_append(path)
        try:
            found = os.fstat(self._file)
            self._place = (found.st_dev, found.st_ino)
            if found.st_size > read.length:
                disk.cut(self._file, read.length)
                disk.flush(self._file)
        except BaseException:
            disk.close(self._file)
            raise

    def append(self, data: bytes, count: int = 1) -> None:
        """Put whole lines on the disk. Raises DiskTrouble with the file as it was."""
        if self._stuck:
            raise DiskTrouble(self._stuck)
        self._look()
        try:
            self._disk.write(self._file, data)
        except BaseException as error:
            self._cut_back()
            if isinstance(error, OSError):
                raise trouble("could not be written, and nothing was changed", self.path, error) from error
            raise
        try:
            self._disk.flush(self._file)
        except BaseException as error:
            # after a failed flush the system may call pages clean that never reached the disk
            self._cut_back()
            self._stuck = (
                f"{self.path} could not be flushed to the disk, so the last change was not saved; "
                "close the workshop and open it again."
            )
            if isinstance(error, OSError):
                raise DiskTrouble(self._stuck) from error
            raise
        self.length += len(data)
        self.number += count

    def _look(self) -> None:
        """Raise DiskTrouble unless our file is still in its place and nobody else wrote to it."""
        try:
            found = os.stat(self.path)
        except OSError as error:
            raise trouble("could not be written, and nothing was changed", self.path, error) from error
        if (found.st_dev, found.st_ino) != self._place:
            raise DiskTrouble(f"{self.path} is another file by now; nothing was changed. Open it again.")
        if found.st_size != self.length:
            raise DiskTrouble(
                f"{self.path} was written by something else (a synced drive?); nothing was changed. Open it again."
            )

    def _cut_back(self) -> None:
        try:
            self._disk.cut(self._file, self.length)
        except OSError as error:
            self._stuck = str(trouble("could not be cut back after a failed write", self.path, error))

    def close(self) -> None:
        """Close the file; fine when closed already."""
        if self._file >= 0:
            self._disk.close(self._file)
            self._file = -1


class MemoryJournal:
    """A journal that is kept in memory, for a store without a folder."""

    def __init__(self) -> None:
        """Empty."""
        self.lines: list[bytes] = []
        self.number = 0

    def append(self, data: bytes, count: int = 1) -> None:
        """Keep whole lines."""
        self.lines += data.splitlines(keepends=True)
        self.number += count

    def close(self) -> None:
        """Nothing to let go of."""
