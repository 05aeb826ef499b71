"""One writer at a time: a kernel lock on a file that also says who holds it and since when.

The kernel drops the lock when the process ends, however it ends; a lock file that still names somebody
is then only a trace of a copy that did not close, and is taken over with a word. The file keeps a mark, too:
how far the journal had come when it was opened, and again when it was closed. A journal that comes short of
it has lost what was confirmed.
"""

from __future__ import annotations

import contextlib
import os
import socket
import sys
from pathlib import Path

import msgspec
from msgspec import Struct

from putback.store.disk import FLAGS

_FAR = 1 << 30  # the byte Windows locks: past the text, so others may still read who holds it


class Mark(Struct, frozen=True):
    """How far a journal had come: all of it was confirmed."""

    epoch: str
    """The epoch of its lines."""
    number: int
    """The last change."""
    length: int
    """The bytes of the journal."""

    def beyond(self, workshop: str, number: int) -> bool:
        """Tell whether a record of that workshop that ends with change `number` comes short of the mark."""
        return self.epoch.rpartition(".")[0] == workshop and self.number > number


class Closed(Struct, frozen=True):
    """What a copy that closed leaves in the file."""

    closed: Mark
    """How far the journal had come."""


class Holder(Struct, frozen=True, omit_defaults=True):
    """Who has, or had, the workshop open to write."""

    who: str
    """The person."""
    at: str
    """Since when, as a stamp."""
    host: str
    """The computer's name."""
    process: int
    """The process number there."""
    mark: Mark | None = None
    """How far the journal had come when it was opened; None where that is not known."""


class Busy(Exception):
    """Another copy holds the lock; `holder` says who, if that could be read."""

    def __init__(self, holder: Holder | None) -> None:
        self.holder = holder


class Lock:
    """A lock that is held. `left_by` names the last holder where that one did not close; `mark` is what was
    known before, until `note` renews it."""

    def __init__(self, file: int, holder: Holder, left_by: Holder | None) -> None:
        self._file: int | None = file
        self._holder = holder
        self.left_by = left_by

    @property
    def mark(self) -> Mark | None:
        """How far the journal is known to have come."""
        return self._holder.mark

    @classmethod
    def take(cls, path: Path, *, at: str, who: str) -> Lock:
        """Take the lock or raise Busy; OSError where the file cannot be opened to write."""
        file = os.open(path, os.O_RDWR | os.O_CREAT | FLAGS, 0o600)
        try:
            if not _grab(file):
                raise Busy(_holder(_words(file)))
            words = _words(file)
            left_by = _holder(words)
            holder = Holder(who, at, socket.gethostname(), os.getpid(), _mark(words))
            _write(file, holder)
        except BaseException:
            os.close(file)
            raise
        return cls(file, holder, left_by)

    def note(self, mark: Mark) -> None:
        """Write down how far the journal has come, for whoever finds the file after a cut."""
        self._holder = msgspec.structs.replace(self._holder, mark=mark)
        if self._file is not None:
            _write(self._file, self._holder)

    def release(self, mark: Mark | None = None) -> None:
        """Leave the mark of a journal that is closed, else the one there was, and let go; fine when let go already."""
        if self._file is None:
            return
        mark = mark or self.mark
        _write(self._file, Closed(mark) if mark is not None else None)
        os.close(self._file)
        self._file = None


def left_words(closed: Closed | None) -> bytes:
    """What the file of a copy that closed holds: its mark, or nothing where none is known."""
    return msgspec.json.encode(closed) + b"\n" if closed is not None else b""


def read_mark(path: Path) -> Mark | None:
    """Return how far the journal beside a lock file is known to have come; None where nothing tells."""
    try:
        file = os.open(path, os.O_RDONLY | FLAGS)
    except OSError:
        return None
    try:
        return _mark(_words(file))
    finally:
        os.close(file)


def has_left(path: Path) -> bool:
    """Tell whether whoever had the lock of that file has closed: it names nobody any more."""
    try:
        file = os.open(path, os.O_RDONLY | FLAGS)
    except OSError:
        return False
    try:
        return _holder(_words(file)) is None
    finally:
        os.close(file)


def _write(file: int, words: Holder | Closed | None) -> None:
    # the words are a courtesy: a full disk must not keep anyone from reading on
    with contextlib.suppress(OSError):
        os.ftruncate(file, 0)
        os.lseek(file, 0, os.SEEK_SET)
        if words is not None:
            os.write(file, msgspec.json.encode(words) + b"\n")


def _words(file: int) -> bytes:
    os.lseek(file, 0, os.SEEK_SET)
    try:
        return os.read(file, 4096)
    except OSError:
        return b""


def _holder(words: bytes) -> Holder | None:
    try:
        return msgspec.json.decode(words, type=Holder)
    except (msgspec.DecodeError, RecursionError):
        return None


def _mark(words: bytes) -> Mark | None:
    holder = _holder(words)
    if holder is not None:
        return holder.mark
    try:
        return msgspec.json.decode(words, type=Closed).closed
    except (msgspec.DecodeError, RecursionError):
        return None


if sys.platform == "win32":
    import msvcrt

    def _grab(file: int) -> bool:
        os.lseek(file, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def _grab(file: int) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
