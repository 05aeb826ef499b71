"""Two small questions over the bench: choose from a numbered list, and type a line."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from putback.tui.keys import command_for
from putback.tui.screens.keyed import KeyedModal, Leaves
from putback.tui.tapping import tapped
from putback.tui.text import plain

PAGE = 9
"""How many choices stand on a page: as many as there are number keys."""


class Pick(KeyedModal[int | None]):
    """A numbered list; a number key chooses at once. Gives the index, or None."""

    def __init__(self, caption: str, options: Sequence[str], *, here: int = -1) -> None:
        super().__init__()
        self._caption = caption
        self._options = list(options)
        self._here = here
        self._page = max(0, here) // PAGE

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="pick")

    def on_mount(self) -> None:
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        width = max(20, min(64, self.app.size.width - 8))
        lines = [plain(self._caption, width, "bold $pb-brass"), Content("")]
        first = self._page * PAGE
        for index, option in enumerate(self._options[first : first + PAGE]):
            chosen = first + index == self._here
            sign = self.bench.glyphs.right if chosen else " "
            row = Content.assemble((f" {index + 1} ", "bold $pb-brass"), f"{sign} ", plain(option, width - 6))
            lines.append(tapped(row.pad_right(max(0, width - row.cell_length)), "press", index + 1))
        pages = (len(self._options) + PAGE - 1) // PAGE
        shown = self.bench.keymap.shown
        foot = [plain("a number chooses", None, "$pb-muted"), _tap(shown("list.leave"), "back")]
        if pages > 1:
            foot[0] = plain(f"page {self._page + 1} of {pages}", None, "$pb-muted")
            foot[1:1] = [_tap(shown("list.next"), "next"), _tap(shown("list.before"), "before")]
        lines += [Content(""), Content("   ").join(foot)]
        self.query_one("#pick", Static).update(Content("\n").join(lines))

    @property
    def places(self) -> tuple[str, ...]:
        """In a list."""
        return ("list",)

    def press(self, key: str) -> None:
        """Choose, turn the page, or leave."""
        pages = max(1, (len(self._options) + PAGE - 1) // PAGE)
        wish = command_for(key, "list")
        if wish == "list.leave":
            self.leave(None)
        elif wish == "list.next":
            self._page = (self._page + 1) % pages
            self._draw()
        elif wish == "list.before":
            self._page = (self._page - 1) % pages
            self._draw()
        elif wish == "list.marked" and self._here >= 0:
            self.leave(self._here)
        elif wish == "list.go":
            index = self._page * PAGE + int(key) - 1
            if index < len(self._options):
                self.leave(index)


class Ask(Leaves, ModalScreen[str | None]):
    """One line to type. Gives the text, or None; empty text is an answer too."""

    def __init__(self, caption: str, *, value: str = "", hint: str = "") -> None:
        super().__init__()
        self._caption = caption
        self._value = value
        self._hint = hint

    def compose(self) -> ComposeResult:
        from putback.tui.widgets.line import Line

        with Vertical(classes="card"):
            yield Static(plain(self._caption, None, "bold $pb-brass"))
            yield Line(value=self._value, placeholder=self._hint)
            yield Static(Content("   ").join([_tap("Enter", "keeps it"), _tap("Esc", "leaves it")]))

    def on_line_entered(self, message: object) -> None:
        self.leave(getattr(message, "text", ""))

    def on_key(self, event: events.Key) -> None:
        """Leave on Escape; every other key is the line's own."""
        if event.key == "escape":
            event.stop()
            self.leave(None)


def _tap(shown: str, label: str) -> Content:
    """Return a key and what it does, to be tapped."""
    return tapped(Content.assemble((shown, "bold $pb-brass"), " ", (label, "$pb-muted")), "key", shown)
