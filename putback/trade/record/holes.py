"""Holes: a place on a face. One on the face of its step is its place alone, `3`; one on another says it: `3, right`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import cast

from putback.errors import BadInput
from putback.trade.record.face import FACES, Face, as_face
from putback.trade.record.fastener import read_hole, spot
from putback.trade.record.phrases import quoted
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def read_spot(text: str) -> tuple[str, Face]:
    """Return place and face of a hole as a person says it: `3`, `3 right`, `right 3`, `5a, top`; the face may be empty.

    Raises BadInput for anything else.
    """
    words = text.replace(",", " ").casefold().split()
    faces = [face for word in words if (face := as_face(word))]
    places = [word for word in words if word not in (*FACES, "face")]
    if len(faces) > 1 or len(places) != 1:
        raise BadInput(f"{quoted(text)} is not a hole; say its place and, on another face, that one: 3 or 3 right.")
    return read_hole(places[0]), faces[0] if faces else ""


def spot_of(step: Step, text: str) -> str:
    """Return a hole as a step's fasteners have it: without the face where that is the step's. Raises as `read_spot`."""
    hole, face = read_spot(text)
    return spot(hole, step.own_face(face))


def face_of(at: str) -> Face:
    """Return the face that a hole says: `right` of `3, right`; empty for one on the face of its step."""
    return cast(Face, at.partition(", ")[2])


def place_of(at: str) -> str:
    """Return the place of a hole without its face: `5a` of `5a, top`."""
    return at.partition(", ")[0]


def by_face(spots: Iterable[str]) -> dict[str, list[str]]:
    """Return holes by face, the step's first, which is empty; each face with its places in the order given."""
    found: dict[str, list[str]] = {}
    for at in dict.fromkeys(spots):
        found.setdefault(face_of(at), []).append(place_of(at))
    return dict(sorted(found.items(), key=lambda item: item[0] != ""))


def spots_text(spots: Iterable[str], between: str = " ", own: str = "") -> str:
    """Return holes in one line, face by face: `1 2 4, right 3 5`, or `1, 2, 4; right 3, 5` with a comma between.

    `own` is the face of the step, which is said where there are others: `front 1 2 4, right 3 5`.
    """
    found = by_face(spots)
    own = own if len(found) > 1 else ""
    return (", " if between == " " else "; ").join(
        " ".join(filter(None, (face or own, between.join(places)))) for face, places in found.items()
    )


def spots_named(spots: Sequence[str], between: str = " ", own: str = "") -> str:
    """Return holes with their word: `hole 3`, `hole 3, right`, `holes 1 2 4, right 3 5`; empty for none."""
    known = list(dict.fromkeys(spots))
    if len(known) < 2:
        return f"hole {known[0]}" if known else ""
    return f"holes {spots_text(known, between, own)}"


def spots_in(step: Step, face: str, spots: Iterable[str]) -> list[str]:
    """Return those of some holes of a step that lie on a face of it, without the face."""
    own = step.own_face(face)
    return [place_of(at) for at in spots if face_of(at) == own]


def faces_with_holes(record: Record, step: Step) -> list[str]:
    """Return the faces of a step that have holes, its own first; where that was not said it is empty."""
    return [face or step.face for face in by_face(spots_of(record, step))]


def spots_of(record: Record, step: Step) -> list[str]:
    """Return the holes of a step, each once, as entered: those that something came out of, and that it goes into."""
    return list(dict.fromkeys(at for t in record.things_of(step) if t.hole for at in (t.spot, t.goes_in)))


def faces_text(faces: Iterable[str]) -> str:
    """Return faces in words, each once, the first one first: `left, right and top faces`; empty where none was said."""
    first, *others = list(dict.fromkeys(filter(None, faces))) or [""]
    *most, last = [first, *sorted(others, key=lambda face: (*FACES, face).index(face))]
    if not most:
        return f"{last} face" if last else ""
    return f"{', '.join(most)} and {last} faces"


def faces_words(record: Record, step: Step) -> str:
    """Return the faces of a step in words, its own first, as `faces_text`."""
    return faces_text((step.face, *faces_with_holes(record, step)))


def counts_text(step: Step, spots: Iterable[str], but: str | None = None) -> str:
    """Return how many holes of a step lie on each face, `right 2, top 1`, or on each `but` one; empty where none do."""
    left_out = None if but is None else step.own_face(but)
    found = {face: places for face, places in by_face(spots).items() if face != left_out}
    return ", ".join(f"{face or step.face or 'face not said'} {len(places)}" for face, places in found.items())
