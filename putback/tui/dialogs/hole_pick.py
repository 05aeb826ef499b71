"""Which hole: a face with its holes, chosen by the place key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.trade.record.holes import counts_text, spots_of
from putback.trade.record.step import Step
from putback.tui.dialogs.keyed import KeyedModal, Taps
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.text import wrapped
from putback.tui.draw.views import hole_views, size_views
from putback.tui.form import entry
from putback.tui.widgets.plate import plate


class HolePick(KeyedModal[str | None]):
    """A face with its holes; a place key chooses. Gives the place, 1 to 9, or None."""

    def __init__(self, caption: str, step: Step, holes: Sequence[str], face: str, *, back: bool) -> None:
        """`holes` are those that can be chosen, all on `face`; `back`: it is drawn as the way back does."""
        super().__init__()
        self._caption = caption
        self._step = step
        self._chosen = {hole[0] for hole in holes}
        self._back = back
        self._face = face

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="holes")

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        """Draw the face."""
        width = min(56, inner_width(self.app.size.width))
        height = inner_height(self.app.size.height)
        record, step, glyphs = self.host.workshop.record, self._step, self.host.glyphs
        head = wrapped(self.voiced(self._caption), width, "bold $pb-text")
        foot = feet([("1-9", "hole"), self.host.keymap.pair("list.leave")], width)
        drawn = plate(
            hole_views(record, step, refit=self._back, face=self._face),
            size_views(record, step, refit=self._back, face=self._face),
            width,
            height - len(head) - len(foot),
            title=self._face,
            elsewhere=counts_text(step, spots_of(record, step), self._face),
            glyphs=glyphs,
            taps=True,
            keys=self.host.keymap.places,
        )
        for shown in self.query("#holes").results(Static):
            shown.update(Content("\n").join([*head, *drawn, *foot]))
            self.point(shown)

    @property
    def taps(self) -> Taps:
        return {"place": self.tap_place}

    def tap_place(self, place: str) -> None:
        """Choose a hole of the map."""
        self.press(place[0])

    @property
    def places(self) -> tuple[str, ...]:
        """As in a list."""
        return ("list",)

    def press(self, key: str) -> None:
        """Choose a hole, or leave."""
        if key in self._chosen:
            self.leave(key)
        elif key in (".", "0", "escape"):
            self.leave(None)
        elif key in entry.PLACES:
            self.host.ring("refused")
