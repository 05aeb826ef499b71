"""The app: one workshop, the machine on the bench, and the one place where commands are done."""

from __future__ import annotations

import gc
import os
import sys
import traceback
from pathlib import Path
from time import monotonic
from typing import Any

from textual import events, work
from textual.binding import Binding
from textual.screen import Screen

from putback.errors import BadInput, PutbackError
from putback.opening import open_at
from putback.reports.jobs_page import JobsKept
from putback.reports.machines import machine_choices
from putback.reports.sent import sent_out
from putback.reports.todo import soaks_due
from putback.reports.walking import WALKED, machine_cautions, walk_steps
from putback.scans.caliper import CaliperWatch
from putback.settings import UNSET, Read, settings_in
from putback.sizing.instruments import checked_tools
from putback.store.loading import bulk
from putback.trade import commands as c
from putback.trade.checks.tools_out import notes_for_return
from putback.trade.commands import rules
from putback.trade.record.machine import Machine, Part
from putback.trade.record.session import TARGET, Session
from putback.trade.record.trip import Sent
from putback.tui.bells import PATTERNS, Bells
from putback.tui.dialogs.keyed import Keyed
from putback.tui.dialogs.prompts import MORE, AskLine, Pick
from putback.tui.draw.ascii_lines import AsciiLines
from putback.tui.draw.glyphs import GlyphSet, glyph_set
from putback.tui.draw.palette import THEMES
from putback.tui.draw.pictures import Pictures
from putback.tui.draw.views import MessageData
from putback.tui.host import ScreenName
from putback.tui.keyboard.keymap import keymap_of, read_key
from putback.tui.keyboard.own_strokes import OwnStrokes
from putback.tui.keyboard.tapping import META
from putback.tui.pages.walk_back import WalkBackScreen
from putback.tui.scans import Scanning
from putback.tui.screens import CARDS, screen_class
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

SWITCH = 0.0002
"""Seconds after which a thread gives way to one that waits: what is painted is written out by a thread of its own."""

