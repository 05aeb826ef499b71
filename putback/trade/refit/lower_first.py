"""The reminder to take the lower screws of a hanging panel first, so that the upper ones hold it to the last.

Common practice, no source. It looks at what still holds, in whatever order the holes come; it never refuses.
"""

from __future__ import annotations

from collections.abc import Sequence

from putback.sizing.odd import MIRROR
from putback.trade.record.machine import Machine
from putback.trade.record.place import FITTED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import known_holes
from putback.trade.refit.orientation import hangs, lies_now, names_turned, on_the_bench, place_turned

UPPER = "789"
LOWER = "123"


def lower_first(
    record: Record, step: Step, hole: str, known: Sequence[str] | None = None, face: str | None = None
) -> str:
    """Return the reminder where the upper `hole` of a hanging part is being emptied while lower ones still hold.

    `hole` is a place on one face of the step; None is its own. Each face is looked at by itself.

    Empty where nothing is to be said: the face does not stand upright, the part lies on the bench, the hole is not
    an upper one as it is seen now, or nothing below holds any more. `known` is what `known_holes` said, where that
    was asked before.
    """
    lies = lies_now(record.get(Machine, step.machine))
    face = step.face if face is None else face
    if step.do != "take off" or not hangs(face, lies) or on_the_bench(record, step):
        return ""
    turn = names_turned(record, step, face)
    if place_turned(hole, turn)[:1] not in UPPER:
        return ""
    empty = {t.hole for t in record.things_of(step) if t.hole and t.face == step.own_face(face)}
    known = known_holes(record, step, face) if known is None else known
    still = ({*known} | _still_fitted(record, step, face)) - empty - {hole}
    below = sorted(h for h in still if place_turned(h, turn)[0] in LOWER)
    if not below and (known or not _by_pattern([place_turned(h, turn) for h in empty])):
        return ""
    named = f" ({', '.join(below)})" if below else ""
    return f"if this hangs: the lower screws first{named}, so that the upper ones hold it"


def _still_fitted(record: Record, step: Step, face: str) -> set[str]:
    """Return the places of the part on a face that still have what an earlier step left in them."""
    found: set[str] = set()
    for earlier in record.steps_of_part(step.part) if step.part else ():
        if earlier.number < step.number:
            here = [t for t in record.things_of(earlier) if t.hole and (t.face or earlier.face) == face]
            found |= {t.hole for t in here if record.standing(t.id).get(FITTED)}
    return found


def _by_pattern(empty: Sequence[str]) -> list[str]:
    """Return the lower places that are likely to hold still, by the holes emptied so far as they are seen now.

    There are some until one of them is emptied; then each has its like on the other side.
    """
    places = {hole[0] for hole in empty}
    done = places.intersection(LOWER)
    if not done:
        return list(LOWER)
    return sorted({MIRROR.get(place, place) for place in done} - done)
