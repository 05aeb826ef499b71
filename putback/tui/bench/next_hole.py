"""Which holes of the part in hand hold something already, and which comes next."""

from __future__ import annotations

from collections.abc import Sequence

from putback.trade.record.holes import spots_in
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import HoleGuess, guess, known_holes
from putback.tui.bench.facing import Facing
from putback.tui.draw.latest import Latest
from putback.tui.draw.views import taken_holes


class NextHole:
    """The holes of the face in hand."""

    def __init__(self, facing: Facing) -> None:
        self.host = facing.host
        self.record = self.host.workshop.record
        self.facing = facing
        self._known: Latest[tuple[str, ...]] = Latest()

    def known(self, step: Step) -> tuple[str, ...]:
        """Return the holes that the face in hand is likely to have by the part's mirror; looked up once a change."""
        face = self.facing.in_hand(step)
        stand = (self.host.workshop.store.number, step.id, face)
        return self._known.of(stand, lambda: known_holes(self.record, self.facing.faced(step), face))

    def taken(self, step: Step) -> list[str]:
        """Return the places on the face in hand that hold something already, in the order they were entered."""
        return spots_in(self.facing.faced(step), self.facing.in_hand(step), taken_holes(self.record, step))

    def likely(self, step: Step, taken: Sequence[str]) -> HoleGuess:
        """Return the hole that comes next on the face in hand, and by what it is guessed."""
        return guess(self.record, self.facing.faced(step), taken, self.known(step), self.facing.in_hand(step))
