"""Pages on which blocks are set one under another: what the book's PDF is set with.

A sheet is set twice. The first time nothing is drawn: it shows on which page everything comes to stand, so that the
second time the contents and every reference have their page numbers. What was measured then is not measured again.

What keeps rows on one page is ours and not fpdf2's: its `unbreakable` copies what is drawn for each block (240 steps
took three times as long with it), and it cannot be asked on which page something will stand before it is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from msgspec import Struct, field

from putback.book.colours import DAY, Colour, printed
from putback.book.inside_fpdf import Pen
from putback.labels.drawing import FAMILY, add_fonts
from putback.labels.lettering import CAP_HEIGHT, clip, measure, printable, wrap

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.drawing_primitives import DeviceRGB

INK, QUIET, LINE = printed(DAY.ink), printed(DAY.quiet), printed(DAY.line)
BRASS, RUST, WASH = printed(DAY.brass), printed(DAY.rust), printed(DAY.wash)
BLUE, STEEL, WHITE = printed(DAY.blue), printed(DAY.steel), (255, 255, 255)
SIDE, TOP, FOOT = 18.0, 16.0, 18.0
"""Margins in millimetres."""
BODY = 3.5
"""Letter size of the text in millimetres: ten points."""
SMALL = 3.1
"""Letter size of what matters less."""
LEADING = 1.4
_POINT = 25.4 / 72


@cache
def device(colour: Colour) -> DeviceRGB:
    """Return a colour as the PDF library has it, made once."""
    from fpdf.drawing_primitives import DeviceRGB  # the PDF library, only where a PDF is made

    red, green, blue = colour
    return DeviceRGB(red / 255, green / 255, blue / 255)


def _nothing(y: float) -> None:
    """Draw nothing."""


class PageBlock(Struct, frozen=True):
    """Something that stands on one page whole."""

    height: float
    """How much of the page it takes, in millimetres."""
    draw: Callable[[float], None]
    """Draws it with its upper edge at a height on the page."""
    holds: bool = False
    """Whether it must not be the last on its page."""
    mark: str = ""
    """What can be referred to here: `step 5`."""


class Whole(Struct, frozen=True):
    """What is set whole, as it was found when it was first set: how tall, and which pages it names."""

    blocks: tuple[PageBlock, ...]
    """Its blocks, which draw nothing."""
    named: dict[str, int]
    """The marks whose page it says, with the page said."""


class Measured(Struct):
    """What was measured while a book was set, for the next time that it is."""

    rows: dict[tuple[str, float, float, bool], list[str]] = field(default_factory=dict)
    """The lines that words take, by width and letters."""
    wholes: dict[str, Whole] = field(default_factory=dict)
    """What stands on a page whole, by its name."""


class Sheet:
    """Pages of one size, with what is drawn on them."""

    def __init__(
        self, size: tuple[float, float], title: str, pages: dict[str, int] | None, measured: Measured | None = None
    ) -> None:
        """`pages` says on which page each mark stands; without it nothing is drawn, and they are found.

        What was `measured` before is not measured again.
        """
        self.measured = Measured() if measured is None else measured
        self._named: dict[str, int] = {}
        self._letters: tuple[float, bool] | None = None
        self.wide, self.high = size
        self.found: dict[str, int] = {}
        self.known = pages or {}
        self.caption = printable(title)
        self.y = TOP
        self.number = 0
        self._held: list[PageBlock] = []
        self.pdf: FPDF | None = None
        self._pen: Pen | None = None
        if pages is not None:
            from fpdf import FPDF  # the PDF library, only where a PDF is made

            self.pdf = FPDF(unit="mm", format=size)
            self.pdf.set_auto_page_break(False)
            self.pdf.set_margin(0)
            self.pdf.set_title(title)
            add_fonts(self.pdf)
            self._pen = Pen(self.pdf)

    @property
    def width(self) -> float:
        """Of the text."""
        return self.wide - 2 * SIDE

    @property
    def room(self) -> float:
        """Height of a page without its margins."""
        return self.high - TOP - FOOT

    @property
    def paper(self) -> FPDF:
        """What is drawn on."""
        assert self.pdf is not None
        return self.pdf

    # -- pages ---------------------------------------------------------------------------------------

    def page(self) -> None:
        """Begin a page, with its number at the foot."""
        self.number += 1
        self.y = TOP
        if self.pdf is None:
            return
        self.pdf.add_page()
        if self.number > 1:
            self.words(SIDE, self.high - 10, self.caption, 2.8, QUIET)
            text = str(self.number)
            self.words(self.wide - SIDE - measure(text, 2.8), self.high - 10, text, 2.8, QUIET)

    def put(self, *blocks: PageBlock) -> None:
        """Set blocks, each on the page where there is room for it and those that hold on to it."""
        for block in blocks:
            self._held.append(block)
            if not block.holds:
                self.flush()

    def put_whole(self, blocks: Sequence[PageBlock]) -> None:
        """Set blocks on one page, where one page can hold them."""
        if blocks and sum(block.height for block in blocks) <= self.room:
            self._held += blocks
            self.flush()
        else:
            self.put(*blocks)

    def put_named(self, name: str, make: Callable[[], Sequence[PageBlock]]) -> None:
        """Set on one page what is made; while nothing is drawn, only where a page that it names is not as before."""
        if self.pdf is not None:
            self.put_whole(make())
            return
        whole = self.measured.wholes.get(name)
        if whole is None or any(self.on_page(mark) != page for mark, page in whole.named.items()):
            self._named = {}
            blocks = tuple(PageBlock(block.height, _nothing, block.holds, block.mark) for block in make())
            whole = self.measured.wholes[name] = Whole(blocks, self._named)
        self.put_whole(whole.blocks)

    def flush(self) -> None:
        """Set what was held back."""
        blocks, self._held = self._held, []
        if self.y > TOP and self.y + sum(block.height for block in blocks) > self.high - FOOT:
            self.page()
        for block in blocks:
            if self.y > TOP and self.y + block.height > self.high - FOOT:
                self.page()
            if block.mark:
                self.found.setdefault(block.mark, self.number)
            if self.pdf is not None:
                block.draw(self.y)
            self.y += block.height

    def on_page(self, mark: str) -> int:
        """Return the page that a mark stands on; 88, as wide as most, while that is not known."""
        page = self._named[mark] = self.known.get(mark, 88)
        return page

    def link(self, mark: str, x: float, y: float, width: float, height: float) -> None:
        """Make a place on the page lead to a mark, for who reads it on a screen."""
        if mark in self.known:
            self.paper.link(x, y, width, height, self.paper.add_link(page=self.known[mark]))

    # -- marks ---------------------------------------------------------------------------------------

    def words(self, x: float, y: float, text: str, size: float, colour: Colour = INK, *, bold: bool = False) -> None:
        """Set one printable line with its baseline at y."""
        if self._letters != (size, bold):
            self._letters = (size, bold)
            self.paper.set_font(FAMILY, "B" if bold else "", size / _POINT)
        assert self._pen is not None
        self._pen.line(x, y, text, device(colour))

    def box(self, x: float, y: float, width: float, height: float, colour: Colour) -> None:
        """Fill a rectangle."""
        self.paper.set_fill_color(device(colour))
        self.paper.rect(x, y, width, height, "F")

    def line(self, x: float, y: float, x2: float, y2: float, colour: Colour = LINE, width: float = 0.2) -> None:
        """Draw a line."""
        self.paper.set_draw_color(device(colour))
        self.paper.set_line_width(width)
        self.paper.line(x, y, x2, y2)

    # -- blocks --------------------------------------------------------------------------------------

    def lines(
        self,
        words: str,
        x: float,
        width: float,
        size: float = BODY,
        colour: Colour = INK,
        *,
        bold: bool = False,
        before: float = 0.0,
        holds: bool = False,
        mark: Colour | None = None,
        wash: Colour | None = None,
        sign: bool = False,
    ) -> list[PageBlock]:
        """Return a paragraph as one block a line; `mark` is a bar on its left, `wash` the ground behind it.

        With `sign` it begins with the triangle of a caution.
        """
        indent = (3.0 if mark else 0.0) + (size if sign else 0.0)
        rows = self.rows(words, width - indent, size, bold)
        step = size * LEADING
        blocks = []
        for index, row in enumerate(rows):
            gap = before if index == 0 else 0.0

            def draw(y: float, row: str = row, gap: float = gap, first: bool = index == 0) -> None:
                if wash:
                    self.box(x, y + gap, width, step + 0.05, wash)
                if mark:
                    self.box(x, y + gap, 1.0, step + 0.05, mark)
                base = y + gap + step / 2 + size * CAP_HEIGHT / 2
                if sign and first:
                    left, tall = x + 2.6, size * CAP_HEIGHT
                    self.paper.set_fill_color(device(colour))
                    self.paper.polygon([(left, base), (left + tall, base), (left + tall / 2, base - tall)], style="F")
                self.words(x + indent, base, row, size, colour, bold=bold)

            blocks.append(PageBlock(gap + step, draw, holds or index == 0 < len(rows) - 1))
        return blocks

    def rows(self, words: str, room: float, size: float, bold: bool) -> list[str]:
        """Return the lines that words take, measured once."""
        asked = (words, room, size, bold)
        found = self.measured.rows.get(asked)
        if found is None:
            found = self.measured.rows[asked] = wrap(printable(words), room, size, bold, 200)
        return found

    def caution(self, words: str, x: float, width: float) -> list[PageBlock]:
        """Return a caution, with its sign."""
        text = f"Caution: {words}"
        return self.lines(text, x, width, BODY, RUST, before=0.6, mark=RUST, wash=WASH, sign=True)

    def gap(self, height: float) -> PageBlock:
        """Return room between blocks."""
        return PageBlock(height, _nothing)

    def heading(self, words: str) -> None:
        """Set a chapter's heading, and list it in the reader's outline."""
        self.flush()
        text = clip(printable(words), self.width, 5.4, False)

        def draw(y: float) -> None:
            self.paper.start_section(text)
            self.words(SIDE, y + 10, text, 5.4)
            self.line(SIDE, y + 12, SIDE + self.width, y + 12, BRASS, 0.5)

        self.put(PageBlock(15, draw, holds=True, mark=f"chapter {words}"))

    def small_heading(self, words: str) -> None:
        """Set a heading inside a chapter."""
        self.put(*self.lines(words, SIDE, self.width, 4.0, bold=True, before=3, holds=True))

    def bullets(self, items: Iterable[str], x: float, width: float, size: float = BODY) -> list[PageBlock]:
        """Return items as a list."""
        blocks = []
        for item in items:
            rows = self.lines(item, x + 4, width - 4, size)
            if not rows:
                continue
            first = rows[0]

            def draw(y: float, first: PageBlock = first) -> None:
                self.words(x + 0.8, y + size * LEADING / 2 + size * CAP_HEIGHT / 2, "•", size, BRASS)
                first.draw(y)

            blocks += [PageBlock(first.height, draw, first.holds), *rows[1:]]
        return blocks

    def pair(self, word: str, value: str, x: float, width: float, column: float = 27.0) -> list[PageBlock]:
        """Return a fact with its name before it."""
        rows = self.lines(value, x + column, width - column)
        if not rows:
            return []
        first = rows[0]
        name = clip(printable(word), column - 2, BODY, False)

        def draw(y: float) -> None:
            self.words(x, y + BODY * LEADING / 2 + BODY * CAP_HEIGHT / 2, name, BODY, QUIET)
            first.draw(y)

        return [PageBlock(first.height, draw, first.holds), *rows[1:]]

    def referring(self, words: str, mark: str, x: float, width: float, size: float = BODY) -> list[PageBlock]:
        """Return words with the page of a mark at the right edge; they lead there."""
        text = str(self.on_page(mark))
        rows = self.lines(words, x, width - 14, size)
        step = size * LEADING

        def draw(y: float) -> None:
            rows[-1].draw(y)
            base = y + step / 2 + size * CAP_HEIGHT / 2
            self.words(x + width - measure(text, size), base, text, size, QUIET)
            self.link(mark, x, y, width, step)

        return [*rows[:-1], PageBlock(rows[-1].height, draw)] if rows else []

    def cells(
        self, cells: Sequence[str], shares: Sequence[float], colour: Colour = INK, *, holds: bool = False
    ) -> PageBlock:
        """Return one row of a table; a cell goes on below as far as it must."""
        rows = [
            wrap(printable(cell), share * self.width - 2, 3.2, False, 12)
            for cell, share in zip(cells, shares, strict=True)
        ]
        step = 3.2 * LEADING

        def draw(y: float) -> None:
            x = SIDE
            for lines, share in zip(rows, shares, strict=True):
                for down, line in enumerate(lines):
                    self.words(x, y + 3.4 + down * step, line, 3.2, colour)
                x += share * self.width
            self.line(SIDE, y + step * tall + 0.6, SIDE + self.width, y + step * tall + 0.6)

        tall = max(1, *map(len, rows))
        return PageBlock(step * tall + 1.2, draw, holds)

    def columns(self, items: Sequence[tuple[float, str]], across: int, size: float = SMALL) -> list[PageBlock]:
        """Return words in columns, read down one after another; each is set in from the left by so much."""
        step, wide = size * LEADING, self.width / across
        tall = max(1, min(-(-len(items) // across), int(self.room // step)))
        page = tall * across
        rows = []
        for first in range(0, len(items), page):
            here = items[first : first + page]
            for row in range(min(tall, len(here))):
                some = [
                    (number, here[number * tall + row]) for number in range(across) if number * tall + row < len(here)
                ]

                def draw(y: float, some: Sequence[tuple[int, tuple[float, str]]] = some) -> None:
                    for column, (inset, words) in some:
                        text = clip(printable(words), wide - inset - 3, size, False)
                        self.words(SIDE + column * wide + inset, y + step / 2 + size * CAP_HEIGHT / 2, text, size)

                rows.append(PageBlock(step, draw))
        return rows
