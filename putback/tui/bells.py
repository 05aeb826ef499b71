"""What the bell says: patterns told apart by count and rhythm, so that a key can be pressed without looking.

A terminal has one sound, and no way to hold it. So one stroke is *recorded*, two quick ones *refused*, and one
and then two *asks*. The strokes after the first come from timers; nothing waits for them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from putback.settings import BellSettings

PATTERNS = {
    "recorded": (0.0,),
    "refused": (0.0, 0.18),
    "asks": (0.0, 0.45, 0.63),
}
"""When the strokes of each pattern come, in seconds. Terminals run strokes together that are much closer (common
practice, no source)."""


class Stops(Protocol):
    """Something set for later that can be called off."""

    def stop(self) -> None:
        """Call it off."""


class Bells:
    """One bell. What was begun and is not over gives way to what comes after it."""

    def __init__(
        self, settings: BellSettings, stroke: Callable[[], object], later: Callable[[float, Callable[[], None]], Stops]
    ) -> None:
        """`stroke` rings once; `later` calls something after so many seconds."""
        self._wanted = {name: getattr(settings, name) for name in PATTERNS}
        self._stroke = stroke
        self._later = later
        self._pending: list[Stops] = []

    def ring(self, sort: str) -> None:
        """Ring the pattern of `sort`; nothing for what has none, or was turned off."""
        if not self._wanted.get(sort, False):
            return
        for timer in self._pending:
            timer.stop()
        first, *more = PATTERNS[sort]
        assert first == 0.0
        self._stroke()
        self._pending = [self._later(seconds, self._once) for seconds in more]

    def _once(self) -> None:
        self._stroke()
