"""The bench as its parts see it, and what a command of it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from putback.tui.dialogs.keyed import Asker, Question

Commands = Mapping[str, Callable[[], None] | Question]
"""What commands do, by their ids in the table of keys: at once, or after something was asked."""


class Bench(Asker, Protocol):
    """The screen of the bench."""

    def run_command(self, id: str) -> None:
        """Do a command of the table of keys."""

    def tick(self) -> None:
        """Repaint the time; ring once at the target, or once the part is off."""
