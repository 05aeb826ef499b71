"""A fastener's or loose piece's card: its size and readings, where it is now, and every move it made."""

from __future__ import annotations

from functools import partial

from msgspec.structs import replace
from textual.content import Content
from textual.screen import Screen

from putback.reports.cards import thing_card
from putback.trade import commands as c
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import FIELDS, KINDS, Field, Hand, Thing
from putback.trade.record.holes import read_spot
from putback.trade.record.step import Step
from putback.trade.refit.confirmations import one_use
from putback.tui.cards.card import CardScreen, Link, Mend
from putback.tui.dialogs.size_screen import correct_size, size_corrected
from putback.tui.form.typed_readings import as_typed
from putback.tui.widgets.step_plates import step_plate


class ThingScreen(CardScreen):
    """One fastener, or some equal loose pieces."""

    def __init__(self, thing: int) -> None:
        super().__init__()
        self._thing = thing

    def is_there(self) -> bool:
        return self.record.find(Thing, self._thing) is not None

    @property
    def thing(self) -> Thing:
        """What is shown."""
        return self.record.get(Thing, self._thing)

    @property
    def step(self) -> Step:
        """The step that released it."""
        return self.record.get(Step, self.thing.step)

    def machine(self) -> int:
        return self.thing.machine

    def caption(self) -> str:
        return thing_card(self.record, self.thing).caption

    def facts(self, width: int) -> list[Content]:
        return self.facts_of(thing_card(self.record, self.thing), width)

    def picture(self, width: int, rows: int) -> list[list[Content]]:
        hole = self.thing.hole
        if not hole or self.host.glyphs.words:
            return []
        drawn = step_plate(self.record, self.step, self.thing.face or self.step.face, now=hole)
        return replace(drawn, turn=0).pages(width, rows, self.host.glyphs, cursor=hole)

    def links(self) -> list[Link]:
        return self.links_of(thing_card(self.record, self.thing))

    def beside(self, step: int) -> Screen[str | None] | None:
        kin = [t.id for t in self.record.things_of(self.step) if t.sort != "part"]
        at = kin.index(self.thing.id) + step if self.thing.id in kin else -1
        return ThingScreen(kin[at]) if 0 <= at < len(kin) else None

    # -- mending -------------------------------------------------------------------------------------

    def mends(self) -> list[Mend]:
        thing = self.thing
        into = Mend("it went into another bag", self.mend_bag)
        goes = "a new one goes in" if one_use(thing) else "the same one goes in again"
        once = [] if thing.sort == "part" or thing.found else [Mend(f"at refit: {goes}", self.mend_once)]
        if thing.sort != "fastener":
            return [into, *once]
        hole = Mend(f"hole: {thing.spot}", self.mend_hole)
        note = Mend(f"note: {thing.note or 'none'}", self.mend_note)
        if thing.found:
            return [hole, note]
        read = ", ".join(as_typed(thing.readings).values())
        return [
            hole,
            Mend(f"size, as read: {read or thing.size or 'not said'}", self.mend_readings),
            Mend(f"head: {thing.head or 'not said'}", self.mend_head),
            Mend(f"drive: {thing.drive or 'not said'}", self.mend_drive),
            Mend(f"kind: {thing.name}", self.mend_kind),
            Mend(f"thread: {thing.hand or 'right'}-hand", self.mend_hand),
            Mend(f"should be: {thing.should_be or 'as it is'}", self.mend_should_be),
            Mend(f"came out: {', '.join(thing.came_out) or 'not said'}", self.mend_came_out),
            note,
            into,
            *once,
            Mend("note a job on it", self.note_job),
            *(
                Mend(
                    f"{field.called}: {getattr(thing, field.name) or field.usual or field.unsaid}",
                    partial(self.mend_said, field),
                )
                for field in FIELDS
                if field.on_card and field.applies(thing.name)
            ),
        ]

    async def mend_said(self, field: Field) -> None:
        """Ask for what the card has no question of its own for."""
        answer = await self.questions.ask_said(field, getattr(self.thing, field.name))
        if answer is not None:
            await self.say_right(replace(c.MendFastener(thing=self._thing), **{field.name: answer}))

    async def note_job(self) -> None:
        """Ask for a job on this fastener, which is kept at its step with its hole."""
        noted = await self.questions.ask_job_of(self.step.number, self.thing.hole)
        if noted is not None:
            self.host.do(noted)

    async def mend_came_out(self) -> None:
        """Ask how it came out."""
        await self.questions.ask_came_out(self.thing)

    async def say_right(self, command: MendFastener) -> None:
        """Say something right of this one, and where others of its step are just like it, ask whether of them, too."""
        await size_corrected(self.questions, self.record, self.thing, command)

    async def mend_hole(self) -> None:
        """Ask for the right hole."""
        hint = "1 to 9, as 5 or 5a; on another face of the step: 3 right"
        text = await self.questions.ask_line("Which hole is right?", value=self.thing.spot, hint=hint, reads=read_spot)
        if not text:
            return
        hole, face = read_spot(text)
        self.host.do(c.MendFastener(thing=self._thing, hole=hole, face=face))

    async def mend_readings(self) -> None:
        """Ask for the size again, as it was typed; readings that are not typed anew stay as they are."""
        await correct_size(self.questions, self.record, self.thing)

    async def mend_head(self) -> None:
        """Ask for the head, and then what turns it: one correction."""
        head = await self.questions.ask_head(self.thing.head)
        if head is None:
            return
        drive = await self.questions.ask_drive(self.thing.drive, f"{head or 'Head not said'}. What turns it?")
        await self.say_right(c.MendFastener(thing=self._thing, head=head, drive=drive))

    async def mend_drive(self) -> None:
        """Ask what turns it."""
        drive = await self.questions.ask_drive(self.thing.drive)
        if drive is not None:
            await self.say_right(c.MendFastener(thing=self._thing, drive=drive))

    async def mend_kind(self) -> None:
        """Ask what it is."""
        kind = await self.questions.pick("What is it?", KINDS, here=self.thing.name)
        if kind:
            await self.say_right(c.MendFastener(thing=self._thing, kind=kind))

    async def mend_hand(self) -> None:
        """The thread is of the other hand."""
        hand: Hand = "right" if self.thing.hand == "left" else "left"
        await self.say_right(c.MendFastener(thing=self._thing, hand=hand))

    async def mend_should_be(self) -> None:
        """Ask for the size that belongs there."""
        text = await self.questions.ask_line(
            "What belongs here?", value=self.thing.should_be, hint="Enter alone: it is right"
        )
        if text is not None:
            await self.say_right(c.MendFastener(thing=self._thing, should_be=text))

    async def mend_note(self) -> None:
        """Ask for the note."""
        text = await self.questions.ask_line("What is the note?", value=self.thing.note)
        if text is not None:
            self.host.do(c.MendFastener(thing=self._thing, note=text))

    async def mend_once(self) -> None:
        """It goes in new at refit, or again after all."""
        self.host.do(c.MarkOnce(thing=self._thing, once=not one_use(self.thing)))

    async def mend_bag(self) -> None:
        """Ask for the bag it went into."""
        number = await self.ask_bag("Into which bag did it go?")
        if number is not None:
            self.host.do(c.Rebag(thing=self._thing, bag=number))

    def mended_step(self) -> Step | None:
        return self.step
