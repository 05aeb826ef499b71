"""A part's card: where it sits on the machine, where it is now, and the steps done on it."""

from __future__ import annotations

from textual.content import Content
from textual.screen import Screen

from putback.reports.cards import part_card
from putback.trade import commands as c
from putback.trade.record.machine import Part
from putback.tui.cards.card import CardScreen, Link, Mend
from putback.tui.draw.text import wrapped


class PartScreen(CardScreen):
    """One part or assembly."""

    def __init__(self, part: int) -> None:
        super().__init__()
        self._part = part

    def is_there(self) -> bool:
        return self.record.find(Part, self._part) is not None

    @property
    def part(self) -> Part:
        """The part shown."""
        return self.record.get(Part, self._part)

    def machine(self) -> int:
        return self.part.machine

    def caption(self) -> str:
        return f"{'assembly' if self.part.assembly else 'part'}: {self.part.name}"

    def facts(self, width: int) -> list[Content]:
        card = part_card(self.record, self.part)
        return [*wrapped(card.under, width, "$pb-muted"), *self.facts_of(card, width)]

    def links(self) -> list[Link]:
        return [*self.links_of(part_card(self.record, self.part)), *self.apart_link()]

    def part_to_take_apart(self) -> Part | None:
        part = self.part
        return part if self.is_ours and (part.assembly or self.record.off_at(part.id) is not None) else None

    def beside(self, step: int) -> Screen[str | None] | None:
        kin = [other.id for other in self.record.all(Part, self.part.machine) if other.inside == self.part.inside]
        at = kin.index(self.part.id) + step
        return PartScreen(kin[at]) if 0 <= at < len(kin) else None

    def mends(self) -> list[Mend]:
        jobs = [Mend("note a job on it", self.note_job)] if self.record.steps_of_part(self._part) else []
        return [Mend(f"name: {self.part.name}", self.mend_name), *jobs]

    async def note_job(self) -> None:
        """Ask for a job on the part, which is kept at the last step that was done on it."""
        noted = await self.questions.ask_job_of(self.record.steps_of_part(self._part)[-1].number)
        if noted is not None:
            self.host.do(noted)

    async def mend_name(self) -> None:
        """Ask for the name, which every step on the part bears, too."""
        steps = self.record.steps_of_part(self._part)
        if not steps:
            self.host.refuse(f"Nothing was done at {self.part.name} yet: its name goes by its steps.")
            return
        name = await self.questions.ask("What is it called?", value=self.part.name)
        if name and name != self.part.name:
            self.host.do(c.RenamePart(step=steps[0].number, name=name))
