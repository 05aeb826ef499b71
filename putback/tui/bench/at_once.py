"""Paints what a key changed before anything else has its turn.

Textual's own way leads from a widget that changed through the widget's queue, the screen's and the task of a timer,
and on it every other task is let in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from time import monotonic

from textual.screen import Screen
from textual.widget import Widget

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
        """Paint these widgets now, unless the last paint was just now.

        What the timer would call is not public in Textual: where a version has it no more, the timer is left to it.
        """
        screen, now = self._screen, self.clock()
        dirty, paint = getattr(screen, "_dirty_widgets", None), getattr(screen, "_on_timer_update", None)
        if now - self._painted_at >= FRAME and isinstance(dirty, set) and callable(paint):
            self._painted_at = now
            dirty.update(changed)
            paint()
