"""The photos folder: each picture once, under a name made from its content."""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

from putback.errors import BadInput, DiskTrouble
from putback.store.disk import reason

DIGITS = 32
"""Hexadecimal digits of the SHA-256 of a picture that name it."""
_PIECE = 1 << 20


def photo_name(source: Path) -> str:
    """Return the name that a picture file has in a workshop: what its content comes to, and its ending.

    Raises BadInput when it cannot be read.
    """
    total = sha256()
    try:
        with source.open("rb") as file:
            while piece := file.read(_PIECE):
                total.update(piece)
    except OSError as fault:
        raise BadInput(f"{source} cannot be read: {reason(fault)}.") from fault
    return total.hexdigest()[:DIGITS] + _ending(source)


def _ending(source: Path) -> str:
    ending = "".join(c for c in source.suffix.lower() if c.isascii() and c.isalnum())[:5]
    return f".{ending or 'jpg'}"


def keep_photo(source: Path, photos: Path) -> str:
    """Copy a picture into the folder `photos`, in one reading; return its name there.

    The file itself is left as it is. A copy appears whole or not at all; one that is there already stays.
    Raises BadInput when the file cannot be read, DiskTrouble when the copy cannot be written.
    """
    try:
        old = source.open("rb")
    except OSError as fault:
        raise BadInput(f"{source} cannot be read: {reason(fault)}.") from fault
    part = photos / f".{os.getpid()}.part"
    total = sha256()
    with old:
        try:
            photos.mkdir(mode=0o700, exist_ok=True)
            with part.open("wb") as new:
                while piece := old.read(_PIECE):
                    total.update(piece)
                    new.write(piece)
                new.flush()
                os.fsync(new.fileno())
            name = total.hexdigest()[:DIGITS] + _ending(source)
            if (photos / name).exists():
                part.unlink()
            else:
                os.replace(part, photos / name)
        except OSError as fault:
            part.unlink(missing_ok=True)
            raise DiskTrouble(f"{source.name} could not be copied to {photos}: {reason(fault)}.") from fault
    return name
