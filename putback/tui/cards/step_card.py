"""A step's card: what was done, what came of it, and the ways to its bags, its part, its fasteners, its needs."""

from __future__ import annotations

from textual.content import Content
from textual.screen import Screen

from putback.reports.cards import done_text, step_card
from putback.trade.record.machine import Part
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.step import Step
from putback.tui.cards.card import Link
from putback.tui.cards.step_mending import StepMending
from putback.tui.draw.text import wrapped
from putback.tui.widgets.step_plates import step_plates


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
        return f"step {self.step.number}: {done_text(self.step)}"

    def photos(self) -> list[Photo]:
        return in_order(self.record.photos_of(self.step)) if self.is_there() else []

    def facts(self, width: int) -> list[Content]:
        step = self.step
        card = step_card(self.record, step)
        return [*wrapped(card.under, width, "$pb-muted"), *self.facts_of(card, width)]

    def picture(self, width: int, rows: int) -> list[list[Content]]:
        plates = step_plates(self.record, self.step)
        return [page for plate in plates for page in plate.pages(width, rows, self.host.glyphs)]

    def links(self) -> list[Link]:
        return [*self.links_of(step_card(self.record, self.step)), *self.apart_link()]

    def part_to_take_apart(self) -> Part | None:
        off = self.record.off_at(self.step.part) if self.step.part and self.is_ours else None
        return self.record.get(Part, self.step.part) if off is not None and off.id == self._step else None

    def beside(self, step: int) -> Screen[str | None] | None:
        found = self.record.step(self.step.machine, self.step.number + step)
        return self.host.screen_named("step", found.id) if found is not None else None
