"""The faces of a step, each as a picture of its own: what a card and the walk-back show."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from textual.content import Content

from putback.trade.record.holes import counts_text, faces_with_holes
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import map_turned
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.heads import HoleView
from putback.tui.draw.holes import Turn
from putback.tui.draw.legend import SizeView
from putback.tui.draw.views import hole_views, size_views, taken_holes
from putback.tui.widgets.plate import plate_pages


class StepPlate(Struct, frozen=True):
    """One face of a step."""

    face: str
    """What it is called; empty where that was not said."""
    holes: Sequence[HoleView]
    """Its holes."""
    sizes: Sequence[SizeView]
    """What came out of them."""
    elsewhere: str
    """How many holes lie on other faces."""
    turn: Turn
    """How far it is turned now against how it was recorded."""

    def pages(self, width: int, rows: int, glyphs: GlyphSet, cursor: str | None = None) -> list[list[Content]]:
        """Return it with its whole legend on pages of at most `rows` rows."""
        return plate_pages(
            self.holes,
            self.sizes,
            width,
            rows,
            cursor=cursor,
            title=self.face,
            elsewhere=self.elsewhere,
            turn=self.turn,
            glyphs=glyphs,
        )


def step_plates(record: Record, step: Step) -> list[StepPlate]:
    """Return the faces of a step that have holes, its own first; none where no hole of it is known."""
    return [step_plate(record, step, face) for face in faces_with_holes(record, step)]


def step_plate(record: Record, step: Step, face: str, now: str = "") -> StepPlate:
    """Return one face of a step; `now` is the place on it that is shown."""
    return StepPlate(
        face,
        hole_views(record, step, now=now, face=face),
        size_views(record, step, face=face),
        counts_text(step, taken_holes(record, step), face),
        map_turned(record, step, face),
    )
