"""What is said less often: the rarer fields of a step and a fastener, moves, the session."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from msgspec.structs import replace

from putback.errors import BadInput
from putback.reports.soaking import soaks
from putback.trade import commands as c
from putback.trade.checks.hang_tags import untagged
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import FIELD, FIELDS, READINGS, Field
from putback.trade.record.phrases import with_article
from putback.trade.record.place import read_place
from putback.trade.record.session import TARGET, Session
from putback.trade.record.step import Adjustment, Soak, Step
from putback.trade.sizes.reading_words import FIELD_WORDS
from putback.tui.bench.hand import Hand
from putback.tui.bench.of_what import OfWhat
from putback.tui.bench.table import Commands
from putback.tui.dialogs.job_doing import lifting
from putback.tui.dialogs.keyed import Asker
from putback.tui.dialogs.lists import SET_WHEN
from putback.tui.dialogs.numbers import BELL, HOURS, MINUTES, PIECES, STEP, number_in, steps_in
from putback.tui.dialogs.size_screen import ask_readings

BELL_ASKED = "After how many minutes does the bell ring?"
"""The question about the length of a segment, wherever it is asked."""

SESSION_ASKED = (
    "What is the session about?",
    BELL_ASKED,
    "Which box do its bags go into?",
    "What else should be noted?",
)
"""What can be said of a session when it begins."""


WHY_NEEDED = "Why? (comes off easily, so first; or nothing)"
"""The question behind the steps that had to be done first, or none."""


class RarerFields:
    """The list of what can be said further."""

    def __init__(self, hand: Hand, of: OfWhat, screen: Asker) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.of = of
        self.questions = of.questions
        self.screen = screen
        self.commands: Commands = {"further": self.further}

    async def further(self) -> None:
        """Ask which, and then what."""
        chosen = await self.questions.pick("What else do you want to note?", tuple(RARER_FIELDS))
        if chosen is not None:
            await RARER_FIELDS[chosen](self)
            self.screen.redraw()

    # -- of the step ---------------------------------------------------------------------------------

    async def _annotate(self, made: c.Annotate | None) -> None:
        number = self.of.step_noted()
        if not number:
            self.host.refuse("There is no step yet to note this for.")
        elif made is not None:
            self.host.do(replace(made, step=number))

    async def say_tools(self) -> None:
        """Ask for the tools to be laid out for the step."""
        text = await self.questions.ask("Which tools?", hint="with commas: driver 1.0 x 5.5, spanner 10")
        if text:
            await self._annotate(c.Annotate(tools=tuple(filter(None, map(str.strip, text.split(","))))))

    async def say_needs(self) -> None:
        """Ask for the numbers of the steps that had to be done first."""
        hint = "their numbers, as 3 5; nothing for none"
        text = await self.questions.ask_line("Which steps had to be done first?", hint=hint, reads=steps_in)
        if text is not None and self.of.step_noted():
            why = await self.questions.ask_line(WHY_NEEDED)
            if why is not None:
                self.host.do(c.SetNeeds(step=self.of.step_noted(), needs=steps_in(text), why=why))
        else:
            self.of.in_step()

    async def say_todo(self) -> None:
        """Ask for a job of the step; what goes into a bath now is noted as a soak."""
        noted = await self.questions.ask_job_of(self.of.step_noted())
        if noted is not None:
            await self._annotate(c.Annotate(todo=(noted.job,)) if isinstance(noted, c.SayJob) else noted)

    async def say_at_refit(self) -> None:
        """Ask for work that is done on the way back, before the step goes on."""
        text = await self.questions.ask("What is done on the way back, before it goes on?", hint="oil, a trial run")
        if text:
            await self._annotate(c.Annotate(at_refit=(text,)))

    async def say_covers(self) -> None:
        """Record that the step closes something at refit."""
        await self._annotate(c.Annotate(cover=True))

    async def say_setting(self) -> None:
        """Ask for a setting in full: as found, as it should be, why, and when it is set."""
        what = await self.questions.ask("Which setting?", hint="end stop, spring, play")
        if not what:
            return
        setting = Adjustment(what=what)
        while True:
            found = await self.questions.ask_found(setting, over=True)
            if found is None:
                return
            if found == setting:
                break
            setting = found
        answer = await self.questions.ask_lines([f"{what}: {name}" for name in ("as it should be", "why", "note")])
        if answer is None:
            return
        when = await self.questions.pick(f"When is {what} set on the way back?", SET_WHEN, here=SET_WHEN[0])
        if when is None:
            return
        should_be, why, note = answer
        setting = replace(setting, should_be=should_be, why=why, note=note, before=when == SET_WHEN[1])
        await self._annotate(c.Annotate(adjust=(setting,)))

    async def say_piece(self) -> None:
        """Ask for a loose piece in full: how many, where to, and a note."""
        if not self.of.in_step():
            return
        name = await self.questions.ask_piece()
        count = await self.questions.ask_count("How many?", value="1") if name else None
        lines = ["Where to? (nothing: the bag in hand)", "What else should be noted about it?"]
        answer = await self.questions.ask_lines(lines) if count is not None else None
        if name and count is not None and answer is not None:
            self.host.do(c.EnterPiece(name=name, count=count, put=answer[0], note=answer[1]))

    async def say_soak(self) -> None:
        """Ask for what soaks, in what, and for how many hours."""
        what = await self.questions.ask("What soaks, and in what?", hint="penetrant, main bush")
        hours = await self.questions.ask_number("For how many hours?", HOURS) if what else None
        if what and hours is not None:
            await self._annotate(c.Annotate(soak=Soak(what, hours)))

    async def say_lifted(self) -> None:
        """Ask which soak is over, and for the minutes of work it took."""
        found = soaks(self.record, self.host.machine_id, now=self.host.workshop.now())
        if not found:
            self.host.refuse("Nothing soaks on this machine.")
            return
        options = tuple(f"{bath.what}, {bath.where}: {bath.text}" for bath in found)
        chosen = options[0] if len(found) == 1 else await self.questions.pick("Which is lifted out?", options)
        took = await self.questions.ask_minutes("How many minutes of work did it take?") if chosen else None
        if chosen is not None and took is not None:
            self.host.do(lifting(found[options.index(chosen)], took[0]))

    async def say_hung(self) -> None:
        """Ask which loose thing gets a hang-tag, and hang the next free letter on it."""
        loose = untagged(self.record, self.host.machine_id)
        if not loose:
            self.host.refuse("Nothing lies loose without a tag.")
            return
        options = tuple(f"{held.thing.called}, step {self.record.get(Step, held.thing.step).number}" for held in loose)
        chosen = options[0] if len(loose) == 1 else await self.questions.pick("Hang a tag on what?", options)
        if chosen is not None:
            self.host.do(c.HangTag(thing=loose[options.index(chosen)].thing.id))

    async def say_took(self) -> None:
        """Ask for the minutes that the step takes, which are recorded when it is done."""
        minutes = await self.questions.ask_number("How many minutes does this step take?", MINUTES)
        if minutes is not None:
            self.hand.took = minutes
            self.host.say("note", f"{minutes:g} min, noted when the step is done")

    async def say_whole(self) -> None:
        """Record that the part comes off in one piece; said once more, that it is a single part."""
        step = self.hand.step_or_last()
        await self._annotate(c.Annotate(whole=step is None or not step.whole))

    # -- of the next fastener ------------------------------------------------------------------------

    def _also(self, name: str, text: str, label: str) -> None:
        self.hand.form = replace(self.hand.form, extra={**self.hand.form.extra, name: text})
        self.host.say("note", f"the next one: {label} {text}")

    async def say_of_next(self, field: Field) -> None:
        """Ask for a field of the next fastener, which is kept until that is entered."""
        answer = await self.questions.ask_said(field)
        if answer:
            self._also(field.name, answer, field.next_one)

    async def say_of_last(self, field: Field) -> None:
        """Ask for a field of the fastener just out."""
        last = self.record.last_taken_out(self.host.machine_id)
        if last is None or last.sort != "fastener":
            self.host.refuse("Nothing came out yet.")
        elif not field.applies(last.name):
            self.host.refuse(f"The last that came out is not {with_article(' or '.join(sorted(field.of)))}.")
        elif (answer := await self.questions.ask_said(field)) is not None:
            self.host.do(replace(MendFastener(thing=last.id), **{field.name: answer}))

    async def say_slot(self) -> None:
        """Ask for the slot of the next fastener and its head across, as measured."""
        await self._read(("slot", "across"), "How wide is the slot, and the head across?")

    async def _read(self, names: tuple[str, ...], caption: str) -> None:
        """Ask for readings of the next fastener that its form has no field for."""
        step = self.hand.step_or_last()
        if step is None:
            self.of.in_step()
            return
        message = await ask_readings(self.questions, self.record, step, self.hand.form, names, caption)
        for name, text in (message or {}).items():
            self._also(name, text, FIELD_WORDS.get(name, name))

    async def say_remark(self) -> None:
        """Ask for a note on the next fastener."""
        text = await self.questions.ask_note(FIELD["note"].question, of_fastener=True)
        if text:
            self._also("note", text, FIELD["note"].next_one)

    async def say_reading(self) -> None:
        """Ask for one more reading of the next fastener, of any sort."""
        name = await self.questions.pick("Which reading?", READINGS)
        if name:
            await self._read((name,), f"Which {FIELD_WORDS.get(name, name)} has the next one?")

    # -- of the bench --------------------------------------------------------------------------------

    async def say_move(self) -> None:
        """Ask for a move of something from a place to a place, by its name and step."""
        answer = await self.questions.ask_lines(
            ["What is moved?", "Of which step?", "How many?", "From where?", "To where?", "What else should be noted?"],
            {1: STEP, 2: PIECES},
        )
        if answer is None:
            return
        what, step, count, source, target, note = answer
        if not (step and count):
            self.host.refuse("Say of which step it is, and how many of it.")
            return
        try:
            ends = read_place(source), read_place(target)
        except BadInput as fault:
            self.host.refuse(str(fault))
            return
        at, pieces = int(number_in(step, STEP)), int(number_in(count, PIECES))
        self.host.do(c.CarryNamed(what=what, step=at, count=pieces, source=ends[0], target=ends[1], note=note))

    async def say_session(self) -> None:
        """Ask for what a session can say, and begin it; of one that goes on, what is to be said otherwise."""
        session = self.record.open_session(self.host.machine_id)
        if session is not None:
            await self.say_otherwise(session)
            return
        answer = await self.questions.ask_lines(SESSION_ASKED, {SESSION_ASKED.index(BELL_ASKED): BELL})
        if answer is None:
            return
        target = number_in(answer[1], BELL) if answer[1] else TARGET
        self.host.do(c.StartSession(title=answer[0], target=target, box=answer[2], note=answer[3]))

    async def say_otherwise(self, session: Session) -> None:
        """Ask which of a session's minutes, box and title is otherwise, and how it is."""
        lines = {
            f"minutes to the bell: {session.target:g}": "target",
            f"the box its bags go into: {session.box or 'none'}": "box",
            f"what it is about: {session.title or 'not said'}": "title",
        }
        chosen = await self.questions.pick(f"What of session {session.number} is otherwise?", tuple(lines))
        field = lines.get(chosen or "")
        if field == "target":
            minutes = await self.questions.ask_number(BELL_ASKED, BELL, value=f"{session.target:g}")
            if minutes is not None:
                self.host.do(c.MendSession(target=minutes))
        elif field == "box":
            box = await self.questions.ask_line("Which box do its bags go into?", value=session.box)
            if box is not None:
                self.host.do(c.MendSession(box=box))
        elif field == "title":
            title = await self.questions.ask_line("What is the session about?", value=session.title)
            if title is not None:
                self.host.do(c.MendSession(title=title))


