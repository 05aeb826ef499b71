"""A code with the time, to be photographed: by it a camera's clock error is known. Doubtful photos are settled here."""

from __future__ import annotations

from datetime import datetime

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.errors import BadInput
from putback.labels import qr
from putback.photos.pairing import clock_text
from putback.trade.record.photo import Photo
from putback.trade.record.phrases import counted
from putback.tui.dialogs.keyed import KeyedModal
from putback.tui.draw.palette import LOOK
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for

INK = "#000000 on #ffffff"
"""Dark modules on light ones, whatever the theme."""
BORDER = 4
"""Rows of the screen that the square cannot have: the card's edge, and two lines under it."""


class ClockScreen(KeyedModal[None]):
    """The time of now as a square that fills the screen's height."""

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="clock")

    def on_mount(self) -> None:
        self.redraw()
        self.set_interval(1.0, self.redraw)

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        """Draw the square of this second."""
        text = clock_text(datetime.fromisoformat(self.host.workshop.now()))
        rows = self.rows(text)
        lines = [Content.styled(row, INK) for row in rows]
        if rows:
            lines.append(plain("Photograph this once with each camera.", 40, "$pb-text"))
        else:
            lines += wrapped("This screen is too small for the code: make it larger.", 40, LOOK)
        foot = f"{text}   any key goes back"
        if self.doubtful():
            settle = self.key_of("clock.settle")
            foot = f"{settle} settles {counted(len(self.doubtful()), 'doubtful photo')}; any other key goes back"
        lines.append(plain(foot, 60, "$pb-muted"))
        self.query_one("#clock", Static).update(Content("\n").join(lines))

    def rows(self, text: str) -> list[str]:
        """The square in as many rows as there are, toughest first; none where it does not fit."""
        draw = qr.plain_ascii if self.host.glyphs.ascii else qr.half_blocks
        for version in (2, 1):
            try:
                rows = draw(qr.square(text, version))
            except BadInput:
                break
            if len(rows) + BORDER <= self.app.size.height and len(rows[0]) + 6 <= self.app.size.width:
                return rows
        return []

    def doubtful(self) -> list[Photo]:
        """The photos of the machine on the bench whose step is in doubt."""
        return [photo for photo in self.host.workshop.record.all(Photo, self.host.machine_id) if photo.doubt]

    @property
    def places(self) -> tuple[str, ...]:
        """At the camera clock."""
        return ("clock",)

    def press(self, key: str) -> None:
        """1 settles the doubtful photos, any other key goes back."""
        if command_for(key, "clock") == "clock.settle" and self.doubtful():
            photos = [photo.id for photo in self.doubtful()]
            self.host.push_screen(self.host.screen_named("photos", photos, settling=True), self._settled)
        else:
            self.leave(None)

    def _settled(self, result: str | None) -> None:
        if result is not None:
            self.leave(None)
        else:
            self.redraw()
