"""What holds of the holes of a step whichever command is about them: one screw in each, on the face it is on."""

from __future__ import annotations

from collections.abc import Iterable

from putback.errors import Refused
from putback.trade.commands.draft import Draft
from putback.trade.record.fastener import Thing, spot
from putback.trade.record.holes import spot_of
from putback.trade.record.step import Step


def check_hole(thing: Thing, others: Iterable[Thing]) -> None:
    """See that a fastener can have come out of its hole. Raises Refused where another of the step did."""
    others = [other for other in others if other.face == thing.face]
    hole, taken = thing.hole, {other.hole for other in others}
    for other in others:
        if other.hole == hole and ((other.alone and thing.alone) or other.found or thing.found):
            held = "is noted as found empty" if other.found else f"has its {other.called} already"
            free = next(hole[0] + letter for letter in "abcdefghijklmnopqrstuvwxyz?" if hole[0] + letter not in taken)
            raise Refused(f"Hole {thing.spot} {held}; add a letter, as {free}, if there are two.")


def refaced(draft: Draft, step: Step, face: str) -> Step:
    """Let a step be on another face. Its holes go with it; those that are on that face already are its own then.

    Raises Refused where two would be in one hole.
    """
    if face == step.face:
        return step
    step = draft.alter(step, face=face, facing="" if step.facing == face else step.facing)
    firsts: list[Thing] = []
    for number in (thing.id for thing in draft.record.things_of(step) if thing.hole):
        thing = draft.get(Thing, number)
        own = step.own_face(thing.face)
        into = spot_of(step, thing.goes_into) if thing.goes_into else ""
        into = "" if into == spot(thing.hole, own) else into
        if (own, into) != (thing.face, thing.goes_into):
            thing = draft.alter(thing, face=own, goes_into=into)
        if not thing.replaces:
            check_hole(thing, firsts)
            firsts.append(thing)
    return step
