"""Telling a caliper with a data cable from a hand. It types a reading and Enter, like a keyboard, wherever one is.

In a field that takes a measure its keys are what they are meant to be. Where a place is wanted they would
be taken for strokes: `9.52` would begin a screw at place 9, and `0.164` would take the part off. So there a
key that may begin a reading is held back for a twenty-fifth of a second; a number that comes faster than
any hand types, with a decimal point or a unit and an Enter behind it, is caught whole.

Nothing here reads a clock or a screen.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

PACE = 0.04
"""Seconds between two keys up to which only a machine types number after number (common practice, no source)."""

_SO_FAR = re.compile(r"[+-]?\d{0,4}(?:\.\d{0,6})? ?(?:m|mm|i|in|\")?")
_WHOLE = re.compile(r"[+-]?(?:\d{0,4}\.\d{1,6} ?(?:mm|in|\")?|\d{1,4}\.? ?(?:mm|in|\"))")
_BEGINS = frozenset("0123456789.+-")


@dataclass(frozen=True, slots=True)
class Caught:
    """What the app is to do after a key."""

    keys: tuple[str, ...] = ()
    """Keys to act on now, oldest first."""
    reading: str = ""
    """A whole reading that came where none is wanted; its keys are gone."""


class CaliperWatch:
    """Follows every key; holds some back while no measure is wanted."""

    def __init__(self) -> None:
        self._held: list[str] = []
        self._at = 0.0

    @property
    def deadline(self) -> float | None:
        """When `lapse` should be called if no further key comes; None when nothing is held."""
        return self._at + PACE if self._held else None

    def feed(self, key: str, at: float, *, wanted: bool) -> Caught:
        """Look at a key (a character or `enter`) pressed at `at` seconds; `wanted`: a measure is."""
        before = self.lapse(at).keys
        text = "".join(self._held).lower()
        if key == "enter" and _WHOLE.fullmatch(text):
            self._held = []
            return Caught(reading=text)
        goes_on = bool(self._held) and len(key) == 1 and _SO_FAR.fullmatch(text + key.lower())
        if goes_on or (not self._held and not wanted and key in _BEGINS):
            self._held.append(key)
            self._at = at
            return Caught(before)
        keys = (*before, *self._held, key)
        self._held = []
        return Caught(keys)

    def lapse(self, at: float) -> Caught:
        """Held keys given back, when time has passed without another."""
        if not self._held or at - self._at <= PACE:
            return Caught()
        keys, self._held = tuple(self._held), []
        return Caught(keys)
