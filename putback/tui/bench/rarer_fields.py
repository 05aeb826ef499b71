"""What is said less often: the rarer fields of a step and a fastener, bags by number, moves, the session."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from msgspec.structs import replace
from textual import work

from putback.errors import BadInput
from putback.reports.todo import soaks
from putback.trade import commands as c
from putback.trade.checks.hang_tags import untagged
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import FIELD, FIELDS, READINGS, Field
from putback.trade.record.machine import Part
from putback.trade.record.phrases import with_article
from putback.trade.record.place import read_place
from putback.trade.record.session import TARGET, Session
from putback.trade.record.step import Adjustment, Soak, Step
from putback.trade.sizes.reading_words import FIELD_WORDS
from putback.tui.bench.bench_questions import BenchQuestions
from putback.tui.dialogs.lists import SET_WHEN
from putback.tui.dialogs.numbers import BELL, HOURS, MINUTES, PIECES, STEP, number_in, steps_in
from putback.tui.dialogs.questions import bag_of
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

_FURTHER = {
    "tools": "tools",
    "needs these steps first": "needs",
    "left to do": "todo",
    "at refit, before it goes on": "at_refit",
    "closes something at refit": "covers",
    FIELD["small_end"].of_next: "",
    FIELD["note"].of_next: "remark",
    "comes off in one piece": "whole",
    "a setting, in full": "setting",
    "a loose piece, in full": "piece",
    "a soak, in full": "soak",
    FIELD["should_be"].of_next: "",
    "another reading of the next": "reading",
    "how long it took": "took",
    "a move from place to place": "move",
    "the bell, the box, what the session is about": "session",
    "a soak is over: lifted out": "lifted",
    "a hang-tag on what is loose": "hung",
    "the slot of the next, as measured": "slot",
}
OF_NEXT = {field.of_next: field for field in FIELDS if field.of_next}
"""What can be said of the next fastener, by its line in the list."""

OF_LAST = {field.of_last: field for field in FIELDS if field.of_last}
"""What can be said of the fastener just out."""

RARER_FIELDS = _FURTHER | {line: "" for line in (*OF_NEXT, *OF_LAST) if line not in _FURTHER}
"""What can be said further, in the order of the list, and the question that says it: `say_tools`; of a field of a
fastener its row has the question."""


ANOTHER = "an assembly that is not in the list, still on: name it"
"""The line of the list of assemblies that adds one."""

WHY_NEEDED = "Why? (comes off easily, so first; or nothing)"
"""The question behind the steps that had to be done first, or none."""


class RarerFields(BenchQuestions):
    """The list of what can be said further, and bags and assemblies by number."""

    @work
    async def command_further(self) -> None:
        """Ask which, and then what."""
        chosen = await self.questions.pick("What else do you want to note?", tuple(RARER_FIELDS))
        if chosen is None:
            return
        if say := RARER_FIELDS[chosen]:
            asks: Callable[[], Awaitable[None]] = getattr(self, f"say_{say}")
            await asks()
        elif chosen in OF_NEXT:
            await self._say_of_next(OF_NEXT[chosen])
        else:
            await self._say_of_last(OF_LAST[chosen])
        self.redraw()

    @work
    async def command_hand(self) -> None:
        """Ask which bag things go into from now on."""
        hint = "a number; nothing for a new one"
        text = await self.questions.ask_line("Into which bag from now on?", hint=hint, reads=bag_of)
        if text is None:
            return
        number = bag_of(text)
        if self.step is not None:
            self.host.do(c.TakeBag(number=number))
        else:
            self.hand = number
            self.host.say("note", f"the next part goes into {f'bag {number}' if number else 'a new bag, once needed'}")
        self.redraw()

    @work
    async def command_inside(self) -> None:
        """Ask which assembly to work in."""
        areas = [p for p in self.record.all(Part, self.host.machine_id) if p.assembly]
        here = self.record.get(Part, self.area) if self.area else None
        out = f"out of {here.name}: the machine itself" if here is not None else "the machine itself"
        names = (out, *(p.name for p in areas), ANOTHER)
        chosen = await self.questions.pick(
            "Which assembly are you working inside?", names, here=here.name if here is not None else out
        )
        if chosen is None:
            return
        if chosen == ANOTHER:
            await self._add_assembly()
            return
        area = 0 if chosen == out else areas[names.index(chosen) - 1].id
        step = self.step
        if step is None or step.area == area:
            self.go_to(area)
        elif self.host.do(c.MendStep(step=step.number, inside=chosen if area else "")) is not None:
            self.area = area  # the part in hand was begun in the wrong one
            self.host.say("recorded", f"{step.name} is inside {self.area_name}", "this")

    async def _add_assembly(self) -> None:
        """Ask for an assembly that is still on, inside the one worked in, and work in it from now on."""
        name = await self.questions.ask(
            f"What is the assembly inside {self.area_name} called?", hint="one that is still on"
        )
        if name and self.host.do(c.AddAssembly(name=name, inside=self.area_name if self.area else "")) is not None:
            found = self.record.assembly_named(self.host.machine_id, name)
            self.area = found.id if found else self.area
            self.redraw()

    # -- of the step ---------------------------------------------------------------------------------

    async def _annotate(self, made: c.Annotate | None) -> None:
        number = self.step_noted()
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
        if text is not None and self.step_noted():
            why = await self.questions.ask_line(WHY_NEEDED)
            if why is not None:
                self.host.do(c.SetNeeds(step=self.step_noted(), needs=steps_in(text), why=why))
        else:
            self.in_step()

    async def say_todo(self) -> None:
        """Ask for a job of the step; what goes into a bath now is noted as a soak."""
        noted = await self.questions.ask_job_of(self.step_noted())
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
        if not self.in_step():
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
        options = tuple(f"{bath.what}, step {bath.step}: {bath.text}" for bath in found)
        chosen = options[0] if len(found) == 1 else await self.questions.pick("Which is lifted out?", options)
        took = await self.questions.ask_minutes("How many minutes hands on?") if chosen else None
        if chosen is not None and took is not None:
            self.host.do(c.EndSoak(step=found[options.index(chosen)].step, minutes=took[0]))

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
            self.took = minutes
            self.host.say("note", f"{minutes:g} min, noted when the step is done")

    async def say_whole(self) -> None:
        """Record that the part comes off in one piece; said once more, that it is a single part."""
        step = self.step or self.record.last_step(self.host.machine_id)
        await self._annotate(c.Annotate(whole=step is None or not step.whole))

    # -- of the next fastener ------------------------------------------------------------------------

    def _also(self, name: str, text: str, label: str) -> None:
        self.form = replace(self.form, extra={**self.form.extra, name: text})
        self.host.say("note", f"the next one: {label} {text}")

    async def _say_of_next(self, field: Field) -> None:
        """Ask for a field of the next fastener, which is kept until that is entered."""
        answer = await self.questions.ask_said(field)
        if answer:
            self._also(field.name, answer, field.next_one)

    async def _say_of_last(self, field: Field) -> None:
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
        step = self.step or self.record.last_step(self.host.machine_id)
        if step is None:
            self.in_step()
            return
        message = await ask_readings(self.questions, self.record, step, self.form, names, caption)
        for name, text in (message or {}).items():
            self._also(name, text, FIELD_WORDS.get(name, name))

    async def say_remark(self) -> None:
        """Ask for a note on the next fastener."""
        text = await self.questions.ask_note(FIELD["note"].question)
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
