"""Photos for the screen: made small and turned into cells off the screen's thread, and kept for the next time."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from putback.errors import PutbackError
from putback.photos.thumbnails import Thumbnails
from putback.tui.draw.half_blocks import cells_within, half_blocks
from putback.tui.draw.pixels import is_there, pixel_kind

if TYPE_CHECKING:
    from PIL.Image import Image
    from textual.strip import Strip

KEPT = 48
"""Pictures kept ready: some tens of kilobytes each."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A photo as it is wanted on the screen."""

    file: str
    """Its name in the workshop's photos folder."""
    name: str
    """What a person knows it by."""
    columns: int
    """Cells there are for it."""
    rows: int
    """Lines there are for it."""


@dataclass(frozen=True, slots=True)
class Ready:
    """A photo made ready for the screen."""

    columns: int
    """Cells it takes."""
    rows: int
    """Lines it takes."""
    strips: tuple[Strip, ...] = ()
    """As half blocks; none where the terminal shows pixels."""
    picture: Image | None = None
    """The picture itself where the terminal shows pixels."""
    why: str = ""
    """The sentence that stands in its place where it cannot be shown."""


class Pictures:
    """How photos are shown on this terminal, and those that are ready."""

    def __init__(
        self, folder: Path | None, wanted: str, *, ascii_only: bool, environ: Mapping[str, str] = os.environ
    ) -> None:
        """`folder` is the workshop's; `wanted` one of settings.PICTURES."""
        self.shown = wanted != "off"
        """Whether they are shown; one key turns it."""
        self.in_words = ascii_only or folder is None
        """Whether a sentence with the file's name stands for a picture."""
        self.kind = ""
        """The protocol of the terminal's pixels; empty for half blocks."""
        if wanted == "auto" and not self.in_words and is_there():
            self.kind = pixel_kind(environ)
        self._thumbnails = Thumbnails(folder) if folder is not None else None
        self._ready: OrderedDict[Asked, Ready] = OrderedDict()

    def ready(self, asked: Asked) -> Ready | None:
        """Return what was made ready of a photo before, or None."""
        found = self._ready.get(asked)
        if found is not None:
            self._ready.move_to_end(asked)
        return found

    def make(self, asked: Asked) -> Ready:
        """Make a photo ready; called off the screen's thread, for it takes some hundredths of a second."""
        made = self._made(asked)
        self._ready[asked] = made
        while len(self._ready) > KEPT:
            self._ready.popitem(last=False)
        return made

    def _made(self, asked: Asked) -> Ready:
        assert self._thumbnails is not None
        try:
            picture = self._thumbnails.picture(asked.file)
        except PutbackError as fault:
            return Ready(asked.columns, asked.rows, why=str(fault).replace(asked.file, asked.name))
        columns, rows = cells_within(*picture.size, asked.columns, asked.rows)
        if self.kind:
            return Ready(columns, rows, picture=picture)
        return Ready(columns, rows, strips=tuple(half_blocks(picture, columns, rows)))
