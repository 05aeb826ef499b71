"""Questions as a machine goes together: how a setting is set now, and at the end what one would do differently."""

from __future__ import annotations

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands.looking_back import too_far
from putback.trade.record.machine import Machine
from putback.trade.record.step import Adjustment, Step
from putback.trade.refit.as_set import asked_words, wanted
from putback.trade.refit.way_back import steps_off
from putback.tui.dialogs.numbers import steps_in
from putback.tui.dialogs.questions import NO_REASON, Questions

AGAIN = "set it anew: it is asked for again"
STAYS = "it stays so"
"""What is answered where a reading is far from what a setting was to be."""

STAYS_BECAUSE = ("it goes no further", "a part is worn there", "by feel it is right so")
"""Why a setting stays other than it was to be, most often; common practice, no source."""

RUNS = "it runs well so"
"""The same once every step is back: before that nothing can have run."""


def unset(machine: Machine) -> list[Adjustment]:
    """Return the settings of the machine itself that nobody has read yet on the way back."""
    return [one for one in machine.adjust if not one.as_set]


def still_asks(machine: Machine) -> bool:
    """Tell whether there is something to be asked at the end of a machine's way back."""
    return bool(unset(machine)) or not machine.looked_back


class LookingBack:
    """What is asked of settings, and once at the end."""

    def __init__(self, questions: Questions) -> None:
        self.questions = questions
        self.host = questions.host

    async def ask_as_set(self, setting: Adjustment, step: Step | None = None) -> bool:
        """Ask what a setting of a step, or of the machine itself, came to; False where it was left.

        Nothing typed is as it was to be. What is far from that is asked about once: it stays so, with a reason, or is
        set anew.
        """
        machine = self.host.workshop.record.get(Machine, self.host.machine_id)
        number, to = (step.number if step else 0), wanted(setting)
        hint = f"what you read; Enter alone: {to}" if to else "what you read"
        why = ""
        while True:
            text = await self.questions.ask_line(asked_words(setting), hint=hint)
            if text is None or not (text or to):
                return False
            if not text and step is not None:
                return self.host.do(c.Confirm(step=number, item=setting.text)) is not None
            off = too_far(setting, text or to, machine.unit)
            answer = await self.questions.pick(f"{off}. What of it?", (STAYS, AGAIN)) if off else STAYS
            if answer is None:
                return False
            if answer == STAYS:
                break
        if off:
            whys = STAYS_BECAUSE if steps_off(self.host.workshop.record, machine.id) else (*STAYS_BECAUSE, RUNS)
            why = await self.questions.ask_phrase("Why does it stay so?", whys) or ""
            if not why:
                self.host.say("note", NO_REASON)
                return False
        return self.host.do(c.SetAs(step=number, what=setting.text, reading=text or to, why=why)) is not None

    async def ask_at_the_end(self) -> None:
        """Ask for the machine's own settings, and once what one would do differently, and at which step."""
        machine = self.host.workshop.record.get(Machine, self.host.machine_id)
        for setting in unset(machine):
            if not await self.ask_as_set(setting):
                return
        if machine.looked_back:
            return
        hint = "Enter with nothing: nothing"
        words = await self.questions.ask_line("What would you do differently another time?", hint=hint)
        if words is None:
            return
        number = await self._which_step() if words else 0
        if number is not None:
            self.host.do(c.NextTime(step=number, words_said=words))

    async def _which_step(self) -> int | None:
        """Ask for the number of the step that it is about, 0 for the machine; None where it was left."""
        hint = "its number; nothing: the machine as a whole"
        text = await self.questions.ask_line("At which step?", hint=hint, reads=self._one_step)
        return None if text is None else self._one_step(text)

    def _one_step(self, text: str) -> int:
        """Return the step of that number, 0 for none. Raises BadInput where there is none of it."""
        numbers = steps_in(text)
        if not numbers:
            return 0
        if len(numbers) > 1 or self.host.workshop.record.step(self.host.machine_id, numbers[0]) is None:
            raise BadInput(f"There is no step {text}; give the number of one step, or nothing.")
        return numbers[0]
