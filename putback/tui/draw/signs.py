"""The sign of a meaning, and words behind it."""

from __future__ import annotations

from textual.content import Content

from putback.reports.spoken import spoken
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import CAUTION, mark
from putback.tui.draw.text import wrapped


def sign(word: str, glyphs: GlyphSet) -> Content:
    """Return the sign of one meaning, in its style."""
    found = mark(word)
    return Content.styled(found.sign(glyphs), found.style)


def signed(
    word: str, words: str, width: int, glyphs: GlyphSet, style: str = "$pb-text", *, inset: int = 0
) -> list[Content]:
    """Return words behind the sign of `word`, `inset` cells in; further lines hang under the first.

    Where nothing is drawn the sign is a word, and the lines stand under one another.
    """
    if glyphs.words:
        spoken_sign = mark(word).spoken
        is_said = words.casefold().startswith(spoken_sign) or words.casefold().endswith(f", {spoken_sign}")
        lead = "" if not spoken_sign or is_said else f"{spoken_sign}: "
        return wrapped(spoken(f"{lead}{words}"), width, style)
    style = CAUTION if word == "caution" else style  # one sign and one colour, wherever it is said
    first, *more = wrapped(words, width - inset - 2, style)
    lead, hung = " " * inset, " " * (inset + 2)
    return [Content.assemble(lead, sign(word, glyphs), " ", first), *(Content.assemble(hung, row) for row in more)]
