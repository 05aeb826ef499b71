"""Every touch of the disk that changes something goes through here, so errors can be tried and recorded."""

from __future__ import annotations

import contextlib
import errno
import os
from pathlib import Path

from putback.errors import DiskTrouble

_WHY = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is used up",
    errno.EFBIG: "the file has reached the largest size this system allows",
    errno.EROFS: "the disk may only be read",
    errno.EACCES: "permission is missing",
    errno.EPERM: "permission is missing",
    errno.ENOENT: "it is not there any more",
    errno.ENOTDIR: "a part of its path is a file",
    errno.EISDIR: "there is a folder in its place",
    errno.EIO: "the disk reports an error",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ELOOP: "it is a link",
}


def reason(error: OSError) -> str:
    """Why the system refused, in plain words (the system's own where there are no plainer ones)."""
    return _WHY.get(error.errno or 0) or (error.strerror or str(error)).lower()


def trouble(what: str, path: Path, error: OSError) -> DiskTrouble:
    """The sentence for a refused disk action; `what` is `could not be written` or the like."""
    return DiskTrouble(f"{path} {what}: {reason(error)}.")


class Disk:
    """The real disk. Every method raises OSError as the system does."""

    def make_folder(self, path: Path) -> None:
        """Make a folder with its parents, flushed, for the owner's eyes only; fine where it stands already."""
        missing = []
        while not path.exists():
            missing.append(path)
            path = path.parent
        for folder in reversed(missing):
            folder.mkdir(mode=0o700, exist_ok=True)
            with contextlib.suppress(PermissionError):  # a parent that may be entered but not read
                self.flush_folder(folder.parent)

    def create(self, path: Path) -> int:
        """Open a new file (an old one is emptied) to write, for the owner only; gives its descriptor."""
        return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | FLAGS, 0o600)

    def open_to_append(self, path: Path) -> int:
        """Open a file that is there, to write at its end; gives its descriptor."""
        return os.open(path, os.O_RDWR | os.O_APPEND | FLAGS)

    def write(self, file: int, data: bytes) -> None:
        """Write all of it, or raise with a part written."""
        done = os.write(file, data)
        while done < len(data):
            done += os.write(file, memoryview(data)[done:])

    def flush(self, file: int) -> None:
        """Return once what was written, and the file's length, is on the disk."""
        _flush(file)

    def cut(self, file: int, length: int) -> None:
        """Shorten a file to `length` bytes."""
        os.ftruncate(file, length)

    def close(self, file: int) -> None:
        """Close a descriptor."""
        os.close(file)

    def rename(self, old: Path, new: Path) -> None:
        """Put `old` in the place of `new` in one go."""
        os.replace(old, new)

    def second_name(self, old: Path, new: Path) -> None:
        """Give the file a second name, or copy it, flushed, where the file system knows no second names."""
        with contextlib.suppress(FileNotFoundError):
            os.unlink(new)
        try:
            os.link(old, new)
        except OSError as error:
            if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK, errno.ENOSYS):
                raise
            self.put(new, old.read_bytes())

    def remove(self, path: Path) -> None:
        """Remove a file; fine where it is gone already."""
        with contextlib.suppress(FileNotFoundError):
            os.unlink(path)

    def flush_folder(self, path: Path) -> None:
        """Return once the names in the folder are on the disk."""
        if os.name == "nt":  # Windows flushes names by itself and cannot open a folder
            return
        file = os.open(path, os.O_RDONLY)
        try:
            os.fsync(file)
        finally:
            os.close(file)

    def put(self, path: Path, data: bytes) -> None:
        """Write a whole file aside, flush it and rename it into place; the old one stays whole until then."""
        aside = path.with_name(path.name + ASIDE)
        file = self.create(aside)
        try:
            try:
                self.write(file, data)
                self.flush(file)
            finally:
                self.close(file)
        except OSError:
            with contextlib.suppress(OSError):
                self.remove(aside)
            raise
        self.rename(aside, path)
        self.flush_folder(path.parent)


def put_made(path: Path, data: bytes) -> None:
    """Write a file that can be made anew, with its folder, for the owner only: whole, or the old one stays.

    It is not flushed. Raises OSError.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f".{os.getpid()}-{path.name}"[:200])
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(data)
        os.replace(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


ASIDE = ".aside"
"""The ending of a file that is being written and not yet in its place."""

FLAGS: int = getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
"""How every file is opened to write: bytes as they are, and never through a link."""

_flush = getattr(os, "fdatasync", os.fsync)
