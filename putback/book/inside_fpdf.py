"""What the book uses of fpdf2 beyond its public names, and no other file names one: how a line of letters is written.

Its own `text` looks up each letter and makes each colour anew, which took a third of the time of a long book. Where a
version has not what is used here, that is what sets the line; `tests/book/test_inside_fpdf.py` tells when one writes
it otherwise.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.drawing_primitives import DeviceRGB

USED = ("_out", "_set_font_for_page", "current_font_is_set_on_page")
"""Writes to the page; tells the page of the font; whether that was done."""


class _Codes(dict[int, str]):
    """How the letters of one font are written: two bytes each, brackets with a stroke before them."""

    def __init__(self, font: Any) -> None:
        super().__init__()
        self._font = font

    def __missing__(self, letter: int) -> str:
        code: str = self._font.encode_text(chr(letter)).removeprefix("(").removesuffix(") Tj")
        self[letter] = code
        return code


class Pen:
    """Writes lines of letters on the pages of one PDF."""

    def __init__(self, pdf: FPDF) -> None:
        self._pdf: Any = pdf
        self._able = all(hasattr(pdf, name) for name in USED)
        self._codes: dict[str, _Codes] = {}
        self._colours: dict[DeviceRGB, str] = {}

    def line(self, x: float, y: float, text: str, colour: DeviceRGB) -> None:
        """Write a line in the font that is set, with its baseline at y in millimetres, as `FPDF.text` does."""
        pdf = self._pdf
        if not self._able:
            pdf.set_text_color(colour)
            pdf.text(x, y, text)
            return
        font = pdf.current_font
        if not pdf.current_font_is_set_on_page:
            pdf._out(pdf._set_font_for_page(font, pdf.font_size_pt))
        codes = self._codes.get(font.fontkey)
        if codes is None:
            codes = self._codes[font.fontkey] = _Codes(font)
        line = f"BT {x * pdf.k:.2f} {(pdf.h - y) * pdf.k:.2f} Td ({text.translate(codes)}) Tj ET"
        if pdf.fill_color != colour:
            said = self._colours.get(colour)
            if said is None:
                said = self._colours[colour] = colour.serialize().lower()
            line = f"q {said} {line} Q"
        pdf._out(line)
