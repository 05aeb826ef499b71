"""The end-of-session summary as a page."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace
from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from putback.errors import PutbackError
from putback.reports.summary import Summary, session_numbered, summarise
from putback.trade import commands as c
from putback.trade.checks.tools_out import not_seen_to, notes_since
from putback.trade.record.phrases import counted
from putback.trade.record.step import Step
from putback.tui.dialogs.keyed import KeyedScreen
from putback.tui.dialogs.prompts import AskLine
from putback.tui.draw.legend import SizeView
from putback.tui.draw.summary_page import summary_page
from putback.tui.draw.text import wrapped
from putback.tui.draw.views import session_sizes
from putback.tui.keyboard.keys import command_for
from putback.tui.widgets.long_page import LongPage
from putback.tui.widgets.panes import KeysLine, MessageLine

MARGINS = 10
"""Columns that the frame, its padding and the scroll bar take, with air before the bar."""


AT_ONCE = 2_000
"""Steps that are summed up before the page is shown."""


class SummaryScreen(KeyedScreen[None]):
    """What came off, what is open, where to start next time."""

    def __init__(self) -> None:
        super().__init__()
        self._told: tuple[Summary, list[SizeView]] | None = None
        """What was summed up last, with its sizes."""
        self._instead = ""
        """What is said in the place of a summary: why there is none, or that it is being made."""
        self._ended = False
        """Whether the session was ended here, so that there is nothing left to do but to leave."""

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="page", can_focus=False):
            yield LongPage(id="summary")
        yield MessageLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        self.query_one(MessageLine).glyphs = self.query_one(KeysLine).glyphs = self.host.glyphs
        many = self.host.workshop.record.count(Step, self.host.machine_id)
        if many <= AT_ONCE:
            self.redraw()
            return
        self._instead = f"adding up {counted(many, 'step')}"  # the page is there at once, its figures a moment later
        self.lay_out()
        self.call_after_refresh(self.redraw)

    def on_resize(self) -> None:
        self.lay_out()

    def redraw(self) -> None:
        """Draw the page."""
        app = self.host
        machine = app.machine
        going = app.machine is not None and app.workshop.record.open_session(app.machine_id) is not None
        keys = [key for key in app.keymap.keys_of("summary") if going or key.id != "summary.end"]
        self.query_one(KeysLine).show((*keys, app.keymap.key("quit")) if self._ended else tuple(keys))
        self.query_one(MessageLine).show(replace(app.message, back=""))  # here its key turns the page
        if machine is None:
            return
        self.query_one("#page").border_title = "summary"
        record = app.workshop.record
        try:
            session = session_numbered(record, machine)
        except PutbackError as fault:
            self._instead = str(fault)
        else:
            self._instead = ""
            self._told = summarise(record, machine, session, now=app.workshop.now()), session_sizes(record, session)
        self.lay_out()

    def lay_out(self) -> None:
        """Set what was summed up into rows as wide as there is room."""
        width = max(20, self.app.size.width - MARGINS)
        rows: Sequence[Content] = wrapped(self._instead, width) if self._instead else ()
        if self._told is not None and not self._instead:
            summary, sizes = self._told
            rows = summary_page(summary, width, sizes=sizes, strokes=self.host.own.means, glyphs=self.host.glyphs)
        self.point(self.query_one("#page"))
        self.query_one(LongPage).show(rows)

    @property
    def places(self) -> tuple[str, ...]:
        """In the summary."""
        return ("summary",)

    def take(self, key: str) -> None:
        """Leave the program with the key of the bench once the session is ended; else a key of the page."""
        if self._ended and command_for(self.host.keymap.plain(key, "bench"), "bench") == "quit":
            self.host.action_quit_bench()
        else:
            super().take(key)

    def press(self, key: str) -> None:
        """Turn the page, end the session, or go back."""
        scroll = self.query_one(VerticalScroll)
        command_id = command_for(key, "summary")
        if command_id == "summary.down":
            scroll.scroll_page_down(animate=False)
        elif command_id == "summary.up":
            scroll.scroll_page_up(animate=False)
        elif command_id == "summary.end":
            self.end()
        elif command_id == "summary.help":
            self.show_keys("summary")
        elif command_id == "summary.leave":
            self.leave(None)

    @work
    async def end(self) -> None:
        """End the session, with a note to oneself; tools, loans and loose things are seen to first."""
        app = self.host
        if app.workshop.record.open_session(app.machine_id) is None:
            app.refuse("No session is running, so there is none to end.")
            return
        record, machine = app.workshop.record, app.machine_id
        before = notes_since(record, machine)
        if not_seen_to(record, machine) and await app.push_screen_wait(app.screen_named("break", ending=True)) is None:
            return
        note: str | None = ""
        if notes_since(record, machine) == before:  # it is asked once: one was left just now, at the break
            asked = AskLine("What should you know next time?", hint="a note to yourself, or nothing", note=True)
            note = await app.push_screen_wait(asked)
        if note is not None:
            if app.do(c.EndSession(note=note.strip())) is not None:
                ends = app.message.words
                self._ended = True
                leaves = self.words("{quit} leaves, {summary.leave} goes to the bench")
                app.say("recorded", f"{ends}; everything is on disk. {leaves}")
            self.redraw()
