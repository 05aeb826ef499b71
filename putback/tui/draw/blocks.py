"""The blocks of a report as rows of a screen: a sign before a sentence, a heading over what belongs to it."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from putback.reports.blocks import Block
from putback.tui.draw.account import Chunk
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import CAUTION
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain, wrapped

SIGNS = {"open": ("asks", "$pb-text"), "caution": ("caution", CAUTION)}
"""The sign and the style of a sort of block; any other is a note."""


def block_chunks(blocks: Iterable[Block], width: int, glyphs: GlyphSet) -> list[Chunk]:
    """Return what of a report is for the eye, a heading together with the block below it."""
    out, heading = list[Chunk](), list[Content]()
    for block in (block for block in blocks if block.line):
        if block.sort == "title":
            out.append(Chunk(tuple(wrapped(block.line, width, "bold $pb-text"))))
        elif block.sort == "heading":
            heading += [Content(""), plain(block.line, width, "bold $pb-text")]
        else:
            sign, style = SIGNS.get(block.sort, ("note", "$pb-muted"))
            out.append(Chunk((*heading, *signed(sign, block.line, width, glyphs, style))))
            heading = []
    return [*out, *([Chunk(tuple(heading))] if heading else [])]
