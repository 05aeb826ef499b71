"""The app as its screens see it: what they may ask of it, and the other screens by their names.

A screen never imports one of another room. It asks for that one by name, and `screens.py` knows where it is.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any, Literal

from textual import events
from textual.screen import Screen
from textual.widget import Widget

from putback.reports.jobs_page import JobsKept
from putback.settings import Settings
from putback.trade import commands as c
from putback.trade.record.machine import Machine
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.pictures import Pictures
from putback.tui.draw.views import MessageData
from putback.tui.inside_textual import FaultKept
from putback.tui.keyboard.keymap import Keymap
from putback.tui.keyboard.own_strokes import OwnStrokes
from putback.tui.sitting import Sitting
from putback.workshop import Done, Workshop

ScreenName = Literal[
    "bench", "refit", "walk-back", "summary", "break", "find", "clock code", "keys", "new label", "jobs", "job",
    "bag", "part", "step", "thing", "photos", "machine",
]  # fmt: skip
"""A screen by its name; the last six are cards, named as the things they show."""


class Host(FaultKept):
    """What the screens find behind them."""

    workshop: Workshop
    """The open workshop; what is done to it goes through `do`."""
    machine_id: int
    """The machine on the bench; 0 in an empty workshop."""
    keymap: Keymap
    """The keys as the person's layout and settings have them."""
    settings: Settings
    """The person's settings."""
    glyphs: GlyphSet
    """What is drawn with: Unicode, ASCII, or words alone."""
    pictures: Pictures
    """Photos made ready off the screen's thread."""
    own: OwnStrokes
    """How many strokes a fastener took, counted while the program is open."""
    jobs_kept: JobsKept
    """What is left to do of every machine, as far as it was gathered."""
    sitting: Sitting
    """The session on the bench, and the folder it is written to."""
    message: MessageData
    """The line that says what the last key did."""
    seconds: Callable[[], float]
    """A clock that only runs on: how long a step has been on the screen."""
    night: str = ""
    """The last act before a gap over midnight that was asked about already."""
    words_told: set[str]
    """The short words of a size whose meaning was said since the program was opened."""
    going_inside: int = 0
    """The part that a card was left for, to be worked in; 0 for none."""
    warned_back: set[tuple[int, str]]
    """The session and the cause of each usual caution that stood on the card of a step put back."""

    @property
    def machine(self) -> Machine | None:
        """The machine on the bench, or None in an empty workshop."""
        raise NotImplementedError

    def screen_named(self, name: ScreenName, *about: Any, **how: Any) -> Screen[Any]:
        """Return a new screen of that name; `about` and `how` are what its class is made with."""
        raise NotImplementedError

    def card_of(self, sort: str, *numbers: int) -> Screen[str | None]:
        """Return the card of a thing of some sort (bag, part, step, thing, fastener, piece), or that of some photos."""
        raise NotImplementedError

    # -- saying

    def say(self, sort: str, words: str, back: str = "", *, rings: str | None = None) -> None:
        """Put a line under the panes, and ring for it; `back` is what - would take back.

        `rings` is the pattern of the bell where that is not the sort's own: empty for none.
        """
        raise NotImplementedError

    def refuse(self, words: str) -> None:
        """Say that nothing was done, and why."""
        raise NotImplementedError

    def ring(self, sort: str) -> None:
        """Ring the bell for something that was said."""
        raise NotImplementedError

    # -- doing

    def do(self, command: c.Command, *, quiet: bool = False, machine: int = 0) -> Done | None:
        """Do one command on the machine, or on `machine`; what happened or why not is said. None where it was
        refused."""
        raise NotImplementedError

    def take_back(self, machine: int = 0) -> Done | None:
        """Take back the last change of the machine on the bench, or of `machine`, and say what that was."""
        raise NotImplementedError

    def bring_again(self) -> Done | None:
        """Do again what was taken back last, and say what that was."""
        raise NotImplementedError

    def walk(self, *messages: str) -> Screen[None] | None:
        """Return the walk-back over the last three steps; None where there is nothing to walk back over."""
        raise NotImplementedError

    def change_machine(self, machine: int) -> None:
        """Put another machine on the bench."""
        raise NotImplementedError

    def action_quit_bench(self) -> None:
        """Leave the program."""
        raise NotImplementedError

    def write_here(self) -> None:
        """Open the workshop once more, to write: the copy that wrote has closed."""
        raise NotImplementedError

    # -- keys

    def sift(self, event: events.Key) -> list[str]:
        """Return the keys to act on now, after the scan watch has looked at this one."""
        raise NotImplementedError

    def field_key(self, line: Widget, event: events.Key) -> bool:
        """Follow a key typed into free text; True where it must not reach the field."""
        raise NotImplementedError

    # -- questions

    async def push_screen_wait(self, screen: Screen[Any] | str, *, mode: str | None = None) -> Any:
        """Open a screen from a worker and wait for what it gives.

        What the app has still to do comes first. It is not done in the worker, as Textual would: where it is the end of
        the worker's own screen, which cancels the worker, the app must not be cancelled with it.
        """
        done = asyncio.Event()
        self.call_next(done.set)
        await done.wait()
        return await asyncio.shield(self.push_screen(screen, wait_for_dismiss=True, mode=mode))