CURSOR_SHOWN = "\x1b[?25h"
"""Shows the cursor that Textual hides (ECMA-48, DEC private mode 25): a screen reader reads where it stands."""


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
        self.odd_settings = (*odd, *odd_keys)
        self.bells = Bells(self.settings.bell, lambda: self.bell(), self.set_timer)
        self._to_ring = ""
        self.flashes = False
        """Whether a new line under the panes stands out for a moment."""
        self.workshop = workshop
        self.machine_id = machine or workshop.last_machine()
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
        self._adrift = False
        self.asks_which = False
        """Whether the first screen asks which machine, where there are several."""
        self.tells_elsewhere = False
        """Whether the first walk-back names what is due at other machines; the list of machines has named it else."""
        self.again = False
        """Whether the workshop is to be opened once more, now that it can be written here."""
        self.quiet_faults = False
        self.fault: Exception | None = None
        if ascii_only or plain:
            self._filters.append(AsciiLines())
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = self.settings.look.name
        self.pictures = Pictures(workshop.store.folder, self.settings.look.pictures, ascii_only=ascii_only or plain)

    # -- start ---------------------------------------------------------------------------------------

    def on_mount(self) -> None:
        if self.glyphs.words and self._driver is not None:
            self._driver.write(CURSOR_SHOWN)
        notes = list(self.workshop.store.notes)
        if self.odd_settings:
            more = len(self.odd_settings) - 1
            notes.append(self.odd_settings[0].text + (f" ({more} more: putback check lists them)" if more else ""))
        for note in notes:
            self.say("asks", note)
        if self.asks_which and self.workshop.store.writable and len(self.workshop.machines()) > 1:
            self._which_machine(*notes)
        else:
            self.push_screen(self.arrival(*notes))
        self.set_timer(SETTLED, self.warm_up)
        self.set_timer(QUIET, self.gather_jobs)

    def _which_machine(self, *notes: str) -> None:
        """Ask which machine, the one that was on the bench last marked; then come to it."""
        choices = machine_choices(self.workshop.record, now=self.workshop.now())
        ids = [machine.id for machine, _ in choices]

        def chosen(index: int | None) -> None:
            if index is not None and index >= 0:
                self.machine_id = ids[index]
            self.push_screen(self.arrival(*notes))
            if index == MORE:
                self.push_screen(self.screen_named("machine", self.machine_id))
            self.set_timer(SETTLED, self.read_ahead)

        lines = [line for _, line in choices]
        at = ids.index(self.machine_id) if self.machine_id in ids else -1
        self.push_screen(Pick("Which machine?", lines, here=at, more="its card"), chosen)

    def arrival(self, *notes: str) -> Screen[None]:
        """Return the screen that coming to a machine begins with: the walk-back, where there is anything to walk.

        The bench behind it is made when the walk-back is left, so that the first question is on the screen at once.
        """
        if self.machine is not None and self.workshop.store.writable:
            try:
                text = self.with_summary(self.workshop.come_back(self.machine_id))
            except PutbackError as fault:
                self.refuse(str(fault))
            else:
                due = soaks_due(self.workshop.record, self.machine_id, now=self.workshop.now())
                lifts = f"{self.keymap.shown('further')} lifts it out"
                told = (*(f"{bath.short}; {lifts}" for bath in due), *self.due_of_all())
                screen = self.walk(*notes, text, *told)
                if screen is not None:
                    return screen
        return self.screen_named("bench")

    def due_of_all(self) -> list[str]:
        """Return what is due that was sent out and, where that is to be told, what is due at the other machines."""
        record, now = self.workshop.record, self.workshop.now()
        out = {sent.machine for sent in record.all(Sent) if sent.due and not sent.back}
        found = []
        soaked = record.machines_soaked()  # no machine is read for this that has nothing to be due
        for machine in self.workshop.machines():
            here = machine.id == self.machine_id
            if machine.id not in out | soaked or not (here or self.tells_elsewhere):
                continue
            due = [] if here else [bath.short for bath in soaks_due(record, machine.id, now=now)]
            if machine.id in out:
                due += filter(None, (one.due_text(now) for one in sent_out(record, machine.id)))
            found += due if here else [f"{machine.caption}: {words}" for words in due]
        return found

    def walk(self, *messages: str) -> WalkBackScreen | None:
        """Return the walk-back over the last three steps; `told` is said before them, and what one left a note about.

        None where there is nothing to walk back over; then that is said at once.
        """
        record, machine = self.workshop.record, self.machine_id
        steps = walk_steps(record, machine, WALKED)
        notes = [*filter(None, messages), *(f"your note: {note}" for note in notes_for_return(record, machine))]
        notes += machine_cautions(self.machine) if self.machine is not None else []
        if steps:
            return WalkBackScreen([step.id for step in steps], notes)
        if notes:
            self.say("asks", "; ".join(notes))
        return None

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
                self.sit_down()
            done = self.workshop.do(command, machine)
        except PutbackError as fault:
            self.refuse(str(fault))
            return None
        if not quiet or left:
            of = "" if machine == self.machine_id else f"{self.workshop.record.get(Machine, machine).caption}: "
            said = f"{of}{done.said}"
            text = f"{said}. {left}" if left else said
            self.say("recorded", text, "" if type(command).__name__ in rules.NOT_TAKEN_BACK else "this")
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

    def sit_down(self) -> None:
        """See that a session runs: the first thing done begins one, or ends a pause."""
        session = self.workshop.record.open_session(self.machine_id)
        if session is None:
            before = list(self.workshop.record.all(Session, self.machine_id))
            target = self.settings.bench.target or (before[-1].target if before else TARGET)
            box = before[-1].box if before else ""
            self.workshop.do(c.StartSession(target=target, box=box), self.machine_id)
        elif session.paused:
            self.workshop.do(c.Resume(), self.machine_id)

    def ended_by_itself(self) -> str:
        """End the session on the bench where it was left; return what to say of it, with the key to its summary."""
        try:
            text = self.workshop.end_left(self.machine_id)
        except PutbackError as fault:
            self.refuse(str(fault))
            return ""
        return self.with_summary(text)

    def with_summary(self, message: str) -> str:
        """Return what is said of a session that ended by itself, with the key that shows its summary."""
        return (
            f"{message} {self.keymap.words('{summary} shows its summary.')}"
            if "has ended there" in message
            else message
        )

    def stand_up(self) -> None:
        """Stop the segment that runs, where it can be written."""
        session = self.workshop.record.open_session(self.machine_id)
        if session is not None and not session.paused and self.workshop.store.writable:
            self.do(c.Pause(), quiet=True)

    def woke(self) -> bool:
        """Pause what ran while the computer slept, and say so; tell whether there was anything."""
        try:
            text = self.workshop.woke()
        except PutbackError as fault:
            if self.message.words != str(fault):  # it is tried again with every tick, and told once
                self.refuse(str(fault))
            return False
        if text:
            self.say("asks", text)
        return bool(text)

    def look_after_the_folder(self) -> None:
        """Say once that the folder is gone, and what can be done, and once that it is there again."""
        gone = self.workshop.store.adrift
        if gone and not self._adrift:
            text = "The workshop's folder is gone: nothing new is saved. {quit} writes it elsewhere."
            self.refuse(self.keymap.words(text))
        elif self._adrift and not gone:
            self.say("note", "The workshop's folder is there again.")
        self._adrift = gone

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

    def write_here(self) -> None:
        self.again = True
        self.exit()

    def _handle_exception(self, error: Exception) -> None:
        # Textual prints a traceback over the screen; the person gets a sentence, and the details a file.
        if self.quiet_faults:
            self.fault = error
            self.exit(return_code=1)
        else:
            super()._handle_exception(error)

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
        elif what and (tap := getattr(screen, f"tap_{what}", None)) is not None:
            tap(on)  # there is none where a card has opened between the finger and its click

    # -- machines ------------------------------------------------------------------------------------

    def change_machine(self, machine: int) -> None:
        """Put another machine on the bench."""
        self.stand_up()
        self.machine_id = machine
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.switch_screen(self.arrival())
        self.set_timer(SETTLED, self.read_ahead)

    def action_quit_bench(self) -> None:
        """Leave; everything is on disk already, unless its folder is gone: then it can be written elsewhere first."""
        if self.workshop.store.adrift:
            self.write_elsewhere()
            return
        self.stand_up()
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


