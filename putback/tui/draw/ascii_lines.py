"""Frames and ellipses for a screen that has only ASCII. Words in a script of their own are left alone."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_PLAIN = str.maketrans(
    {"…": "~", **dict.fromkeys("─━╌═▔▁", "-"), **dict.fromkeys("│┃▏▕╎▎▊▌▐↵", "|"), **dict.fromkeys("╭╮╰╯┌┐└┘┏┓┗┛", "+")}
)


class AsciiLines(LineFilter):
    """Turns every line drawn by the toolkit into ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with frames and ellipses in ASCII."""
        return [Segment(text.translate(_PLAIN), style, control) for text, style, control in segments]
