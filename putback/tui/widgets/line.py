"""A line of free text that lets a scanned code pass through to the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import events
from textual.message import Message
from textual.widgets import Input

if TYPE_CHECKING:
    from putback.tui.app import PutbackApp

LONGEST = 300


class Line(Input):
    """An Input whose text is text, never a number type or markup."""

    @dataclass
    class Entered(Message):
        """Enter was pressed."""

        text: str

    def __init__(self, *, value: str = "", placeholder: str = "", replaced: bool = False) -> None:
        """`replaced`: the first key typed takes the place of `value`, as a number's does."""
        super().__init__(value=value, placeholder=placeholder, max_length=LONGEST, select_on_focus=replaced)

    def on_focus(self) -> None:
        """Put the terminal's cursor where one types, once it is known where that is."""
        self.call_after_refresh(self._point)

    def _point(self) -> None:
        if self.has_focus:
            self.app.cursor_position = self.cursor_screen_offset

    async def _on_key(self, event: events.Key) -> None:
        app: PutbackApp = self.app  # type: ignore[assignment]
        if app.field_key(self, event):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Hand the line on."""
        event.stop()
        self.post_message(self.Entered(event.value))
