"""From afar or near: one switch for the screens that one works at, and what has to be said even from afar."""

from __future__ import annotations

from putback.tui.host import Host

SMALL = (70, 20)
"""Columns and rows below which panes side by side have no room for what they show."""

LOUD = ("refused", "asks", "caution")
"""What has to be said even from afar."""


class FarSwitch:
    """Which view is shown: the one from afar where it was asked for, or where panes have no room."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self._asked: bool | None = None

    @property
    def on(self) -> bool:
        """Whether the view is the one from afar; words are as large as the terminal has them."""
        if self.host.glyphs.words:
            return False
        size = self.host.size
        small = 0 < size.width < SMALL[0] or 0 < size.height < SMALL[1]
        return small if self._asked is None else self._asked

    def turn(self, far: bool) -> None:
        """Ask for the view from afar, or for the other one."""
        self._asked = far
