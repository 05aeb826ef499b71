"""A line of free text that lets a scanned code pass through to the bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import events
from textual.message import Message
from textual.widgets import Input

if TYPE_CHECKING:
    from putback.tui.app import PutbackApp

LONGEST = 300

AT_ONCE: dict[str, Callable[[Line], object]] = {
    "backspace": lambda line: line.action_delete_left(),
    "delete": lambda line: line.action_delete_right(),
    "left": lambda line: line.action_cursor_left(),
    "right": lambda line: line.action_cursor_right(),
    "home": lambda line: line.action_home(),
    "end": lambda line: line.action_end(),
    "enter": lambda line: line.post_message(Line.Entered(line.value)),
}
"""Keys that the line acts on itself: bound ones go round by the app, and letters typed behind them would overtake."""


class Line(Input):
    """An Input whose text is text, never a number type or markup."""

    @dataclass
    class Entered(Message):
        """Enter was pressed."""

        text: str

    def __init__(self, *, value: str = "", placeholder: str = "", replaced: bool = False) -> None:
        """`replaced`: the first key typed takes the place of `value`, as a number's does."""
        super().__init__(value=value, placeholder=placeholder, max_length=LONGEST, select_on_focus=replaced)

    last_key: events.Key | None = None
    """The key that came last."""
    once = False
    """Whether Enter and Escape end the line: what is typed behind them is for what comes next."""
    ended = False
    """Whether a line that is written once was ended."""
    late: tuple[events.Key, ...] = ()
    """What was typed behind its end."""

    def on_focus(self) -> None:
        """Put the terminal's cursor where one types, once it is known where that is."""
        self.call_after_refresh(self._point)

    def _point(self) -> None:
        if self.has_focus:
            self.app.cursor_position = self.cursor_screen_offset

    async def _on_key(self, event: events.Key) -> None:
        self.last_key = event
        if self._met(event):
            event.stop()
            event.prevent_default()
        else:
            await super()._on_key(event)

    def _met(self, event: events.Key) -> bool:
        """Do what a key does besides being typed; tell whether that was all."""
        if self.ended:
            self.late += (event,)
            return True
        if self.sifted(event):
            return True
        self.ended = self.once and event.key in ("enter", "escape")
        self.replace_what_stands(event)
        act = AT_ONCE.get(event.key)
        if act is not None:
            act(self)
        return act is not None

    def sifted(self, event: events.Key) -> bool:
        """Tell whether a key belongs to a scanned code."""
        app: PutbackApp = self.app  # type: ignore[assignment]
        return app.field_key(self, event)

    def replace_what_stands(self, event: events.Key) -> None:
        """Let the first figure typed take the place of what stands there; any other first key keeps it."""
        if self.select_on_focus and event.is_printable:
            self.value = ""
        self.select_on_focus = False

    def take(self, event: events.Key) -> None:
        """Take a key that came before the line had the focus: it went to the screen."""
        if not self._met(event) and event.is_printable and event.character:
            self.insert_text_at_cursor(event.character)
