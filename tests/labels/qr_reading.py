"""The independent reader that the tests hold our pictures up to (ZXing, by its C++ port)."""

from typing import Any

import zxingcpp
from PIL import Image


def read_all(picture: Image.Image, *, patient: bool = False) -> list[Any]:
    """Every QR code the reader finds; `patient` lets it turn, shrink and invert the picture."""
    return list(
        zxingcpp.read_barcodes(
            picture.convert("L"),
            formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]),
            try_rotate=patient,
            try_downscale=patient,
            try_invert=patient,
        )
    )


def read_texts(picture: Image.Image, *, patient: bool = False) -> list[str]:
    """The texts of `read_all`, sorted."""
    return sorted(found.text for found in read_all(picture, patient=patient))


def from_cells(lines: list[str], wide: int, high: int, ink: int, paper: int) -> Image.Image:
    """A terminal screen as a picture: each character a cell of `wide` x `high` pixels."""
    assert len({len(line) for line in lines}) == 1
    picture = Image.new("L", (len(lines[0]) * wide, len(lines) * high), paper)
    for y, line in enumerate(lines):
        for x, character in enumerate(line):
            top, bottom = {"█": (0, high), "#": (0, high), "▀": (0, high // 2), "▄": (high // 2, high)}.get(
                character, (0, 0)
            )
            if bottom > top:
                picture.paste(ink, (x * wide, y * high + top, (x + 1) * wide, y * high + bottom))
    return picture
