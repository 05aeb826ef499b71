"""Small copies of photos, made once: for cards on the screen and for the machine's book.

They are named after the photo, whose name comes from its content, and can be thrown away at any time.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from putback.errors import BadInput, DiskTrouble
from putback.photos.codes_in_pictures import opened
from putback.store.disk import reason
from putback.trade.record.photo import is_photo_file

if TYPE_CHECKING:
    from PIL.Image import Image

SIDE = 960
"""Pixels of the longer side of a small copy."""
FOLDER = "thumbnails"
"""The folder inside a workshop's `out/` that they lie in."""


class Thumbnails:
    """The small copies of one workshop's photos."""

    def __init__(self, workshop: Path, side: int = SIDE) -> None:
        """`workshop` is the workshop's folder; `side` is the longer side of a copy in pixels."""
        self._photos = workshop / "photos"
        self._kept = workshop / "out" / FOLDER
        self._side = side

    def path(self, file: str) -> Path:
        """Return the small copy of the photo named `file`, upright, as JPEG; it is made where there is none.

        Raises BadInput where the photo is missing, is not a picture, is damaged or too large; DiskTrouble where
        the copy cannot be written.
        """
        kept = self._kept_as(file)
        if not kept.exists():
            self._keep(opened(self._photos / file, "RGB", within=self._side), kept)
        return kept

    def picture(self, file: str) -> Image:
        """Return the small copy as a picture in memory. Raises as `path`; a failed write is not an error."""
        kept = self._kept_as(file)
        if kept.exists():
            try:
                return opened(kept, "RGB")
            except BadInput:
                kept.unlink(missing_ok=True)  # cut short by an error of the disk: made again
        small = opened(self._photos / file, "RGB", within=self._side)
        try:
            self._keep(small, kept)
        except DiskTrouble:
            return small
        return small

    def _kept_as(self, file: str) -> Path:
        if not is_photo_file(file):
            raise BadInput(f"“{file}” is not the name of a photo in the workshop")
        return self._kept / f"{Path(file).stem}-{self._side}.jpg"

    def _keep(self, small: Image, kept: Path) -> None:
        part = kept.with_name(f".{os.getpid()}-{kept.name}")
        try:
            self._kept.mkdir(mode=0o700, parents=True, exist_ok=True)
            small.save(part, "JPEG", quality=82, optimize=False)
            os.replace(part, kept)
        except OSError as fault:
            part.unlink(missing_ok=True)
            raise DiskTrouble(f"A small copy of {kept.name} could not be written: {reason(fault)}.") from fault
