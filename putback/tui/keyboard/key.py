"""One command of the screen as its keys have it."""

from __future__ import annotations

from msgspec import Struct


class Key(Struct, frozen=True):
    """One command: where it works, what to press, and what it does."""

    id: str
    """Its name in a keymap."""
    where: str
    """The place it belongs to, one of `key_list.PLACES`."""
    keys: tuple[str, ...]
    """Keys as Textual names them; the first is shown. None for what is only in the list of GROUPS."""
    shown: str
    """How the first key is printed."""
    label: str
    """A word or two for the footer."""
    help: str
    """One sentence for the help; commands in it stand as `{name}`."""