def plain_terminal() -> bool:
    """Tell whether the terminal shows only ASCII, by its encoding or the variable PUTBACK_ASCII."""
    if os.environ.get("PUTBACK_ASCII"):
        return True
    encoding = (getattr(sys.__stdout__, "encoding", None) or "").lower().replace("-", "")
    return os.environ.get("TERM") in ("dumb", "vt100", "vt220") or not encoding.startswith("utf")


def run_bench(folder: Path, machine: str, *, plain: bool = False) -> int:
    """Open the workshop in `folder` on the screen, with `plain` in words alone; return the exit status."""
    app = opened_once(folder, machine, plain=plain)
    while app.again:
        app = opened_once(folder, machine, plain=plain)
    return app.return_code or 0


def opened_once(folder: Path, machine: str, *, plain: bool) -> PutbackApp:
    """Open the workshop in `folder` on the screen until the person leaves; return the app, closed."""
    with open_at(folder) as workshop:
        sys.setswitchinterval(SWITCH)
        chosen = workshop.machine(machine).id if machine else 0
        app = PutbackApp(workshop, chosen, ascii_only=plain_terminal(), plain=plain, settings=settings_in(folder))
        app.quiet_faults = True
        app.asks_which, app.tells_elsewhere = not machine, bool(machine)
        app.caliper = CaliperWatch()
        app.flashes = not (os.environ.get("NO_COLOR") or app.glyphs.words)
        with bulk():
            workshop.record.last_step(app.machine_id)  # all that is known of the machine is read here, unwatched
        gc.freeze()  # the record lives as long as the program: the collector need not walk it at every key
        app.run()
        if app.fault is not None:
            raise PutbackError(tell_fault(folder, app.fault))
        return app


def tell_fault(folder: Path, fault: Exception) -> str:
    """Write down an error of our own and return the sentence that tells of it."""
    kept = "Everything the screen confirmed is on disk."
    details = "".join(traceback.format_exception(fault))
    path = folder / "out" / "fault.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(details, encoding="utf-8")
    except OSError:
        return f"Putback stopped because of an error of its own ({type(fault).__name__}). {kept}"
    return f"Putback stopped because of an error of its own ({type(fault).__name__}). {kept} The details are in {path}."
