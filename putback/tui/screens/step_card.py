"""A step's card: what was done, what came of it, and the ways to its bags, its part, its fasteners, its needs."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual.content import Content
from textual.screen import Screen

from putback.reports.cards import Card as NounCard
from putback.reports.cards import Way, done_told, step_card
from putback.trade.lying import map_turned
from putback.trade.photo import Photo, in_order
from putback.trade.step import Step
from putback.tui.screens.card import Link
from putback.tui.screens.step_mending import StepMending
from putback.tui.text import wrapped
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.plate import plate


class StepScreen(StepMending):
    """One step."""

    def __init__(self, step: int) -> None:
        super().__init__()
        self._step = step

    def is_there(self) -> bool:
        return self.record.find(Step, self._step) is not None

    @property
    def step(self) -> Step:
        """The step shown."""
        return self.record.get(Step, self._step)

    def machine(self) -> int:
        return self.step.machine

    def caption(self) -> str:
        return f"step {self.step.number}: {done_told(self.step)}"

    def photos(self) -> list[Photo]:
        return in_order(self.record.photos_of(self.step)) if self.is_there() else []

    def facts(self, width: int) -> list[Content]:
        step = self.step
        card = step_card(self.record, step)
        return [*wrapped(card.under, width, "$pb-muted"), *self.facts_of(card, width)]

    def picture(self, width: int, rows: int) -> list[Content]:
        step = self.step
        holes = hole_views(self.record, step)
        if not holes:
            return []
        sizes, turn = size_views(self.record, step), map_turned(self.record, step)
        return plate(holes, sizes, width, rows, title=step.face, turn=turn, glyphs=self.bench.glyphs)

    def links(self) -> list[Link]:
        return links_of(step_card(self.record, self.step))

    def beside(self, step: int) -> Screen[str | None] | None:
        found = self.record.step(self.step.machine, self.step.number + step)
        return StepScreen(found.id) if found is not None else None


def links_of(card: NounCard) -> list[Link]:
    """Return the ways on from a card, each with the screen it leads to."""
    from putback.tui.screens.bag_card import BagScreen
    from putback.tui.screens.part_card import PartScreen
    from putback.tui.screens.photo_card import PhotoScreen
    from putback.tui.screens.thing_card import ThingScreen

    def made(way: Way) -> Callable[[], Screen[str | None]]:
        if way.sort == "photos":
            return partial(PhotoScreen, list(way.ids))
        screens = {"bag": BagScreen, "part": PartScreen, "step": StepScreen, "thing": ThingScreen}
        return partial(screens[way.sort], way.ids[0])

    return [Link(way.said, made(way), way.beside) for way in card.ways]
