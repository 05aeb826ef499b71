"""Questions about a part that does not come off yet: why it is on hold, what comes off instead, and taking it up."""

from __future__ import annotations

from putback.trade import commands as c
from putback.trade.commands.on_hold import held_because
from putback.trade.record.step import Step
from putback.tui.bench.hand import Hand
from putback.tui.bench.table import Commands
from putback.tui.dialogs.keyed import Asker
from putback.tui.dialogs.prompts import AskListed
from putback.tui.dialogs.questions import Questions

WHY_HELD = ("something is in the way: that comes off first", "it has to wait: it soaks, it is stuck, a tool is missing")
"""Why a part stays on for now, as the list has it."""


class HoldQuestions:
    """Questions about parts on hold."""

    def __init__(self, hand: Hand, questions: Questions, screen: Asker) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.questions = questions
        self.screen = screen
        self.commands: Commands = {"hold": self.hold}

    def held(self) -> list[Step]:
        """Return the steps of the machine that are on hold, the last one first: that one can go on first."""
        return self.record.held_steps(self.host.machine_id)[::-1]

    async def hold(self) -> None:
        """Ask why the part in hand stays on for now, and put it on hold; between parts take one up again."""
        step = self.hand.step
        if step is not None:
            await self._put_on_hold(step)
        elif held := self.held():
            options = tuple(f"{one.name} (step {one.number}), {held_because(self.record, one)}" for one in held)
            chosen = (
                options[0] if len(held) == 1 else await self.questions.pick("Which one is taken up again?", options)
            )
            if chosen is not None:
                self.take_up(held[options.index(chosen)])
        else:
            self.host.refuse("No part is coming off that could be put on hold.")
        self.screen.redraw()

    async def _put_on_hold(self, step: Step) -> None:
        why = await self.questions.pick(f"Why does {step.name} stay on for now?", WHY_HELD)
        if why is None:
            return
        if why == WHY_HELD[0]:
            hint = "its name begins it; nothing: begun later"
            name = await self.questions.ask_line(f"Which part is in the way of {step.name}?", hint=hint)
            if name is None:
                return
            reason = f"{name} is in the way" if name else ""
            if self._held(c.PutOnHold(reason=reason)) and name:
                self.hand.begin(name)
            return
        waits = await self.questions.ask_line(
            f"What does {step.name} wait for?", hint="soaks till tomorrow; or nothing"
        )
        if waits is not None:
            self._held(c.PutOnHold(reason=waits or "it has to wait", in_the_way=False))

    def _held(self, command: c.PutOnHold) -> bool:
        done = self.host.do(command) is not None
        if done:
            self.hand.form = self.hand.form.cleared()
        return done

    async def ask_next(self) -> str | None:
        """Ask for the name of the next part, or by its figure for one that is on hold; None where it was left, or a
        step was taken up."""
        held = self.held()
        if not held:
            return await self.questions.ask_line("What comes off next?", hint="a name, or nothing")
        lines = [f"{step.name}, on hold (step {step.number})" for step in held]
        asked = AskListed("What comes off next?", lines, hint="a number above, a name, or nothing")
        answer = await self.host.push_screen_wait(asked)
        named = {str(number): step for number, step in enumerate(held, 1)}
        named |= {step.name.casefold(): step for step in reversed(held)}
        step = named.get((answer or "").strip().casefold())
        if step is None:
            return None if answer is None else answer.strip()
        self.take_up(step)
        self.screen.redraw()
        return None

    def take_up(self, step: Step) -> None:
        """Take a step up again, at its face and in its assembly."""
        if self.host.do(c.TakeUpHeld(step=step.number)) is not None:
            last = [thing for thing in self.record.things_of(step) if thing.sort == "fastener"]
            self.hand.form = self.hand.form.cleared().with_kind(last[-1].name if last else "screw")
            self.hand.here_again(self.record.find(Step, step.id))
