"""A photo over a card, with a line under it. What it shows is made ready off the screen's thread."""

from __future__ import annotations

from functools import partial

from rich.segment import Segment
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from putback.tui.draw.pictures import Asked, Pictures, Ready
from putback.tui.draw.pixels import pixel_widget
from putback.tui.draw.text import fitted, wrapped
from putback.tui.host import Host


class PictureView(Widget, can_focus=False):
    """A box of cells with one photo at its top."""

    DEFAULT_CSS = "PictureView { position: absolute; display: none; } PictureView > Widget { position: absolute; }"

    class Made(Message):
        """A photo is ready."""

        def __init__(self, asked: Asked) -> None:
            super().__init__()
            self.asked = asked

    def __init__(self) -> None:
        super().__init__()
        self._asked: Asked | None = None
        self._caption = ""
        self._corner = (0, 0)
        self._making: set[Asked] = set()

    @property
    def pictures(self) -> Pictures:
        """How photos are shown here."""
        app: Host = self.app  # type: ignore[assignment]
        return app.pictures

    def hide(self) -> None:
        """Show nothing."""
        if self._asked is not None:
            self._asked = None
            self.display = False
            self.remove_children()

    def show(self, file: str, name: str, caption: str, left: int, top: int, columns: int, rows: int) -> None:
        """Show a photo in a box of cells, with a caption of one line under it."""
        asked = Asked(file, name, columns, max(1, rows - 1))
        if (asked, caption, (left, top)) == (self._asked, self._caption, self._corner):
            return
        self._asked, self._caption, self._corner = asked, caption, (left, top)
        self.styles.width, self.styles.height = columns, rows
        self.styles.offset = (left, top)
        self.display = True
        self.remove_children()
        ready = self.pictures.ready(asked)
        if ready is not None:
            self._put(ready)
        elif asked not in self._making:
            self._making.add(asked)
            self.app.run_worker(partial(self._make, asked), thread=True, group="pictures", exit_on_error=True)
        self.refresh()

    def _make(self, asked: Asked) -> None:
        self.pictures.make(asked)
        self.post_message(self.Made(asked))

    def on_picture_view_made(self, message: Made) -> None:
        """Show what is ready, if it is still wanted."""
        self._making.discard(message.asked)
        ready = self.pictures.ready(message.asked)
        if message.asked == self._asked and ready is not None:
            self._put(ready)
            self.refresh()

    def _put(self, ready: Ready) -> None:
        if ready.picture is not None:
            widget = pixel_widget(self.pictures.kind, ready.picture)
            widget.styles.width, widget.styles.height = ready.columns, ready.rows
            self.mount(widget)

    def render_line(self, y: int) -> Strip:
        """One row of the picture, of the sentence in its place, or of the caption."""
        style = self.rich_style
        width = self.size.width
        if self._asked is None:
            return Strip.blank(width, style)
        ready = self.pictures.ready(self._asked)
        rows = ready.rows if ready is not None else self._asked.rows
        if y == rows:
            return self._words(self._caption, style, width)
        if ready is not None and ready.why:
            lines = wrapped(ready.why, width)
            return self._words(lines[y].plain if y < len(lines) else "", style, width)
        if ready is None or y >= len(ready.strips):
            return Strip.blank(width, style)
        return Strip([*ready.strips[y], Segment(" " * (width - ready.columns), style)], width)

    def _words(self, words: str, style: object, width: int) -> Strip:
        text = fitted(words, width)
        return Strip([Segment(text, style)]).extend_cell_length(width, style)  # type: ignore[arg-type]
