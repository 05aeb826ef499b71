"""What a report has to say, as one list of blocks, which text, words alone, screen and book each draw their way.

A report gives its blocks in the order in which they are read. Where a voice needs other words than the eye, both
stand in one block; what is there for one of the two alone is left out for the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

from putback.reports.spoken import sentence

Sort = Literal["title", "heading", "line", "item", "caution", "open", "undone", "columns"]
"""title: what it is, of which machine. heading: what the blocks after it are about. line: a fact. item: one of several
behind a dash. caution: may do harm. open: wants a hand or an answer, and has a box to tick. undone: was taken
back. columns: names the columns of the rows after it."""

MARKS: dict[Sort, str] = {"item": "- ", "caution": "! ", "open": "[ ] ", "undone": "x "}
"""What text has before a sort of block."""

SPOKEN_MARKS: dict[Sort, str] = {"caution": "caution: ", "open": "[ ] "}
"""What words alone have before it."""


class Block(Struct, frozen=True):
    """One line of a report, or one row of a table in it."""

    words: str = ""
    """What it says to the eye; empty where it has cells, or is only spoken."""
    sort: Sort = "line"
    """What it is to whoever draws it."""
    inset: int = 0
    """How many columns text sets it in."""
    said: str | None = None
    """What it says to the ear, where that is not the same; empty where it is only for the eye."""
    apart: bool = False
    """Whether an empty line stands before it in text."""
    cells: tuple[str, ...] = ()
    """Its columns, where it is a row of a table."""
    widths: tuple[int, ...] = ()
    """How wide each column is at least in text; below 0 it is set to the right. The last need none."""
    gap: int = 2
    """Columns between two of its cells in text."""

    @property
    def line(self) -> str:
        """It in one line, its columns lined up; empty where it is only spoken."""
        widths = (*self.widths, *(0 for _ in self.cells[len(self.widths) :]))
        return (" " * self.gap).join(map(_wide, self.cells, widths)) if self.cells else self.words


def _wide(cell: str, width: int) -> str:
    return cell.rjust(-width) if width < 0 else cell.ljust(width)


def as_text(blocks: Iterable[Block]) -> str:
    """Return blocks as lines of text, for paper and terminal."""
    return "\n".join(text_lines(blocks))


def text_lines(blocks: Iterable[Block]) -> Iterator[str]:
    """Give blocks in lines of text."""
    for block in blocks:
        if not block.line:
            continue
        if block.apart:
            yield ""
        yield f"{' ' * block.inset}{MARKS.get(block.sort, '')}{block.line}"


def as_words(blocks: Iterable[Block]) -> str:
    """Return blocks as words alone: a sentence a line, for a voice."""
    return "\n".join(map(sentence, said_lines(blocks)))


def said_lines(blocks: Iterable[Block]) -> Iterator[str]:
    """Give blocks in lines that are still to be spoken, what has nothing to say left out."""
    for block in blocks:
        line = f"{SPOKEN_MARKS.get(block.sort, '')}{block.line}" if block.said is None else block.said
        if line:
            yield " ".join(line.split())
