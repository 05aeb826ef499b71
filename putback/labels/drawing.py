"""A label as a list of marks in millimetres, drawn the same to PDF and to pixels.

(0, 0) is the label's top left corner, y goes down. The marks are black on white; nothing is filled but
modules, bars and letters, so a one-bit label printer shows what the PDF shows.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from putback.labels import lettering
from putback.labels.qr import QUIET, Square

if TYPE_CHECKING:
    from fpdf import FPDF
    from PIL.Image import Image

INCH = 25.4
_POINT = INCH / 72


@dataclass(frozen=True, slots=True)
class Words:
    """One line of printable text (see `lettering.printable`)."""

    x: float
    """In millimetres from the label's left edge."""
    y: float
    """Of the baseline."""
    text: str
    """The line, in letters that the font has."""
    size: float
    """Letter size; capitals are 0.73 of it."""
    bold: bool = False
    """Bold letters."""
    align: str = "left"
    """Which end stands at x: left, right or middle."""
    white: bool = False
    """White letters on a bar."""

    @property
    def width(self) -> float:
        """How wide it prints."""
        return lettering.measure(self.text, self.size, self.bold)

    @property
    def left(self) -> float:
        """Where it begins."""
        return self.x - {"left": 0.0, "middle": 0.5, "right": 1.0}[self.align] * self.width


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A black rectangle; a thin one is a line."""

    x: float
    """Its left edge, in millimetres from the label's."""
    y: float
    """Its upper edge, in millimetres from the label's."""
    width: float
    """In millimetres."""
    height: float
    """In millimetres."""


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle's outline, where a tag is to be punched."""

    x: float
    """Of its middle, in millimetres from the label's left edge."""
    y: float
    """Of its middle."""
    radius: float
    """To the middle of its line, in millimetres."""
    line: float = 0.2
    """How thick the line is, in millimetres."""


@dataclass(frozen=True, slots=True)
class Code:
    """A QR square; x and y are its corner with the quiet zone."""

    x: float
    """In millimetres from the label's left edge."""
    y: float
    """In millimetres from the label's upper edge."""
    module: float
    """Side of one module."""
    square: Square
    """Its modules, dark and light."""

    @property
    def side(self) -> float:
        """With the quiet zone."""
        return self.module * self.square.full_side

    def runs(self) -> Iterator[tuple[int, int, int]]:
        """Dark modules drawn together: column and row in the full square, and how many."""
        for row, modules in enumerate(self.square.modules):
            start: int | None = None
            for column, dark in enumerate((*modules, False)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    yield start + QUIET, row + QUIET, column - start
                    start = None


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo, as large as it fits; for sheets, not for labels."""

    x: float
    """Of its left edge, in millimetres from the drawing's."""
    y: float
    """Of its upper edge, in millimetres from the drawing's."""
    width: float
    """Room for it, in millimetres."""
    height: float
    """Room for it, in millimetres."""
    file: Path
    """The picture, upright."""


Mark = Words | Rectangle | Ring | Code | Picture


@dataclass(frozen=True, slots=True)
class Drawing:
    """What one label shows."""

    width: float
    """Of the label, in millimetres."""
    height: float
    """Of the label, in millimetres."""
    marks: tuple[Mark, ...]
    """What stands on it, in the order in which it is drawn."""


def to_image(drawing: Drawing, dpi: int) -> "Image":
    """The drawing as a one-bit picture at so many dots to the inch. A module is a whole number of dots
    when its side was chosen so."""
    from PIL import Image, ImageDraw  # the picture library, only where there is a picture

    scale = dpi / INCH
    picture = Image.new("1", (round(drawing.width * scale), round(drawing.height * scale)), 1)
    pen = ImageDraw.Draw(picture)
    pen.fontmode = "1"
    for mark in drawing.marks:
        match mark:
            case Words():
                font = lettering.font_at(max(1, round(mark.size * scale)), mark.bold)
                ink = 1 if mark.white else 0
                pen.text((round(mark.left * scale), round(mark.y * scale)), mark.text, ink, font, "ls")
            case Rectangle():
                left, top = round(mark.x * scale), round(mark.y * scale)
                right = max(left, round((mark.x + mark.width) * scale) - 1)
                bottom = max(top, round((mark.y + mark.height) * scale) - 1)
                pen.rectangle((left, top, right, bottom), fill=0)
            case Ring():
                reach = mark.radius * scale
                x, y = mark.x * scale, mark.y * scale
                line = max(1, round(mark.line * scale))
                pen.ellipse((x - reach, y - reach, x + reach, y + reach), outline=0, width=line)
            case Picture():
                shown = Image.open(mark.file)
                shown.thumbnail((round(mark.width * scale), round(mark.height * scale)))
                picture.paste(shown.convert("1"), (round(mark.x * scale), round(mark.y * scale)))
            case Code():
                dots = max(1, round(mark.module * scale))
                x0, y0 = round(mark.x * scale), round(mark.y * scale)
                for column, row, length in mark.runs():
                    left, top = x0 + column * dots, y0 + row * dots
                    pen.rectangle((left, top, left + length * dots - 1, top + dots - 1), fill=0)
    return picture


FAMILY = "label"
"""The name under which `add_fonts` makes the lettering known to a PDF."""


def add_fonts(pdf: "FPDF") -> None:
    """Make the label lettering known to a PDF before anything is drawn on it."""
    pdf.add_font(FAMILY, "", lettering.font_file(bold=False))
    pdf.add_font(FAMILY, "B", lettering.font_file(bold=True))


def to_pdf(drawing: Drawing, pdf: "FPDF", left: float, top: float) -> None:
    """Draw on the current page of a PDF in millimetres, with the label's corner at (left, top)."""
    from fpdf.drawing import PaintedPath  # the PDF library, only where a PDF is made

    for mark in drawing.marks:
        match mark:
            case Words():
                pdf.set_font(FAMILY, "B" if mark.bold else "", mark.size / _POINT)
                pdf.set_text_color(255 if mark.white else 0)
                pdf.text(left + mark.left, top + mark.y, mark.text)
            case Rectangle():
                pdf.set_fill_color(0)
                pdf.rect(left + mark.x, top + mark.y, mark.width, mark.height, "F")
            case Ring():
                pdf.set_draw_color(0)
                pdf.set_line_width(mark.line)
                pdf.circle(left + mark.x, top + mark.y, mark.radius)
            case Picture():
                x, y = left + mark.x, top + mark.y
                pdf.image(str(mark.file), x, y, mark.width, mark.height, keep_aspect_ratio=True)
            case Code():
                path = PaintedPath()
                path.style.fill_color = "#000000"
                path.style.stroke_color = None
                for column, row, length in mark.runs():
                    path.rectangle(
                        left + mark.x + column * mark.module,
                        top + mark.y + row * mark.module,
                        length * mark.module,
                        mark.module,
                    )
                with pdf.drawing_context() as context:
                    context.add_item(path, False)  # not cloned: it is ours alone
