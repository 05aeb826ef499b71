"""Mending a step from its card: each field asked for as it stands, and what was forgotten."""

from __future__ import annotations

from functools import partial

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.checks.walked import wrong_at
from putback.trade.record.default_place import usual_place
from putback.trade.record.fastener import FIELD, KINDS
from putback.trade.record.holes import read_spot
from putback.trade.record.job import DONE, IN_HAND, TO_DO, Job
from putback.trade.record.machine import FACES, Machine, Part
from putback.trade.record.step import DOINGS, LISTS, Adjustment, Step
from putback.tui.cards.card import CardScreen, Mend
from putback.tui.dialogs.lists import SET_WHEN
from putback.tui.dialogs.numbers import MINUTES, TURNS, number_in, steps_in
from putback.tui.dialogs.size_screen import as_answered, ask_late
from putback.tui.form import entry
from putback.tui.form.typed_size import entered

ADD = "add one"
CAME_FROM = "each to where it came from"
WRONG_ENDS = "take it out"
NO_FACE = "no face"
ITSELF = "the machine itself"

CHANGE = "change what it is or when it is needed"

JOB_STATES = {"it is in hand from now on": IN_HAND, "it is done": DONE, "it is still to do": TO_DO}
"""What is said of how a job stands."""

SETTING = (
    "turns", "mark", "gap", "shims", "measure", "should be", "why", "note", "when it is set", "as set", "why so",
)  # fmt: skip
"""What can be said of a setting, in the order of the list."""


