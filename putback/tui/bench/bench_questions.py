"""Questions on the bench, and what an answer is said of."""

from __future__ import annotations

from putback.tui.bench.bench_state import BenchState
from putback.tui.dialogs.questions import Questions


class BenchQuestions(Questions, BenchState):
    """Questions on the bench, and what an answer is said of."""

    def in_step(self) -> bool:
        """Tell whether a part is coming off; say so where none is."""
        if self.step is None:
            self.host.refuse("No part is coming off: begin one first.")
            return False
        return True

    def step_noted(self) -> int:
        """Return the step that a note is about: the one being done, else the last."""
        step = self.record.last_step(self.host.machine_id)
        return step.number if step else 0
