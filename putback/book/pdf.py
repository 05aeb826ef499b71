"""The book as PDF, to be printed at 100 %: then a bar beside a screw's name is as long as the screw.

Where the HTML has a link, the page stands here: `step 5, page 12`.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from putback.book.bag_lines import bag_lines
from putback.book.contents import TRUE, Book, Chapter, Return
from putback.book.faces import PrintedFace
from putback.book.fastener_list import numbers
from putback.book.leaves import Leaf
from putback.book.plate import BESIDE, lettered, size_block, with_face
from putback.book.sheet import BLUE, BODY, BRASS, INK, QUIET, SIDE, SMALL, Measured, PageBlock, Sheet
from putback.errors import BadInput
from putback.labels.lettering import clip, measure, printable
from putback.labels.paper import PAPERS
from putback.progress import each
from putback.reports.account import Block as Said
from putback.reports.account.lines import CAUTIONS, HELD, UNSAID, block_text
from putback.reports.bags import BagCard
from putback.reports.todo import left_to_do
from putback.trade.refit.orientation import lay_it

NUMBER = 13.0
"""Width of the column in which a step's number stands."""
PHOTO = {"small": 50.0, "large": 105.0, "none": 50.0}
"""Width of a photo, by how photos were asked for."""
_MOST_BESIDE = 130.0
"""How far down it may go beside a face; what is more stands below."""


def pdf_of(book: Book, paper: str = "A4") -> bytes:
    """Return the whole book as PDF on `paper`, A4 or Letter. Raises BadInput for any other."""
    name = next((known for known in PAPERS if known.casefold() == paper.strip().casefold()), "")
    if not name:
        raise BadInput(f"{paper} is not a paper known here; there is {' and '.join(PAPERS)}")
    measured = Measured()
    pages = _Setter(book, PAPERS[name], measured).set()
    for _ in range(3):  # a page number of one figure more may move a line; it has never moved two
        again = _Setter(book, PAPERS[name], measured, pages, look=True).set()
        if again == pages:
            break
        pages = again
    made = _Setter(book, PAPERS[name], measured, pages)
    made.set()
    return bytes(made.sheet.paper.output())


