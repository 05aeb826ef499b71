"""A page of many rows that scrolls: only those that are seen are drawn."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from putback.tui.widgets.shown import Brush


class LongPage(Widget):
    """As high as its rows are many; it stands in something that scrolls."""

    ALLOW_SELECT = False

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._brush = Brush(self)
        self._rows: Sequence[Content] = ()

    def show(self, rows: Sequence[Content]) -> None:
        """Show other rows, none of them wider than the page."""
        self._rows = rows
        self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._rows)

    def notify_style_update(self) -> None:
        self._brush = Brush(self)
        super().notify_style_update()

    def render_line(self, y: int) -> Strip:
        width, ground = self.size.width, self.visual_style.rich_style
        if not 0 <= y < len(self._rows):
            return Strip.blank(width, ground)
        return self._brush.strip(self._rows[y]).adjust_cell_length(width, ground)

    def render(self) -> Content:
        return Content("\n").join(self._rows)
