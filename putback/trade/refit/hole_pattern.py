"""The pattern of holes that a part is held by, and which of them comes next.

Lower holes first where the face hangs, so that the upper ones hold it to the last (common practice, no source);
beyond that clockwise as one faces it, from the lower right. `docs/decisions/0006-hole-patterns.md` says why.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from putback.sizing.odd import MIRROR
from putback.trade.record.fastener import Thing, spot
from putback.trade.record.holes import face_of, faces_with_holes, place_of, spots_in
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.orientation import (
    face_turned,
    hangs,
    lay_before,
    lies_for,
    lies_now,
    names_turned,
    place_turned,
)

ROWS = ("321", "456", "789")
"""The rows from below, each in the direction that is clockwise as one faces it; the middle one begins at the left,
where the clock goes on from the lowest."""

ROWS_OF = {place: number for number, row in enumerate(ROWS) for place in row}
"""The row of each place, from below."""

RING = "32147896"
"""All places but the middle, clockwise from the lower right."""

CORNERS = "3179"
"""Those of a panel held at its corners."""

PAIRS = ("46", "28")
"""Two in the middle of opposite edges."""

ROWS_OF_THREE = ("321789", "369147")
"""Two rows of three, and two columns of three."""

SHAPES = {
    **dict.fromkeys(PAIRS, "a pair"), CORNERS: "corners", ROWS_OF_THREE[0]: "two rows of three",
    ROWS_OF_THREE[1]: "two columns of three", RING: "a ring",
}  # fmt: skip
"""The patterns that covers have, the likeliest first, and what each is called (common practice, no source)."""

ENOUGH = 3
"""So many holes of a pattern tell that it is one, and that the one left is missed."""

_SIDES = {"left": "right", "right": "left"}
_SIDE = r"(?i)\b(?:left|right)\b"


class HoleGuess(Struct, frozen=True):
    """The hole that the next fastener is likely to come from."""

    hole: str
    """The hole; empty where every place has one."""
    by: str
    """By what it is guessed: `guessed: corners`."""


def next_hole(taken: Sequence[str], *, hanging: bool = True, known: Sequence[str] = ()) -> str:
    """Return the hole that comes next by `next_guess`."""
    return next_guess(taken, hanging=hanging, known=known).hole


def next_guess(taken: Sequence[str], *, hanging: bool = True, known: Sequence[str] = ()) -> HoleGuess:
    """Return the hole that the next fastener of the same pattern is likely to come from, and by what.

    `taken` are the holes that are done, in the order they were. Where the holes are `known` these are gone through.
    Else they tell the pattern, the first of SHAPES that has them all; and where every place so far held several, so
    does the last. Empty where every place has one.
    """
    left = [hole for hole in known if hole not in taken]
    if left:
        return HoleGuess(_first(left, taken, hanging), AS_KNOWN)
    places = {hole[0] for hole in taken}
    twin = _twin(taken)
    if twin:
        return HoleGuess(twin, "as the places before it, with several each")
    for pattern in (shape_of(places), next_shape(places), RING):
        left = [place for place in pattern if place not in places]
        if left:
            by = f"guessed: {SHAPES[pattern]}" if places else "no hole yet: lower right first"
            return HoleGuess(_first(left, taken, hanging), by)
    return HoleGuess("", "") if "5" in places else HoleGuess("5", "only the middle is left")


AS_KNOWN = "as known"
"""By what a hole is guessed that is one of those known."""


def shape_of(places: Collection[str]) -> str:
    """Return the likeliest pattern that has all these places: corners where there are none yet."""
    return next((shape for shape in SHAPES if set(places) <= set(shape)), RING) if places else CORNERS


def next_shape(places: Collection[str]) -> str:
    """Return the likeliest pattern that has all these places and more."""
    return next((shape for shape in SHAPES if set(places) < set(shape)), RING)


def expected(known: Sequence[str], taken: Sequence[str]) -> Sequence[str]:
    """Return the holes that are known, where the first one taken does not say that it is another pattern."""
    return known if not taken or taken[0] in known else ()


def left_behind(known: Sequence[str], taken: Sequence[str]) -> list[str]:
    """Return the holes that were left: those of the part's mirror, else the one that a pattern still has."""
    if not taken:
        return []
    if expected(known, taken):
        return sorted(set(known) - set(taken))
    places = {hole[0] for hole in taken}
    left = sorted(set(shape_of(places)) - places)
    return left if len(left) == 1 and len(places) >= ENOUGH else []


def holes_left(record: Record, step: Step) -> list[str]:
    """Return the holes of a step that were left, face by face, each with its face where the step has several."""
    faces = faces_with_holes(record, step)
    spots = list(dict.fromkeys(thing.spot for thing in record.things_of(step) if thing.hole))
    return [
        spot(hole, face if len(faces) > 1 else step.own_face(face))
        for face in faces
        for hole in left_behind(known_holes(record, step, face), spots_in(step, face, spots))
    ]


def left_words(left: Sequence[str]) -> str:
    """Return that holes were left, in words: `holes 3 and 7 were left`; empty for none."""
    named = [f"{place_of(at)} on the {face_of(at)} face" if face_of(at) else at for at in left]
    if len(named) > 1:
        return f"holes {', '.join(named[:-1])} and {named[-1]} were left"
    return f"hole {named[0]} was left" if named else ""


def _first(left: Sequence[str], taken: Sequence[str], hanging: bool) -> str:
    """Return which hole of those left comes first."""
    places = {hole[0] for hole in left}
    if hanging:
        row = next(row for row in ROWS if places.intersection(row))
        places.intersection_update(row)
        order = _along(row, taken)
    else:
        order = f"{_around(taken)}5"
    if taken and taken[-1][0] in places:
        order = taken[-1][0]  # what is left at one place is done before the hand moves on
    place = next(place for place in order if place in places)
    return min(hole for hole in left if hole[0] == place)


