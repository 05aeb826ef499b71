"""Which face: the six and *inside*, laid out like the number keys, as the machine is faced."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.trade.record.face import FACES, Face
from putback.tui.dialogs.keyed import KeyedModal
from putback.tui.draw.frame import feet, inner_width
from putback.tui.draw.palette import KEY, LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import wrapped
from putback.tui.keyboard.keys import FACE_OF_KEY, command_for
from putback.tui.keyboard.tapping import tapped

UNSAID = "*"
"""The key that leaves the face not said."""

NOT_SAID = "not said"

ROWS = ("78 ", "456", " 2 ", "0")
"""The rows of the picture; where a digit has no face it stays empty."""

WIDTH = 46
"""Columns of the card."""

CELL = 15
"""Columns of a face."""


def after(face: Face) -> Face:
    """Return the face that comes after one; the first where none is said."""
    return FACES[(FACES.index(face) + 1) % len(FACES)] if face in FACES else FACES[0]


class FacePick(KeyedModal[Face | None]):
    """Asks for a face. Gives it, empty for one that is not said, None where it was left.

    A digit is never anything but a face here: one that has none is refused.
    """

    def __init__(self, caption: str, here: Face, beside: str = "", *, unsaid: bool = True) -> None:
        """`beside` is said below the question; `unsaid`: the face may be left not said."""
        super().__init__()
        self._caption = caption
        self._here = here
        self._beside = beside
        self._unsaid = unsaid
        self._why = ""

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="faces")

    def on_mount(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        """Draw the faces where their keys lie, what was refused, and the other keys."""
        width, words = min(WIDTH, inner_width(self.app.size.width)), self.host.glyphs.words
        lines = wrapped(self.voiced(self._caption), width, "bold $pb-text")
        lines += wrapped(self._beside, width, "$pb-muted") if self._beside else []
        lines += [] if words else [Content("")]
        lines += map(self._cell, "8456207") if words else map(self._row, ROWS)
        keymap = self.host.keymap
        foot = [keymap.pair("faces.next", f"next: {after(self._here)}")]
        foot += [keymap.pair("faces.unsaid")] if self._unsaid else []
        if self._why:
            lines += signed("refused", self._why, width, self.host.glyphs, LOOK)
        lines += [Content(""), *feet([*foot, keymap.pair("faces.leave")], width)]
        drawn = self.query_one("#faces", Static)
        drawn.update(Content("\n").join(lines))
        self.point(drawn)

    def _row(self, row: str) -> Content:
        cells = [Content("") if key == " " else self._cell(key) for key in row]
        return Content("").join(cell.pad_right(max(0, CELL - cell.cell_length)) for cell in cells)

    def _cell(self, key: str) -> Content:
        face = FACE_OF_KEY[key]
        sign = f"{self.host.glyphs.right} " if face == self._here and not self.host.glyphs.words else ""
        text = "as it is now: " if face == self._here and self.host.glyphs.words else ""
        cell = Content.assemble((f" {key} ", KEY), f"{sign}{text}{face} ")
        return tapped(cell, "press", key)

    @property
    def places(self) -> tuple[str, ...]:
        """On the choice of a face."""
        return ("faces",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "faces")
        if command_id == "faces.go":
            self.leave(FACE_OF_KEY[key])
        elif command_id == "faces.next":
            self.leave(after(self._here))
        elif command_id == "faces.unsaid" and self._unsaid:
            self.leave("")
        elif command_id == "faces.leave":
            self.leave(None)
        elif key in "139":
            named = ", ".join(f"{digit} {FACE_OF_KEY[digit]}" for digit in "8456207")
            self._why = f"There is no face on {key}: {named}."
            self.host.ring("refused")
            self.redraw()
