"""The blocks of a report as rows of a screen: a sign before a sentence, a heading over what belongs to it."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from putback.reports.blocks import Block
from putback.tui.draw.account import Chunk
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import CAUTION
from putback.tui.draw.signs import signed
from putback.tui.draw.text import wrapped

SIGNS = {"open": ("asks", "$pb-text"), "caution": ("caution", CAUTION)}
"""The sign and the style of a sort of block; any other is a note."""


def block_chunks(blocks: Iterable[Block], width: int, glyphs: GlyphSet) -> list[Chunk]:
    """Return a report as chunks, a heading together with the block below it; in words alone it says what is heard."""
    out, heading = list[Chunk](), list[Content]()
    for block in blocks:
        words = block.line if block.said is None or not glyphs.words else block.said
        if not words:
            continue
        if block.sort == "title":
            out.append(Chunk(tuple(wrapped(words, width, "bold $pb-text"))))
        elif block.sort == "heading":
            heading += [Content(""), *wrapped(words, width, "bold $pb-text")]
        else:
            rows = _row(block, width) if block.cells and not glyphs.words else _line(block, words, width, glyphs)
            out.append(Chunk((*heading, *rows)))
            heading = []
    return [*out, *([Chunk(tuple(heading))] if heading else [])]


def _line(block: Block, words: str, width: int, glyphs: GlyphSet) -> list[Content]:
    sign, style = SIGNS.get(block.sort, ("note", "$pb-muted"))
    return signed(sign, words, width, glyphs, style)


def _row(block: Block, width: int) -> list[Content]:
    """A row of a table; its last cell goes on below itself."""
    inset = " " * block.inset
    lead = inset + block.line[: len(block.line) - len(block.cells[-1])]
    first, *more = wrapped(block.cells[-1], max(1, width - len(lead)), "$pb-text")
    return [Content.assemble(lead, first), *(Content.assemble(" " * len(lead), row) for row in more)]
