"""What a click or a touch on some words does: the words carry it, and the app does it. See `PutbackApp.on_click`."""

from __future__ import annotations

from functools import lru_cache

from textual.content import Content
from textual.style import Style

META = "tap"
"""The name under which a style carries it."""


def tapped(words: Content, what: str, on: object) -> Content:
    """Return words that can be tapped.

    `what` is `key` (the person's key, as it is printed), `press` (a key of the table), or one of the `taps` of the
    screen. `on` is the key, or what the tap is given.
    """
    return words.stylize(tap_style(what, str(on)))


@lru_cache(maxsize=1024)
def tap_style(what: str, on: str) -> Style:
    """Return the style that carries a tap."""
    return Style.from_meta({META: (what, on)})
