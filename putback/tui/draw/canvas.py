"""A sheet of cells to draw on, turned into rows of Content at the end."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rich.cells import cell_len
from textual.content import Content, Span
from textual.style import Style


class Canvas:
    """A sheet `width` by `height` cells. Whatever falls off its edge is not drawn.

    `ground` is the colour of the sheet itself, such as `$pb-panel`: it lies under every style
    that names no ground of its own.
    """

    __slots__ = ("_ground", "_letters", "_styles", "_taps", "height", "width")

    def __init__(self, width: int, height: int, ground: str = "") -> None:
        self.width = width
        """Cells across."""
        self.height = height
        """Rows."""
        self._ground = f"on {ground}" if ground else ""
        self._letters = [[" "] * width for _ in range(height)]
        self._taps: list[tuple[int, int, int, Style]] = []
        self._styles = [[self._ground] * width for _ in range(height)]

    def put(self, x: int, y: int, words: str, style: str | None = None) -> None:
        """Write signs of one cell each from (x, y) on. A style of None leaves the one there."""
        if not 0 <= y < self.height:
            return
        letters, styles, width = self._letters[y], self._styles[y], self.width
        style = self._grounded(style)
        for letter in words:
            if 0 <= x < width:
                letters[x] = letter
                if style is not None:
                    styles[x] = style
            x += 1

    def put_words(self, x: int, y: int, words: str, style: str) -> None:
        """Write words that may hold wide or joined letters; they must have been cut to fit."""
        cells = cell_len(words)
        if cells == len(words):
            self.put(x, y, words, style)
            return
        if not (0 <= y < self.height and x >= 0 and cells and x + cells <= self.width):
            return
        self._letters[y][x : x + cells] = [words] + [""] * (cells - 1)
        self._styles[y][x : x + cells] = [self._grounded(style) or ""] * cells

    def paint(self, x: int, y: int, cells: int, style: str) -> None:
        """Change the style of some cells and leave their signs."""
        if not 0 <= y < self.height:
            return
        grounded = self._grounded(style) or ""
        for at in range(max(0, x), min(self.width, x + cells)):
            self._styles[y][at] = grounded

    def tap(self, x: int, y: int, cells: int, style: Style) -> None:
        """Let some cells of a row carry a tap, whatever is drawn on them."""
        if 0 <= y < self.height:
            self._taps.append((max(0, x), y, min(self.width, x + cells), style))

    def rows(self) -> list[Content]:
        """The sheet, one Content a row, each exactly `width` cells."""
        return [self._row(y) for y in range(self.height)]

    def _grounded(self, style: str | None) -> str | None:
        if style is None or not self._ground or "on $" in style:
            return style
        return f"{style} {self._ground}".lstrip()

    def _row(self, y: int) -> Content:
        letters, text = self._letters[y], "".join(self._letters[y])
        plain = len(text) == self.width  # else a sign of several letters or cells is among them
        spans: list[Span] = []
        cell = position = 0
        for style, run in groupby(self._styles[y]):
            cells = len(list(run))
            start, position = position, position + (cells if plain else sum(map(len, letters[cell : cell + cells])))
            cell += cells
            if style and position > start:
                spans.append(Span(start, position, style))
        for left, at, right, tap in self._taps:
            if at == y:
                spans.append(Span(sum(map(len, letters[:left])), sum(map(len, letters[:right])), tap))
        return Content(text, spans, self.width, strip_control_codes=False)


def side_by_side(*drawings: Sequence[Content], gap: int = 2) -> list[Content]:
    """Drawings next to each other, `gap` cells apart, the shorter ones filled up below."""
    filled: list[list[Content]] = []
    tallest = max((len(drawing) for drawing in drawings), default=0)
    for index, drawing in enumerate(drawings):
        width = max((row.cell_length for row in drawing), default=0)
        width += gap if index < len(drawings) - 1 else 0
        rows = [*drawing, *[Content("")] * (tallest - len(drawing))]
        filled.append([row.pad_right(width - row.cell_length) for row in rows])
    return [Content.assemble(*parts) for parts in zip(*filled, strict=True)]
