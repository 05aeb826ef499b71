"""A line of free text that lets a scanned code pass through to the bench. What is typed or pasted stays in it whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual import events
from textual.message import Message
from textual.widgets import Input

from putback.errors import BadInput
from putback.trade.commands.machines import LONGEST_NAME
from putback.tui.host import Host

RETURN = "↵"
"""Stands for the end of a line within a note, whose lines are shown in one."""

PASTED = 100_000
"""So many characters are pasted at most: more would be too long for anything, and slow to look through."""

ON_THE_PAD = frozenset("0123456789.,/*-+")
"""What a bare number pad types. It has no Backspace: there two dashes in a row erase, as they do in a size."""

AT_ONCE: dict[str, Callable[[Line], object]] = {
    "backspace": lambda line: line.action_delete_left(),
    "delete": lambda line: line.action_delete_right(),
    "left": lambda line: line.action_cursor_left(),
    "right": lambda line: line.action_cursor_right(),
    "home": lambda line: line.action_home(),
    "end": lambda line: line.action_end(),
    "enter": lambda line: line.enter(),
}
"""Keys that the line acts on itself: bound ones go round by the app, and letters typed behind them would overtake."""


class Line(Input):
    """An Input whose text is text, never a number type or markup."""

    @dataclass
    class Entered(Message):
        """Enter was pressed."""

        text: str
        """What stood in the line, with its returns where it takes any."""

    class Left(Message):
        """The line was left with the key that goes back in an empty field."""

    @dataclass
    class Refused(Message):
        """What was typed or pasted is not taken; `words` say why."""

        words: str
        """A whole sentence."""

    def __init__(
        self,
        *,
        value: str = "",
        placeholder: str = "",
        replaced: bool = False,
        most: int = LONGEST_NAME,
        lines: bool = False,
    ) -> None:
        """`replaced`: the first key typed takes the place of `value`; a blank, an arrow or Backspace keeps it.

        `most` is how many characters Enter takes; with `lines`, what is pasted keeps its lines.
        """
        super().__init__(value=value.replace("\n", RETURN), placeholder=placeholder, select_on_focus=replaced)
        self.most = most
        self.lines = lines

    last_key: events.Key | None = None
    """The key that came last."""
    once = False
    """Whether Enter, Escape and a dash that comes first end the line: what is typed behind is for what comes next."""
    reads: Callable[[str], object] | None = None
    """Reads what was typed, and raises BadInput where it is not what was asked for; None where any text will do."""
    ended = False
    """Whether a line that is written once was ended."""
    late: tuple[events.Key, ...] = ()
    """What was typed behind its end."""
    by_pad: bool | None = None
    """Whether all keys so far are on a bare number pad; None before the first."""
    erasing = False
    """Whether a dash erases: two in a row were typed, and nothing since."""

    def on_focus(self) -> None:
        """Put the terminal's cursor where one types, once it is known where that is."""
        self.call_after_refresh(self._point)

    def _point(self) -> None:
        if self.has_focus:
            self.app.cursor_position = self.cursor_screen_offset

    def on_key(self, event: events.Key) -> None:
        """Do what a key does besides being typed; what it types, the Input does."""
        self.last_key = event
        if self._met(event):
            event.stop()
            event.prevent_default()

    def _met(self, event: events.Key) -> bool:
        """Do what a key does besides being typed; tell whether that was all."""
        if self.ended:
            self.late += (event,)
            return True
        if self.sifted(event):
            return True
        if self.once and event.character == "-" and (not self.value or self.select_on_focus):
            self.ended = True
            self.post_message(Line.Left())
            return True
        fits = event.key == "enter" and not self.fault
        self.ended = self.once and (fits or event.key == "escape")
        self.replace_what_stands(event)
        if self._erased(event):
            return True
        act = AT_ONCE.get(event.key)
        if act is not None:
            act(self)
        return act is not None

    def _erased(self, event: events.Key) -> bool:
        """Erase with the second dash in a row the first and what stands before it, with each further one one more.

        Only where all was typed on a bare number pad: who has letters has Backspace, and may mean the dashes.
        """
        pad = event.character in ON_THE_PAD if event.character and event.is_printable else event.key == "enter"
        self.by_pad = pad and self.by_pad is not False
        dash, at = event.character == "-", self.cursor_position
        doubled = dash and self.by_pad and self.value[:at].endswith("-")
        if doubled and not self.erasing:
            self.action_delete_left()
        self.erasing = doubled or (dash and self.erasing)
        if self.erasing:
            self.action_delete_left()
        return self.erasing

    @property
    def too_many(self) -> int:
        """How many characters there are beyond what Enter takes."""
        return max(0, len(self.value) - self.most)

    @property
    def fault(self) -> str:
        """Why Enter does not take what stands here; empty where it does, as it does where nothing stands here."""
        if self.too_many:
            return f"{self.too_many:,} too many: at most {self.most:,} characters. Nothing is recorded yet."
        if self.reads is not None and self.value.strip():
            try:
                self.reads(self.value)
            except BadInput as fault:
                return str(fault)
        return ""

    def enter(self) -> None:
        """Give what was typed; where it is not taken it stays here, and the reason is given."""
        if fault := self.fault:
            self.post_message(Line.Refused(fault))
        else:
            self.post_message(Line.Entered(self.value.replace(RETURN, "\n")))

    def on_paste(self, event: events.Paste) -> None:
        """Take in what is pasted, in the place of the Input's own way."""
        event.stop()
        event.prevent_default()
        self.paste(event.text)

    def paste(self, text: str) -> None:
        """Take in pasted text, all of it: its lines stay lines in a note, and become one elsewhere."""
        if self.ended:
            return
        if len(text) > PASTED:
            words = f"What you pasted has {len(text):,} characters, more than {PASTED:,}: none of it was taken."
            self.post_message(Line.Refused(words))
            return
        joined = (RETURN if self.lines else " ").join(text.strip("\r\n").splitlines())
        self.replace(joined, *sorted(self.selection))
        self.select_on_focus = False

    def sifted(self, event: events.Key) -> bool:
        """Tell whether a key belongs to a scanned code."""
        app: Host = self.app  # type: ignore[assignment]
        return app.field_key(self, event)

    def replace_what_stands(self, event: events.Key) -> None:
        """Let the first key that types take the place of what stands there; a blank or any other goes on behind it."""
        if self.select_on_focus:
            if event.is_printable and event.character != " ":
                self.value = ""
            self.cursor_position = len(self.value)  # nothing is marked any more: Backspace erases one character
        self.select_on_focus = False

    def take(self, event: events.Key) -> None:
        """Take a key that came before the line had the focus: it went to the screen."""
        if not self._met(event) and event.is_printable and event.character:
            self.insert_text_at_cursor(event.character)
