"""One writer at a time: a kernel lock on a file that also says who holds it and since when.

The kernel drops the lock when the process ends, however it ends; a lock file that still names somebody
is then only a trace of a copy that did not close, and is taken over with a word.
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


class Holder(Struct, frozen=True):
    """Who has, or had, the workshop open to write."""

    who: str
    """The person."""
    at: str
    """Since when, as a stamp."""
    host: str
    """The computer's name."""
    process: int
    """The process number there."""


class Busy(Exception):
    """Another copy holds the lock; `holder` says who, if that could be read."""

    def __init__(self, holder: Holder | None) -> None:
        self.holder = holder


class Lock:
    """A lock that is held. `left_by` names the last holder where that one did not close."""

    def __init__(self, file: int, left_by: Holder | None) -> None:
        self._file: int | None = file
        self.left_by = left_by

    @classmethod
    def take(cls, path: Path, *, at: str, who: str) -> Lock:
        """Take the lock or raise Busy; OSError where the file cannot be opened to write."""
        file = os.open(path, os.O_RDWR | os.O_CREAT | FLAGS, 0o600)
        try:
            if not _grab(file):
                raise Busy(_read(file))
            left_by = _read(file)
            text = msgspec.json.encode(Holder(who, at, socket.gethostname(), os.getpid()))
            os.ftruncate(file, 0)
            os.lseek(file, 0, os.SEEK_SET)
            # the words are a courtesy: a full disk must not keep anyone from reading on
            with contextlib.suppress(OSError):
                os.write(file, text + b"\n")
        except BaseException:
            os.close(file)
            raise
        return cls(file, left_by)

    def release(self) -> None:
        """Wipe the words and let go; fine when let go already."""
        if self._file is None:
            return
        with contextlib.suppress(OSError):
            os.ftruncate(self._file, 0)
        os.close(self._file)
        self._file = None


def _read(file: int) -> Holder | None:
    os.lseek(file, 0, os.SEEK_SET)
    try:
        return msgspec.json.decode(os.read(file, 4096), type=Holder)
    except (msgspec.DecodeError, RecursionError, OSError):
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
