"""The app: one workshop, the machine on the bench, and the one place where commands are done."""

from __future__ import annotations

import os
import sys
import traceback
from pathlib import Path
from time import monotonic

from textual import events
from textual.app import App
from textual.timer import Timer

from putback.codes.bag_code import read_code
from putback.codes.scan import Event, ScanWatch, What, Where
from putback.errors import BadInput, PutbackError
from putback.trade import commands as c
from putback.trade.bag import Bag
from putback.trade.machine import Machine
from putback.tui.ascii_lines import AsciiLines
from putback.tui.draw.glyphs import GlyphSet, glyph_set
from putback.tui.keys import plain_key
from putback.tui.palette import THEMES
from putback.tui.widgets.line import Line
from putback.tui.widgets.panes import SaidData
from putback.workshop import Done, Workshop

WIDE = 110
"""Columns from which the side panes get more room."""

_TIMELESS = (c.StartSession, c.Pause, c.Resume, c.EndSession, c.NewMachine)


class PutbackApp(App[None]):
    """The workbench."""

    CSS_PATH = "app.tcss"
    TITLE = "Putback"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "wide")]  # noqa: RUF012 - Textual reads it off the class

    def __init__(self, workshop: Workshop, machine: int = 0, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.workshop = workshop
        self.machine_id = machine or workshop.last_machine()
        self.glyphs: GlyphSet = glyph_set(ascii_only)
        self.said = SaidData("note", "")
        self.scan = ScanWatch()
        self._lapse: Timer | None = None
        self.quiet_faults = False
        self.fault: Exception | None = None
        if ascii_only:
            self._filters.append(AsciiLines())
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = THEMES[0].name

    # -- start ---------------------------------------------------------------------------------------

    def on_mount(self) -> None:
        from putback.tui.screens.bench import BenchScreen

        for note in self.workshop.store.notes:
            self.say("asks", note)
        self.push_screen(BenchScreen())

    @property
    def machine(self) -> Machine | None:
        """The machine on the bench, or None in an empty workshop."""
        return self.workshop.record.find(Machine, self.machine_id) if self.machine_id else None

    # -- doing ---------------------------------------------------------------------------------------

    def say(self, sort: str, words: str, back: str = "") -> None:
        """Put a line under the panes; `back` is what - would take back."""
        self.said = SaidData(sort, words, back)
        self.repaint()

    def refuse(self, words: str) -> None:
        """Say that a key did nothing, and why."""
        self.bell()
        self.say("refused", words)

    def repaint(self) -> None:
        """Let the screen on top draw what is."""
        for screen in reversed(self.screen_stack):
            draw = getattr(screen, "redraw", None)
            if draw is not None and screen.is_mounted:
                draw()
                break

    def do(self, command: c.Command, *, quiet: bool = False) -> Done | None:
        """Do one command on the machine; what happened or why not is said. None where it was refused."""
        try:
            if not isinstance(command, _TIMELESS):
                self.sit_down()
            done = self.workshop.do(command, self.machine_id)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        if not quiet:
            self.say("recorded", done.said, "" if type(command).__name__ in c.NOT_TAKEN_BACK else "this")
        return done

    def take_back(self) -> Done | None:
        """Take back the last change, and say what that was."""
        try:
            done = self.workshop.take_back(self.machine_id)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        before = self.workshop.last_done(self.machine_id)
        self.say("note", done.said, before.change.said if before else "")
        return done

    def sit_down(self) -> None:
        """See that a session runs: the first thing done begins one, or ends a pause."""
        session = self.workshop.record.open_session(self.machine_id)
        if session is None:
            from putback.trade.session import TARGET, Session

            before = list(self.workshop.record.all(Session, self.machine_id))
            target = before[-1].target if before else TARGET
            box = before[-1].box if before else ""
            self.workshop.do(c.StartSession(target=target, box=box), self.machine_id)
        elif session.paused:
            self.workshop.do(c.Resume(), self.machine_id)

    def stand_up(self) -> None:
        """Stop the segment that runs, where it can be written."""
        session = self.workshop.record.open_session(self.machine_id)
        if session is not None and not session.paused and self.workshop.store.writable:
            self.do(c.Pause(), quiet=True)

    def followed(self) -> bool:
        """Take in what another copy wrote, where this one may only read; tell whether there was anything."""
        if self.workshop.store.writable:
            return False
        try:
            found = self.workshop.follow()
        except PutbackError as fault:
            self.refuse(str(fault))
            return False
        if found and self.machine is None:
            self.machine_id = self.workshop.last_machine()
        return bool(found)

    def _handle_exception(self, error: Exception) -> None:
        # Textual prints a traceback over the screen; the person gets a sentence, and the details a file.
        if self.quiet_faults:
            self.fault = error
            self.exit(return_code=1)
        else:
            super()._handle_exception(error)

    # -- keys and codes ------------------------------------------------------------------------------

    def sift(self, event: events.Key) -> list[str]:
        """Return the keys to act on now, after the scan watch has looked at this one."""
        seen = self.scan.feed(plain_key(event.key, event.character), monotonic(), Where.FORM)
        return self._seen(seen)

    def _seen(self, seen: Event) -> list[str]:
        if self._lapse is not None:
            self._lapse.stop()
            self._lapse = None
        if self.scan.deadline is not None:
            self._lapse = self.set_timer(max(0.01, self.scan.deadline - monotonic() + 0.01), self._lapsed)
        if seen.what is What.HELD:
            self.say("note", f"code: {seen.text}")
        elif seen.what is What.CODE:
            self.code_seen(seen.code)
        elif seen.what is What.AGAIN:
            self.say("note", f"{seen.code} once more: counted once")
        elif seen.what is What.BROKEN:
            self._no_code(seen.text)
        return list(seen.keys)

    def _lapsed(self) -> None:
        self._lapse = None
        for key in self._seen(self.scan.lapse(monotonic())):
            press = getattr(self.screen, "press", None)
            if press is not None:
                press(key)

    def _no_code(self, text: str) -> None:
        try:
            read_code(text, [bag.code for bag in self.workshop.record.all(Bag)])
        except BadInput as fault:
            self.refuse(str(fault))

    def field_key(self, line: Line, event: events.Key) -> bool:
        """Follow a key typed into free text; True where it must not reach the field."""
        seen = self.scan.feed(plain_key(event.key, event.character), monotonic(), Where.TEXT)
        if seen.what in (What.CODE, What.AGAIN):
            at = line.cursor_position
            line.value = line.value[: at - len(seen.text)] + line.value[at:]
            line.cursor_position = at - len(seen.text)
            if seen.what is What.CODE:
                self.code_seen(seen.code)
            return True
        return seen.what is What.SWALLOWED

    def code_seen(self, code: str) -> None:
        """Open the bag that a code names, wherever the screen is."""
        from putback.tui.screens.bag_card import BagScreen

        bag = self.workshop.record.bag_by_code(code)
        if bag is None:
            self.refuse(f"{code} is a good code, and no bag of this workshop has it.")
            return
        taker = getattr(self.screen, "take_bag", None)
        if taker is not None and taker(bag):
            return
        if isinstance(self.screen, BagScreen):
            self.pop_screen()
        self.push_screen(BagScreen(bag.id))

    # -- machines ------------------------------------------------------------------------------------

    def change_machine(self, machine: int) -> None:
        """Put another machine on the bench."""
        self.stand_up()
        self.machine_id = machine
        from putback.tui.screens.bench import BenchScreen

        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.switch_screen(BenchScreen())

    def action_quit_bench(self) -> None:
        """Leave; everything is on disk already."""
        self.stand_up()
        self.exit()

    async def action_quit(self) -> None:
        """Leave; everything is on disk already."""
        self.action_quit_bench()


def plain_terminal() -> bool:
    """Tell whether the terminal shows only ASCII, by its encoding or the variable PUTBACK_ASCII."""
    if os.environ.get("PUTBACK_ASCII"):
        return True
    encoding = (getattr(sys.__stdout__, "encoding", None) or "").lower().replace("-", "")
    return os.environ.get("TERM") in ("dumb", "vt100", "vt220") or not encoding.startswith("utf")


def run_bench(folder: Path, machine: str) -> int:
    """Open the workshop in `folder` on the screen; return the exit status."""
    from putback.opening import open_at

    with open_at(folder) as workshop:
        chosen = workshop.machine(machine).id if machine else 0
        app = PutbackApp(workshop, chosen, ascii_only=plain_terminal())
        app.quiet_faults = True
        app.run()
        if app.fault is not None:
            raise PutbackError(tell_fault(folder, app.fault))
        return app.return_code or 0


def tell_fault(folder: Path, fault: Exception) -> str:
    """Write down a fault of our own and return the sentence that tells of it."""
    kept = "Everything the screen confirmed is on disk."
    details = "".join(traceback.format_exception(fault))
    path = folder / "out" / "fault.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(details, encoding="utf-8")
    except OSError:
        return f"Putback stopped by a fault of its own ({type(fault).__name__}). {kept}"
    return f"Putback stopped by a fault of its own ({type(fault).__name__}). {kept} The details are in {path}."
