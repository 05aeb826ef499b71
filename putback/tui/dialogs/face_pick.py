"""Which face: the six laid out like the number keys, as the machine is faced."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.trade.record.machine import FACES
from putback.tui.dialogs.keyed import KeyedModal
from putback.tui.draw.frame import feet
from putback.tui.draw.text import plain
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped

ON_PAD = {"7": "", "8": "top", "4": "left", "5": "front", "6": "right", "2": "bottom", "0": "back"}
"""The key of each face, as it lies on the number pad; on 7 it is not said."""

NOT_SAID = "not said"

ROWS = ("78", "456", "2", "0")
"""The rows of the picture."""


def after(face: str) -> str:
    """Return the face that comes after one; the first where none is said."""
    return FACES[(FACES.index(face) + 1) % len(FACES)] if face in FACES else FACES[0]


class FacePick(KeyedModal[str | None]):
    """Asks for a face. Gives it, empty for one that is not said, None where it was left."""

    def __init__(self, caption: str, here: str) -> None:
        super().__init__()
        self._caption = caption
        self._here = here

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="faces")

    def on_mount(self) -> None:
        lines = [plain(self._caption, None, "bold $pb-brass"), Content("")]
        lines += [self._row(row) for row in ROWS] if not self.host.glyphs.words else map(self._cell, "8456207")
        keymap = self.host.keymap
        foot = [keymap.pair("faces.next", f"next: {after(self._here)}"), keymap.pair("faces.leave")]
        lines += [Content(""), *feet(foot, 44)]
        drawn = self.query_one("#faces", Static)
        drawn.update(Content("\n").join(lines))
        self.point(drawn)

    def _row(self, row: str) -> Content:
        cells = {key: self._cell(key) for key in row}
        if row in ("2", "0"):
            return Content.assemble(" " * 15, cells[row])
        return Content("").join(cell.pad_right(max(0, 15 - cell.cell_length)) for cell in cells.values())

    def _cell(self, key: str) -> Content:
        face = ON_PAD[key]
        sign = f"{self.host.glyphs.right} " if face == self._here and not self.host.glyphs.words else ""
        text = "as it is now: " if face == self._here and self.host.glyphs.words else ""
        cell = Content.assemble((f" {key} ", "bold $pb-brass"), f"{sign}{text}{face or NOT_SAID} ")
        return tapped(cell, "press", key)

    @property
    def places(self) -> tuple[str, ...]:
        """On the choice of a face."""
        return ("faces",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "faces")
        if command_id == "faces.go":
            self.leave(ON_PAD[key])
        elif command_id == "faces.next":
            self.leave(after(self._here))
        elif command_id == "faces.leave":
            self.leave(None)
