"""The app: one workshop, the machine on the bench, and the one place where commands are done."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from time import monotonic
from typing import Any

from textual import events, work
from textual.binding import Binding
from textual.driver import Driver
from textual.filter import LineFilter
from textual.screen import Screen

from putback.errors import BadInput, PutbackError
from putback.reports.jobs_page import JobsKept
from putback.settings import UNSET, Read
from putback.sizing.instruments import checked_tools
from putback.trade import commands as c
from putback.trade.record.machine import Machine, Part
from putback.tui.arrival import Arrival
from putback.tui.bells import PATTERNS, Bells
from putback.tui.dialogs.keyed import Keyed
from putback.tui.dialogs.prompts import AskLine
from putback.tui.draw.ascii_lines import AsciiLines
from putback.tui.draw.glyphs import GlyphSet, glyph_set
from putback.tui.draw.palette import THEMES
from putback.tui.draw.pictures import Pictures
from putback.tui.draw.views import MessageData
from putback.tui.host import ScreenName
from putback.tui.keyboard.keymap import keymap_of, read_key
from putback.tui.keyboard.own_strokes import OwnStrokes
from putback.tui.keyboard.tapping import META
from putback.tui.scans import Scanning
from putback.tui.screens import CARDS, screen_class
from putback.tui.sitting import Sitting
from putback.workshop import Done, Workshop

WIDE = 110
"""Columns from which the side panes get more room."""

TALL = 32
"""Rows from which the tree has room where one pane stands below the other."""

SMALL = 70
"""Columns below which the tree gets less."""

SETTLED = 0.15
"""Seconds after the first paint from which on what it did without is loaded."""

AHEAD = 40
"""So many fasteners are read for their lengths at a time while nothing is asked of them: some 8 ms."""

QUIET = 5.0
"""Seconds after the start until the jobs of all machines are gathered: nobody needs them sooner."""

APART = 0.3
"""Seconds from one machine to the next."""

BETWEEN = 0.02
"""Seconds from one such time to the next."""

CURSOR_SHOWN = "\x1b[?25h"
"""Shows the cursor that Textual hides (ECMA-48, DEC private mode 25): a screen reader reads where it stands."""


def with_cursor(driver: type[Driver]) -> type[Driver]:
    """Return a driver that shows the cursor again whenever it has begun to draw."""

    def start(self: Driver) -> None:
        driver.start_application_mode(self)
        self.write(CURSOR_SHOWN)

    return type(driver.__name__, (driver,), {"start_application_mode": start})


class PutbackApp(Scanning):
    """The workbench."""

    CSS_PATH = "app.tcss"
    TITLE = "Putback"
    ENABLE_COMMAND_PALETTE = False
    VERTICAL_BREAKPOINTS = [(0, "-low"), (TALL, "-tall")]  # noqa: RUF012 - as the next
    # Textual reads it off the class.
    HORIZONTAL_BREAKPOINTS = [(0, "-small"), (SMALL, "-narrow"), (WIDE, "wide")]  # noqa: RUF012

    BINDINGS = [Binding("f1", "keys_here", "keys", show=False, priority=True)]  # noqa: RUF012 - as above

    def __init__(
        self,
        workshop: Workshop,
        machine: int = 0,
        *,
        ascii_only: bool = False,
        plain: bool = False,
        settings: Read = UNSET,
    ) -> None:
        super().__init__()
        self.settings, odd = settings
        if self.settings.instruments.have is not None:
            workshop.have = checked_tools(self.settings.instruments.have)
        self.keymap, odd_keys = keymap_of(self.settings)
        if plain := plain or self.settings.look.plain:
            self.keymap = self.keymap.named
            self.add_class("-plain")
            self.driver_class = with_cursor(self.driver_class)
        self.odd_settings = (*odd, *odd_keys)
        self.bells = Bells(self.settings.bell, lambda: self.bell(), self.set_timer)
        self._to_ring = ""
        self.flashes = False
        """Whether a new line under the panes stands out for a moment."""
        self.workshop = workshop
        self.machine_id = machine or workshop.last_machine()
        self.sitting = Sitting(self)
        self.arrival = Arrival(self)
        self.glyphs: GlyphSet = glyph_set(ascii_only, plain)
        self.message = MessageData("note", "")
        self.own = OwnStrokes()
        self.jobs_kept = JobsKept()
        self._warned: set[tuple[int, str]] = set()
        self._to_warn: list[str] = []
        self.seconds = monotonic
        """A clock that only runs on: how long a step has been on the screen."""
        self.warned_back: set[tuple[int, str]] = set()
        self.words_told: set[str] = set()
        """The session and the cause of each usual caution that stood on the card of a step put back."""
        self.asks_which = False
        """Whether the first screen asks which machine, where there are several."""
        self.again = False
        """Whether the workshop is to be opened once more, now that it can be written here."""
        self._ascii_lines = [AsciiLines()] if ascii_only or plain else []
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = self.settings.look.name
        self.pictures = Pictures(workshop.store.folder, self.settings.look.pictures, ascii_only=ascii_only or plain)

    def get_line_filters(self) -> Sequence[LineFilter]:
        return [*super().get_line_filters(), *self._ascii_lines]

    # -- start ---------------------------------------------------------------------------------------

    def on_mount(self) -> None:
        notes = list(self.workshop.store.notes)
        if self.odd_settings:
            more = len(self.odd_settings) - 1
            notes.append(self.odd_settings[0].text + (f" ({more} more: putback check lists them)" if more else ""))
        for note in notes:
            self.say("asks", note)
        if self.asks_which and self.workshop.store.writable and len(self.workshop.machines()) > 1:
            self.arrival.ask_which(tuple(notes), lambda: self.set_timer(SETTLED, self.read_ahead))
        else:
            self.push_screen(self.arrival.screen(*notes))
        self.set_timer(SETTLED, self.warm_up)
        self.set_timer(QUIET, self.gather_jobs)

    def walk(self, *messages: str) -> Screen[Any] | None:
        return self.arrival.walk(*messages)

    def screen_named(self, name: ScreenName, *about: Any, **how: Any) -> Screen[Any]:
        return screen_class(name)(*about, **how)

    def card_of(self, sort: str, *numbers: int) -> Screen[str | None]:
        about: Any = list(numbers) if sort == "photos" else numbers[0]
        return self.screen_named(CARDS[sort], about)

    @work(thread=True, exit_on_error=False)
    def warm_up(self) -> None:
        """Load what the first keys will need while the person still reads."""
        from putback.sizing import Readings, snap  # sizing is large: it loads while the person reads

        screen_class("bench")
        snap(Readings(gauge="8-32"))
        self.call_later(self.read_ahead)

    def read_ahead(self) -> None:
        """Gather the lengths of the machine on the bench little by little: of thousands it takes seconds."""
        from putback.trade.record.length_groups import read_on  # sizing again, loaded by now

        machine = self.machine
        if machine is not None and read_on(self.workshop.record, machine, AHEAD):
            self.set_timer(BETWEEN, self.read_ahead)

    def gather_jobs(self) -> None:
        """Gather the jobs of all machines, one now and then, so that their page is there at once."""
        if self.jobs_kept.gather_one(self.workshop.record, now=self.workshop.now()):
            self.set_timer(APART, self.gather_jobs)

    @property
    def machine(self) -> Machine | None:
        """The machine on the bench, or None in an empty workshop."""
        return self.workshop.record.find(Machine, self.machine_id) if self.machine_id else None

    # -- doing ---------------------------------------------------------------------------------------

    def say(self, sort: str, words: str, back: str = "", *, rings: str | None = None) -> None:
        """Put a line under the panes, and ring for it; `back` is what - would take back.

        `rings` is the pattern of the bell where that is not the sort's own: empty for none.
        """
        self.message = MessageData(sort, words, back)
        self.ring(sort if rings is None else rings)
        self.repaint()

    def ring(self, sort: str) -> None:
        """Ring the bell once what goes on now is over and painted: of several things said in one go, for the last."""
        if sort in PATTERNS:
            if not self._to_ring:
                self.call_after_refresh(self._ring_out)
            self._to_ring = sort

    def _ring_out(self) -> None:
        sort, self._to_ring = self._to_ring, ""
        self.bells.ring(sort)

    def refuse(self, words: str) -> None:
        """Say that a key did nothing, and why."""
        self.say("refused", words)

    def repaint(self) -> None:
        """Let the screen on top draw what is."""
        for screen in reversed(self.screen_stack):
            draw = getattr(screen, "redraw", None)
            if draw is not None and screen.is_mounted:
                draw()
                break

    def do(self, command: c.Command, *, quiet: bool = False, machine: int = 0) -> Done | None:
        """Do one command on the machine; what happened or why not is said. None where it was refused.

        `machine` is another one than that on the bench: between sessions something may be said of any.
        """
        machine = machine or self.machine_id
        try:
            self.workshop.woke()
            left = "" if command.is_of_the_end else self.workshop.end_left(machine)
            if left and command.is_of_the_clock:
                self.say("asks", left)  # there is nothing to stop or to go on with
                return None
            if command.is_work and machine == self.machine_id:
                self.sitting.sit_down()
            done = self.workshop.do(command, machine)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        if not quiet or left:
            of = "" if machine == self.machine_id else f"{self.workshop.record.get(Machine, machine).caption}: "
            said = f"{of}{done.said}"
            text = f"{said}. {left}" if left else said
            self.say("recorded", text, "this" if command.can_be_taken_back else "")
        recorded = f"{done.said}. " if isinstance(command, c.CameOut) else "recorded. "
        self.warn(command, "" if quiet else recorded)
        return done

    def warn(self, command: c.Command, before: str = "") -> None:
        """Say a caution that a command calls for, or one that had to wait: each cause once in a session.

        It takes the line of what was recorded, so `before` says that it was.
        """
        if any(command.words()):
            from putback.trade.commands.cautions_called import called_for  # their words, only where some were said

            names = (part.name for part in self.workshop.record.all(Part, self.machine_id))
            session = self.workshop.record.open_session(self.machine_id)
            for called in called_for(command, self.machine, names):
                mark = (session.id if session else 0, called.cause)
                if mark not in self._warned:
                    self._warned.add(mark)
                    self._to_warn.append(called.text)
        if self._to_warn:
            self.say("caution", f"{before}{self._to_warn.pop(0)}", "this")

    def take_back(self, machine: int = 0) -> Done | None:
        """Take back the last change of the machine on the bench, or of another, and say what that was."""
        machine = machine or self.machine_id
        try:
            done = self.workshop.take_back(machine)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        before = self.workshop.last_done(machine)
        self.say("note", done.said, before.change.said if before else "")
        return done

    def bring_again(self) -> Done | None:
        """Do again what was taken back last, and say what that was."""
        try:
            done = self.workshop.bring_again(self.machine_id)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        self.say("recorded", done.said, "this")
        return done

    def write_here(self) -> None:
        self.again = True
        self.exit()

    # -- the mouse and the touch screen ----------------------------------------------------------------

    def on_click(self, event: events.Click) -> None:
        """Do what the words under the mouse carry, as if its key had been pressed."""
        what, on = event.style.meta.get(META, ("", ""))
        screen = self.screen
        if what == "key":
            try:
                key = read_key(on)
            except BadInput:
                return  # words for several keys, such as 1-9
            if isinstance(screen, Keyed) and not screen.typing:
                screen.take(key)
            else:
                self.simulate_key(key)
        elif what == "press":
            if isinstance(screen, Keyed):
                screen.press(on)
        elif isinstance(screen, Keyed) and what in screen.taps:
            screen.taps[what](on)  # there is none where a card has opened between the finger and its click

    # -- machines ------------------------------------------------------------------------------------

    def change_machine(self, machine: int) -> None:
        """Put another machine on the bench."""
        self.sitting.stand_up()
        self.machine_id = machine
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.switch_screen(self.arrival.screen())
        self.set_timer(SETTLED, self.read_ahead)

    def action_quit_bench(self) -> None:
        """Leave; everything is on disk already, unless its folder is gone: then it can be written elsewhere first."""
        if self.workshop.store.adrift:
            self.write_elsewhere()
            return
        self.sitting.stand_up()
        self.exit()

    @work(exclusive=True, group="elsewhere")
    async def write_elsewhere(self) -> None:
        """Ask for a folder to write the record to, until it is written, left unwritten, or the question is left."""
        from putback.store.elsewhere import write_elsewhere  # only where the folder is gone

        store = self.workshop.store
        text, why = str(Path(f"{store.folder}-saved")), "The folder of this workshop is gone."
        while True:
            asks = f"{why} Write what is here into which folder? An empty line leaves without."
            answer = await self.push_screen_wait(AskLine(asks, value=text))
            if answer is None:
                return
            text = answer.strip()
            if not text:
                self.exit(message="Nothing was written: the folder was gone.")
                return
            try:
                message = write_elsewhere(store, Path(text).expanduser(), at=self.workshop.now(), who=self.workshop.who)
            except (PutbackError, RuntimeError) as fault:  # RuntimeError: a home that nobody has
                why = str(fault)
                continue
            self.exit(message=message)
            return

    def action_keys_here(self) -> None:
        """Show the keys of where one is, in a question or a field as anywhere; on that page, go back."""
        screen: Any = self.screen
        places: tuple[str, ...] = getattr(screen, "places", ()) or ("line",)
        if places == ("help",):
            screen.leave(None)
        elif "f1" in (key for known in self.keymap.keys_of(*places) for key in known.keys):
            screen.take("f1")  # it was given to something else
        else:
            self.push_screen(self.screen_named("keys", places))

    def action_help_quit(self) -> None:
        """Say how one leaves: what Ctrl+C does elsewhere would end the program in the middle of a line."""
        words = self.keymap.words("{quit} on the bench, or Ctrl+Q anywhere, leaves; everything is on disk already")
        self.say("note", words)
        if len(self.screen_stack) > 2:
            self.notify(words, markup=False)

    async def action_quit(self) -> None:
        """Leave; everything is on disk already."""
        self.action_quit_bench()
