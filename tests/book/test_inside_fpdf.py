"""A line that the book writes itself is the line that fpdf2 writes, byte for byte."""

from datetime import UTC, datetime

import pytest
from fpdf import FPDF
from fpdf.drawing_primitives import DeviceRGB

from putback.book.inside_fpdf import USED, Pen
from putback.labels.drawing import FAMILY, add_fonts

LINES = ("M6 x 12, hole (3)", "back\\slash ) (", "", "Ø 4½ \u00d7 □ é", "M6 x 12, hole (3)")
COLOURS = (DeviceRGB(0.1, 0.1, 0.1), DeviceRGB(1, 1, 1))


def pages(*, own: bool) -> bytes:
    """Two pages in two cuts and two colours, set by the book's pen or by fpdf2 alone."""
    pdf = FPDF(unit="mm", format="A4")
    pdf.set_creation_date(datetime(1974, 5, 3, tzinfo=UTC))
    pdf.set_compression(False)
    pdf.set_auto_page_break(False)
    add_fonts(pdf)
    pen = Pen(pdf)
    for page in range(2):
        pdf.add_page()
        pdf.set_fill_color(COLOURS[page])  # letters in the colour of a filled ground are written without one
        for at, text in enumerate(LINES):
            for colour in COLOURS:
                pdf.set_font(FAMILY, "B" if at % 2 else "", 10 + at)
                if own:
                    pen.line(10 + at, 20 + 7.3 * at, text, colour)
                else:
                    pdf.set_text_color(colour)
                    pdf.text(10 + at, 20 + 7.3 * at, text)
    return bytes(pdf.output())


def test_lines_are_written_as_the_library_writes_them(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = pages(own=False)
    assert pages(own=True) == plain

    # A version without one of these sets the lines itself.
    monkeypatch.setattr("putback.book.inside_fpdf.USED", (*USED, "_in_no_version"))
    assert pages(own=True) == plain
