"""Questions on the bench, and what an answer is said of."""

from __future__ import annotations

from functools import cached_property

from putback.tui.bench.bench_state import BenchState
from putback.tui.dialogs.questions import Questions


class BenchQuestions(BenchState):
    """Questions on the bench, and what an answer is said of."""

    @cached_property
    def questions(self) -> Questions:
        """The questions that can be put over it."""
        return Questions(self.host)

    def in_step(self) -> bool:
        """Tell whether a part is coming off; say so where none is."""
        if self.step is None:
            self.host.refuse("No part is coming off: begin one first.")
            return False
        return True

    async def what_of(self) -> int:
        """Return the number of the step that is spoken of, 0 for the machine itself.

        While a part comes off it is that step, before the first one it is the machine, and in between it is asked;
        where that question is left it is the step just done: what was typed is not lost.
        """
        number = self.step_noted()
        if self.step is not None or not number:
            return number
        step = self.record.step(self.host.machine_id, number)
        lines = (f"step {number}, {step.name if step is not None else ''}, just done", "the machine")
        chosen = await self.questions.pick("What is it about?", lines, here=lines[0])
        return 0 if chosen == lines[1] else number

    def step_noted(self) -> int:
        """Return the step that a note is about: the one being done, else the last."""
        step = self.record.last_step(self.host.machine_id)
        return step.number if step else 0
