"""Telling a caliper with a data cable from a hand. It types a reading and Enter, like a keyboard, wherever one is.

In a field that takes a measure its keys are what they are meant to be. Where a place is wanted they would
be taken for strokes: `9.52` would begin a screw at place 9, and `0.164` would take the part off. So, once a
caliper is known to be there, a key that may begin a reading is held back where no measure is wanted, for a
twenty-fifth of a second; a number that comes faster than any hand types, with a decimal point or a unit and
an Enter behind it, is caught whole. A caliper is known from its first reading on, in whichever place that
came: until then no key waits, since most benches have none.

Nothing here reads a clock or a screen.
"""

from __future__ import annotations

import re

from msgspec import Struct

PACE = 0.04
"""Seconds between two keys up to which only a machine types number after number (common practice, no source)."""

_SO_FAR = re.compile(r"[+-]?\d{0,4}(?:\.\d{0,6})? ?(?:m|mm|i|in|\")?")
_WHOLE = re.compile(r"[+-]?(?:\d{0,4}\.\d{1,6} ?(?:mm|in|\")?|\d{1,4}\.? ?(?:mm|in|\"))")
_BEGINS = frozenset("0123456789.+-")


class Caught(Struct, frozen=True):
    """What the app is to do after a key."""

    keys: tuple[str, ...] = ()
    """Keys to act on now, oldest first."""
    reading: str = ""
    """A whole reading that came where none is wanted; its Enter is gone."""
    late: bool = False
    """The reading's other keys were acted on before it was known for one."""


class CaliperWatch:
    """Follows every key; holds some back while no measure is wanted and a caliper is known to be there."""

    def __init__(self, *, known: bool = False) -> None:
        """`known` says whether there is a caliper; else its first reading tells."""
        self.known = known
        self._held: list[str] = []
        self._run = ""
        self._run_wanted = False
        self._at = 0.0

    @property
    def deadline(self) -> float | None:
        """When `lapse` should be called if no further key comes; None when nothing is held."""
        return self._at + PACE if self._held else None

    def feed(self, key: str, at: float, *, wanted: bool) -> Caught:
        """Look at a key (a character or `enter`) pressed at `at` seconds; `wanted`: a measure is."""
        if not self.known:
            return self._watch(key, at, wanted)
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

    def _watch(self, key: str, at: float, wanted: bool) -> Caught:
        """Hand every key on, and see whether it ends a reading that came faster than a hand types."""
        fast, self._at = at - self._at <= PACE, at
        run = self._run if fast else ""
        if key == "enter" and _WHOLE.fullmatch(run):
            self.known, self._run = True, ""
            return Caught((key,)) if self._run_wanted else Caught(reading=run, late=True)
        if not run:
            self._run_wanted = wanted
        going_on = len(key) == 1 and _SO_FAR.fullmatch(run + key.lower())
        self._run = run + key.lower() if going_on else ""
        return Caught((key,))

    def lapse(self, at: float) -> Caught:
        """Held keys given back, when time has passed without another."""
        if not self._held or at - self._at <= PACE:
            return Caught()
        keys, self._held = tuple(self._held), []
        return Caught(keys)
