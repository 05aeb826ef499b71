"""One hole of a face, and the head of what is in it: a letter in the shape of its size, and its thread.

A hole to come is hollow, one that is done a solid head. On the way back a hole to be filled is large and bright,
one that is filled small and quiet. No shape is that of a head as it is cut: a size has a shape, a head has a name.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.palette import CURSOR, QUIET
from putback.tui.draw.threads import Strokes, thread

HoleState = Literal["empty", "filled", "taken", "now", "next", "found_empty", "left_empty"]

TROUBLE = "*"
"""The sign of a hole with trouble."""

EMPTY = ("found_empty", "left_empty")
"""States of a hole that nothing goes into."""

_NO_THREAD = (*EMPTY, "filled")
"""States in which no thread is seen."""


class HoleView(Struct, frozen=True):
    """One hole as it is to be drawn."""

    place: str
    """A keypad digit, and a running letter when one place holds several: `5`, `5a`, `5b`."""
    state: HoleState = "empty"
    """empty: still to come. next: the one after this. now: being done. taken: out and recorded.
    filled: the screw is in. found_empty: had no screw when it was opened.
    left_empty: nothing goes into it."""
    mark: str = ""
    """The letter of its size; empty when not yet known."""
    long: int = 0
    """Its length in eighths of an inch; 0 for what has none, as a nut."""
    stacked: int = 0
    """Washers, spacers and the like on the same screw."""
    odd: bool = False
    """Unlike its neighbours, which are all alike."""
    trouble: bool = False
    """Its screw or its thread is not as it was: lost, broken, another one, gone."""

    @property
    def warns(self) -> str:
        """The sign beside it: trouble comes before being odd; nothing where there is neither."""
        return TROUBLE if self.trouble else "!" if self.odd else ""

    @property
    def letter(self) -> str:
        """What stands in its head: a letter or a blank."""
        return (self.mark or " ")[:1]

    @property
    def is_solid(self) -> bool:
        """Whether its head is drawn solid, and as large as others."""
        return self.state == "taken" or (self.state == "now" and bool(self.mark))

    @property
    def has_thread(self) -> bool:
        """Whether its thread is seen: that of a screw that is out, or is still to go in."""
        return bool(self.mark) and self.state not in _NO_THREAD


def style_of(hole: HoleView) -> str:
    """Return the style of a hole; the one the hand is at has the cursor's, whatever its state."""
    match hole.state:
        case "filled":
            return "$pb-verdigris"
        case "now":
            return CURSOR
        case "taken" | "next":
            return "bold $pb-text"
        case "found_empty" | "left_empty":
            return "$pb-text"
        case "empty":
            return "bold $pb-text" if hole.mark else QUIET


def head(hole: HoleView, glyphs: GlyphSet) -> str:
    """Return three cells of head."""
    letter, shape = hole.letter, _shape(hole.letter)
    match hole.state:
        case "filled" | "taken":
            before, behind = glyphs.solid_caps[shape]
        case "now":
            before, behind = glyphs.solid_caps[shape] if hole.mark else ("(", ")")
        case "next":
            before, behind = glyphs.next_caps
        case "found_empty" | "left_empty":
            letter, before, behind = glyphs.cross, "(", ")"
        case "empty":
            before, behind = glyphs.hollow_caps[shape]
    return f"{before}{letter}{behind}"


def large_head(hole: HoleView, glyphs: GlyphSet) -> list[str]:
    """Return three rows of five cells; what is in again has but the middle row."""
    if hole.state == "filled":
        return [" " * 5, f" {head(hole, glyphs)} ", " " * 5]
    shape = _shape(hole.letter)
    rows = glyphs.solid_heads[shape] if hole.is_solid else glyphs.hollow_heads[shape]
    if hole.state == "next":
        rows = glyphs.next_head
    return [row.replace("@", glyphs.big_cross if hole.state in EMPTY else hole.letter) for row in rows]


def small_sign(hole: HoleView, glyphs: GlyphSet) -> tuple[str, bool]:
    """Return a hole in one cell, and whether it is reversed."""
    if hole.state in EMPTY:
        return glyphs.cross, False
    if (hole.is_solid or hole.state == "filled") and hole.mark:
        return hole.letter, hole.is_solid
    return glyphs.ring, False


def shank(hole: HoleView, scale: Strokes, glyphs: GlyphSet) -> str:
    """Return the thread of a hole's screw; of one that is in, or was not there, nothing."""
    if hole.has_thread:
        return thread(hole.long, scale, glyphs, stacked=hole.stacked)
    return glyphs.shank[min(hole.stacked, 2)] if hole.stacked and hole.state != "filled" else ""


def _shape(mark: str) -> int:
    """Which shape a size has, by its letter: after the last of them they begin anew."""
    return (ord(mark) - ord("A")) % len(UNICODE.solid_caps) if "A" <= mark <= "Z" else 0
