"""The hole that is the twin of another, and what it tells of the odd one: a short screw where its twin has the short
one is no question.

A machine is built alike on both sides, and its covers alike among themselves (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

from putback.sizing.odd import MIRROR, same_size
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import mirrored_things
from putback.trade.refit.orientation import names_turned, place_turned
from putback.trade.sizes.matching import comparable, odd_question

OVER_AGAINST = {"left": "right", "right": "left", "front": "back", "back": "front"}
"""The face on the other side of a part: seen from there left is right."""

LOOKED_BACK = 50
"""How many steps are gone back over for one with the same pattern."""


def odd_about(record: Record, machine: Machine, step: Step, new: Thing) -> str:
    """Return the question about a fastener just entered, or nothing: not where its twin, or a pattern, explains it."""
    question = odd_question(record, machine, step, new)
    if not question or not is_explained(record, machine, step, new):
        return question
    return odd_question(record, machine, step, new, explained=True)


def is_explained(record: Record, machine: Machine, step: Step, new: Thing) -> bool:
    """Tell whether a hole that is the twin of a fastener's has the same, or an earlier part had all of its pattern."""
    mine = comparable(record, machine, new)
    if any(same_size(comparable(record, machine, twin), mine) for twin in twins_of(record, step, new)):
        return True
    return _had_before(record, machine, step, new)


def twins_of(record: Record, step: Step, new: Thing) -> Iterator[Thing]:
    """Give the fasteners of the holes that are twins of one: on the face over against it, and of the mirrored part."""
    face = new.face or step.face
    over = OVER_AGAINST.get(face, "")
    turned = {name: names_turned(record, step, name) for name in (face, over) if name}
    for thing in record.things_of(step):
        if over and _is_in(thing) and (thing.face or step.face) == over:
            seen = place_turned(thing.hole, turned[over])
            here = MIRROR.get(seen[0], seen[0]) + seen[1:]
            if place_turned(here, -turned[face]) == new.hole:
                yield thing
    for place, thing in mirrored_things(record, step, face):
        if place == new.hole:
            yield thing


def _is_in(thing: Thing) -> bool:
    return bool(thing.hole) and not thing.found and not thing.replaces


def _sort_of(name: str) -> str:
    """Return the last word of a part's name, without a number behind it."""
    return re.sub(r"[\W\d_]+$", "", name.casefold()).rpartition(" ")[2]


def _had_before(record: Record, machine: Machine, step: Step, new: Thing) -> bool:
    """Tell whether an earlier part of that sort had, on one face, the same in each hole so far, or in its mirror.

    Parts are of a sort where their names end in the same word: an upper and a lower cover.
    """
    here = {t.hole: t for t in record.things_of(step) if _is_in(t) and t.face == new.face and t.alone}
    here[new.hole] = new
    earlier = (other for other in record.latest_steps(machine.id) if other.id != step.id and other.do == step.do)
    for other in islice(earlier, LOOKED_BACK):
        if _sort_of(other.name) != _sort_of(step.name):
            continue
        faces: dict[str, dict[str, Thing]] = {}
        for thing in record.things_of(other):
            if _is_in(thing) and thing.alone:
                faces.setdefault(thing.face, {})[thing.hole] = thing
        for there in faces.values():
            across = {MIRROR.get(hole[0], hole[0]) + hole[1:]: thing for hole, thing in there.items()}
            for known in (there, across):
                if here.keys() <= known.keys() and all(
                    same_size(comparable(record, machine, known[hole]), comparable(record, machine, mine))
                    for hole, mine in here.items()
                ):
                    return True
    return False
