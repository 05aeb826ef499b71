"""A widget that draws one value as rows of characters, and repaints the rows that a new value changes."""

from __future__ import annotations

from itertools import pairwise
from typing import Generic, Self, TypeVar

from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.containers import Horizontal
from textual.content import Content, Span
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget

from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.signs import signed

D = TypeVar("D")

KEPT_ROWS = 256
"""Rows that a pane keeps as they were painted: what a key shows was mostly there a few keys ago."""


def _style(name: str | Style) -> Style:
    return name if isinstance(name, Style) else Style.parse(name)


class Brush:
    """Turns rows into what the terminal is sent.

    Textual's own way gives every piece of text a style of its own, by which a mouse can select it, and works
    each out anew; here a style is worked out once, and the same one is the same object ever after.
    """

    def __init__(self, widget: Widget) -> None:
        """`widget` says what a style's name means, and on which ground it is drawn."""
        self._widget = widget
        self._ground: Style | None = None
        self._styles: dict[tuple[str | Style, ...], RichStyle] = {}

    def strip(self, row: Content) -> Strip:
        """Return a row as a strip as wide as its text."""
        return Strip(self.pieces(row), row.cell_length)

    def pieces(self, row: Content) -> list[Segment]:
        """Return a row piece by piece, each in one style."""
        ground = self._widget.visual_style
        if ground != self._ground:
            self._ground, self._styles = ground, {}
        text, spans, styles = row.plain, row.spans, self._styles
        edges = sorted({0, len(text), *(span.start for span in spans), *(span.end for span in spans)})
        pieces = []
        for start, end in pairwise(edge for edge in edges if 0 <= edge <= len(text)):
            over = tuple(span.style for span in spans if span.start <= start and end <= span.end)
            style = styles.get(over)
            if style is None:
                style = styles[over] = Style.combine([ground, *map(_style, over)]).rich_style
            pieces.append(Segment(text[start:end], style))
        return pieces


class Shown(Widget, Generic[D]):
    """A widget that draws one value, and repaints the rows that a new value changes."""

    glyphs: GlyphSet = UNICODE
    """What it is drawn with; a screen sets that of the app."""
    titled = True
    """Whether its title is said where there is no frame that bears it."""
    ALLOW_SELECT = False

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._brush = Brush(self)
        self.shown: D | None = None
        self._title = ""
        self._drawn: list[Content] = []
        self._drawn_for = Size(0, 0)
        self._rendered: list[Strip] = []
        self._rendered_for = Size(0, 0)
        self._painted: dict[tuple[str, tuple[Span, ...]], Strip] = {}
        self._edges: tuple[list[Segment], list[Segment]] = ([], [])
        self._stale: set[int] = set()

    def show(self, data: D) -> None:
        """Draw `data`, if it differs from what stands there."""
        if data == self.shown:
            return
        self.shown = data
        self.draw_again()

    def entitle(self, words: str) -> None:
        """Put words into the frame's upper edge; the same ones again paint nothing, as setting them does."""
        if words != self._title:
            self._title = words
            self.border_title = words

    @property
    def changed(self) -> bool:
        """Whether anything is still to be painted."""
        return bool(self._stale) or not self._rendered

    def draw_again(self) -> None:
        """Draw what is shown anew, and repaint the rows that changed."""
        old, size = self._drawn, self.size
        if not old or size != self._drawn_for:
            self.refresh()
            return
        self._draw()
        changed = [y for y, row in enumerate(self._drawn) if (row.plain, row.spans) != (old[y].plain, old[y].spans)]
        if changed:
            # With the frame beside them: a row that is painted whole need not be cut first.
            left, across = self.content_offset.x, self.outer_size.width
            self.refresh(*(Region(-left, y, across, 1) for y in changed))

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        """Repaint the given rows, or everything."""
        if regions:
            self._stale.update(y for region in regions for y in region.line_range)
        else:
            self._drawn, self._rendered = [], []
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def notify_style_update(self) -> None:
        self._drawn, self._rendered = [], []
        self._brush = Brush(self)
        super().notify_style_update()

    def _draw(self) -> None:
        """Draw every row anew."""
        size = self.size
        title = self.border_title if self.glyphs.words and self.titled else ""
        titled = signed("note", title, size.width, self.glyphs, "$pb-muted")[:1] if title else []
        room = size.height - len(titled)
        rows = titled + ([] if self.shown is None else self.lines(self.shown, size.width, room)[:room])
        self._drawn = rows + [Content("")] * (size.height - len(rows))
        self._drawn_for = size

    def render_lines(self, crop: Region) -> list[Strip]:
        """Return the rows with the frame about them, and only those that changed worked out anew.

        Textual asks every widget for all of its rows where any row of the screen is painted, and puts each through
        the app's filters again.
        """
        if crop.offset != (0, 0) or crop.size != self.outer_size:
            return super().render_lines(crop)
        whole = not self._rendered or (self._rendered_for, self._drawn_for) != (crop.size, self.size)
        if whole or self._stale:
            left, top = self.content_offset
            if whole:
                self._rendered, self._rendered_for, self._painted = super().render_lines(crop), crop.size, {}
                right = left + self.size.width
                for row in self._rendered[top : top + 1]:
                    self._edges = list(row.crop(0, left)), list(row.crop(right, crop.width))
            else:
                self._render_again(top, crop.width)
            self._stale.clear()
        return self._rendered

    def _render_again(self, top: int, across: int) -> None:
        """Render the rows that changed; what of the frame stands beside them stays."""
        size, background = self.size, self.background_colors[1]
        (before, after), filters = self._edges, self.get_line_filters()
        ground = Style(background=background).rich_style
        for y in self._stale:
            if not 0 <= y < size.height:
                continue
            row = self._drawn[y]
            known = (row.plain, tuple(row.spans))
            strip = self._painted.get(known)
            if strip is None:
                pieces = self._brush.pieces(row)
                spare = size.width - row.cell_length
                if spare > 0:
                    pieces.append(Segment(" " * spare, ground))
                elif spare < 0:
                    pieces = list(Strip(pieces).crop(0, size.width))
                for line_filter in filters:
                    pieces = line_filter.apply(pieces, background)
                if len(self._painted) >= KEPT_ROWS:
                    self._painted.clear()
                strip = self._painted[known] = Strip([*before, *pieces, *after], across)
            self._rendered[top + y] = strip

    def render_line(self, y: int) -> Strip:
        size = self.size
        if not self._drawn or self._drawn_for != size:
            self._draw()
        if not 0 <= y < len(self._drawn):
            return Strip.blank(size.width, self.visual_style.rich_style)
        return self._brush.strip(self._drawn[y])

    def render(self) -> Content:
        self._draw()
        return Content("\n").join(self._drawn)

    def lines(self, data: D, width: int, height: int) -> list[Content]:
        """Return the rows that draw `data`."""
        raise NotImplementedError


class Panes(Horizontal):
    """Panes side by side that fill it: Textual need not style rows of it that nobody sees."""

    BLANK = True
