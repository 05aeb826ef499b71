"""A copy of a workshop that may be open, and written to, by another process: whole, proved, or not there at all.

No lock is taken, so nobody has to wait. Snapshot and journal are read in that order, and read again where a fold
came between; the history that goes with them is never changed by anybody. Photos come last: a picture is filed
before the change that names it, so all that the copied record names are there by then.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from putback.errors import Damaged, DiskTrouble, NotAWorkshop, Refused
from putback.progress import each
from putback.store import folding, snapshot
from putback.store.check import Walked, walk_folder
from putback.store.disk import ASIDE, Disk, reason
from putback.store.folder import Folder
from putback.store.journal import reading
from putback.store.line import LINE_LIMIT, Fault, Head, read_head
from putback.store.lock import Closed, Mark, left_words, read_mark

TRIES = 5
"""How often a folder is read again that is being folded meanwhile."""

_COPY = f"copy{ASIDE}"
"""The folder that a copy is built in."""

PIECE = 1 << 20
"""Bytes copied at once."""


class Backup(Struct, frozen=True, kw_only=True):
    """What a backup came to."""

    into: Path
    """The folder it is in."""
    changes: int
    """The last change in it."""
    photos: int
    """Files in its photos folder."""
    size: int
    """Bytes of all its files."""
    walked: Walked
    """The proof of its lines."""


def back_up(folder: Path, into: Path, *, disk: Disk | None = None) -> Backup:
    """Copy the workshop in `folder` into the empty or new folder `into`, and prove the copy.

    It is built in a folder aside, in `into`, and moved to its place when it is proved; on an error nothing is left.
    What can be made anew (`out/`) stays behind. Raises NotAWorkshop, Refused where `into` is not empty or lies
    inside the workshop, Damaged where the workshop is, NewerVersion, DiskTrouble.
    """
    old, disk = Folder(Path(folder).absolute()), disk or Disk()
    if not old.holds_workshop() or folding.unfinished(old):
        raise NotAWorkshop(f"There is no workshop in {old.path}.")
    with built_aside(Path(into).absolute(), old, disk) as aside:
        copy = _Copy(old, Folder(aside), disk)
        walked = copy.make()
    return Backup(
        into=Path(into).absolute(), changes=copy.mark.number, photos=copy.photos, size=copy.size, walked=walked
    )


@contextlib.contextmanager
def built_aside(into: Path, old: Folder, disk: Disk | None = None) -> Iterator[Path]:
    """Give a folder to build a workshop in, which is moved to `into` when the block ends; on an error nothing is left.

    Raises Refused where `into` is not empty or lies inside the workshop `old`, DiskTrouble.
    """
    disk = disk or Disk()
    _refuse(old, into)
    made = not into.exists()
    aside = into / _COPY
    try:
        with _cleared(aside, into if made else None):
            disk.make_folder(aside)
            yield aside
            _move(aside, into, disk)
    except OSError as error:
        raise DiskTrouble(f"The copy in {into} could not be written: {reason(error)}; none is there.") from error


def _refuse(old: Folder, into: Path) -> None:
    """Raise Refused where the copy has no place."""
    try:
        if into.exists() and not into.is_dir():
            raise Refused(f"{into} is a file; name a new or an empty folder.")
        if into.resolve().is_relative_to(old.path.resolve()):
            raise Refused(f"{into} lies inside the workshop; name a folder outside it.")
        names = sorted(os.listdir(into)) if into.exists() else []
    except OSError as error:
        raise DiskTrouble(f"{into} could not be looked at: {reason(error)}.") from error
    if names == [_COPY]:
        raise Refused(
            f"{into} holds {_COPY}, which a copy that was broken off left, or one that is still being made; remove it, "
            "or name another folder."
        )
    if names:
        raise Refused(f"{into} is not empty ({names[0]}); name a new or an empty folder.")


@contextlib.contextmanager
def _cleared(aside: Path, made: Path | None) -> Iterator[None]:
    """Leave nothing of a copy that fails, nor the folder that was made for it."""
    try:
        yield
    except BaseException:
        shutil.rmtree(aside, ignore_errors=True)
        if made is not None:
            with contextlib.suppress(OSError):
                made.rmdir()
        raise


def _move(aside: Path, into: Path, disk: Disk) -> None:
    """Put a proved copy in its place; the snapshot comes last, and without it nothing counts as a whole workshop."""
    last = (Folder(aside).journal, Folder(aside).snapshot)
    moved: list[Path] = []
    try:
        for path in (*sorted(path for path in aside.iterdir() if path not in last), *last):
            disk.rename(path, into / path.name)
            moved.append(path)
        disk.flush_folder(into)
        aside.rmdir()
    except BaseException:
        for path in moved:
            os.replace(into / path.name, path)  # back to where all of it is removed
        raise


class _Torn(Exception):
    """A fold came between the reading of snapshot and journal."""


class _Copy:
    """One copy in the making."""

    def __init__(self, old: Folder, new: Folder, disk: Disk) -> None:
        self.old, self.new, self.disk = old, new, disk
        self.photos = 0
        self.size = 0
        self.mark = Mark("", 0, 0)

    def make(self) -> Walked:
        """Copy everything and prove it; gives the proof. Raises OSError, Damaged, NewerVersion."""
        for _ in range(TRIES):
            try:
                known = read_mark(self.old.lock)  # before the journal: a writer may close, and mark it, while we read
                head = self._copy_record()
                break
            except _Torn:
                continue
            except Fault as fault:
                raise self._damaged(f"{self.old.journal.name} {fault}") from fault
        else:
            raise DiskTrouble(f"{self.old.path} is being folded by another copy without end; try again.")
        self._copy_history(head)
        self._copy_beside()
        self.disk.put(self.new.lock, left_words(Closed(known) if known is not None else None))
        walked = walk_folder(self.new.path)
        if walked.found:
            raise self._damaged(f"{walked.found[0].where} {walked.found[0].what}")
        self.mark = Mark(head.epoch, walked.number, self.new.journal.stat().st_size)
        self.disk.put(self.new.lock, left_words(Closed(self.mark)))
        return walked

    def _damaged(self, what: str) -> Damaged:
        return Damaged(
            f"{self.old.path} is damaged, and so would be a copy: {what}. "
            "`putback check --mend DIR` saves what can be saved into a new folder."
        )

    def _copy_record(self) -> Head:
        """Copy snapshot and journal as they belong together; gives the journal's head. Raises _Torn."""
        try:
            with open(self.old.snapshot, "rb") as file:
                self._put(file, self.new.snapshot, os.fstat(file.fileno()).st_size)
            with reading(self.old.journal) as file:
                head = read_head(file.readline(LINE_LIMIT))
                self._put(file, self.new.journal, _whole_lines(file))
        except FileNotFoundError as error:
            raise self._damaged(f"{Path(error.filename).name} is missing") from error
        try:
            fold = snapshot.read(self.new.snapshot).title.fold
        except (Fault, snapshot.Foreign, snapshot.Newer):
            return head  # the proof has the sentence for it
        if fold < head.fold:
            raise _Torn
        return head

    def _copy_history(self, head: Head) -> None:
        """Copy what was folded in before this journal began, and the snapshots kept beside."""
        old = [path for fold, path in self.old.old_journals() if fold < head.fold]
        kept = [path for fold, path in self.old.old_snapshots() if fold <= head.fold]
        for path in (*old, *kept, *sorted(self.old.history.glob("format-*.json"))):
            # a snapshot that is removed by now went since a fold no longer needs it
            with contextlib.suppress(FileNotFoundError):
                self._file(path)

    def _copy_beside(self) -> None:
        """Copy the photos, the person's settings, and what mending kept; links lead anywhere and are left out."""
        for path in (self.old.settings, self.old.damaged):
            if path.is_file() and not path.is_symlink():
                self._file(path)
        for path in each(sorted(self.old.photos.rglob("*")), "photos copied"):
            if path.is_symlink() or not path.is_file() or path.name.startswith("."):
                continue  # one with a point before its name is only being filed
            self._file(path)
            self.photos += 1

    def _file(self, path: Path) -> None:
        """Copy one file that nobody changes."""
        with open(path, "rb") as file:
            self._put(file, self.new.path / path.relative_to(self.old.path), os.fstat(file.fileno()).st_size)

    def _put(self, file: BinaryIO, path: Path, length: int) -> None:
        """Write the first bytes of an open file, flushed."""
        file.seek(0)
        if path.parent != self.new.path:
            self.disk.make_folder(path.parent)
        made = self.disk.create(path)
        try:
            left = length
            while left and (piece := file.read(min(left, PIECE))):
                self.disk.write(made, piece)
                left -= len(piece)
            self.disk.flush(made)
        finally:
            self.disk.close(made)
        self.size += length


def _whole_lines(file: BinaryIO) -> int:
    """How many bytes of an open journal are whole lines by now; a writer may be at the next one."""
    end = os.fstat(file.fileno()).st_size
    block = 1 << 16
    while end:
        begin = max(0, end - block)
        file.seek(begin)
        at = file.read(end - begin).rfind(b"\n")
        if at >= 0:
            return begin + at + 1
        end = begin
    return 0
