"""What every screen of the bench shares: keys go through the scan watch and then to `press`."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Mapping
from typing import Any, Protocol

from textual import events, work
from textual.actions import SkipAction
from textual.geometry import Offset
from textual.screen import ModalScreen, Screen, ScreenResultType
from textual.widget import Widget
from textual.worker import Worker

from putback.reports.spoken import spoken
from putback.trade.record.bag import Bag
from putback.trade.record.step import Step
from putback.tui.host import Host
from putback.tui.keyboard.keys import sent

COPIED = "copied to the clipboard, where the terminal allows that"
"""What is said once text was copied; the terminal is asked by OSC 52."""

PATIENCE = 2.0
"""Seconds that a key waits for the question which is on its way."""


Question = Callable[[], Coroutine[Any, Any, None]]
"""Asks something over a screen, and does what the answer means."""


Taps = Mapping[str, Callable[[str], None]]
"""What words under a finger do, given what they carry."""


class Asker(Protocol):
    """A screen, as the parts see it that have something asked over it."""

    def begin_asking(self, question: Question) -> object:
        """Have a question asked; keys that come before it is there wait for it."""

    def redraw(self) -> None:
        """Draw what is."""


class LeavesOnce:
    """A screen that is left once, however fast the keys come."""

    _left = False
    passing = False
    """Whether it is only a question over the screen one works at."""

    def leave(self, result: Any = None) -> None:
        """Go back to the screen below, once: a second fast key must not close that one, too."""
        top: object = self.app.screen  # type: ignore[attr-defined]
        if not self._left and top is self:
            self._left = True
            self.dismiss(result)  # type: ignore[attr-defined]
            # Textual keeps what paints a widget long after that is closed; with its rows that is 6 MB in 1,000 keys.
            for widget in self.walk_children(Widget):  # type: ignore[attr-defined]
                widget.refresh()


class Keyed(LeavesOnce):
    """Sends each key on to `press`, unless it belongs to a scanned code.

    A key that comes before the question it answers is on the screen waits for it: a question is asked from a
    worker, and takes a moment.
    """

    _early: tuple[tuple[str, str | None, float], ...] = ()
    _pasted: tuple[str, ...] = ()
    _silent: frozenset[int] = frozenset()
    """Workers that have asked nothing for so long that no key waits for them."""

    @property
    def host(self) -> Host:
        """The app, as its screens see it."""
        return self.app  # type: ignore[attr-defined, no-any-return]

    def key_of(self, id: str) -> str:
        """Return how the key of a command is printed."""
        return self.host.keymap.shown(id)

    def show_keys(self, *places: str) -> None:
        """Open the page of the keys that work at some places of the key table."""
        self.host.push_screen(self.host.screen_named("keys", places))

    def words(self, text: str) -> str:
        """Return a sentence of ours with the keys that it names as `{off}`."""
        return self.host.keymap.words(text)

    def voiced(self, words: str) -> str:
        """Return words as they are shown: spelled out where nothing is drawn."""
        if not self.host.glyphs.words:
            return words
        return spoken(words)

    def point(self, widget: Widget, row: int = 0) -> None:
        """Put the terminal's cursor on a row of a widget, where nothing is drawn: there a screen reader reads on."""
        if self.host.glyphs.words:
            self.host.cursor_position = widget.region.offset + Offset(0, row)

    @property
    def typing(self) -> bool:
        """Whether keys go to a line of text on this screen, and not to `press`."""
        return False

    @property
    def taps(self) -> Taps:
        """What a tap on words does here, by the sort of words."""
        return {}

    @property
    def places(self) -> tuple[str, ...]:
        """The places of the key table that one is at here, now."""
        return ()

    @property
    def far(self) -> bool:
        """Whether what is shown is to be read from a metre away."""
        return False

    @property
    def step_coming_off(self) -> Step | None:
        """The step being done, where a part comes off on this screen."""
        return None

    def bag_scanned(self, bag: Bag) -> bool:
        """Take a bag that was scanned here; False where its card is to be shown."""
        return False

    def press(self, key: str) -> None:
        """Take one key of the table, named as `keys.pressed` names it."""
        raise NotImplementedError

    def take(self, key: str) -> None:
        """Take one key as it came, named as `keys.plain_key` names it: what it means is the person's keymap's."""
        meant = self.host.keymap.plain(key, *self.places)
        if meant:
            self.press(meant)

    @property
    def on_top(self) -> bool:
        """Whether keys are for this screen, and not for one that has come over it or lay below."""
        top: object = self.host.screen
        return not self._left and top is self

    def hand_on(self, key: str, character: str | None, time: float) -> None:
        """Give a key that came while this screen was closing, or another opening, to the one on top now."""
        top: object = self.host.screen
        if top is not self:
            again = events.Key(key, character)
            again.time = time
            self.host.screen.post_message(again)

    @property
    def asking(self) -> bool:
        """Whether a question of this screen is on its way, or its answer just being taken."""
        return bool(self._working() - self._silent)

    def _working(self) -> frozenset[int]:
        me: object = self
        return frozenset(id(worker) for worker in self.host.workers if worker.node is me and not worker.is_finished)

    def on_key(self, event: events.Key) -> None:
        """Take a key off the app's hands."""
        if event.key in ("ctrl+c", "ctrl+q") or self.typing:
            return
        event.stop()
        event.prevent_default()
        if self._is_not_now(event.key, event.character, event.time):
            return
        for key in self.host.sift(event):
            if not self._is_not_now(*sent(key), event.time):
                self.take(key)

    def action_copy_text(self) -> None:
        """Copy what is selected, and say so; without a selection the key means what it means elsewhere."""
        me: object = self
        selected = me.get_selected_text() if isinstance(me, Screen) else None
        if not selected:
            raise SkipAction
        self.host.copy_to_clipboard(selected)
        self.host.say("note", COPIED)

    def on_paste(self, event: events.Paste) -> None:
        """Keep pasted text for a question that is on its way; where none is, say that it went nowhere."""
        event.stop()
        if self.typing:
            return
        if self.asking:
            if not self._early:
                self.host.set_timer(PATIENCE, self._give_up)
            self._pasted = (*self._pasted, event.text)
        else:
            self.host.refuse("Pasted text goes into a question that asks for words; nothing was recorded.")

    def _is_not_now(self, key: str, character: str | None, time: float) -> bool:
        """Give a key to the screen on top if that is another, keep it while a question is on its way; tell of it."""
        if not self.on_top:
            self._let_go()
            self.hand_on(key, character, time)
        elif self.asking:
            if not self._early:
                self.host.set_timer(PATIENCE, self._give_up)
            self._early = (*self._early, (key, character, time))
        else:
            return False
        return True

    def on_screen_suspend(self) -> None:
        """Give the keys that came early to the question."""
        self._let_go()

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Take the keys that came early, where no question came."""
        if event.worker.is_finished and not self.asking:
            self._let_go()

    def _give_up(self) -> None:
        if (self._early or self._pasted) and self.on_top:
            self._silent = self._working()
        self._let_go()

    def _let_go(self) -> None:
        pasted, self._pasted = self._pasted, ()
        for text in pasted:
            self.host.screen.post_message(events.Paste(text))
        early, self._early = self._early, ()
        for key, character, time in early:
            again = events.Key(key, character)
            again.time = time
            self.host.screen.post_message(again)


class KeyedScreen(Keyed, Screen[ScreenResultType]):
    """A full screen driven by single keys."""

    @work
    async def begin_asking(self, question: Question) -> None:
        """Have a question asked; keys that come before it is there wait for it."""
        await question()


class KeyedModal(Keyed, ModalScreen[ScreenResultType]):
    """A card over the bench, driven by single keys."""
