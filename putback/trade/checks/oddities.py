"""Checks on the record while it is cheap to mend: oddities that a person should look at, as findings.

None of them says that anything is wrong, and none holds anything up. A check that would speak up about an
ordinary day is worth less than none, so each is told only where the record itself leaves the question open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from putback.trade.record.fastener import Thing
from putback.trade.record.holes import by_face, faces_with_holes, spots_text
from putback.trade.record.place import FITTED
from putback.trade.record.record import Record
from putback.trade.record.step import NO_REVERSE, Step

Check = Callable[[Record, Step], Iterator[str]]
"""Looks at one step and gives what is odd about it, as the end of a sentence."""

CORNERS = frozenset("1379")
"""The four corners of a face."""


def nothing_done(record: Record, step: Step) -> Iterator[str]:
    """A step that released nothing and took nothing, and of which nothing was said."""
    noted = step.adjust or step.note or step.soak or step.tools or step.todo or step.cautions or step.at_refit
    if step.is_open or step.do in NO_REVERSE or noted:
        return
    if not record.things_of(step) and not record.moves_of(step.id):
        yield "nothing came out and nothing was set; what was done?"


def holes_without_screws(record: Record, step: Step) -> Iterator[str]:
    """A cover that is off with fewer screws than its holes.

    A hole counts that only held a washer or the like, and the fourth corner where three have a screw.
    """
    if not step.cover or step.is_open or not step.takes_off:
        return
    things = [t for t in record.things_of(step) if t.hole and not t.replaces]
    screws = {t.spot for t in things if t.alone}
    known = {t.spot for t in things}
    bare = sorted(known - screws - {t.spot for t in things if t.found})
    if screws and bare:
        others = ", ".join(f"{hole} ({next(t.called for t in things if t.spot == hole)})" for hole in bare)
        yield f"no screw came out of hole {others}; was there one?"
    yield from _fourth_corner(known)


def _fourth_corner(known: set[str]) -> Iterator[str]:
    """A face of which three corners and nothing else have a hole."""
    for face, holes in by_face(known).items():
        places = {hole[0] for hole in holes}
        corners = places & CORNERS
        if len(corners) == 3 and places <= CORNERS:
            (fourth,) = CORNERS - corners
            named = f"{face}: corners" if face else "corners"
            yield f"{named} {', '.join(sorted(corners))} had a screw, and {fourth} is not noted; was it empty?"


def never_emptied(record: Record, step: Step) -> Iterator[str]:
    """A cover that is off while a fastener that was only loosened still sits in one of its holes."""
    if not step.cover or step.is_open or not step.takes_off or step.back or not step.part:
        return
    for earlier in record.steps_of_part(step.part):
        if earlier.do != "loosen" or earlier.number > step.number or earlier.back:
            continue
        for thing in record.things_of(earlier):
            if thing.alone and _on_its_faces(record, step, earlier, thing):
                yield f"hole {thing.spot} was only loosened at step {earlier.number}, and the part is off"


def _on_its_faces(record: Record, step: Step, earlier: Step, thing: Thing) -> bool:
    """Tell whether a fastener of an earlier step is still in, on the face of a step or on another that it worked on."""
    faces = {step.face, *faces_with_holes(record, step)}
    return bool(record.standing(thing.id).get(FITTED)) and (thing.face or earlier.face) in faces


def still_in(record: Record, step: Step) -> Iterator[str]:
    """A part that came off once more while fasteners which had gone back are still in it, by the record."""
    if step.is_open or not step.takes_off or step.back or not step.part:
        return
    for earlier in record.steps_of_part(step.part):
        if not (earlier.back and earlier.takes_off and earlier.number < step.number):
            continue
        holes = [t.spot for t in record.things_of(earlier) if t.hole and _on_its_faces(record, step, earlier, t)]
        if holes:
            named = spots_text(holes, ", ")
            yield f"hole {named} was filled again at step {earlier.number}, and is not noted as empty now"


def found_empty(record: Record, step: Step) -> Iterator[str]:
    """A hole that was found empty."""
    for thing in record.things_of(step):
        if thing.found:
            yield f"hole {thing.spot} found empty" + (f"; {thing.note}" if thing.note else "")


def under_another(record: Record, step: Step) -> Iterator[str]:
    """A part that came off from under a cover which was on by then.

    A cover and what it hides are worked in one assembly, and the later step said that it needs the cover off,
    or the cover was closed again before the part came off.
    """
    if step.is_open or not step.takes_off:
        return
    for need in step.needs:
        over = record.step(step.machine, need)
        if over is not None and over.cover and over.back and not step.back:
            yield f"it lies under {over.name} (step {over.number}), which is on again"
    for over in record.covers_on(step.machine):
        if over.number >= step.number:
            break
        if over.number in step.needs or not step.face:
            continue
        here = over.area == step.area and over.face == step.face
        if here and _before(over.back, step.began) and record.off_at(over.part) is None:
            yield f"it came off the {step.face} while {over.name} (step {over.number}) was on again"


def _before(one: str, other: str) -> bool:
    return bool(one and other) and datetime.fromisoformat(one) <= datetime.fromisoformat(other)


CHECKS: tuple[Check, ...] = (
    nothing_done,
    holes_without_screws,
    never_emptied,
    still_in,
    found_empty,
    under_another,
)
"""Every check, in the order its findings are told."""


def odd_about(record: Record, step: Step) -> list[str]:
    """Return what is odd about one step, each as the end of a sentence."""
    return [words for check in CHECKS for words in check(record, step)]


def odd_now(record: Record, step: Step) -> list[str]:
    """Return what is odd about a step just done; a hole found empty was said a moment ago."""
    return [words for check in CHECKS if check is not found_empty for words in check(record, step)]
