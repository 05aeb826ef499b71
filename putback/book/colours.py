"""The colours of the book, one family on paper, in a browser by day and by night. Rust is for cautions alone."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import asdict


class Colours(Struct, frozen=True):
    """The colours of one look, as `#rrggbb`."""

    paper: str
    """Behind everything."""
    ink: str
    """Words, and what is in a hole."""
    quiet: str
    """Words that matter less, places that hold nothing, bars."""
    line: str
    """Between steps: it parts, and carries no meaning."""
    brass: str
    """Numbers of steps, and the rule below a heading."""
    rust: str
    """Cautions, and nothing else."""
    wash: str
    """Behind a caution."""
    blue: str
    """What leads elsewhere, and what is asked on the way back."""
    steel: str
    """The plate that the holes are in."""


DAY = Colours(
    paper="#fbf8f1",
    ink="#23211d",
    quiet="#655f54",
    line="#d8d0c0",
    brass="#8a5a00",
    rust="#96300f",
    wash="#f9e9e0",
    blue="#1f5580",
    steel="#e7eaec",
)
NIGHT = Colours(
    paper="#191b1c",
    ink="#e7e3d9",
    quiet="#a3a29a",
    line="#3a3d3f",
    brass="#e9b04b",
    rust="#f39270",
    wash="#3a241c",
    blue="#86b8de",
    steel="#2a3035",
)

Colour = tuple[int, int, int]
"""Red, green and blue, each from 0 to 255."""


def printed(colour: str) -> Colour:
    """Return a colour of the book as a printer's library takes it."""
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return red, green, blue


def variables(colours: Colours) -> str:
    """Return the colours as variables of a style sheet."""
    return " ".join(f"--{name}: {colour};" for name, colour in asdict(colours).items())
