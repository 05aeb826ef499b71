"""Real pixels on a terminal that shows them, by textual-image, which is optional.

Which terminal that is, is told by its environment. textual-image would ask the terminal itself as soon as it is
imported; the answers would then be read as keys, and a key could be taken for an answer. So it is imported on
first use, with a standard output that is not a terminal, and told the size of a cell.
"""

from __future__ import annotations

import io
import os
import struct
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.util import find_spec
from typing import TYPE_CHECKING

from putback.trade.record.phrases import whole_in

if TYPE_CHECKING:
    from PIL.Image import Image
    from textual.widget import Widget

KITTY = "kitty"
SIXEL = "sixel"
CELL = (10, 20)
"""Pixels of a cell where the terminal does not say: those of the VT340."""

_KITTY_TERMS = ("xterm-kitty", "xterm-ghostty")
_SIXEL_TERMS = ("foot", "mlterm", "contour", "yaft", "xterm-sixel", "sixel")
_SIXEL_PROGRAMS = ("WezTerm", "iTerm.app", "mintty", "rio", "vscode")


def pixel_kind(environ: Mapping[str, str]) -> str:
    """Return KITTY, SIXEL or nothing for the terminal that an environment tells of.

    A variable PUTBACK_PIXELS says it outright: `kitty`, `sixel`, or anything else for none. A terminal inside
    tmux or screen shows none, whatever is around it.
    """
    setting = environ.get("PUTBACK_PIXELS")
    if setting is not None:
        return setting if setting in (KITTY, SIXEL) else ""
    term = environ.get("TERM", "")
    if environ.get("TMUX") or environ.get("STY") or term.startswith(("tmux", "screen")):
        return ""
    if term in _KITTY_TERMS or environ.get("KITTY_WINDOW_ID"):
        return KITTY
    if term.startswith(_SIXEL_TERMS) or environ.get("TERM_PROGRAM") in _SIXEL_PROGRAMS:
        return SIXEL
    if environ.get("WT_SESSION") or (whole_in(environ.get("KONSOLE_VERSION", "")) or 0) >= 220400:
        return SIXEL
    return ""


def is_there() -> bool:
    """Tell whether the library that draws pixels is installed; it is not loaded for that."""
    return find_spec("textual_image") is not None


def cell_size() -> tuple[int, int]:
    """Return width and height of a cell in pixels, as the terminal's driver tells without being asked in words."""
    try:
        import fcntl  # not on every system
        import termios  # not on every system

        there = sys.__stdout__.fileno() if sys.__stdout__ is not None else 1
        rows, columns, wide, high = struct.unpack("HHHH", fcntl.ioctl(there, termios.TIOCGWINSZ, b"\0" * 8))
    except (ImportError, OSError, ValueError):
        return CELL
    if not (rows and columns and wide >= columns and high >= rows):
        return CELL
    return wide // columns, high // rows


def pixel_widget(kind: str, picture: Image) -> Widget:
    """Return a widget that shows a picture by the protocol of that kind. Only where `is_there`."""
    with _asking_nothing():
        from textual_image.widget import SixelImage, TGPImage  # see the head of this file
    shown: Widget = TGPImage(picture) if kind == KITTY else SixelImage(picture)
    return shown


@contextmanager
def _asking_nothing() -> Iterator[None]:
    """Keep textual-image from asking the terminal while it is imported."""
    wide, high = cell_size()
    stdout = sys.__stdout__
    variables = {"TEXTUAL_CELL_WIDTH": str(wide), "TEXTUAL_CELL_HEIGHT": str(high)}
    before = {name: os.environ.get(name) for name in variables}
    os.environ.update(variables)
    sys.__stdout__ = io.StringIO()  # type: ignore[assignment, misc]  # for these few lines, in one thread
    try:
        yield
    finally:
        sys.__stdout__ = stdout  # type: ignore[misc]
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
