"""The fixed pieces of the bench: header, tree, bags, and the two lines at the foot.

Each draws what it is shown and repaints only when that changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import msgspec
from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content
from textual.timer import Timer

from putback.reports.bags import BagRow
from putback.reports.spoken import spoken
from putback.tui.draw.palette import CAUTION, CONTRAST, CURSOR, KEY, LOOK, QUIET
from putback.tui.draw.rule import time_rule
from putback.tui.draw.signs import sign, signed
from putback.tui.draw.text import ends_kept, fitted, padded, plain, wrapped
from putback.tui.draw.views import MessageData, TreeRow
from putback.tui.draw.words import time_in_words
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.keys import least_needed
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.shown import Shown

ROOMY = 26
"""Columns of the tree from which states are words as well as signs."""

LEAST_WITH_SIGNS = 4
"""Rows of the tree from which its last one tells what the signs mean, once a part is back."""


class HeaderData(Struct, frozen=True):
    """What the header shows."""

    machine: str
    """Name and serial."""
    session: int
    """The session's number; 0 before the first."""
    segment: int
    """The segment's number."""
    minutes: float
    """Minutes of this segment."""
    target: float
    """Minutes it should last."""
    paused: bool
    """Whether the time stands still."""
    note: str = ""
    """A word that goes before everything, as `read only`."""
    due: str = ""
    """A soak that is due; it takes the place of the session's number."""


class Header(Shown[HeaderData]):
    """Machine, session, and the minutes of the segment along a rule."""

    def lines(self, data: HeaderData, width: int, height: int) -> list[Content]:
        if self.glyphs.words:
            return [plain(header_words(data), width, "bold $pb-text")]
        where = f"session {data.session}.{data.segment}" if data.session else "no session"
        if data.note:
            where = f"{data.note}  {where}"
        if data.due:
            where = fitted(data.due, max(16, width - 40), self.glyphs.ellipsis)
        ruled = max(16, min(46, width - 50 - max(0, cell_len(where) - 14)))
        rule = time_rule(ruled, data.minutes, data.target, paused=data.paused, glyphs=self.glyphs).rstrip()
        left = width - rule.cell_length - cell_len(where) - 5
        name = padded(data.machine, max(8, left))
        style = LOOK if data.due else "$pb-muted"
        return [
            Content.assemble(
                " ",
                Content.styled(name, "bold $pb-text"),
                " ",
                plain(where, None, style),
                "  ",
                rule,
                " ",
            )
        ]


def header_words(data: HeaderData) -> str:
    """Return the header as it is said."""
    where = f"session {data.session}, segment {data.segment}" if data.session else "no session"
    time = time_in_words(data.minutes, data.target, paused=data.paused) if data.session else ""
    # A sign of its plate that is doubtful is told on its card: here it would take the row.
    return spoken(", ".join(filter(None, (data.note, data.due, time, where, data.machine.replace("?", "")))))


