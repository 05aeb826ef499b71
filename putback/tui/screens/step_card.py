"""A step's card: what was done, what came of it, and the ways to its bags, its part, its fasteners, its needs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from textual.content import Content
from textual.screen import Screen

from putback.reports.bag_story import photos_told
from putback.reports.bags import bag_row
from putback.trade.checks import odd_about
from putback.trade.fastener import Thing
from putback.trade.lying import map_turned
from putback.trade.machine import Part
from putback.trade.photo import Photo
from putback.trade.step import Step
from putback.tui.screens.card import Link
from putback.tui.screens.pictured import in_order
from putback.tui.screens.step_mending import StepMending
from putback.tui.text import plain
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.plate import LEAST, plate


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
        return f"step {self.step.number}: {self.step.told}"

    def photos(self) -> list[Photo]:
        return in_order(self.record.photos_of(self.step)) if self.is_there() else []

    def facts(self, width: int, room: int) -> list[Content]:
        step = self.step
        area = self.record.get(Part, step.area).name if step.area else ""
        state = "coming off now" if step.is_open else "back on" if step.back else ""
        where = (f"{step.face} face" if step.face else "", area and f"inside {area}", state, _when(step))
        lines = [plain(", ".join(filter(None, where)), width, "$pb-muted")]
        for words in odd_about(self.record, step):
            lines += self.fact("asks", words, width)
        for words in step.cautions:
            lines += self.fact("caution", words, width)
        for words in self._told():
            lines += self.fact("note", words, width)
        holes = hole_views(self.record, step)
        left = room - len(lines) - min(9, len(self.links()))
        if holes and left >= LEAST + 1:
            sizes, turn = size_views(self.record, step), map_turned(self.record, step)
            lines += plate(holes, sizes, width, min(left, 13), title=step.face, turn=turn, glyphs=self.bench.glyphs)
        return lines

    def _told(self) -> Iterator[str]:
        step = self.step
        yield from filter(None, step.note.split("\n"))
        for setting in step.adjust:
            yield f"set {setting.told}"
        for words in step.at_refit:
            yield f"before it goes on: {words}"
        for chore in step.todo:
            yield f"to {chore.do}: {chore.what}"
        if step.soak is not None:
            yield f"soak, {step.soak.what}: {step.soak.hours:g} h"
        if step.put:
            yield f"the part went to: {step.put}"
        if step.tools:
            yield f"tools: {', '.join(step.tools)}"
        if step.cover:
            yield "it closes something at refit"
        if step.skipped:
            yield f"skipped at refit: {step.skipped}"
        yield from step.answers

    def links(self) -> list[Link]:
        from putback.tui.screens.bag_card import BagScreen
        from putback.tui.screens.part_card import PartScreen
        from putback.tui.screens.photo_card import PhotoScreen
        from putback.tui.screens.thing_card import ThingScreen

        step, record = self.step, self.record
        found: list[Link] = []
        for number in sorted(record.bags_filled_by(step.id)):
            bag = record.bag(step.machine, number)
            if bag is not None:
                row = bag_row(record, bag)
                found.append(Link(f"bag {number}", partial(BagScreen, bag.id), f"{row.state}, {row.count} in it"))
        if photos := self.photos():
            numbers = [photo.id for photo in photos]
            many, _, falls = photos_told(photos).partition(": ")
            found.append(Link(many, partial(PhotoScreen, numbers), falls))
        if step.part:
            part = record.get(Part, step.part)
            found.append(Link(part.name, partial(PartScreen, step.part), "the part itself"))
        for things in alike(record.things_of(step)):
            first = things[0]
            holes = ", ".join(dict.fromkeys(t.hole for t in things if t.hole))
            count = sum(t.count for t in things)
            name = "found empty" if first.found else f"{count} x {first.called}" if count != 1 else first.called
            beside = f"hole{'s' if ', ' in holes else ''} {holes}" if holes else ""
            found.append(Link(name, partial(ThingScreen, first.id), beside))
        for need in step.needs:
            other = record.step(step.machine, need)
            if other is not None:
                found.append(Link(f"step {need}: {other.told}", partial(StepScreen, other.id), "came first"))
        for other in record.steps_needing(step.machine, step.number):
            name = f"step {other.number}: {other.told}"
            found.append(Link(name, partial(StepScreen, other.id), "came after it"))
        return found

    def beside(self, step: int) -> Screen[str | None] | None:
        found = self.record.step(self.step.machine, self.step.number + step)
        return StepScreen(found.id) if found is not None else None


def _when(step: Step) -> str:
    day = step.began[:10]
    took = "" if step.minutes is None else f"{step.minutes:g} min"
    return ", ".join(filter(None, (day, took)))


def alike(things: list[Thing]) -> list[list[Thing]]:
    """Return fasteners and pieces in groups of one name, parts left out, as entered."""
    groups: dict[tuple[str, str, str], list[Thing]] = {}
    for thing in things:
        if thing.sort != "part":
            groups.setdefault((thing.sort, thing.called, thing.found), []).append(thing)
    return list(groups.values())
