"""The one door for the user's words to the screen.

Textual reads a plain string in a Label, Tree, DataTable or border title as markup. What a person
typed is never markup: it comes through here, as characters and nothing else, fit for one line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from rich.cells import cell_len, split_graphemes
from rich.text import Text
from textual.content import Content

ELLIPSIS = "…"
ASCII_ELLIPSIS = "~"

LEAST_CUT_WITHIN = 9
"""Cells from which a name is cut in its middle: with fewer neither of its ends says anything."""

_MARKS_A_LETTER = 4
"""Combining marks kept on one letter; a taller stack would paint over the lines above."""

_FSI, _PDI = "\u2068", "\u2069"
_ZWNJ = "\u200c"
_PLAIN = re.compile(r"[ -~]*\Z")
_FEW = 1024
"""Characters looked at. No line is wider; the rest could only cost time."""


def plain(words: str, width: int | None = None, style: str = "", *, ascii_only: bool = False) -> Content:
    """One line of Content holding these words and nothing that acts.

    `width` is a number of cells; what does not fit is cut at a whole letter and ends in an
    ellipsis. `style` is one style for all of it. With `ascii_only` the ellipsis is `~`; the
    words themselves are left in their own script.
    """
    line = fitted(words, width, ASCII_ELLIPSIS if ascii_only else ELLIPSIS)
    return Content.styled(line, style) if style else Content(line)


def cell(words: str, width: int | None = None, style: str = "", *, ascii_only: bool = False) -> Text:
    """The same for Tree labels and DataTable cells, which take Rich text and not Content.

    Rich knows no theme variables: give a style in Rich's own words, such as "bold".
    """
    line = fitted(words, width, ASCII_ELLIPSIS if ascii_only else ELLIPSIS)
    return Text(line, style=style, no_wrap=True, overflow="ellipsis", end="")


@lru_cache(maxsize=4096)
def fitted(words: str, width: int | None = None, ellipsis: str = ELLIPSIS) -> str:
    """The words as one harmless line of at most `width` cells (no limit when None)."""
    line = _harmless(words[:_FEW])
    if width is not None and cell_len(line) > width:
        line = _cut(line, width, ellipsis)
    if _turns(line):
        line = f"{_FSI}{line}{_PDI}"
    return line


def wrapped(words: str, width: int, style: str = "") -> list[Content]:
    """The words on as many lines of at most `width` cells as they need; a word too long goes on in the next line.

    A number and the fraction behind it, as in `1 1/4`, are one word: apart they would be another size.
    """
    return [plain(each, width, style) for each in in_rows(words, width)]


def in_rows(words: str, width: int) -> list[str]:
    """The words in the rows that `wrapped` sets them in."""
    lines: list[str] = []
    line = ""
    for word in _whole(_harmless(words).split()):
        longer = f"{line} {word}" if line else word
        if cell_len(longer) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _broken(word, width)
        lines += whole
    lines.append(line)
    return lines


def first_of(words: str, width: int) -> str:
    """Return as many of the clauses of a message as `width` cells hold: what comes first is what was done."""
    while cell_len(words) > width and "; " in words:
        words = words.rpartition("; ")[0]
    return words


def ends_kept(words: str, width: int, ellipsis: str = ELLIPSIS) -> str:
    """Return a name that is too long cut in its middle: what tells two machines apart often stands at its end."""
    line = fitted(words)
    if cell_len(line) <= width or cell_len(line) != len(line) or width < LEAST_CUT_WITHIN:
        return fitted(words, width, ellipsis)
    tail = line[-(width // 2) :].lstrip()
    return f"{line[: width - len(tail) - 1].rstrip()}{ellipsis}{tail}"


def rows_needed(words: str, width: int) -> int:
    """How many rows `wrapped` sets the words in; told without setting them where they are plain letters and spaces."""
    text = " ".join(words.split())
    if not text.isascii() or not text.isprintable() or _FRACTION_WITHIN.search(text):
        return len(in_rows(words, width))
    rows, at = 1, 0
    while len(text) - at > width:
        cut = text.rfind(" ", at, at + width + 1)
        if cut <= at:
            return len(in_rows(words, width))
        rows, at = rows + 1, cut + 1
    return rows


def _whole(words: Sequence[str]) -> list[str]:
    """Return words with each fraction joined to the number before it."""
    out: list[str] = []
    for word in words:
        if out and out[-1][-1:].isdecimal() and _FRACTION.match(word):
            out[-1] += f" {word}"
        else:
            out.append(word)
    return out


_FRACTION = re.compile(r"\d+/\d")
_FRACTION_WITHIN = re.compile(r"\d \d+/\d")


def _broken(word: str, width: int) -> list[str]:
    """A word in pieces of at most `width` cells, cut at whole letters."""
    if cell_len(word) <= width or width < 2:
        return [word]
    pieces, piece, used = [], "", 0
    for start, stop, cells in split_graphemes(word)[0]:
        if used + cells > width:
            pieces.append(piece)
            piece, used = "", 0
        piece += word[start:stop]
        used += cells
    return [*pieces, piece]


def padded(words: str, width: int, ellipsis: str = ELLIPSIS) -> str:
    """The words in exactly `width` cells, cut or filled with spaces on the right."""
    line = fitted(words, width, ellipsis)
    return line + " " * (width - cell_len(line))


def _harmless(words: str) -> str:
    """One line without control characters, invisible direction marks or bottomless stacks."""
    if _PLAIN.match(words):
        return words
    # Typed on one keyboard and found from another: the composed form is the same letter in fewer
    # characters, and the only one many terminals draw in one cell.
    out: list[str] = []
    marks = 0
    for letter in unicodedata.normalize("NFC", words):
        kind = unicodedata.category(letter)
        if kind in ("Cc", "Zl", "Zp"):
            if letter in "\t\n\v\f\r\x85\u2028\u2029":
                out.append(" ")
            continue
        if kind == "Cs":
            out.append("\ufffd")
            marks = 0
            continue
        if kind == "Cf":
            # The non-joiner shapes Persian and Indic words. The joiner would make the width a guess
            # (terminals disagree, and Rich leaves out the letter behind it); all other format
            # characters are unseen and can turn the line round.
            if letter == _ZWNJ and out and unicodedata.category(out[-1])[0] in "LM":
                out.append(letter)
            continue
        if "\ufe00" <= letter <= "\ufe0f" or "\U000e0100" <= letter <= "\U000e01ef":
            continue
        if kind in ("Mn", "Me"):
            marks += 1
            if marks > _MARKS_A_LETTER:
                continue
            if not out or out[-1] == " ":
                out.append("\u25cc")
        else:
            marks = 0
        out.append(letter)
    return "".join(out)


def _cut(line: str, width: int, ellipsis: str) -> str:
    """The first letters of a line that is too wide, and an ellipsis, in at most `width` cells."""
    if width <= 0:
        return ""
    room = width - cell_len(ellipsis)
    end = used = 0
    for _start, stop, cells in split_graphemes(line)[0]:
        if used + cells > room:
            break
        end, used = stop, used + cells
    return line[:end].rstrip(" ") + ellipsis


def _turns(line: str) -> bool:
    """Whether the line holds right-to-left letters, which would turn what stands beside them."""
    if line.isascii():
        return False
    return any(unicodedata.bidirectional(letter) in ("R", "AL", "AN") for letter in line)