class StepMending(CardScreen):
    """The questions; the card says which step they are about."""

    @property
    def step(self) -> Step:
        """The step shown."""
        raise NotImplementedError

    def mends(self) -> list[Mend]:
        step, record = self.step, self.record
        area = record.get(Part, step.area).name if step.area else ITSELF
        lists = [
            Mend(f"{one.on_card}: {_few(getattr(step, one.name))}", partial(self.mend_texts, one.name, one.on_card))
            for one in LISTS
        ]
        wrong = wrong_at(record, step) is not None
        found = [
            *([Mend("it is right after all: at the walk-back it seemed wrong", self.right_after_all)] if wrong else []),
            *([Mend("it has to come off again", self.off_again)] if step.back else []),
            Mend(f"name: {step.name}", self.mend_name),
            Mend(f"face: {step.face or 'not said'}", self.mend_face),
            Mend(f"inside: {area}", self.mend_inside),
            *([Mend(f"the part went to: {step.put}", self.mend_put)] if step.put else []),
            Mend(f"note: {_few(step.note.split(chr(10)))}", self.mend_note),
            Mend(f"settings: {_few([a.what for a in step.adjust])}", self.mend_settings),
            *lists[:3],
            Mend("a fastener that was forgotten", self.late_fastener),
            Mend("a loose piece that was forgotten", self.late_piece),
            Mend("a step that was forgotten before this one", self.late_step),
            Mend(f"jobs: {_few([f'{job.do} {job.what}' for job in step.todo])}", self.mend_todo),
            Mend(f"needs first: {', '.join(map(str, step.needs)) or 'nothing'}", self.mend_needs),
            Mend(f"minutes: {'not said' if step.minutes is None else f'{step.minutes:g}'}", self.mend_minutes),
            Mend(f"closes something at refit: {'yes' if step.cover else 'no'}", self.mend_cover),
        ]
        if step.do == "turn":
            found.append(Mend(f"it lies: {step.state or 'not said'}", self.mend_state))
        return [*found, *lists[3:]]

    def _mend(self, **fields: object) -> None:
        self.host.do(c.MendStep(step=self.step.number, **fields))  # type: ignore[arg-type]

    def mended_step(self) -> Step | None:
        return self.step

    async def right_after_all(self) -> None:
        """Close what the walk-back said to be wrong: it is as recorded."""
        self.host.do(c.WalkBack(step=self.step.number, answer="right after all"))

    async def off_again(self) -> None:
        """Ask where what the step put back goes, and take it off again."""
        places = ("shelf", "loose on the bench", "box ...", "bag ...")
        place = await self.questions.pick("Where does it go?", (CAME_FROM, *places), here=CAME_FROM)
        put = "" if place == CAME_FROM else await self.questions.place_named(place) if place is not None else None
        if put is not None:
            self.host.do(c.TakeOffAgain(step=self.step.number, put=put))

    # -- single fields -------------------------------------------------------------------------------

    async def mend_name(self) -> None:
        """Ask for the name."""
        name = await self.questions.ask(f"What is step {self.step.number} called?", value=self.step.name)
        if name and name != self.step.name:
            self._mend(name=name)

    async def mend_face(self) -> None:
        """Ask for the face."""
        face = await self.questions.pick("Which face is right?", (*FACES, NO_FACE), here=self.step.face)
        if face is not None:
            self._mend(face="" if face == NO_FACE else face)

    async def mend_inside(self) -> None:
        """Ask for the assembly."""
        areas = [part for part in self.record.all(Part, self.step.machine) if part.assembly]
        names = (ITSELF, *(part.name for part in areas))
        here = self.record.get(Part, self.step.area).name if self.step.area else ITSELF
        chosen = await self.questions.pick("Inside what?", names, here=here)
        if chosen is not None:
            self._mend(inside="" if chosen == ITSELF else chosen)

    async def mend_put(self) -> None:
        """Ask where the part went."""
        place = await self.questions.ask_place(
            f"Where did the part go? Noted: {self.step.put}", self.step.bag, self.step.put
        )
        if place:
            await self.questions.do_asked(c.MendStep(step=self.step.number, put=place))

    async def mend_minutes(self) -> None:
        """Ask how long it took."""
        minutes = await self.questions.ask_number("How many minutes did it take?", MINUTES)
        if minutes is not None:
            self._mend(minutes=minutes)

    async def mend_cover(self) -> None:
        """It closes something at refit, or it does not after all."""
        self._mend(cover=not self.step.cover)

    async def mend_state(self) -> None:
        """Ask how the machine lay."""
        state = await self.questions.ask(
            "How did it lie then?", value=self.step.state, hint="upright, on its left side"
        )
        if state:
            self._mend(state=state)

    async def mend_needs(self) -> None:
        """Ask which steps had to be done first."""
        value = " ".join(map(str, self.step.needs))
        hint = "3 5; nothing for none"
        text = await self.questions.ask_line(
            "Which steps had to be done first?", value=value, hint=hint, reads=steps_in
        )
        if text is None:
            return
        why = await self.questions.ask_line("Why? (comes off easily, so first; or nothing)", value=self.step.why_needs)
        if why is not None:
            self.host.do(c.SetNeeds(step=self.step.number, needs=steps_in(text), why=why))

    # -- lists ---------------------------------------------------------------------------------------

    async def mend_note(self) -> None:
        """Ask for a line of the note."""
        lines = [line for line in self.step.note.split("\n") if line]
        mended = await self._list("Which line of the note?", lines)
        if mended is not None:
            self._mend(note="\n".join(mended))

    async def mend_texts(self, name: str, word: str) -> None:
        """Ask for one of several texts."""
        mended = await self._list(f"Which of these: {word}?", list(getattr(self.step, name)))
        if mended is not None:
            self._mend(**{name: tuple(mended)})

    async def _list(self, word: str, texts: list[str]) -> list[str] | None:
        """Ask which of some texts is wrong and what it should say; None where it was left."""
        chosen = await self._which(word, texts)
        if chosen is None:
            return None
        old = texts[chosen] if chosen < len(texts) else ""
        text = await self.questions.ask_line("What should it say?", value=old, hint="empty: take it out" if old else "")
        if text is None:
            return None
        texts[chosen : chosen + 1] = [text] if text else []
        return texts

    async def _which(self, word: str, texts: list[str]) -> int | None:
        if not texts:
            return 0
        options = (*texts, ADD)
        chosen = await self.questions.pick(word, options)
        return None if chosen is None else options.index(chosen)

    async def mend_todo(self) -> None:
        """Ask which job it is about, and how that stands or what is wrong of it."""
        todo = list(self.step.todo)
        chosen = await self._which("Which job?", [job.text for job in todo])
        if chosen is None:
            return
        if chosen < len(todo):
            answer = await self.questions.pick(f"How does it stand? {todo[chosen].text}", _ways(todo[chosen]))
            if answer in JOB_STATES:
                await self._job_stands(todo[chosen], JOB_STATES[answer])
                return
            if answer is None:
                return
        else:
            answer = ADD
        job = None if answer == WRONG_ENDS else await self.questions.ask_job(todo[chosen] if answer == CHANGE else None)
        if job is not None or answer == WRONG_ENDS:
            todo[chosen : chosen + 1] = [] if job is None else [job]
            self._mend(todo=tuple(todo))

    async def _job_stands(self, job: Job, state: str) -> None:
        """Say that a job is to do, in hand or done; of one that is done, ask what came of it."""
        result: str | None = ""
        if state == DONE:
            result = await self.questions.ask_line(
                "What was the result?", value=job.result, hint="brazed and filed; or nothing"
            )
        if result is not None:
            work = c.WorkOn(step=self.step.number, do=job.do, what=job.what, state=state, result=result)
            self.host.do(work)

    async def mend_settings(self) -> None:
        """Ask which setting is wrong, and what of it."""
        settings = list(self.step.adjust)
        chosen = await self._which("Which setting?", [a.text for a in settings])
        if chosen is None:
            return
        if chosen == len(settings):
            what = await self.questions.ask("Which setting?", hint="end stop, spring, play")
            if not what:
                return
            settings.append(Adjustment(what=what))
        field = await self.questions.pick(f"What is wrong: {settings[chosen].text}?", ("what", *SETTING, WRONG_ENDS))
        if field is None:
            return
        if field == WRONG_ENDS:
            del settings[chosen]
        else:
            mended = await self._setting(settings[chosen], field)
            if mended is None:
                return
            settings[chosen] = mended
        self._mend(adjust=tuple(settings))

    async def _setting(self, setting: Adjustment, field: str) -> Adjustment | None:
        if field == "turns":
            value = "" if setting.turns is None else f"{setting.turns:g}"
            text = await self.questions.ask_line("How many turns?", value=value, reads=partial(number_in, of=TURNS))
            return None if text is None else replace(setting, turns=number_in(text, TURNS) if text else None)
        if field == "shims":
            text = await self.questions.ask_line(
                "Which shims?", value=", ".join(setting.shims), hint="with commas: .010 at 8"
            )
            if text is None:
                return None
            return replace(setting, shims=tuple(s.strip() for s in text.split(",") if s.strip()))
        if field == "when it is set":
            here = SET_WHEN[setting.before]
            when = await self.questions.pick(f"When is {setting.what} set on the way back?", SET_WHEN, here=here)
            return None if when is None else replace(setting, before=when == SET_WHEN[1])
        name = field.replace(" ", "_")
        text = await self.questions.ask_line(f"What should it say: {field}?", value=getattr(setting, name))
        return None if text is None else replace(setting, **{name: text})

    # -- what was forgotten --------------------------------------------------------------------------

    async def late_fastener(self) -> None:
        """Ask for a fastener that came off at this step and was not written down; where refused, ask it all again."""
        empty = "nothing: found empty"
        kind = await self.questions.pick("What came out of the hole?", (*KINDS, empty), here="screw")
        if kind == empty:
            await self._late_empty()
            return
        form: entry.Form | None = None
        message, face = "", self.step.face_in_hand
        while kind:
            answer = await ask_late(self.questions, self.record, self.step, kind, form, message, face)
            bag = await self._late_bag() if answer is not None else None
            if answer is None or bag is None:
                return
            form, face = answer
            fastener = entered(form, self.record.get(Machine, self.step.machine))
            late = c.EnterLate(
                step=self.step.number,
                bag=bag,
                hole=fastener.hole,
                face=face,
                kind=kind,
                readings=fastener.readings,
                **{name: getattr(fastener, name) for name in FIELD},
            )
            if self.host.do(late) is not None:
                return
            form, message = as_answered(form), self.host.message.words

    async def _late_empty(self) -> None:
        """Ask for a hole that was found empty; where refused, ask it again with what was answered."""
        hole, note, message = "", "", ""
        while True:
            hint = "1 to 9, as 5 or 5a; on another face: 3 right"
            asked = f"{message}Out of which hole?"
            hole = await self.questions.ask_line(asked, value=hole, hint=hint, reads=read_spot) or ""
            answer = (
                await self.questions.ask_line("What is in it?", value=note, hint="clean and bright, paint")
                if hole
                else None
            )
            if answer is None:
                return
            note = answer
            place, face = read_spot(hole)
            late = c.EnterLate(step=self.step.number, hole=place, face=face, found="empty", note=note)
            if self.host.do(late) is not None:
                return
            message = f"{self.host.message.words} "

    async def late_piece(self) -> None:
        """Ask for loose pieces that came out at this step."""
        name = await self.questions.ask_piece()
        count = await self.questions.ask_count("How many?", value="1") if name else None
        bag = await self._late_bag() if name and count is not None else None
        if name and count is not None and bag is not None:
            put = f"bag {bag}" if bag else ""
            self.host.do(c.EnterPieceLate(step=self.step.number, name=name, count=count, put=put))

    async def _late_bag(self) -> int | None:
        """Ask for a bag where the step's own is closed; 0 for the step's own, None where it was left."""
        machine = self.step.machine
        own = self.record.bag(machine, self.step.bag)
        if own is None or not own.closed:
            return 0
        return await self.ask_bag(f"Bag {own.number} is closed: into which bag?")

    async def late_step(self) -> None:
        """Ask for a step that was done before this one and not written down."""
        before = self.step.number
        do = await self.questions.pick(f"What was done before step {before}?", DOINGS, here="take off")
        asks = "What came off?" if do == "take off" else "What was it?"
        name = await self.questions.ask_line(asks, hint="a name, or nothing") if do else None
        if not do or name is None:
            return
        name = name or f"part {self.record.next_step_number(self.step.machine)}"  # as on the bench
        inside = self.record.get(Part, self.step.area).name if self.step.area else ""
        put = state = ""
        if do == "take off":
            place = await self.questions.ask_place(
                "Where did it go?", self.step.bag, usual_place(self.record, self.step.machine)
            )
            if place is None:
                return
            put = place
        elif do == "turn":
            state = await self.questions.ask("How did it lie then?", hint="upright, on its left side") or ""
            if not state:
                return
        await self.questions.do_asked(
            c.InsertStep(before=before, do=do, name=name, inside=inside, face=self.step.face, put=put, state=state)
        )


def _ways(job: Job) -> tuple[str, ...]:
    """Return what can be said of a job: any state but its own, what it is, that it goes."""
    return (*(label for label, state in JOB_STATES.items() if state != job.state), CHANGE, WRONG_ENDS)


def _few(texts: object) -> str:
    shown = [str(text) for text in texts if text] if isinstance(texts, list | tuple) else []
    if not shown:
        return "none"
    return shown[0] + (f" and {len(shown) - 1} more" if len(shown) > 1 else "")