Says = Callable[[RarerFields], Awaitable[None]]
"""Asks what can be said further, and says it."""


def _of_next(field: Field) -> Says:
    return lambda fields: fields.say_of_next(field)


def _of_last(field: Field) -> Says:
    return lambda fields: fields.say_of_last(field)


_IN_ORDER: dict[str, Says] = {
    "tools": RarerFields.say_tools,
    "needs these steps first": RarerFields.say_needs,
    "left to do": RarerFields.say_todo,
    "at refit, before it goes on": RarerFields.say_at_refit,
    "closes something at refit": RarerFields.say_covers,
    FIELD["small_end"].of_next: _of_next(FIELD["small_end"]),
    FIELD["note"].of_next: RarerFields.say_remark,
    "comes off in one piece": RarerFields.say_whole,
    "a setting, in full": RarerFields.say_setting,
    "a loose piece, in full": RarerFields.say_piece,
    "a soak, in full": RarerFields.say_soak,
    FIELD["should_be"].of_next: _of_next(FIELD["should_be"]),
    "another reading of the next": RarerFields.say_reading,
    "how long it took": RarerFields.say_took,
    "a move from place to place": RarerFields.say_move,
    "the bell, the box, what the session is about": RarerFields.say_session,
    "a soak is over: lifted out": RarerFields.say_lifted,
    "a hang-tag on what is loose": RarerFields.say_hung,
    "the slot of the next, as measured": RarerFields.say_slot,
}

RARER_FIELDS: dict[str, Says] = {
    **_IN_ORDER,
    **{field.of_next: _of_next(field) for field in FIELDS if field.of_next and field.of_next not in _IN_ORDER},
    **{field.of_last: _of_last(field) for field in FIELDS if field.of_last},
}
"""What can be said further, in the order of the list, and what asks and says it; fields of a fastener by their rows."""
