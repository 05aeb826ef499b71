"""What the program uses of Textual beyond its public names: these three, and no other file names one.

Each is used where it is there. `tests/tui/test_inside_textual.py` tells when a version of Textual has one no more, or
otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

DIRTY, PAINT, FAILED = "_dirty_widgets", "_on_timer_update", "_handle_exception"
"""The widgets of a screen that are to be painted; what its timer calls to paint them; what an app's errors come to."""


def paint_now(screen: Screen[Any], changed: Iterable[Widget]) -> None:
    """Paint these widgets of a screen as its timer would; where a version has no such thing, that is left to it.

    Textual's own way leads from a widget that changed through the widget's queue, the screen's and the task of a timer,
    and on it every other task is let in: some 2 ms a key.
    """
    dirty, paint = getattr(screen, DIRTY, None), getattr(screen, PAINT, None)
    if isinstance(dirty, set) and callable(paint):
        dirty.update(changed)
        paint()


class FaultKept(App[None]):
    """An app that keeps an error of its own, where it is asked to, and ends.

    Textual prints a traceback over the screen; the person gets a sentence, and the details a file.
    """

    quiet_faults = False
    fault: Exception | None = None
    """The error that ended it."""

    def _handle_exception(self, error: Exception) -> None:
        if self.quiet_faults:
            self.fault = error
            self.exit(return_code=1)
        else:
            super()._handle_exception(error)
