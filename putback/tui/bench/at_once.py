"""Paints what a key changed before anything else has its turn."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from time import monotonic

from textual.screen import Screen
from textual.widget import Widget

from putback.tui.inside_textual import paint_now

FRAME = 1 / 60
"""Seconds between two such paints at least: of keys that come faster, Textual's timer paints several in one go."""


class AtOnce:
    """Paints for one screen."""

    def __init__(self, screen: Screen[None]) -> None:
        self.clock: Callable[[], float] = monotonic
        """Seconds of a steady clock."""
        self._screen = screen
        self._painted_at = 0.0

    def paint(self, changed: Iterable[Widget]) -> None:
        """Paint these widgets now, unless the last paint was just now."""
        now = self.clock()
        if now - self._painted_at >= FRAME:
            self._painted_at = now
            paint_now(self._screen, changed)
