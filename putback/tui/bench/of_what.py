"""What an answer on the bench is said of: the part in hand, the step just done, or the machine."""

from __future__ import annotations

from putback.tui.bench.hand import Hand
from putback.tui.dialogs.questions import Questions


class OfWhat:
    """Knows what is spoken of, and asks where that is not plain."""

    def __init__(self, hand: Hand, questions: Questions) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.questions = questions

    def in_step(self) -> bool:
        """Tell whether a part is coming off; say so where none is."""
        if self.hand.step is None:
            self.host.refuse("No part is coming off: begin one first.")
            return False
        return True

    async def what_of(self) -> int:
        """Return the number of the step that is spoken of, 0 for the machine itself.

        While a part comes off it is that step, before the first one it is the machine, and in between it is asked;
        where that question is left it is the step just done: what was typed is not lost.
        """
        number = self.step_noted()
        if self.hand.step is not None or not number:
            return number
        step = self.record.step(self.host.machine_id, number)
        lines = (f"step {number}, {step.name if step is not None else ''}, just done", "the machine")
        chosen = await self.questions.pick("What is it about?", lines, here=lines[0])
        return 0 if chosen == lines[1] else number

    def step_noted(self) -> int:
        """Return the step that a note is about: the one being done, else the last."""
        step = self.record.last_step(self.host.machine_id)
        return step.number if step else 0
