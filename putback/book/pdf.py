"""The book as PDF, to be printed at 100 %: then a bar beside a screw's name is as long as the screw."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from putback.book.contents import Book, Chapter, Leaf, Return, Size
from putback.book.faces import PrintedFace, PrintedHole, free_places, spots
from putback.book.fastener_list import numbers
from putback.errors import BadInput
from putback.labels.drawing import FAMILY, add_fonts
from putback.labels.lettering import CAP_HEIGHT, clip, measure, printable, wrap
from putback.labels.paper import PAPERS
from putback.progress import each
from putback.reports.account import Block as Said
from putback.reports.account.lines import CAUTIONS, HELD, UNSAID, block_text
from putback.reports.todo import left_to_do
from putback.trade.refit.orientation import lay_it

if TYPE_CHECKING:
    from fpdf import FPDF

INK, QUIET, LINE = (35, 33, 29), (109, 103, 92), (216, 208, 192)
BRASS, RUST, WASH, BLUE, STEEL = (138, 90, 0), (150, 48, 15), (249, 233, 224), (31, 85, 128), (231, 234, 236)
WHITE = (255, 255, 255)
SIDE, TOP, FOOT = 18.0, 18.0, 20.0
"""Margins in millimetres."""
BODY = 3.5
"""Letter size of the text in millimetres: ten points."""
LEADING = 1.4
NUMBER = 15.0
"""Width of the column in which a step's number stands."""
FACE = 40.0
"""Side of a face."""
PHOTO = 50.0
"""Width of a photo."""
_POINT = 25.4 / 72
_TRUE_LENGTH = 70.0
"""The longest screw that is drawn at its length."""

Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class PageBlock:
    """Something that stands on one page whole."""

    height: float
    """How much of the page it takes, in millimetres."""
    draw: Callable[[float], None]
    """Draws it with its upper edge at a height on the page."""
    holds: bool = False
    """Whether it must not be the last on its page."""


def pdf_of(book: Book, paper: str = "A4") -> bytes:
    """Return the whole book as PDF on `paper`, A4 or Letter. Raises BadInput for any other."""
    name = next((known for known in PAPERS if known.casefold() == paper.strip().casefold()), "")
    if not name:
        raise BadInput(f"{paper} is not a paper known here; there is {' and '.join(PAPERS)}")
    return _Setter(book, PAPERS[name]).set()


