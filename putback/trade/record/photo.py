"""Photos: which picture shows which step. The picture itself lies in the workshop's photos folder."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from putback.trade.record.words import OneOf, words_of

When = OneOf[Literal["", "before", "during", "after"], "a time of a photo"]
"""When of its step a photo was taken."""
WHENS: tuple[When, ...] = words_of(When)
"""Where in its step a photo can fall."""

_FILE = re.compile(r"[0-9a-f]{16,64}\.[a-z0-9]{1,5}")


def is_photo_file(name: str) -> bool:
    """Tell whether `name` is a photo's name as the workshop gives it: what its content comes to, and an ending.

    Such a name leads nowhere but into the photos folder.
    """
    return _FILE.fullmatch(name) is not None


class Photo(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One picture of one machine."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it shows."""
    file: str
    """Its name in the photos folder: made from the file's content, so one picture is there once."""
    name: str = ""
    """What the file was called in the camera."""
    taken: str = ""
    """When it was taken, by a clock that goes right."""
    step: int = 0
    """The step it shows, or 0 where none is known."""
    when: When = ""
    """Where in the step it falls, one of WHENS; empty where that is not known."""
    back: bool = False
    """Whether it shows the step being put back, and not taken off."""
    doubt: bool = False
    """Whether a person should still say which step it is."""
    instead: int = 0
    """The other step that it may belong to, or 0."""

    @property
    def falls(self) -> str:
        """Where it falls, in words: `before`, `after, at refit`; empty where that is not known."""
        if not self.back:
            return self.when
        return f"{self.when}, at refit" if self.when else "at refit"


def in_order(photos: Iterable[Photo]) -> list[Photo]:
    """Return photos as the work went: taking off before putting back, before, during and after."""
    return sorted(photos, key=lambda p: (p.back, WHENS.index(p.when) if p.when else 3, p.taken))
