"""Counts as rules: each row is ticks of one graduation, heavy as far as its count goes, over one engraved scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count as counting
from math import ceil

from textual.content import Content

from putback.tui.draw.canvas import Canvas
from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.text import fitted, plain

_SPENT = "bold $pb-text"
_TO_COME = "$pb-line"
_NUMERAL = "$pb-muted"

LEAST_RULE = 8
"""Cells below which a rule says nothing that its number does not."""

MOST_RULE = 48
"""Cells beyond which a rule is no easier to read."""


@dataclass(frozen=True, slots=True)
class CountBar:
    """One count on the scale."""

    name: str
    """What is counted."""
    value: float
    """How many."""
    text: str
    """The number as it is printed."""
    lead: Content
    """Signs before the name: a head with its letter, a bag's state."""


def per_cell(most: float, cells: int) -> int:
    """Return what a cell is worth so that `most` fits: 1, 2, 5 or these times a power of ten."""
    for power in counting():
        for step in (1, 2, 5):
            worth = step * 10**power
            if ceil(most / worth) <= cells:
                return int(worth)
    raise AssertionError("some power of ten is large enough")


def bars(rows: Sequence[CountBar], width: int, *, glyphs: GlyphSet = UNICODE) -> list[Content]:
    """Return a row for each count, and the scale's numerals below: each of `width` cells.

    The name takes what it needs up to half of the width; where there is no room for a rule the numbers stand
    alone.
    """
    if not rows:
        return []
    lead = max(row.lead.cell_length for row in rows)
    number = max(len(row.text) for row in rows)
    names = min(max(len(fitted(row.name)) for row in rows), max(8, width // 2 - lead))
    cells = min(MOST_RULE, width - lead - names - number - 3)
    most = max(row.value for row in rows)
    worth = per_cell(most, cells) if cells >= LEAST_RULE else 1
    length = ceil(most / worth)
    length = -(-length // 5) * 5  # to the next tall tick, so that the scale ends in a number
    if cells >= LEAST_RULE:
        length = min(length, cells)
    out = []
    for row in rows:
        name = plain(row.name, names, "$pb-text", ascii_only=glyphs.ascii)
        gap = " " * (lead - row.lead.cell_length)
        filled = names - name.cell_length
        texts = Content.styled(f" {row.text:>{number}}", "bold $pb-text")
        rule: list[Content] = [_rule(row.value, worth, length, glyphs)] if cells >= LEAST_RULE else []
        out.append(Content.assemble(row.lead, gap, name, " " * filled, texts, " ", *rule))
    if cells >= LEAST_RULE:
        out.append(_numerals(lead + names + number + 2, worth, length, width))
    return out


def _rule(value: float, worth: int, length: int, glyphs: GlyphSet) -> Content:
    sheet = Canvas(length, 1)
    done = round(value / worth)
    if value and not done:
        done = 1
    for cell in range(length):
        height = 2 if (cell + 1) % 5 == 0 else 0
        if cell < done:
            sheet.put(cell, 0, glyphs.spent[height], _SPENT)
        else:
            sheet.put(cell, 0, glyphs.ticks[height], _TO_COME)
    return sheet.rows()[0]


def _numerals(left: int, worth: int, length: int, width: int) -> Content:
    """Every tall tick has its number under it."""
    sheet = Canvas(width, 1)
    for cell in range(4, max(length, 5), 5):
        words = str((cell + 1) * worth)
        sheet.put(left + cell - len(words) // 2, 0, words, _NUMERAL)
    return sheet.rows()[0]