class TreePane(Shown[tuple[TreeRow, ...]]):
    """The assembly tree, kept at the part that is coming off."""

    titled = False

    def lines(self, data: tuple[TreeRow, ...], width: int, height: int) -> list[Content]:
        if self.glyphs.words:
            data = tuple(row for row in data if row.depth)
        elif width < ROOMY and len(data) > 1:
            # The header names the machine already; its row and its step of the tree are room for the parts' names.
            data = tuple(msgspec.structs.replace(row, depth=row.depth - 1) for row in data if row.depth)
        signs = width < ROOMY and height > LEAST_WITH_SIGNS and not self.glyphs.words
        if signs and any(row.state == "back" for row in data):
            return [*self._rows(data, width, height - 1), self._signs(width)]
        return self._rows(data, width, height)

    def _signs(self, width: int) -> Content:
        """What the signs of parts mean, where they have no room for words beside them."""
        meant = (("done", "off"), ("fitted", "back"))
        told = [piece for name, words in meant for piece in (sign(name, self.glyphs), f" {words}  ")]
        row = Content.assemble(*told)
        return row if row.cell_length <= width else Content("")

    def _rows(self, data: tuple[TreeRow, ...], width: int, height: int) -> list[Content]:
        """Return the rows about the part in hand, as many as there is room for."""
        here = next((i for i, row in enumerate(data) if row.state == "now"), None)
        if here is None:
            here = max((i for i, row in enumerate(data) if row.state == "off"), default=0)
        first = max(0, min(here - height // 2, len(data) - height))
        return [self._tapped(row, width) for row in data[first : first + height]]

    def _tapped(self, row: TreeRow, width: int) -> Content:
        drawn = self._row(row, width)
        return tapped(drawn.pad_right(max(0, width - drawn.cell_length)), "part", row.part) if row.part else drawn

    def _row(self, row: TreeRow, width: int) -> Content:
        if self.glyphs.words:
            state = "" if row.state == "on" else row.state
            spoken = ", ".join(filter(None, (row.name, "assembly" if row.assembly else "", state, row.text)))
            return plain(spoken, width, CURSOR if row.state == "now" else "$pb-text")
        signs = {"now": "now", "off": "done", "back": "fitted"}
        words = {"now": "now", "off": "off", "back": "back"} if width >= ROOMY else {}
        lead = (" " if width < ROOMY else "  ") * row.depth
        beside = words.get(row.state, "") or row.text
        room = max(4, width - len(lead) - 2 - (len(beside) + 1 if beside else 0))
        style = CURSOR if row.state == "now" else "$pb-text" if row.assembly else "$pb-muted"
        shape: Content | str = sign(signs[row.state], self.glyphs) if row.state in signs else " "
        name = row.name if row.part else ends_kept(row.name, room, self.glyphs.ellipsis)
        name = padded(name, room, self.glyphs.ellipsis) if beside else name
        return Content.assemble(
            lead,
            shape,
            " ",
            plain(name, room, style, ascii_only=self.glyphs.ascii),
            Content.styled(f" {beside}" if beside else "", "$pb-verdigris" if row.state == "off" else "$pb-muted"),
        )


class BagsData(Struct, frozen=True):
    """What the bag pane shows."""

    rows: tuple[BagRow, ...]
    """Bags, newest first."""
    hand: int
    """The bag in hand, or 0."""
    loose: int
    """Things loose on the bench."""


KEPT_ROWS = 200
"""Rows of bags that are kept as drawn; a key changes one or two of them."""


class BagPane(Shown[BagsData]):
    """The bag ledger: the bag in hand first, and what lies loose."""

    titled = False

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._kept = lru_cache(maxsize=KEPT_ROWS)(self._row)

    def lines(self, data: BagsData, width: int, height: int) -> list[Content]:
        rows = sorted(data.rows, key=lambda row: (row.number != data.hand, row.state == "closed", -row.number))
        if self.glyphs.words:
            return self._in_words(rows, data, width, height)
        room = height - 3
        most = max((row.count for row in rows), default=1)
        out = []
        if not rows:
            out.append(Content.styled("no bag yet", "$pb-muted"))
        out += [self._kept(row, row.number == data.hand, most, width) for row in rows[:room]]
        if len(rows) > room:
            out.append(Content.styled(f"  and {len(rows) - room} more", "$pb-muted"))
        out += [Content("")] * (height - 1 - len(out))
        style = LOOK if data.loose else "$pb-muted"
        out.append(
            Content.assemble(
                sign("loose", self.glyphs),
                Content.styled(f" loose on bench {data.loose}" if width >= 19 else f" loose {data.loose}", style),
            )
        )
        return out

    def _row(self, row: BagRow, in_hand: bool, most: int, width: int) -> Content:
        """One bag: its number, state and count, and the count as strokes, `most` being that of any."""
        lead = self.glyphs.right if in_hand else " "
        style = LOOK if in_hand else "$pb-text"
        parts: list[Content | str] = [
            Content.styled(f"{lead}{row.number:>3} ", style),
            sign(row.state, self.glyphs),
            Content.styled(f" {row.state:<6}", "$pb-muted"),
            Content.styled(f"{row.count:>3}", style),
        ]
        bar = width - 17
        if bar >= 4:
            parts.append(Content.styled(f" {self._bar(row.count, most, bar)}", QUIET))
        drawn = Content.assemble(*parts)
        return tapped(drawn.pad_right(max(0, width - drawn.cell_length)), "bag", row.number)

    def _bar(self, count: int, most: int, cells: int) -> str:
        """A stroke for each piece, as on a tally; where they are too many for that, a plain line against the `most`."""
        if most <= cells:
            return self.glyphs.fill[0] * count
        return self.glyphs.plate[1] * (max(1, round(cells * count / most)) if count else 0)

    def _in_words(self, rows: Sequence[BagRow], data: BagsData, width: int, height: int) -> list[Content]:
        """The same in words: what is loose first, since it has to be seen to, then the bag in hand."""
        out = [plain(f"loose on the bench: {data.loose or 'nothing'}", width, "bold $pb-text")]
        for row in rows[: height - 1]:
            hand = ", in hand" if row.number == data.hand else ""
            words = plain(f"bag {row.number}{hand}, {row.state}, {row.count} in it", width, "$pb-text")
            out.append(tapped(words, "bag", row.number))
        return out if rows else [*out, plain("no bag yet", width, "$pb-text")]


RIGHT = "it is right: go on"
"""What a key that goes on answers to a doubt about what was just recorded."""

WRONG = "takes it back"
"""What the key that takes back answers to it."""

SAID_ROWS, MOST_SAID = 2, 8
"""Rows of the line that says what the last key did: as a rule, and at most."""

FLASH = 0.25
"""Seconds for which a new line stands out."""

FLASHES = ("recorded", "refused", "asks")
"""What stands out when it is new."""


class MessageLine(Shown[MessageData]):
    """What the last key did, in words; for a moment it stands out, where the eye may bear that."""

    back_key = "-"
    """How the key that takes back is printed."""
    place_keys = "1-9"
    """How the keys of the places are printed."""
    _fresh: Timer | None = None

    def show(self, data: MessageData) -> None:
        if data != self.shown and data.sort in FLASHES and getattr(self.app, "flashes", False):
            if self._fresh is not None:
                self._fresh.stop()
            # At full contrast nothing blinks: it is the look of those whom that would hurt.
            self._fresh = None if self.app.theme == CONTRAST else self.set_timer(FLASH, self._settle)
        if data != self.shown:
            self._make_room(data)
        super().show(data)

    def _make_room(self, data: MessageData) -> None:
        """Take as many rows as the words need: none of them is dropped."""
        if self.glyphs.words or not self.size.width:
            return
        words = len(signed(data.sort, data.words, self.size.width - 1, self.glyphs))
        back = len(self._back_rows(data, self.size.width)) if words < SAID_ROWS else 0
        rows = max(SAID_ROWS, min(MOST_SAID, words + back))
        if rows != self.size.height:
            self.styles.height = rows

    def _settle(self) -> None:
        self._fresh = None
        self.draw_again()

    def lines(self, data: MessageData, width: int, height: int) -> list[Content]:
        style = CAUTION if data.sort == "caution" else LOOK
        if self._fresh is not None:
            style += " reverse"
        rows = signed(data.sort, data.words, width - 1, self.glyphs, style)
        if len(rows) > height > 0:
            last = f"{rows[height - 1].plain} {rows[height].plain.strip()}"
            rows[height - 1 :] = [plain(last, width - 1, style, ascii_only=self.glyphs.ascii)]
        out = [Content.assemble(" ", row) for row in rows]
        if data.back and len(out) < height and (self.glyphs.words or not data.doubts):  # else the foot has the keys
            if self.glyphs.words:
                taken = signed("note", self._back(data), width - 1, self.glyphs, "$pb-muted")
                return [*out, Content.assemble(" ", taken[0])]
            out += self._back_rows(data, width)[: height - len(out)]
        return out

    def _back_rows(self, data: MessageData, width: int) -> list[Content]:
        """What would be taken back, whole, hung in under the words."""
        if not data.back or data.doubts:
            return []
        return [Content.assemble("   ", row) for row in wrapped(self._back(data), width - 4, "$pb-muted")]

    def _back(self, data: MessageData) -> str:
        if data.doubts:
            return f"{self.place_keys} {RIGHT}, {self.back_key} {WRONG}"
        return f"{self.back_key} takes back: {data.back}"


class KeysLine(Shown[tuple[Key, ...]]):
    """The keys that matter now: as many as fit, those least needed left out, the way to all of them in any case."""

    def lines(self, data: tuple[Key, ...], width: int, height: int) -> list[Content]:
        return self._rows(self.fitting(data, width, height), width)

    def fitting(self, keys: Sequence[Key], width: int, rows: int = 1) -> list[Key]:
        """Return the keys that so many rows of `width` cells have room for."""
        kept = list(keys)
        while len(kept) > 1 and len(self._rows(kept, width)) > max(1, rows):
            kept.remove(least_needed(kept))
        return kept

    def _rows(self, keys: Sequence[Key], width: int) -> list[Content]:
        """The keys on as many rows as they need."""
        rows = [Content("")]
        for part in map(self._part, keys):
            if rows[-1].cell_length and rows[-1].cell_length + part.cell_length > width:
                rows.append(Content(""))
            rows[-1] = Content.assemble(rows[-1], part)
        return rows

    def _part(self, key: Key) -> Content:
        pair = Content.assemble(" ", (key.shown, KEY), " ", (key.label, "$pb-text"), " ")
        return tapped(pair, "key", key.shown)
