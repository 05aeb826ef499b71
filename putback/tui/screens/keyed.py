"""What every screen of the bench shares: keys go through the scan watch and then to `press`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual import events
from textual.geometry import Offset
from textual.screen import ModalScreen, Screen, ScreenResultType
from textual.widget import Widget

from putback.tui.keys import sent

if TYPE_CHECKING:
    from putback.tui.app import PutbackApp


class Leaves:
    """A screen that is left once, however fast the keys come."""

    _left = False

    def leave(self, result: Any = None) -> None:
        """Go back to the screen below, once: a second fast key must not close that one, too."""
        if not self._left:
            self._left = True
            self.dismiss(result)  # type: ignore[attr-defined]


class Keyed(Leaves):
    """Sends each key on to `press`, unless it belongs to a scanned code."""

    @property
    def bench(self) -> PutbackApp:
        """The app, as itself."""
        return self.app  # type: ignore[attr-defined, no-any-return]

    def key_of(self, id: str) -> str:
        """Return how the key of a command is printed."""
        return self.bench.keymap.shown(id)

    def words(self, text: str) -> str:
        """Return a sentence of ours with the keys that it names as `{off}`."""
        return self.bench.keymap.words(text)

    def point(self, widget: Widget, row: int = 0) -> None:
        """Put the terminal's cursor on a row of a widget, where nothing is drawn: there a screen reader reads on."""
        if self.bench.glyphs.words:
            self.bench.cursor_position = widget.region.offset + Offset(0, row)

    @property
    def typing(self) -> bool:
        """Whether keys go to a line of text on this screen, and not to `press`."""
        return False

    @property
    def places(self) -> tuple[str, ...]:
        """The places of the key table that one is at here, now."""
        return ()

    def press(self, key: str) -> None:
        """Take one key of the table, named as `keys.pressed` names it."""
        raise NotImplementedError

    def take(self, key: str) -> None:
        """Take one key as it came, named as `keys.plain_key` names it: what it means is the person's keymap's."""
        meant = self.bench.keymap.plain(key, *self.places)
        if meant:
            self.press(meant)

    @property
    def on_top(self) -> bool:
        """Whether keys are for this screen, and not for one that has come over it or lay below."""
        top: object = self.bench.screen
        return not self._left and top is self

    def hand_on(self, key: str, character: str | None, time: float) -> None:
        """Give a key that came while this screen was closing, or another opening, to the one on top now."""
        top: object = self.bench.screen
        if top is not self:
            again = events.Key(key, character)
            again.time = time
            self.bench.screen.post_message(again)

    def on_key(self, event: events.Key) -> None:
        """Take a key off the app's hands."""
        if event.key in ("ctrl+c", "ctrl+q") or self.typing:
            return
        event.stop()
        event.prevent_default()
        if not self.on_top:
            self.hand_on(event.key, event.character, event.time)
            return
        for key in self.bench.sift(event):
            if self.on_top:
                self.take(key)
            else:
                self.hand_on(*sent(key), event.time)


class KeyedScreen(Keyed, Screen[ScreenResultType]):
    """A full screen driven by single keys."""


class KeyedModal(Keyed, ModalScreen[ScreenResultType]):
    """A card over the bench, driven by single keys."""
