"""The search: a few letters, and everything of every machine that has them, as a numbered list."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from putback.reports.finding import MOST, Findable, Hit, SearchResult, entries, find
from putback.tui.dialogs.keyed import KeyedModal, Taps
from putback.tui.dialogs.prompts import PAGE
from putback.tui.dialogs.sheet import TO_THE_BENCH
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK, QUIET
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.text_input import Line

SORT = 9
"""Cells for the word that says what sort of thing a line is."""


ABOVE = 4
"""Rows over the list: the word, the line to type, and the gaps around it."""

BELOW = 4
"""Rows under the list: a gap, two on the line that is marked, the keys."""


class FindScreen(KeyedModal[str | None]):
    """A line to type, and what it finds."""

    AUTO_FOCUS = ""  # coming back from a card must not put the hand into the line again

    def __init__(self) -> None:
        super().__init__()
        self._typed = ""
        self._known: list[Findable] = []
        self._found = SearchResult((), 0)
        self._at = 0

    def compose(self) -> ComposeResult:
        with Vertical(classes="card noun", id="find"):
            yield Static(plain("find", None, "bold $pb-text"))
            yield Line(placeholder="part, size, bag, step, note, code")
            yield Static(id="found")

    def on_mount(self) -> None:
        self._known = entries(self.host.workshop.record)
        self.query_one(Line).focus()
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def on_screen_resume(self) -> None:
        """A card that was open may have mended what is listed here."""
        if self.is_mounted and self._known:
            self._known = entries(self.host.workshop.record)
            self._look()

    @property
    def typing(self) -> bool:
        """Whether keys go to the line."""
        return isinstance(self.focused, Line)

    @property
    def page(self) -> int:
        """How many lines are listed at once: nine, and fewer where the screen has no room for the rest."""
        return max(3, min(PAGE, inner_height(self.app.size.height) - ABOVE - BELOW))

    def on_line_refused(self, message: Line.Refused) -> None:
        """Say why what was typed cannot be looked for."""
        self.host.refuse(message.words)

    # -- looking -------------------------------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Look again with each letter."""
        event.stop()
        self._typed = event.value
        self._at = 0
        self._look()

    def _look(self) -> None:
        self._found = find(self._known, self._typed, here=self.host.machine_id)
        self._at = max(0, min(self._at, len(self._found.hits) - 1))
        self.redraw()

    def on_line_entered(self, event: Line.Entered) -> None:
        """Leave the line, so that a number chooses; where there is but one, open it."""
        event.stop()
        if not self._found.hits:
            self.host.refuse("Nothing has all of that." if event.text.strip() else "Type what you are looking for.")
            self.redraw()
        elif len(self._found.hits) == 1 or self._at:
            self._open(self._at)
        else:
            self.set_focus(None)
            self.redraw()

    # -- drawing -------------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw what was found."""
        width = inner_width(self.app.size.width)
        foot = feet(self._keys(), width)[:2]
        above = inner_height(self.app.size.height) - ABOVE
        hits = self._found.hits
        first = self._at // self.page * self.page
        lines = [self._row(i, hit, width) for i, hit in enumerate(hits[first : first + self.page], first)]
        if hits:
            hit = hits[self._at]
            lines += [Content(""), plain(f"{hit.entry.name}   {hit.entry.detail}", width, "bold $pb-text")]
            why = hit.why or hit.entry.machine
            lines += wrapped(why, width, "$pb-muted")[: 2 if above > len(lines) + 2 else 1]
        elif self._typed.strip():
            lines.append(plain("nothing has all of that", width, LOOK))
        else:
            lines.append(plain(f"{len(self._known)} things to look through, of every machine", width, "$pb-muted"))
        if hits and len(lines) + len(foot) > above:
            del lines[min(len(hits) - first, self.page)]  # the gap under the list
        lines += [Content("")] * (above - len(lines) - len(foot))
        lines += foot
        self._draw(Content("\n").join(lines))

    def _draw(self, content: Content) -> None:
        # A card that is opened or left while keys come fast may have nothing to draw on yet, or any more.
        for drawn in self.query("#found").results(Static):
            drawn.update(content)

    def _row(self, index: int, hit: Hit, width: int) -> Content:
        entry = hit.entry
        marked = index == self._at
        if self.host.glyphs.words:
            sort = "" if entry.name.startswith(entry.sort) else f"{entry.sort} "
            number = "" if self.typing else f"{index % self.page + 1} "
            words = f"{number}{'marked: ' if marked else ''}{sort}{entry.name}, {entry.detail}, {entry.machine}"
            return tapped(plain(self.voiced(" ".join(words.split())), width), "line", index)
        number = f" {index % self.page + 1} "
        sign = self.host.glyphs.right if marked else " "
        # The machine on the bench goes without saying: its room is for the words.
        owner = Content("") if self._here(entry) else plain(entry.machine, max(8, width // 4), QUIET)
        left = width - 5 - SORT - owner.cell_length - 1
        name = plain(entry.name, left, "bold $pb-text" if marked else "")
        beside = left - name.cell_length - 2
        opens = QUIET if self.typing else KEY
        row = Content.assemble((number, opens), f"{sign} ", (f"{entry.sort:<{SORT}}", QUIET), name)
        if beside > 8 and entry.detail:
            row = Content.assemble(row, "  ", plain(entry.detail, beside, "$pb-muted"))
        gap = " " * max(1, width - row.cell_length - owner.cell_length)
        return tapped(Content.assemble(row, gap, owner), "line", index)

    @property
    def taps(self) -> Taps:
        return {"line": self.tap_line}

    def tap_line(self, index: str) -> None:
        """Open the card of a line, also while one types."""
        self._open(int(index))

    def _here(self, entry: Findable) -> bool:
        return entry.machine_id == self.host.machine_id

    def _keys(self) -> list[tuple[str, str]]:
        if self.typing:
            keys = [("Enter", "then 1-9 opens"), ("Down", "marks the next"), ("Esc", "back")]
        else:
            pair = self.host.keymap.pair
            keys = [pair("find.go"), pair("find.type"), pair("find.leave", "back"), pair("find.help")]
            if len(self._found.hits) > self.page:
                pages = (len(self._found.hits) + self.page - 1) // self.page
                turn = pair("find.next", f"page {self._at // self.page + 1} of {pages}")
                keys[1:1] = [turn, pair("find.before", "before")]
        if self._found.total:
            first = self._at // self.page * self.page
            last = min(first + self.page, len(self._found.hits))
            shown = f"{first + 1} to {last} of " if len(self._found.hits) > self.page else ""
            over = f"the first {MOST} of " if self._found.total > MOST else ""
            keys.append(("", f"{shown}{over}{self._found.total} found"))
        return keys

    # -- keys ----------------------------------------------------------------------------------------

    def on_key(self, event: events.Key) -> None:
        """While typing take the keys that no line wants; all others are told by the class below."""
        if self.typing and event.key in ("escape", "down", "up"):
            event.stop()
            event.prevent_default()
            if event.key == "escape":
                self.leave(None)
            else:
                self._mark(1 if event.key == "down" else -1)

    @property
    def places(self) -> tuple[str, ...]:
        """In the search; while one types, at no place of the table."""
        return () if self.typing else ("find",)

    def press(self, key: str) -> None:
        """Take one key while the line is left."""
        command_id = command_for(key, "find")
        moves = {"find.down": 1, "find.up": -1, "find.next": self.page, "find.before": -self.page}
        if command_id == "find.leave":
            self.leave(None)
        elif command_id == "find.go":
            if int(key) <= self.page:
                self._open(self._at // self.page * self.page + int(key) - 1)
        elif command_id == "find.open":
            self._open(self._at)
        elif command_id in moves:
            self._mark(moves[command_id])
        elif command_id == "find.type":
            self.query_one(Line).focus()
            self.call_after_refresh(self.redraw)
        elif command_id == "find.help":
            self.show_keys("find")

    def _mark(self, by: int) -> None:
        if self._found.hits:
            last = len(self._found.hits) - 1
            at = self._at + by
            if abs(by) == self.page:
                at = at // self.page * self.page
                if not 0 <= at <= last:
                    self.host.ring("refused")
                    return
            self._at = max(0, min(at, last))
            self.redraw()

    def _open(self, index: int) -> None:
        if index >= len(self._found.hits):
            self.host.ring("refused")
            return
        self._at = index
        self.set_focus(None)
        self.redraw()
        entry = self._found.hits[index].entry
        self.host.push_screen(self.host.card_of(entry.sort, entry.id), self._came_back)

    def _came_back(self, result: str | None) -> None:
        if result == TO_THE_BENCH:
            self.leave(TO_THE_BENCH)