class _Setter:
    """Sets blocks one under another, page after page."""

    def __init__(self, book: Book, size: tuple[float, float]) -> None:
        from fpdf import FPDF  # the PDF library, only where a PDF is made

        self.book = book
        self.wide, self.high = size
        self.pdf: FPDF = FPDF(unit="mm", format=size)
        self.pdf.set_auto_page_break(False)
        self.pdf.set_margin(0)
        self.pdf.set_title(book.caption)
        add_fonts(self.pdf)
        self.y = TOP
        self._held: list[PageBlock] = []

    @property
    def width(self) -> float:
        """Of the text."""
        return self.wide - 2 * SIDE

    # -- pages ---------------------------------------------------------------------------------------

    def set(self) -> bytes:
        """Set the book."""
        self.page()
        self.title()
        self.stand()
        for chapter in self.book.chapters:
            self.chapter(chapter)
        self.back()
        self.bags()
        self.sizes()
        self.todo()
        self.flush()
        return bytes(self.pdf.output())

    def page(self) -> None:
        """Begin a page."""
        self.pdf.add_page()
        self._begin()

    def _begin(self) -> None:
        """Start at the top of a page that was just begun, with its number at the foot."""
        self.y = TOP
        number = self.pdf.page_no()
        if number > 1:
            self.words(SIDE, self.high - 10, printable(self.book.caption), 2.8, QUIET)
            text = str(number)
            self.words(self.wide - SIDE - measure(text, 2.8), self.high - 10, text, 2.8, QUIET)

    def put(self, *blocks: PageBlock) -> None:
        """Set blocks, each on the page where there is room for it and those that hold on to it."""
        for block in blocks:
            self._held.append(block)
            if not block.holds:
                self.flush()

    def flush(self) -> None:
        """Set what was held back."""
        blocks, self._held = self._held, []
        if self.y > TOP and self.y + sum(block.height for block in blocks) > self.high - FOOT:
            self.page()
        for block in blocks:
            if self.y > TOP and self.y + block.height > self.high - FOOT:
                self.page()
            block.draw(self.y)
            self.y += block.height

    # -- marks ---------------------------------------------------------------------------------------

    def words(self, x: float, y: float, text: str, size: float, colour: Colour = INK, *, bold: bool = False) -> None:
        """Set one printable line with its baseline at y."""
        self.pdf.set_font(FAMILY, "B" if bold else "", size / _POINT)
        self.pdf.set_text_color(*colour)
        self.pdf.text(x, y, text)

    def box(self, x: float, y: float, width: float, height: float, colour: Colour) -> None:
        """Fill a rectangle."""
        self.pdf.set_fill_color(*colour)
        self.pdf.rect(x, y, width, height, "F")

    def line(self, x: float, y: float, x2: float, y2: float, colour: Colour = LINE, width: float = 0.2) -> None:
        """Draw a line."""
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(width)
        self.pdf.line(x, y, x2, y2)

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
    ) -> list[PageBlock]:
        """Return a paragraph as one block a line; `mark` is a bar on its left, `wash` the ground behind it."""
        indent = 3.0 if mark else 0.0
        rows = wrap(printable(words), width - indent, size, bold, 200)
        step = size * LEADING
        blocks = []
        for index, row in enumerate(rows):
            gap = before if index == 0 else 0.0

            def draw(y: float, row: str = row, gap: float = gap) -> None:
                if wash:
                    self.box(x, y + gap, width, step + 0.05, wash)
                if mark:
                    self.box(x, y + gap, 1.0, step + 0.05, mark)
                self.words(x + indent, y + gap + step / 2 + size * CAP_HEIGHT / 2, row, size, colour, bold=bold)

            blocks.append(PageBlock(gap + step, draw, holds or index == 0 < len(rows) - 1))
        return blocks

    def gap(self, height: float) -> PageBlock:
        """Return room between blocks."""
        return PageBlock(height, lambda y: None)

    def heading(self, words: str) -> None:
        """Set a chapter's heading, and list it in the reader's outline."""
        self.flush()
        text = clip(printable(words), self.width, 6.2, False)

        def draw(y: float) -> None:
            self.pdf.start_section(text)
            self.words(SIDE, y + 13, text, 6.2)
            self.line(SIDE, y + 15.5, SIDE + self.width, y + 15.5, BRASS, 0.5)

        self.put(PageBlock(19.5, draw, holds=True))

    def small_heading(self, words: str) -> None:
        """Set a heading inside a chapter."""
        self.put(*self.lines(words, SIDE, self.width, 4.0, bold=True, before=3, holds=True))

    def bullets(self, items: Sequence[str], x: float, width: float) -> list[PageBlock]:
        """Return items as a list."""
        blocks = []
        for item in items:
            rows = self.lines(item, x + 4, width - 4, BODY)
            if not rows:
                continue
            first = rows[0]

            def draw(y: float, first: PageBlock = first) -> None:
                self.words(x + 0.8, y + BODY * LEADING / 2 + BODY * CAP_HEIGHT / 2, "•", BODY, BRASS)
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

    # -- the front -----------------------------------------------------------------------------------

    def title(self) -> None:
        """Set name, plate and numbers."""
        self.put(*self.lines(self.book.caption, SIDE, self.width, 11, before=4))
        words = f"The machine’s book, as of {self.book.as_of}"  # noqa: RUF001 - an apostrophe as printed
        self.put(*self.lines(words, SIDE, self.width, BODY, QUIET, before=1))
        self.put(PageBlock(14, self._steel_rule))
        true = "Lay a rule beside this one: where they agree, the print is true to size, and so are the screws' bars."
        self.put(*self.lines(true, SIDE, self.width, 2.8, QUIET))
        for word, value in self.book.plate:
            self.put(*self.pair(word, value, SIDE, self.width))
        each = self.width / max(1, len(self.book.figures))

        def figures(y: float) -> None:
            for index, (count, word) in enumerate(self.book.figures):
                self.words(SIDE + index * each, y + 14, str(count), 9, BRASS)
                self.words(SIDE + index * each, y + 19, printable(word), 3.2, QUIET)

        self.put(PageBlock(24, figures))
        self.small_heading("Contents")
        self.flush()
        self._contents()

    def _contents(self) -> None:
        """Leave the rest of the page for the chapters with their pages, which are known when all is set."""
        from fpdf.outline import OutlineSection  # the PDF library, only where a PDF is made

        top = self.y + 2

        def draw(pdf: FPDF, outline: list[OutlineSection]) -> None:
            step = min(6.0, (self.high - FOOT - top) / max(1, len(outline)))
            size = min(BODY, step / 1.3)
            for place, section in enumerate(outline):
                y = top + step * (place + 0.8)
                page = str(section.page_number)
                self.words(SIDE, y, clip(section.name, self.width - 14, size, False), size)
                self.words(SIDE + self.width - measure(page, size), y, page, size)
                pdf.link(SIDE, y - step * 0.8, self.width, step, pdf.add_link(page=section.page_number))

        self.pdf.insert_toc_placeholder(draw)
        self._begin()

    def _steel_rule(self, y: float) -> None:
        """A rule in millimetres: lay one beside it, and it shows whether the print is true to size."""
        top = y + 4
        self.line(SIDE, top, SIDE + self.width, top, INK, 0.3)
        for millimetre in range(int(self.width) + 1):
            length = 4.5 if millimetre % 10 == 0 else 3.2 if millimetre % 5 == 0 else 2.0
            colour = INK if millimetre % 10 == 0 else QUIET
            self.line(SIDE + millimetre, top, SIDE + millimetre, top + length, colour, 0.15)
            if millimetre % 20 == 0 and millimetre and millimetre < self.width - 4:
                text = str(millimetre)
                self.words(SIDE + millimetre - measure(text, 2.2) / 2, top + 7, text, 2.2, QUIET)

    def stand(self) -> None:
        """Set how the machine stands."""
        book = self.book
        self.heading("How it stands")
        self.put(*self.pair("next time", book.next, SIDE, self.width))
        for count, sort in book.balance:
            self.put(*self.pair(sort, str(count), SIDE, self.width))
        self.put(*self.pair("in all", f"{book.things} things", SIDE, self.width))
        if book.questions:
            self.small_heading("Open")
            self.put(*self.bullets(book.questions, SIDE, self.width))
        if book.tree:
            self.small_heading("Its parts")
            for depth, name, state in book.tree:
                text = f"{name}  ({state})" if state else name
                self.put(*self.lines(text, SIDE + 5 * depth, self.width - 5 * depth))

    # -- taking off ----------------------------------------------------------------------------------

    def chapter(self, chapter: Chapter) -> None:
        """Set one session."""
        name = f"Session {chapter.number}" if chapter.number else "Steps"
        self.heading(f"{name}: {chapter.title}" if chapter.title else name)
        self.put(*self.lines(chapter.when, SIDE, self.width, BODY, QUIET))
        if chapter.note:
            self.put(*self.lines(chapter.note, SIDE, self.width))
        for leaf in each(chapter.leaves, "steps set"):
            self.leaf(leaf)

    def leaf(self, leaf: Leaf) -> None:
        """Set one step."""
        x, width = SIDE + NUMBER, self.width - NUMBER
        state = f"  ({leaf.state})" if leaf.state else ""
        head = [
            self._number(leaf.number),
            *self.lines(leaf.text + state, x, width, 4.2, bold=True),
            *self.lines(leaf.where, x, width, 3.1, QUIET),
        ]
        for caution in leaf.cautions:
            head += self.lines(f"Caution: {caution}", x, width, BODY, RUST, before=1, mark=RUST, wash=WASH)
        if leaf.needs:
            head += self.lines(f"came after {'; '.join(leaf.needs)}", x, width, 3.1, QUIET, before=1)
        facts = [
            (word, value)
            for word, value in (
                ("loose pieces", ", ".join(leaf.pieces)),
                ("bags" if len(leaf.bags) > 1 else "bag", ", ".join(map(str, leaf.bags))),
                ("part went to", leaf.put),
                ("tools", ", ".join(leaf.tools)),
            )
            if value
        ]
        # A step's head and its face stand on one page: whoever opens the book there sees both.
        self.put(*(replace(block, holds=True) for block in head), *self.face(leaf, facts, x, width))
        for setting in leaf.settings:
            self.put(*self.lines(f"Setting: {setting}", x, width, BODY, before=1, mark=BLUE))
        for task in leaf.at_refit:
            self.put(*self.lines(f"On the way back, first: {task}", x, width, BODY, before=1, mark=BLUE))
        self.put(*self.bullets((*leaf.notes, *leaf.todo), x, width))
        self.photos(leaf, x, width)
        self.put(self.gap(2))

    def _number(self, number: int) -> PageBlock:
        """A line above a step, and its number in the margin."""

        def draw(y: float) -> None:
            self.line(SIDE, y + 1.5, SIDE + self.width, y + 1.5)
            self.words(SIDE, y + 8.4, str(number), 6.2, BRASS)

        return PageBlock(3.2, draw, holds=True)

    def face(self, leaf: Leaf, facts: Sequence[tuple[str, str]], x: float, width: float) -> list[PageBlock]:
        """Return a step's face with its sizes and the plain facts beside it, what has no room there below."""
        if not leaf.faces:
            sizes = [self._size(size, x, width) for size in leaf.sizes]
            return [*sizes, *(row for fact in facts for row in self.pair(*fact, x, width))]
        column = x + FACE + 8
        room = x + width - column
        first, *others = leaf.faces
        title = 5.0 if first.name else 0.0
        rows = [self._size(size, column, room) for size in leaf.sizes]
        beside, used = [], 0.0
        while rows and used + rows[0].height <= FACE + 1:
            beside.append(rows.pop(0))
            used += beside[-1].height
        fact_rows = [row for fact in facts for row in self.pair(*fact, column, room)]
        height = sum(row.height for row in fact_rows)
        if not rows and used + height <= FACE + 1:
            beside += [self.gap(min(2.0, FACE + 1 - used - height)), *fact_rows]
        else:
            rows += [row for fact in facts for row in self.pair(*fact, x, width)]

        def draw(y: float) -> None:
            self._titled_plate(first, x, y)
            at = y + title
            for row in beside:
                row.draw(at)
                at += row.height

        more = self._more_faces(others, x, width)
        return [replace(self.gap(1.5), holds=True), PageBlock(title + FACE + 2, draw, holds=bool(more)), *more, *rows]

    def _more_faces(self, faces: Sequence[PrintedFace], x: float, width: float) -> list[PageBlock]:
        """Return the further faces of a step, as many beside one another as there is room for."""
        across = max(1, int((width + 8) // (FACE + 8)))
        rows = [faces[at : at + across] for at in range(0, len(faces), across)]

        def block(row: Sequence[PrintedFace]) -> PageBlock:
            def draw(y: float) -> None:
                for at, face in enumerate(row):
                    self._titled_plate(face, x + at * (FACE + 8), y)

            return PageBlock(5.0 + FACE + 2, draw)

        return [block(row) for row in rows]

    def _titled_plate(self, face: PrintedFace, x: float, y: float) -> None:
        """Draw a face below its name, where it has one."""
        if face.name:
            self.words(x, y + 4, f"{face.name} face", 3.1, QUIET)
        self._plate(face.holes, x, y + (5.0 if face.name else 0.0))

    def _plate(self, holes: Sequence[PrintedHole], x: float, y: float) -> None:
        square = FACE / 3
        self.pdf.set_fill_color(*STEEL)
        self.pdf.set_draw_color(*QUIET)
        self.pdf.set_line_width(0.25)
        self.pdf.rect(x, y, FACE, FACE, "DF", round_corners=True, corner_radius=2)
        for key, across, down in free_places(holes):
            at = x + across * square - measure(key, 3.2) / 2
            self.words(at, y + down * square + 1.2, key, 3.2, (178, 182, 184))
        for spot in spots(holes):
            middle, down, radius = x + spot.x * square, y + spot.y * square, spot.radius * square
            hole = spot.hole
            if hole.empty:
                self.pdf.set_draw_color(*RUST)
                self.pdf.set_line_width(0.35)
                self.pdf.set_dash_pattern(0.8, 0.6)
                self.pdf.circle(middle, down, radius)
                self.pdf.set_dash_pattern()
                reach = radius * 0.45
                self.line(middle - reach, down - reach, middle + reach, down + reach, RUST, 0.35)
                self.line(middle - reach, down + reach, middle + reach, down - reach, RUST, 0.35)
            else:
                self.pdf.set_draw_color(*INK)
                self.pdf.set_line_width(0.3)
                if hole.stacked:
                    self.pdf.circle(middle, down, radius)
                    radius *= 0.82
                self.pdf.set_fill_color(*INK)
                self.pdf.circle(middle, down, radius, "F")
                size = radius * 1.1
                left = middle - measure(hole.letter, size, True) / 2
                self.words(left, down + size * CAP_HEIGHT / 2, hole.letter, size, WHITE, bold=True)
            if hole.trouble:
                self.words(middle + radius + 0.3, down - radius * 0.3, "*", 4.5, RUST, bold=True)
            if len(hole.place) > 1:
                self.words(middle + radius + 0.4, down + radius, hole.place[1], 2.2, QUIET)

    def _size(self, size: Size, x: float, width: float) -> PageBlock:
        """One size: its letter, count, name and holes, a bar of its true length, and what is to be said of it."""
        count = f"{size.count} \u00d7 " if size.count else ""
        holes = size.at
        name = wrap(printable(count + size.called), width - 7, BODY, False, 2)
        remark = wrap(printable("; ".join(size.remarks)), width - 7, 3.0, False, 2)
        place = wrap(printable(holes), width - 7, 3.0, False, 2)
        length = size.length if size.length is not None and size.length <= min(_TRUE_LENGTH, width - 8) else None
        height = BODY * LEADING * len(name) + 4.0 * (len(remark) + len(place)) + (3.0 if length else 0) + 1.2

        def draw(y: float) -> None:
            if size.letter:
                self.pdf.set_fill_color(*INK)
                self.pdf.circle(x + 2.3, y + 2.6, 2.2, "F")
                left = x + 2.3 - measure(size.letter, 2.8, True) / 2
                self.words(left, y + 2.6 + 2.8 * CAP_HEIGHT / 2, size.letter, 2.8, WHITE, bold=True)
            at = y
            for row in name:
                self.words(x + 7, at + 3.7, row, BODY)
                at += BODY * LEADING
            if length:
                self.box(x + 7, at + 0.2, 0.9, 2.0, INK)
                self.box(x + 7.9, at + 0.7, max(0.1, length - 0.9), 1.0, QUIET)
                at += 3.0
            for row, colour in (*((row, QUIET) for row in place), *((row, RUST) for row in remark)):
                self.words(x + 7, at + 2.9, row, 3.0, colour)
                at += 4.0

        return PageBlock(height, draw)

    def photos(self, leaf: Leaf, x: float, width: float) -> None:
        """Set a step's photos in rows."""
        shown = [(photo.path, photo.text) for photo in leaf.photos if photo.path]
        across = max(1, int((width + 4) // (PHOTO + 4)))
        for first in range(0, len(shown), across):
            row = shown[first : first + across]
            self.put(self._photo_row([(path, text) for path, text in row if path], x))
        for photo in leaf.photos:
            if photo.path is None:
                self.put(*self.lines(photo.text, x, width, 3.0, QUIET))
        if leaf.more_photos:
            self.put(*self.lines(f"and {leaf.more_photos} more photos in the workshop", x, width, 3.0, QUIET))

    def _photo_row(self, row: Sequence[tuple[Path, str]], x: float) -> PageBlock:
        from PIL import Image  # the picture library, only where there is a picture

        heights = []
        for path, _ in row:
            with Image.open(path) as picture:
                heights.append(min(PHOTO * 1.34, PHOTO * picture.height / picture.width))

        def draw(y: float) -> None:
            for index, ((path, text), height) in enumerate(zip(row, heights, strict=True)):
                left = x + index * (PHOTO + 4)
                self.pdf.image(str(path), left, y + 1.5, PHOTO, height, keep_aspect_ratio=True)
                self.words(left, y + height + 5, clip(printable(text), PHOTO, 2.8, False), 2.8, QUIET)

        return PageBlock(max(heights) + 8, draw)

    # -- the way back, and the lists -----------------------------------------------------------------

    def back(self) -> None:
        """Set the plan."""
        self.heading("The way back")
        if not self.book.returns:
            self.put(*self.lines("Nothing is off.", SIDE, self.width))
            return
        plan = self.lines(self.book.plan_text, SIDE, self.width, BODY, QUIET)
        self.put(*(replace(row, holds=True) for row in plan))
        for one in each(self.book.returns, "steps of the way back set"):
            if one.begins:
                self.small_heading(one.begins)
            self.one_back(one)
        if self.book.at_last:
            text = f"At last, turn the machine: {lay_it(self.book.at_last)}."
            self.put(*self.lines(text, SIDE, self.width, before=1))

    def one_back(self, one: Return) -> None:
        """Set one step of the plan: head, cautions and face hold together, so that whoever opens it there sees all.

        A short step stands on one page whole.
        """
        x, width = SIDE + NUMBER, self.width - NUMBER
        rest = one.account.blocks[1:]
        face = next((at for at, block in enumerate(rest) if block.kind == "picture"), len(rest))
        after = max((at + 1 for at, block in enumerate(rest) if block.kind == "row"), default=0)
        head = [self._number(one.number), *self.lines(one.text, x, width, 4.0, bold=True)]
        head += [row for block in rest[:face] for row in self._line_back(block, x, width)]
        if one.faces and face < after:
            column, body = x + FACE + 8, list[PageBlock]()
            starts = [at for at, block in enumerate(rest) if block.kind == "picture"]
            for at, end in pairwise([*starts, after]):
                rows = [row for b in rest[at:end] for row in self._line_back(b, column, x + width - column)]
                printed = one.face_of(rest[at])
                body += self._face_back(printed, rows, x, titled=bool(rest[at].face)) if printed is not None else rows
        else:
            body = [row for block in rest[face:after] for row in self._line_back(block, x, width)]
        body += [row for block in rest[max(face, after) :] for row in self._line_back(block, x, width)]
        blocks = [*(replace(row, holds=True) for row in head), *body]
        if sum(block.height for block in blocks) < (self.high - TOP - FOOT) / 2 or not body:
            blocks = [*(replace(row, holds=True) for row in blocks[:-1]), replace(blocks[-1], holds=False)]
        self.put(*blocks)
        self.put(self.gap(1.5))

    def _line_back(self, block: Said, x: float, width: float) -> list[PageBlock]:
        """One thing that is said of a step on the way back."""
        if block.kind == "picture" or (block.kind != "row" and block.sort in UNSAID):
            return []
        if block.kind == "row":
            return self.pair(block.letter, block_text(block), x, width, 6.0)
        if block.sort in CAUTIONS:
            return self.lines(f"Caution: {block_text(block)}", x, width, BODY, RUST, before=0.5, mark=RUST, wash=WASH)
        asked = block.kind == "question" or block.sort in HELD
        return self.lines(block_text(block), x, width, BODY, before=0.5, mark=BLUE if asked else None)

    def _face_back(self, face: PrintedFace, rows: list[PageBlock], x: float, *, titled: bool) -> list[PageBlock]:
        """A face, as the hands will see it, with what goes into its holes beside it, as far as there is room."""
        beside, used = [], 0.0
        while rows and used + rows[0].height <= FACE + 1:
            beside.append(rows.pop(0))
            used += beside[-1].height

        def draw(y: float) -> None:
            self._titled_plate(face, x, y + 1.5) if titled else self._plate(face.holes, x, y + 1.5)
            at = y + 1.5
            for row in beside:
                row.draw(at)
                at += row.height

        return [PageBlock(FACE + 3.5 + (5.0 if titled else 0.0), draw, holds=bool(rows)), *rows]

    def bags(self) -> None:
        """Set what lies in each bag."""
        self.heading("Bags")
        if not self.book.bags:
            self.put(*self.lines("No bag yet.", SIDE, self.width))
        for card in self.book.bags:
            box = f", box {card.row.box}" if card.row.box else ""
            text = f"Bag {card.row.number}{box}, {card.row.state}   {card.row.code}"
            self.put(*self.lines(text, SIDE, self.width, BODY, bold=True, before=1.5, holds=True))
            rows = []
            for row in card.contents:
                what = row.called
                hole = f", hole {row.spot}" if row.hole else ""
                rows.append(f"{row.count} \u00d7 {what}   (step {row.step}, {row.part}{hole})")
            for text in rows or ["empty"]:
                self.put(*self.lines(text, SIDE + 5, self.width - 5, 3.2))
            self.flush()

    def sizes(self) -> None:
        """Set all fasteners by size, and what is easily mixed up."""
        self.heading("Fasteners")
        shares = (0.07, 0.42, 0.15, 0.12, 0.12, 0.12)
        if self.book.sizes:
            self.put(self._cells(("", "size", "head", "drive", "steps", "bags"), shares, QUIET, holds=True))
        for row in self.book.sizes:
            cells = (f"{row.count} \u00d7", row.called, row.head, row.drive, numbers(row.steps), numbers(row.bags))
            self.put(self._cells(cells, shares))
        if self.book.mixed:
            self.small_heading("Easily mixed up")
            for one in self.book.mixed:
                first = self.lines(one.size, SIDE, self.width, BODY, bold=True, before=1, holds=True)
                self.put(*(replace(row, holds=True) for row in first))
                self.put(*self.bullets([f"is not {other}" for other in one.others], SIDE, self.width))

    def _cells(
        self, cells: Sequence[str], shares: Sequence[float], colour: Colour = INK, *, holds: bool = False
    ) -> PageBlock:
        """One row of a table; a cell goes on below as far as it must."""
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

    def todo(self) -> None:
        """Set what is left to do."""
        self.heading("Left to do")
        lines = left_to_do(self.book.todo)
        self.put(*(self.bullets(lines, SIDE, self.width) or self.lines("Nothing.", SIDE, self.width)))
