"""Breaks, as the bench and the way back have them: one key stops the time, and a long time without a key is asked
about."""

from __future__ import annotations

from datetime import datetime, timedelta

from textual import work

from putback.errors import PutbackError
from putback.trade import commands as c
from putback.trade.record.phrases import minutes_text
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.tui.dialogs.keyed import Keyed
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.sheet import END, GO_ON


class BreakKeys(Keyed):
    """A screen that one works at for long."""

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.host.workshop.record

    def walk_back(self, *messages: str) -> None:
        """Go over the last three steps, newest first, before a hand moves; `told` is said before them, and what
        one left a note about."""
        screen = self.host.walk(*messages)
        if screen is not None:
            self.host.push_screen(screen)

    def pause_or_go_on(self, session: Session | None) -> None:
        """The one key for a break; where the session was left long ago there is none to stop or to go on with."""
        if self.came_back():
            return
        if session is None:
            self.host.refuse("No session is running; the first thing you do starts one.")
            return
        if session.paused:
            if self.host.do(c.Resume()) is not None:
                self.walk_back()
            return
        if self.host.do(c.Pause()) is not None:
            self.host.push_screen(self.host.screen_named("break"), self.after_break)

    def after_break(self, result: str | None) -> None:
        """Go on behind the break's card, go on to the summary, or leave the time standing."""
        session = self.record.open_session(self.host.machine_id)
        if session is None or not session.paused:
            return
        if result == GO_ON:
            self.pause_or_go_on(session)
        elif result == END:
            self.host.push_screen(self.host.screen_named("summary"))
        else:
            self.host.say("note", self.words("paused; {pause} goes on"))

    def came_back(self) -> bool:
        """End a session that was left long ago, say so and walk back; tell whether there was one."""
        text = self.host.ended_by_itself()
        if text:
            self.walk_back(text)
        return bool(text)

    def asks_about_the_night(self) -> bool:
        """Ask, once, about a gap with midnight in it that is too short to have ended the session; tell whether it is
        asked."""
        last = self.host.workshop.over_midnight(self.host.machine_id)
        if not last or last == self.host.night:
            return False
        self.ask_about_the_night(last)
        return True

    @work
    async def ask_about_the_night(self, last: str) -> None:
        """Ask whether the session that stood still over midnight ended there, had a break, or went on."""
        session = self.record.open_session(self.host.machine_id)
        if session is None:
            return
        choices = (
            f"it ended there, at {last[11:16]}; what you do now begins the next one",
            f"a break since {last[11:16]}: session {session.number} goes on",
            *(() if session.paused else ("at work all along: its time ran on",)),
        )
        caption = f"Session {session.number} stood still from {last[11:16]} over midnight. What was that?"
        answer = await self.host.push_screen_wait(Pick(caption, choices))
        if answer is None:
            return
        self.host.night = last
        if answer == 0:
            try:
                text = self.host.workshop.end_at_last_act(self.host.machine_id)
            except PutbackError as fault:
                self.host.refuse(str(fault))
                return
            self.walk_back(self.host.with_summary(text))
        elif answer == 1:
            self.host.do(c.Resume() if session.paused else c.WasAway(since=last))
            self.walk_back()

    def was_away(self, minutes: float) -> None:
        """Ask whether a long time without a key was a break; where the clock stands it was."""
        session = self.record.open_session(self.host.machine_id)
        if session is None or session.paused or not self.host.workshop.store.writable:
            self.walk_back()
            return
        now = datetime.fromisoformat(self.host.workshop.now())
        since = max(now - timedelta(minutes=minutes), datetime.fromisoformat(session.segments[-1].start))
        self.ask_away(minutes, since.isoformat(timespec="seconds"))

    @work
    async def ask_away(self, minutes: float, since: str) -> None:
        """Ask about the time since a stamp: the segment is cut there with one key, or kept with another."""
        choices = (f"yes: the time stops at {since[11:16]}, the last key", "no: I was at work all along")
        caption = f"{minutes_text(minutes)} without a key. Was that a break?"
        if await self.host.push_screen_wait(Pick(caption, choices)) == 0:
            self.host.do(c.WasAway(since=since))
            self.walk_back()