class _Setter:
    """Sets the book on a sheet: without `pages`, or only to `look`, nothing is drawn."""

    def __init__(
        self,
        book: Book,
        size: tuple[float, float],
        measured: Measured,
        pages: dict[str, int] | None = None,
        *,
        look: bool = False,
    ) -> None:
        self.book = book
        self.sheet = Sheet(size, book.caption, None if look else pages, measured)
        if look and pages is not None:
            self.sheet.known = pages
        self.put = self.sheet.put
        self.done = "laid out" if self.sheet.pdf is None else "set"

    def set(self) -> dict[str, int]:
        """Set the book; return the page of every mark."""
        self.sheet.page()
        self.title()
        self.stand()
        for chapter in self.book.chapters:
            self.chapter(chapter)
        self.back()
        self.bags()
        self.sizes()
        self.todo()
        self.sheet.flush()
        return self.sheet.found

    # -- the front -----------------------------------------------------------------------------------

    def title(self) -> None:
        """Set name, plate and numbers."""
        sheet, book = self.sheet, self.book
        self.put(*sheet.lines(book.caption, SIDE, sheet.width, 9, before=2))
        words = f"The machine’s book, as of {book.as_of}"  # noqa: RUF001 - an apostrophe as printed
        self.put(*sheet.lines(words, SIDE, sheet.width, BODY, QUIET, before=1))
        self.put(PageBlock(13, self._steel_rule))
        self.put(*sheet.lines(TRUE, SIDE, sheet.width, 2.9, QUIET), sheet.gap(2))
        for word, value in book.plate:
            self.put(*sheet.pair(word, value, SIDE, sheet.width))
        each = sheet.width / max(1, len(book.figures))

        def figures(y: float) -> None:
            for index, (count, word) in enumerate(book.figures):
                sheet.words(SIDE + index * each, y + 10, str(count), 8, BRASS)
                sheet.words(SIDE + index * each, y + 15, printable(word), 3.2, QUIET)

        self.put(PageBlock(18, figures))
        self.put(*sheet.lines(book.photos_text, SIDE, sheet.width, SMALL, QUIET))
        sheet.small_heading("Contents")
        sessions = [(chapter.name, chapter.listed) for chapter in book.chapters]
        others = [(name, name) for name in ("The way back", "Bags", "Fasteners", "Left to do")]
        for name, listed in (("How it stands", "How it stands"), *sessions, *others):
            self.put(*sheet.referring(listed, f"chapter {name}", SIDE, sheet.width))

    def _steel_rule(self, y: float) -> None:
        """A rule in millimetres: lay one beside it, and it shows whether the print is true to size."""
        top, sheet = y + 4, self.sheet
        sheet.line(SIDE, top, SIDE + sheet.width, top, INK, 0.3)
        for millimetre in range(int(sheet.width) + 1):
            length = 4.5 if millimetre % 10 == 0 else 3.2 if millimetre % 5 == 0 else 2.0
            colour = INK if millimetre % 10 == 0 else QUIET
            sheet.line(SIDE + millimetre, top, SIDE + millimetre, top + length, colour, 0.15)
            if millimetre % 20 == 0 and millimetre and millimetre < sheet.width - 4:
                text = str(millimetre)
                sheet.words(SIDE + millimetre - measure(text, 2.2) / 2, top + 7, text, 2.2, QUIET)

    def stand(self) -> None:
        """Set how the machine stands."""
        book, sheet = self.book, self.sheet
        sheet.heading("How it stands")
        self.put(*sheet.pair("next time", book.next, SIDE, sheet.width))
        for count, sort in book.balance:
            self.put(*sheet.pair(sort, str(count), SIDE, sheet.width))
        self.put(*sheet.pair("in all", f"{book.things} things", SIDE, sheet.width))
        if book.questions:
            sheet.small_heading("Open")
            self.put(*sheet.bullets(book.questions, SIDE, sheet.width))
        if book.tree:
            sheet.small_heading("Its parts")
            self.put(*sheet.columns([(4 * d, f"{name}  ({s})" if s else name) for d, name, s in book.tree], 3))

    # -- taking off ----------------------------------------------------------------------------------

    def chapter(self, chapter: Chapter) -> None:
        """Set one session."""
        sheet = self.sheet
        sheet.heading(chapter.name)
        head = sheet.lines(chapter.when, SIDE, sheet.width, SMALL, QUIET)
        head += sheet.lines(chapter.note, SIDE, sheet.width) if chapter.note else []
        self.put(*(replace(block, holds=True) for block in head))
        for leaf in each(chapter.leaves, f"steps {self.done}"):
            sheet.put_named(f"off {leaf.number}", partial(self.leaf, leaf))
        sheet.flush()

    def leaf(self, leaf: Leaf) -> list[PageBlock]:
        """Return one step; it stands on one page whole, where a page can hold it."""
        sheet, x, width = self.sheet, SIDE + NUMBER, self.sheet.width - NUMBER
        state = f"  ({leaf.state})" if leaf.state else ""
        blocks = [
            replace(self._number(leaf.number), mark=f"step {leaf.number}"),
            *sheet.lines(leaf.text + state, x, width, 4.0, bold=True),
            *sheet.lines(leaf.where, x, width, SMALL, QUIET),
        ]
        for caution in leaf.cautions:
            blocks += sheet.caution(caution, x, width)
        if leaf.needs:
            steps = (f"step {n}, {text} (page {sheet.on_page(f'step {n}')})" for n, text in leaf.needs)
            blocks += sheet.lines(f"came after {'; '.join(steps)}", x, width, SMALL, QUIET, before=0.5)
        facts = (
            ("loose pieces", ", ".join(leaf.pieces)),
            ("bags" if len(leaf.bags) > 1 else "bag", ", ".join(map(str, leaf.bags))),
            ("part went to", leaf.put),
            ("tools", ", ".join(leaf.tools)),
        )
        column = x + BESIDE if leaf.faces else x
        room = x + width - column
        rows = [size_block(sheet, size, column, room) for size in leaf.sizes]
        rows += [row for word, value in facts if value for row in sheet.pair(word, value, column, room)]
        if leaf.faces:
            blocks += self._beside(leaf.faces, rows, x, width)
        else:
            blocks += rows
        for setting in leaf.settings:
            blocks += sheet.lines(f"Setting: {setting}", x, width, BODY, before=0.6, mark=BLUE)
        for task in leaf.at_refit:
            blocks += sheet.lines(f"On the way back, first: {task}", x, width, BODY, before=0.6, mark=BLUE)
        blocks += sheet.bullets((*leaf.notes, *leaf.todo), x, width)
        blocks += self.photos(leaf, x, width)
        return [*blocks, sheet.gap(1.5)]

    def _beside(self, faces: Sequence[PrintedFace], rows: list[PageBlock], x: float, width: float) -> list[PageBlock]:
        """Faces with rows beside them, as far down as they may go there; the rest of both below."""
        beside, used = list[PageBlock](), 0.0
        while rows and used + rows[0].height <= _MOST_BESIDE:
            beside.append(rows.pop(0))
            used += beside[-1].height
        first, *others = faces
        blocks = [with_face(self.sheet, [first], beside, x)]
        across = max(1, int((width + 7) // BESIDE))
        blocks += [with_face(self.sheet, others[at : at + across], [], x) for at in range(0, len(others), across)]
        return blocks + rows

    def _number(self, number: int) -> PageBlock:
        """A line above a step, and its number in the margin."""

        def draw(y: float) -> None:
            self.sheet.line(SIDE, y + 1.2, SIDE + self.sheet.width, y + 1.2)
            self.sheet.words(SIDE, y + 7.6, str(number), 5.6, BRASS)

        return PageBlock(2.6, draw, holds=True)

    def photos(self, leaf: Leaf, x: float, width: float) -> list[PageBlock]:
        """Return a step's photos in rows."""
        wide = PHOTO[self.book.photo_size]
        shown = [(photo.path, photo.text) for photo in leaf.photos if photo.path]
        across = max(1, int((width + 4) // (wide + 4)))
        blocks = [self._photo_row(shown[at : at + across], x, wide) for at in range(0, len(shown), across)]
        told = [photo.text for photo in leaf.photos if photo.path is None]
        told += [f"and {leaf.more_photos} more photos in the workshop"] if leaf.more_photos else []
        return blocks + [row for text in told for row in self.sheet.lines(text, x, width, 3.0, QUIET)]

    def _photo_row(self, row: Sequence[tuple[Path, str]], x: float, wide: float) -> PageBlock:
        from PIL import Image  # the picture library, only where there is a picture

        heights = []
        for path, _ in row:
            with Image.open(path) as picture:
                heights.append(min(wide * 1.34, wide * picture.height / picture.width))

        def draw(y: float) -> None:
            for index, ((path, text), height) in enumerate(zip(row, heights, strict=True)):
                left = x + index * (wide + 4)
                self.sheet.paper.image(str(path), left, y + 1.5, wide, height, keep_aspect_ratio=True)
                self.sheet.words(left, y + height + 5, clip(printable(text), wide, 2.8, False), 2.8, QUIET)

        return PageBlock(max(heights) + 8, draw)

    # -- the way back, and the lists -----------------------------------------------------------------

    def back(self) -> None:
        """Set the plan."""
        sheet = self.sheet
        sheet.heading("The way back")
        if not self.book.returns:
            self.put(*sheet.lines("Nothing is off.", SIDE, sheet.width))
            return
        plan = sheet.lines(self.book.plan_text, SIDE, sheet.width, BODY, QUIET)
        self.put(*(replace(row, holds=True) for row in plan))
        for one in each(self.book.returns, f"steps of the way back {self.done}"):
            if one.begins:
                sheet.small_heading(one.begins)
            sheet.put_named(f"back {one.number}", partial(self.one_back, one))
        if self.book.at_last:
            text = f"At last, turn the machine: {lay_it(self.book.at_last)}."
            self.put(*sheet.lines(text, SIDE, sheet.width, before=1))

    def one_back(self, one: Return) -> list[PageBlock]:
        """Return one step of the plan, for one page whole: whoever opens the book there sees all of it."""
        sheet, x, width = self.sheet, SIDE + NUMBER, self.sheet.width - NUMBER

        def off(y: float) -> None:
            page = f"page {sheet.on_page(f'step {one.number}')}"
            left = SIDE + sheet.width - measure(page, SMALL)
            sheet.words(left, y + 4.2, page, SMALL, QUIET)
            sheet.link(f"step {one.number}", left, y, measure(page, SMALL), 5)

        blocks = [self._number(one.number), replace(PageBlock(0, off), holds=True)]
        blocks += sheet.lines(one.text, x, width - 18, 4.0, bold=True)
        for said, face in one.shares():
            left = x + BESIDE if face is not None else x
            rows = [row for block in said for row in self._line_back(block, left, x + width - left)]
            blocks += rows if face is None else self._beside([face], rows, x, width)
        return [*blocks, sheet.gap(1.5)]

    def _line_back(self, block: Said, x: float, width: float) -> list[PageBlock]:
        """One thing that is said of a step on the way back."""
        sheet = self.sheet
        if block.kind == "picture" or (block.kind != "row" and block.sort in UNSAID):
            return []
        if block.kind == "row":
            return lettered(sheet, block.letter, sheet.lines(block_text(block), x + 6, width - 6), x)
        if block.sort in CAUTIONS:
            return sheet.caution(block_text(block), x, width)
        asked = block.kind == "question" or block.sort in HELD
        return sheet.lines(block_text(block), x, width, BODY, before=0.4, mark=BLUE if asked else None)

    def bags(self) -> None:
        """Set what lies in each bag."""
        sheet = self.sheet
        sheet.heading("Bags")
        if not self.book.bags:
            self.put(*sheet.lines("No bag yet.", SIDE, sheet.width))
        for card in self.book.bags:
            sheet.put_named(f"bag {card.row.number}", partial(self.bag, card))

    def bag(self, card: BagCard) -> list[PageBlock]:
        """Return one bag with what lies in it."""
        sheet = self.sheet
        box = f", box {card.row.box}" if card.row.box else ""
        text = f"Bag {card.row.number}{box}, {card.row.state}   {card.row.code}"
        blocks = sheet.lines(text, SIDE, sheet.width, BODY, bold=True, before=1.2)
        blocks += sheet.bullets(card.jobs, SIDE + 5, sheet.width - 5, 3.2)
        for line in bag_lines(card):
            page = sheet.on_page(f"step {line.step}")
            note = f"; {line.note}" if line.note else ""
            words = f"{line.count} \u00d7 {line.called}{note}   (step {line.step}, page {page}: {line.about})"
            blocks += sheet.lines(words, SIDE + 5, sheet.width - 5, 3.2)
        if not card.contents:
            blocks += sheet.lines("empty", SIDE + 5, sheet.width - 5, 3.2)
        return blocks

    def sizes(self) -> None:
        """Set all fasteners by size, and what is easily mixed up."""
        sheet = self.sheet
        sheet.heading("Fasteners")
        shares = (0.07, 0.40, 0.14, 0.11, 0.16, 0.12)
        if self.book.sizes:
            self.put(sheet.cells(("", "size", "head", "drive", "steps", "bags"), shares, QUIET, holds=True))
        for row in self.book.sizes:
            cells = (f"{row.count} \u00d7", row.called, row.head, row.drive, numbers(row.steps), numbers(row.bags))
            self.put(sheet.cells(cells, shares))
        if self.book.mixed:
            sheet.small_heading("Easily mixed up")
            for one in self.book.mixed:
                first = sheet.lines(one.size, SIDE, sheet.width, BODY, bold=True, before=1)
                sheet.put_whole([*first, *sheet.bullets([f"is not {o}" for o in one.others], SIDE, sheet.width)])

    def todo(self) -> None:
        """Set what is left to do."""
        sheet = self.sheet
        sheet.heading("Left to do")
        lines = left_to_do(self.book.todo)
        self.put(*(sheet.bullets(lines, SIDE, sheet.width) or sheet.lines("Nothing.", SIDE, sheet.width)))