def _along(row: str, taken: Sequence[str]) -> str:
    """Return a row in the order it is gone through: clockwise, or the way the person went.

    That is from the end they began it at; a top row not begun is gone through as the middle one was.
    """
    places = [hole[0] for hole in taken]
    begun = [next((place for place in places if place in other), "") for other in ROWS]
    number = ROWS.index(row)
    backwards = begun[number] == row[-1] or (number == 2 and not begun[2] and begun[1] == ROWS[1][-1])
    order = row[::-1] if backwards else row
    here = next((place for place in reversed(places) if place in row), order[-1])
    after = order.index(here) + 1
    return order[after:] + order[:after]


def _around(taken: Sequence[str]) -> str:
    """Return the ring in the order it is gone through, from the place done last, the way the person went."""
    places = [hole[0] for hole in taken if hole[0] in RING]
    order = RING
    for before, after in pairwise(places):
        apart = (RING.index(after) - RING.index(before)) % len(RING)
        if apart % 4:  # the same place again, and the one over against it, tell no way
            order = RING if apart < 4 else RING[::-1]
    if not places:
        return order
    after_last = order.index(places[-1]) + 1
    return order[after_last:] + order[:after_last]


def _twin(taken: Sequence[str]) -> str:
    """Return another hole at the last place, where each place before held more than that; else nothing."""
    counts: dict[str, int] = {}
    for hole in taken:
        counts[hole[0]] = counts.get(hole[0], 0) + 1
    if not taken:
        return ""
    here = taken[-1][0]
    others = {count for place, count in counts.items() if place != here}
    if len(others) != 1 or counts[here] >= min(others):
        return ""
    return next((f"{here}{x}" for x in "abcdefghijklmnopqrstuvwxyz" if f"{here}{x}" not in taken), "")


def hung_on_its_upper(record: Record, step: Step, lies: str | None = None, face: str | None = None) -> bool:
    """Tell whether what a step took off hangs, with holes above and below: an upper screw goes in first, loosely.

    It is told of one face of the step; None is its own.

    Common practice, no source. Nothing of the kind is said of work inside an assembly that lies on the bench. `lies` is
    how the machine has to lie for the step, where that is known already.
    """
    lies = lies_for(record, step) if lies is None else lies
    face = step.face if face is None else face
    held = [t for t in record.things_of(step) if t.hole and not t.found and not t.replaces]
    rows = {ROWS_OF[t.hole[0]] for t in held if t.face == step.own_face(face)}
    return step.do == "take off" and bool(lies and hangs(face, lies)) and {0, 2} <= rows


def mirrored(name: str) -> str:
    """Return what a part is called on the other side, or nothing where its name says no side."""
    other = re.sub(_SIDE, lambda found: _SIDES[found[0].casefold()], name)
    return other if other != name else ""


def known_holes(record: Record, step: Step, face: str | None = None) -> tuple[str, ...]:
    """Return the places a step is likely to have holes at, on one face: those of the part that is its mirror.

    The left panel's tell the right one's, left and right exchanged. `face` None is the step's own. Empty where no such
    part came off yet.
    """
    return tuple(dict.fromkeys(place for place, _ in mirrored_things(record, step, face)))


def mirrored_things(record: Record, step: Step, face: str | None = None) -> Iterator[tuple[str, Thing]]:
    """Give the fasteners of the part that is a step's mirror on the other side, each at its place here, on one face."""
    other = mirrored(step.name)
    part = record.part_named(step.machine, other, step.area) if other else None
    if part is None:
        return
    face = step.face if face is None else face
    faces = {face, _SIDES.get(face, face)}
    lay, lies = lay_before(record, step.machine), lies_now(record.get(Machine, step.machine))
    for earlier in record.steps_of_part(part.id):
        if earlier.do == step.do and not earlier.is_open:
            for thing in record.things_of(earlier):
                there = thing.face or earlier.face
                if there in faces and thing.hole and not thing.found and not thing.replaces:
                    seen = place_turned(thing.hole, face_turned(there, lay[earlier.number], lies))
                    here = MIRROR.get(seen[0], seen[0]) + seen[1:]
                    yield place_turned(here, -names_turned(record, step, face)), thing


def likely_hole(record: Record, step: Step, taken: Sequence[str], face: str | None = None) -> str:
    """Return the place that the next fastener of a step is likely to come from on a face, or nothing."""
    return guess(record, step, taken, known_holes(record, step, face), face).hole


def guess(record: Record, step: Step, taken: Sequence[str], known: Sequence[str], face: str | None = None) -> HoleGuess:
    """Return the place that the next fastener of a step is likely to come from, and by what it is guessed.

    `taken` are the places done on that face; None is the step's own. `known` is what `known_holes` said. From the same
    holes it is the same each time. Its evidence is in words: `as on the left panel: 3 1 7 9`, or `guessed: corners`.
    """
    face = step.face if face is None else face
    hanging = hangs(face, record.get(Machine, step.machine).lies) is not False
    known = expected(known, taken)
    turn = names_turned(record, step, face)  # which of them are the lower ones is a matter of how they are seen now
    seen_taken, seen_known = ([place_turned(hole, turn) for hole in holes] for holes in (taken, known))
    seen = next_guess(seen_taken, hanging=hanging, known=seen_known)
    by = f"as on the {mirrored(step.name)}: {' '.join(known)}" if seen.by == AS_KNOWN else seen.by
    return HoleGuess(place_turned(seen.hole, -turn), by)
