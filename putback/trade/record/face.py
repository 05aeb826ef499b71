"""The faces of a part."""

from __future__ import annotations

import re
from typing import Literal

from putback.trade.record.words import OneOf, words_of

AnyFace = Literal["", "front", "right", "back", "left", "top", "bottom", "inside"]
Face = OneOf[AnyFace, "a face"]
"""A face of a part; empty where it is not said."""
FACES: tuple[AnyFace, ...] = words_of(Face)
"""The faces of a part, once around it, then above and below, and what is seen once it is open."""


def as_face(text: str) -> Face:
    """Return a text as the face that it is; empty where it is none."""
    return next((face for face in FACES if face == text), "")


_SIDE = re.compile(rf"(?i)\b({'|'.join(FACES[:6])})(?:-hand)? (?:side|face|panel|plate|cover|wall|cheek|door|lid)\b")


def face_named(name: str) -> Face:
    """Return the face that a part's name says it is on, as `right` of "right side"; empty where it says none."""
    found = {match[1].casefold() for match in _SIDE.finditer(name)}
    return as_face(found.pop()) if len(found) == 1 else ""
