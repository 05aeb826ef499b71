"""Breaks, as the bench and the way back have them: one key stops the time, and a long time without a key is asked
about."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from time import monotonic

from putback.errors import PutbackError
from putback.trade import commands as c
from putback.trade.record.phrases import minutes_text
from putback.trade.record.session import Session
from putback.tui.dialogs.keyed import Asker
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.sheet import END, GO_ON
from putback.tui.host import Host

AWAY = 600.0
"""Seconds without a key after which the next one opens the walk-back (common practice, no source)."""


class BreakKeys:
    """What breaks the work on a screen that one works at for long: its key, and time that went by without one."""

    def __init__(self, host: Host, screen: Asker) -> None:
        """`screen` is what is asked over."""
        self.host = host
        self.record = self.host.workshop.record
        self.screen = screen
        self._key_at = monotonic()

    @property
    def session(self) -> Session | None:
        """The session of the machine on the bench that has not ended; None where there is none."""
        return self.record.open_session(self.host.machine_id) if self.host.machine_id else None

    # -- time without a key --------------------------------------------------------------------------

    def here(self) -> float:
        """Note that the person is there now; return the seconds since that was noted last."""
        before, self._key_at = self._key_at, monotonic()
        return self._key_at - before

    def slept(self) -> None:
        """Let the next key find a person who comes back."""
        self._key_at = monotonic() - AWAY - 1

    def found_away(self, seconds: float, came_back: Callable[[float], None]) -> bool:
        """Tell whether a key only found a person who comes back, after so many seconds without one.

        A session left long ago is ended, a night is asked about; else `came_back` is given the minutes.
        """
        if self.came_back() or self.asks_about_the_night():
            return True
        if seconds > AWAY:
            came_back(seconds / 60)
        return seconds > AWAY

    def walk_back(self, *messages: str) -> None:
        """Go over the last three steps, newest first, before a hand moves; `told` is said before them, and what
        one left a note about."""
        screen = self.host.walk(*messages)
        if screen is not None:
            self.host.push_screen(screen)

    def came_back(self) -> bool:
        """End a session that was left long ago, say so and walk back; tell whether there was one."""
        text = self.host.sitting.ended_by_itself()
        if text:
            self.walk_back(text)
        return bool(text)

    def was_away(self, minutes: float) -> None:
        """Ask whether a long time without a key was a break; where the clock stands it was."""
        session = self.session
        if session is None or session.paused or not self.host.workshop.store.writable:
            self.walk_back()
            return
        now = datetime.fromisoformat(self.host.workshop.now())
        since = max(now - timedelta(minutes=minutes), datetime.fromisoformat(session.segments[-1].start))
        self.screen.begin_asking(partial(self._ask_away, minutes, since.isoformat(timespec="seconds")))

    async def _ask_away(self, minutes: float, since: str) -> None:
        """Ask about the time since a stamp: the segment is cut there with one key, or kept with another."""
        choices = (f"yes: the time stops at {since[11:16]}, the last key", "no: I was at work all along")
        caption = f"{minutes_text(minutes)} without a key. Was that a break?"
        if await self.host.push_screen_wait(Pick(caption, choices)) == 0:
            self.host.do(c.WasAway(since=since))
            self.walk_back()

    def asks_about_the_night(self) -> bool:
        """Ask, once, about a gap with midnight in it that is too short to have ended the session; tell whether it is
        asked."""
        last = self.host.workshop.over_midnight(self.host.machine_id)
        if not last or last == self.host.night:
            return False
        self.screen.begin_asking(partial(self._ask_about_the_night, last))
        return True

    async def _ask_about_the_night(self, last: str) -> None:
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
            self.walk_back(self.host.sitting.with_summary(text))
        elif answer == 1:
            self.host.do(c.Resume() if session.paused else c.WasAway(since=last))
            self.walk_back()

    # -- the key -------------------------------------------------------------------------------------

    def pause_or_go_on(self) -> None:
        """The one key for a break; where the session was left long ago there is none to stop or to go on with."""
        session = self.record.open_session(self.host.machine_id)
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
            self.host.push_screen(self.host.screen_named("break"), self._after_break)

    def _after_break(self, result: str | None) -> None:
        """Go on behind the break's card, go on to the summary, or leave the time standing."""
        session = self.record.open_session(self.host.machine_id)
        if session is None or not session.paused:
            return
        if result == GO_ON:
            self.pause_or_go_on()
        elif result == END:
            self.host.push_screen(self.host.screen_named("summary"))
        else:
            self.host.say("note", self.host.keymap.words("paused; {pause} goes on"))
