"""The strokes of the bench as codes to scan: what a command code does, and the sheet they are printed on."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache

from msgspec import Struct

from putback.labels.facts import StrokeFacts
from putback.scans.command_code import command_code
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.keymap import Keymap
from putback.tui.keyboard.keys import FACE_OF_KEY, KEYS, pressed


class CommandCode(Struct, frozen=True):
    """One stroke that can be scanned."""

    ids: tuple[str, ...]
    """The commands it stands for; each has a code, so a sheet printed before there were so many still works."""
    shown: str
    """How that key is printed."""
    label: str
    """A word or two."""
    text: str
    """One sentence."""
    keys: tuple[tuple[str, str], ...]
    """The places where it works, and the key that does the same there, as `press` takes it."""

    def facts(self, keymap: Keymap) -> StrokeFacts:
        """Its line on the sheet, with the person's own key beside the code."""
        shown = keymap.shown(self.name) if keymap.has(self.name) else self.shown
        return StrokeFacts(self.name, shown, self.label, keymap.words(self.text))

    @property
    def name(self) -> str:
        """The id whose code is printed."""
        return min(self.ids, key=len)

    def key_at(self, places: Collection[str]) -> str:
        """The key that does the same at one of these places; empty where it does nothing there."""
        return next((key for place, key in self.keys if place in places), "")


_FIGURES = frozenset("123456789")

_FACE_KEY = "faces.go"
"""The command that chooses a face: each of its figures is one, so the codes of the figures do it."""


def _strokes() -> tuple[CommandCode, ...]:
    same: dict[tuple[str, str], list[Key]] = {}
    figures = []
    for key in KEYS:
        if set(key.keys) >= _FIGURES:
            figures.append(key.where)
        elif key.keys and key.id != _FACE_KEY:
            same.setdefault((key.shown, key.label), []).append(key)
    strokes = []
    for (shown, label), keys in same.items():
        at = tuple((key.where, pressed(key.keys[0])) for key in keys)
        strokes.append(CommandCode(tuple(key.id for key in keys), shown, label, keys[0].help, at))
    for figure in sorted(_FIGURES):
        face = FACE_OF_KEY.get(figure, "")
        behind = f"; behind {{face.place}} the {face} face" if face else ""
        text = f"The place {figure}, the figure {figure} of a size, or line {figure} of a list{behind}."
        at = tuple((place, figure) for place in (*figures, "faces"))
        ids = (f"key.{figure}", _FACE_KEY) if figure == "8" else (f"key.{figure}",)  # a sheet of before had that: top
        strokes.append(CommandCode(ids, figure, f"place or figure {figure}", text, at))
    for sign, word in (("0", "figure 0"), (".", "point"), ("/", "stroke of a fraction")):
        behind = f"; behind {{face.place}} the {FACE_OF_KEY[sign]} face" if sign in FACE_OF_KEY else ""
        at = (("field", sign), ("faces", sign)) if sign == "0" else (("field", sign),)
        strokes.append(CommandCode((f"key.{sign}",), sign, word, f"The {word} of a size{behind}.", at))
    return tuple(strokes)


STROKES = _strokes()
"""Every stroke that has a code, in the order of the sheet."""


@cache
def _by_code() -> dict[str, CommandCode]:
    return {command_code(name): stroke for stroke in STROKES for name in stroke.ids}


def stroke_of(code: str) -> CommandCode | None:
    """The stroke that a command code stands for, or None: a sheet of another time."""
    return _by_code().get(code)
