"""Questions of refit: what came back, what is new, what is used once more, what is closed over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from putback.reports.plan import to_fetch
from putback.reports.sent import ON_ORDER, sent_out
from putback.trade import commands as c
from putback.trade.checks.last_look import last_look
from putback.trade.checks.ledger import Holding, on_without, reachable, short_of
from putback.trade.checks.open_jobs import jobs_first
from putback.trade.checks.skipped_steps import holds_nothing, in_the_way
from putback.trade.commands.on_hold import held_because
from putback.trade.record.job import AS_IT_IS, DONE
from putback.trade.record.phrases import counted
from putback.trade.record.place import LOOSE, MISSING, SCRAPPED, SHELF, sort_of
from putback.trade.record.step import LAST_LOOK, Step
from putback.trade.refit.confirmations import looked_at
from putback.trade.refit.way_back import Waits, chases
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.sending import Sending
from putback.tui.dialogs.trouble_questions import TroubleQuestions

GOES_AWAY = "something of this step goes away, or is not there"
BROKEN = "broken: scrapped"
AWAY = ("away: plater", "away: machinist", "away: on order", MISSING, BROKEN)
"""Where something goes that cannot go back yet."""
NEW_ONE = "something new in its place"
ALL_THERE = "the tools are counted: all there"
IS_DONE = "it is done (today)"
GOES_AS_IT_IS = "put the part on as it is: the job stays open, and the end names it"
NOT_TONIGHT = "not tonight"
ANYWAY = "close it anyway"
TAKE_UP = "take it up again: it comes off now"
DROP = "drop it: it stays on the machine"
WITHOUT = "the part goes on without it: it stays open, and the end names it"
PASSED_OVER = "the machine goes on without it: its step is skipped, and the end names it"
NOT_YET = "not yet: see to it first"


class RefitQuestions:
    """Questions about a step's things; each is awaited in a worker."""

    def __init__(self, questions: Questions, trouble: TroubleQuestions, leave: Callable[[], None]) -> None:
        """`leave` goes back to the bench, where something is taken up there again."""
        self.host = questions.host
        self.record = self.host.workshop.record
        self.questions = questions
        self.trouble = trouble
        self.leave = leave

    async def ask_waiting(self, step: Step, waits: Waits | None) -> None:
        """Book in what a step waits for; where it waits for nothing, anything that holds refit up."""
        short = short_of(self.record, step) or list(waits.things if waits is not None else ())
        if short:
            held = short[0]
            if len(short) > 1:
                options = tuple(f"{h.count} x {h.thing.called}, {h.told}" for h in short)
                answer = await self.questions.pick("What has arrived?", options)
                if answer is None:
                    return
                held = short[options.index(answer)]
            await self._book(held, step)
            return
        waited = chases(self.record, self.host.machine_id)
        rows = {f"{row.text} (step {row.step})": row.held for row in waited if row.held is not None}
        held_rows = self.held_rows()
        answer = await self.questions.pick(
            "What has arrived? What holds up most stands first"
            if rows
            else "Nothing is away. What goes away, or is not there?",
            (*rows, *held_rows, GOES_AWAY),
        )
        if answer in held_rows:
            await self.ask_held(held_rows[answer])
        elif answer == GOES_AWAY:
            await self._send_away(step)
        elif answer is not None:
            await self._book(rows[answer])

    def held_rows(self) -> dict[str, Step]:
        """Return the steps on hold by a line on each."""
        held = self.record.held_steps(self.host.machine_id)
        return {f"{step.name}, on hold, still on the machine (step {step.number})": step for step in held}

    async def ask_held(self, step: Step | None = None) -> None:
        """Ask whether a step on hold is taken up or dropped; None asks which one first, where there are several."""
        if step is None:
            rows = self.held_rows()
            lines = tuple(rows)
            chosen = lines[0] if len(lines) == 1 else await self.questions.pick("Which part on hold?", lines)
            if chosen is None:
                return
            step = rows[chosen]
        answer = await self.questions.pick(
            f"{step.name} is on hold: {held_because(self.record, step)}. What becomes of it?", (TAKE_UP, DROP)
        )
        if answer == DROP:
            self.host.do(c.DropHeld(step=step.number))
        elif answer == TAKE_UP and self.host.do(c.TakeUpHeld(step=step.number)) is not None:
            self.leave()

    async def _send_away(self, step: Step) -> None:
        """Ask what of a step goes away, or is not to be found, and where."""
        fetch = {f"{f.count} x {f.thing.called}, {f.place}": f for f in to_fetch(self.record, step)}
        if not fetch:
            self.host.refuse(f"Nothing of step {step.number} lies anywhere: it has nothing to put back.")
            return
        answer = await self.questions.pick(f"What of step {step.number} goes away, or is not there?", tuple(fetch))
        if answer is None:
            return
        known = [place for place in self.record.places(self.host.machine_id) if sort_of(place) == "away"]
        target = await self.questions.pick("Where is it?", tuple(dict.fromkeys((*known, *AWAY))))
        if target is not None:
            found = fetch[answer]
            put = SCRAPPED if target == BROKEN else target
            await self.questions.do_asked(
                c.Carry(thing=found.thing.id, count=found.count, source=found.place, target=put)
            )

    async def _book(self, held: Holding, step: Step | None = None) -> None:
        """Ask what became of something; where `step` waits for it, its part may go on without."""
        name, sort = held.thing.called, sort_of(held.place)
        came = {"missing": "found again", "borrowed": "given back"}.get(sort, "back, and looked at")
        options = (NEW_ONE,) if sort == "scrapped" else (came, NEW_ONE)
        if step is None and sort == "scrapped":
            step = self.record.get(Step, held.thing.step)
        if step is not None and not step.skipped and held in short_of(self.record, step):
            options = (*options, PASSED_OVER if held.thing.sort == "part" else WITHOUT)
        answer = await self.questions.pick(f"{held.count} x {name} ({held.told}): what became of it?", options)
        if answer is None:
            return
        if answer == WITHOUT and step is not None:
            self.host.do(c.Confirm(step=step.number, item=on_without(held), anyway="the rest goes on"))
            return
        if answer == PASSED_OVER and step is not None:
            self.host.do(c.SkipStep(step=step.number, reason=f"it goes on without {name} ({held.told})"))
            return
        if answer == came and sort == "away" and held.place != ON_ORDER:
            await self._came_back(held)
            return
        if answer == came:
            self.host.do(c.Carry(thing=held.thing.id, count=held.count, source=held.place, target=SHELF, note=came))
            return
        await self.new_one(held)

    async def _came_back(self, held: Holding) -> None:
        """Ask how something that was sent out came back, as on the card of its trip."""
        machine = self.host.machine_id
        trips = [trip for trip in sent_out(self.record, machine) if trip.place == held.place]
        one = next((one for trip in trips for one in trip.things if one.thing == held.thing.id), None)
        if one is not None:
            await Sending(self.questions, JobDoing(self.host)).ask_back(machine, one)

    async def new_one(self, held: Holding) -> None:
        """Ask what stands in for something that is not there: of a fastener its size."""
        if held.thing.sort == "fastener":
            await self.trouble.ask_another(held.thing, SHELF)
            return
        note = await self.questions.ask_line("What is the new one?", hint="made, bought, from where")
        if note is not None:
            await self.questions.do_asked(c.Replace(thing=held.thing.id, count=held.count, put=SHELF, note=note))

    async def ask_job_first(self, step: Step) -> str | None:
        """Ask about the first job that stops a step, and return the answer; None where it was left."""
        job = jobs_first(self.record, step)[0]
        answer = await self.questions.pick(f"{job.question}. How does it stand?", (IS_DONE, GOES_AS_IT_IS, NOT_TONIGHT))
        if answer == IS_DONE:
            self.host.do(c.WorkOn(step=step.number, do=job.do, what=job.what, state=DONE))
        elif answer == GOES_AS_IT_IS:
            self.host.do(c.Confirm(step=step.number, item=job.question, anyway=AS_IT_IS))
        return answer

    async def ask_spent(self, step: Step, item: str) -> None:
        """Ask whether a one-use piece goes in once more after all, and why."""
        options = ("a new one is at hand", "the old one goes in once more")
        answer = await self.questions.pick(f"{item}. Which goes in?", options)
        if answer == options[0]:
            await self.questions.do_asked(c.Confirm(step=step.number, item=item))
        elif answer is not None:
            why = await self.questions.ask("Why will it do?", value="nothing else at hand")
            if why:
                self.host.do(c.Confirm(step=step.number, item=item, anyway=why))

    async def ask_clip(self, step: Step, item: str) -> None:
        """Ask whether a clip or ring is still good, or which is new."""
        answer = await self.questions.pick(f"{item}. Is it?", ("still good", "a new one in its place"))
        if answer == "still good":
            self.host.do(c.Confirm(step=step.number, item=item))
        elif answer is not None:
            for thing in looked_at(self.record, step).get(item, []):
                for place, count in sorted(reachable(self.record, thing).items()):
                    new = c.Replace(thing=thing.id, count=count, source=place, put=LOOSE, note="new at refit")
                    await self.questions.do_asked(new)

    async def ask_look(self, step: Step) -> None:
        """Ask what is to be done about what is open behind a cover."""
        ends = [end for end in last_look(self.record, step) if end.open]
        tools = tuple(tool for end in ends for tool in end.tools)
        options = (*((ALL_THERE,) if tools else ()), ANYWAY, NOT_YET)
        answer = await self.questions.pick(f"{counted(len(ends), 'open end')} behind {step.name}: close it?", options)
        if answer == ALL_THERE:
            self.host.do(c.CountTools(tools=tools))
        elif answer == ANYWAY:
            why = await self.questions.ask("Why is it closed all the same?", value="it has to close")
            if why:
                self.host.do(c.Confirm(step=step.number, item=LAST_LOOK, anyway=why))

    async def ask_skip(self, step: Step) -> None:
        """Ask why a step is skipped; one that was skipped is taken up again."""
        if step.skipped:
            self.host.do(c.TakeUp(step=step.number))
            return
        why = await self.questions.ask(
            f"Skip step {step.number}, {step.name}: why?", hint="it stays open until it is done"
        )
        if why:
            self.host.do(c.SkipStep(step=step.number, reason=why))

    async def ask_off_again(self, covered: Step | None) -> None:
        """Ask which step comes off again, what went on last first.

        Everything over `covered` is the first choice; who takes that means to do the covered one, so it is taken up.
        """
        over = in_the_way(self.record, covered)[0] if covered is not None else []
        record, machine = self.record, self.host.machine_id
        back = [s for s in record.all(Step, machine) if s.back and not holds_nothing(record, s)]
        back.sort(key=lambda s: (datetime.fromisoformat(s.back), -s.number), reverse=True)
        if not back:
            self.host.refuse("Nothing is back on yet.")
            return
        every = f"all that is over it: {', '.join(str(s.number) for s in over)}"
        options = (*((every,) if over else ()), *(f"{s.number} {s.name}" for s in back))
        answer = await self.questions.pick("What has to come off again?", options)
        if answer is None:
            return
        chosen = over if answer == every else [next(s for s in back if answer == f"{s.number} {s.name}")]
        for step in chosen:
            if self.host.do(c.TakeOffAgain(step=step.number)) is None:
                return
        if answer == every and covered is not None and covered.skipped:
            self.host.do(c.TakeUp(step=covered.number))
