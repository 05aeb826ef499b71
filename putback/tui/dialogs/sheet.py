"""A card over the bench: its frame, what the last key did, and how it is left. What it says is its own business."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.trade.record.record import Record
from putback.tui.dialogs.keyed import COPIED, KeyedModal
from putback.tui.dialogs.photo_beside import PhotoBeside
from putback.tui.dialogs.questions import Questions
from putback.tui.draw.palette import LOOK
from putback.tui.draw.text import wrapped
from putback.tui.widgets.picture import PictureView

TO_THE_BENCH = "bench"
"""What a card gives when everything above the bench is to be left."""

GO_ON = "go on"
"""What the page of a break gives when the work goes on."""

END = "end"
"""What it gives when the session is to end."""


COPY = "copy what is here as text"
"""The line of the list behind * that puts a card on the clipboard."""


class CardFrame(PhotoBeside, KeyedModal[str | None]):
    """A card's frame over the bench: drawn anew whenever something changed, and left for good with `0`."""

    def __init__(self) -> None:
        super().__init__()
        self._message: object = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="card noun"):
            yield Static(id="noun")
            yield PictureView()

    def on_mount(self) -> None:
        self._message = self.host.message
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def on_screen_resume(self) -> None:
        if self.is_mounted:
            self.redraw()

    def copy_text(self, text: str) -> None:
        """Give text to the terminal for its clipboard, and say so."""
        self.host.copy_to_clipboard(text)
        self.host.say("note", COPIED)

    @cached_property
    def questions(self) -> Questions:
        """The questions that can be put over it."""
        return Questions(self.host)

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.host.workshop.record

    def photos(self) -> Sequence[Photo]:
        return ()

    def _draw(self, content: Content) -> None:
        # A card that is opened or left while keys come fast may have nothing to draw on yet, or any more.
        for drawn in self.query("#noun").results(Static):
            drawn.update(content)
            self.point(drawn)

    def _answer(self, width: int) -> list[Content]:
        """Return what the last key did, where it was pressed on this card."""
        message = self.host.message
        if message is self._message or not message.words:
            return []
        style = LOOK if message.sort == "refused" else "$pb-verdigris"
        return wrapped(message.words, width, style)

    def _of_another(self, machine: int) -> None:
        """Refuse to change what belongs to a machine that is not on the bench."""
        owner = self.record.get(Machine, machine).caption
        key = self.host.keymap.shown("machines")
        self.host.refuse(f"It belongs to {owner}: put that machine on the bench first, with {key}.")

    def open_card(self, card: Screen[str | None]) -> None:
        """Open a card over this one; who wants to be on the bench leaves both."""
        self.host.push_screen(card, self._came_back)

    def _came_back(self, result: str | None) -> None:
        if result == TO_THE_BENCH:
            self.leave(TO_THE_BENCH)
