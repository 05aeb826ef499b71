"""A part's card: where it sits on the machine, where it is now, and the steps done on it."""

from __future__ import annotations

from functools import partial

from textual.content import Content
from textual.screen import Screen

from putback.trade import commands as c
from putback.trade.machine import Part
from putback.tui.screens.card import Card, Link, Mend
from putback.tui.screens.step_card import StepScreen
from putback.tui.text import plain


class PartScreen(Card):
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

    def facts(self, width: int, room: int) -> list[Content]:
        part, record = self.part, self.record
        inside = record.get(Part, part.inside).name if part.inside else "the machine itself"
        lines = [plain(f"in {inside}", width, "$pb-muted")]
        off = record.off_at(part.id)
        if off is None:
            back = any(step.back for step in record.steps_of_part(part.id))
            lines.append(plain("on the machine, back again" if back else "on the machine", width, "bold $pb-text"))
        else:
            lines.append(plain(f"off since step {off.number}", width, "bold $pb-text"))
            for thing in record.things_of(off):
                if thing.part == part.id:
                    now = ", ".join(sorted(record.standing(thing.id)))
                    lines.append(plain(f"now: {now}", width, "bold $pb-text"))
        return lines

    def links(self) -> list[Link]:
        part, record = self.part, self.record
        steps = record.steps_of_part(part.id)
        found = [Link(f"step {s.number}: {s.told}", partial(StepScreen, s.id), s.began[:10]) for s in steps]
        if part.inside:
            above = record.get(Part, part.inside)
            found.append(Link(above.name, partial(PartScreen, above.id), "it sits in this"))
        if part.assembly:
            for other in record.all(Part, part.machine):
                if other.inside == part.id:
                    beside = "off" if record.off_at(other.id) else "sits in it"
                    found.append(Link(other.name, partial(PartScreen, other.id), beside))
        return found

    def beside(self, step: int) -> Screen[str | None] | None:
        kin = [other.id for other in self.record.all(Part, self.part.machine) if other.inside == self.part.inside]
        at = kin.index(self.part.id) + step
        return PartScreen(kin[at]) if 0 <= at < len(kin) else None

    def mends(self) -> list[Mend]:
        return [Mend(f"name: {self.part.name}", self.mend_name)]

    async def mend_name(self) -> None:
        """Ask for the name, which every step on the part bears, too."""
        steps = self.record.steps_of_part(self._part)
        if not steps:
            self.bench.refuse(f"Nothing was done at {self.part.name} yet: its name goes by its steps.")
            return
        name = await self.ask("It is called", value=self.part.name)
        if name and name != self.part.name:
            self.bench.do(c.RenamePart(step=steps[0].number, name=name))
