"""The bench as seen from a metre away: the size in tall figures, the holes, the verdict, the next key."""

from __future__ import annotations

from msgspec import Struct
from textual.content import Content

from putback.sizing.series import SERIES
from putback.tui.draw.buttons import answers_row
from putback.tui.draw.digits import tall, tall_whole, tall_width
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.heads import HoleView
from putback.tui.draw.holes import PLACES, even, hole_map
from putback.tui.draw.palette import CAUTION, CURSOR, LOOK, mark
from putback.tui.draw.signs import sign, signed
from putback.tui.draw.text import first_of, plain, wrapped
from putback.tui.widgets.shown import Shown

MAP = 25
"""Columns of the hole map on the smallest screen."""
MOST_MAP = (65, 25)
"""Columns and rows of the largest."""
LEAST = 5
"""Rows of a map at least."""
LEAST_LARGE = 13
"""Rows from which a map has large heads."""
_SERIES = tuple(f" {one.behind}" for one in SERIES if one.behind)


class FarData(Struct, frozen=True):
    """Everything the view from afar shows."""

    thread: str
    """The thread, or what is being typed, or the part."""
    length: str = ""
    """The length, or what is being typed."""
    named: str = ""
    """What those figures stand for, said small below them."""
    verdict: str = ""
    """sure, likely, either, none, recorded, or nothing."""
    face: str = ""
    """The face, on the plate's edge."""
    holes: tuple[HoleView, ...] = ()
    """The holes."""
    cursor: str | None = None
    """The place the hand is at."""
    key: str = ""
    """The one next key."""
    label: str = ""
    """What it does."""
    sort: str = ""
    """refused, asks or caution, where something has to be said besides."""
    words: str = ""
    """What that is."""
    keys: tuple[str, ...] = tuple(PLACES)
    """What the person presses for the places."""
    answers: tuple[tuple[str, str], ...] = ()
    """The keys that answer what is asked, and what each says; they stand in the place of the next key."""
    text: str = ""
    """What the last key did, or what is offered: said where one line has room for all of it."""
    elsewhere: str = ""
    """How many holes lie on other faces."""
    here: str = ""
    """`thread` or `length`: which of the two the hand is at; empty where nothing is typed."""


def halves(size: str) -> tuple[str, str]:
    """Return a size as its two lines: what it is by itself, and its length; series left out."""
    thread, _, length = size.partition(" x ")
    for series in _SERIES:
        thread = thread.replace(series, "")
    for kind in ("shoulder screw", "set screw", "screw", "bolt", "nut", "stud"):
        thread = thread.removeprefix(f"{kind} ")
    return thread.strip(), length.split(", ")[0].strip()


class FarPane(Shown[FarData]):
    """Draws the view from afar."""

    def lines(self, data: FarData, width: int, height: int) -> list[Content]:
        foot = self._foot(data, width)
        most = (height - len(foot)) // 3
        top = tall_whole(
            data.thread or " ", width - 2, CURSOR if data.here == "thread" else LOOK, glyphs=self.glyphs, most=most
        )
        room = height - max(len(top), 1) - 2 - len(foot)
        if room < LEAST:
            above = [Content.assemble(" ", row) for row in top][: max(1, height - len(foot))]
            return [*above, *[Content("")] * (height - len(above) - len(foot)), *foot]
        wide = even(min(MOST_MAP[0], max(MAP, width // 2))) if room >= LEAST_LARGE else MAP
        rows = min(room, MOST_MAP[1])
        drawn = hole_map(
            data.holes,
            wide,
            even(rows),
            data.cursor,
            title=data.face,
            elsewhere=data.elsewhere,
            glyphs=self.glyphs,
            taps=True,
            keys=data.keys,
        )
        beside = self._beside(data, max(8, width - wide - 3), rows)
        drawn += [Content(" " * wide)] * (rows - len(drawn))
        body = [Content.assemble(" ", row, "  ", beside[i] if i < len(beside) else "") for i, row in enumerate(drawn)]
        gap = [Content("")]
        rest = height - len(top) - len(body) - 1 - len(foot)
        if data.text and not data.sort:
            told = plain(first_of(data.text, width - 2), width - 2, "$pb-muted")
            below = [*gap * (rest - 1), Content.assemble("  ", told)]
        else:
            below = gap * rest
        return [*(Content.assemble(" ", row) for row in top), *gap, *body, *below, *foot]

    def _beside(self, data: FarData, width: int, rows: int) -> list[Content]:
        most = rows - (4 if data.verdict else 0) - bool(data.named)
        style = CURSOR if data.here == "length" else LOOK
        length = tall_whole(data.length, width, style, glyphs=self.glyphs, most=most) if data.length else []
        length += [*wrapped(f"= {data.named}", width, "bold $pb-text")] if data.named else []
        word = verdict(data.verdict, width, rows - len(length), self.glyphs)
        gap = max(0, rows - len(length) - len(word)) if length and word else 0
        return [*length, *[Content("")] * gap, *word]

    def _foot(self, data: FarData, width: int) -> list[Content]:
        """What has to be said, whole, and the one next key."""
        rows: list[Content] = []
        if data.sort:
            style = CAUTION if data.sort == "caution" else LOOK
            rows = signed(data.sort, data.words, width - 2, self.glyphs, style, inset=1)
        return [*rows, answers_row(data.answers or ((data.key, data.label),))]


def verdict(word: str, width: int, rows: int, glyphs: GlyphSet) -> list[Content]:
    """Return the verdict's shape and its word, tall where there is room."""
    if not word:
        return []
    style = mark(word).style
    shape = Content.assemble(sign(word, glyphs), " ")
    if rows >= 3 and tall_width(word, 3, glyphs=glyphs) + 2 <= width:
        figures = tall(word, 3, style, glyphs=glyphs)
        return [Content.assemble("  " if i != 1 else shape, row) for i, row in enumerate(figures)]
    return [Content.assemble(shape, plain(word, width - 2, style))]
