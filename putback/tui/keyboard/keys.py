"""Every command of the screen, described once: footer, help and bindings come from here.

A command's first key is on the numeric keypad where it belongs to the taking-off loop. `P` is free
everywhere: it begins a bag code.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from putback.tui.keyboard.bench_keys import BENCH_KEYS
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.page_keys import PAGE_KEYS

FACE_OF_KEY = {"7": "inside", "8": "top", "4": "left", "5": "front", "6": "right", "2": "bottom", "0": "back"}
"""The face that each figure of the choice of a face means, as they lie on the number pad."""


KEYS = (*BENCH_KEYS, *PAGE_KEYS)
"""Every key of the screen."""

LEFT_OUT: tuple[str, ...] = (
    "closebag", "summary", "refit", "anytime", "pause", "bag", "bag.part", "face.place", "area", "face", "erase",
    "far.field", "leave.field", "same.field", "type",
)  # fmt: skip
"""What a foot that is too long for its line leaves out, in this order: each is used the least of those that are left.
After these goes what stands last in it."""

NEVER_LEFT_OUT = frozenset(
    {
        "more",
        "more.place",
        "help",
        "help.field",
        "refit.help",
        "refit.leave",
        "refit.back",
        "summary.help",
        "summary.leave",
        "back",
        "back.place",
    }
)
"""What a foot keeps to the last: the ways to everything else, out, and back."""


def least_needed(keys: Sequence[Key]) -> Key:
    """Return the key that a foot leaves out first, of those it still has."""
    least = next((key for id in LEFT_OUT for key in keys if key.id == id), None)
    others = [key for key in keys if key.id not in NEVER_LEFT_OUT]
    return least or (others or list(keys))[-1]


PAD = {
    "add": "+",
    "plus": "+",
    "subtract": "-",
    "minus": "-",
    "multiply": "*",
    "asterisk": "*",
    "divide": "/",
    "slash": "/",
    "full_stop": ".",
    "decimal": ".",
    "comma": ".",
    "separator": ".",
    "return": "enter",
    "kp_enter": "enter",
}
"""Names of keypad keys, and what they mean here. The decimal key may send a comma."""


def plain_key(key: str, character: str | None) -> str:
    """Return a key as the forms know it: a character, or a name such as `enter`."""
    if key in PAD:
        return PAD[key]
    if character is not None and len(character) == 1 and character.isprintable():
        return character
    return pressed(key)


_SENT = {sign: name for name, sign in reversed(PAD.items()) if name not in ("full_stop", "comma")} | {
    ".": "full_stop",
    "enter": "enter",
    " ": "space",
}
"""Keys that have a name, as a terminal gives them."""


def sent(key: str) -> tuple[str, str | None]:
    """Return a plain key as a terminal sends it: its name, and the character it types if it types one."""
    return _SENT.get(key, key), key if len(key) == 1 else None


def keys_of(*places: str) -> list[Key]:
    """Return the commands of the given places, in order."""
    return [key for place in places for key in KEYS if key.where == place]


@lru_cache(maxsize=4096)
def command_for(key: str, *places: str) -> str:
    """Return the id of the command that `key` gives at these places, or nothing."""
    for known in keys_of(*places):
        if key in map(pressed, known.keys):
            return known.id
    return ""


_PRESSED = {"space": " ", "question_mark": "?"}


def pressed(key: str) -> str:
    """Return a key of the table as `press` is given it."""
    return _PRESSED.get(key, key)
