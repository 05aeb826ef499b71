"""Steps passed over at refit, and what holds what: a step that was skipped stays off and holds nothing up.

What waits behind a skipped step still counts. Where the lid needs the spring on and the spring needs the pawl,
skipping the spring leaves the lid waiting for the pawl.
"""

from __future__ import annotations

from collections.abc import Callable

from putback.trade.record.record import Record
from putback.trade.record.step import NO_REVERSE, Step

Seen = Callable[[Step], Step]
"""Gives a step as a change in the making leaves it."""


def as_recorded(step: Step) -> Step:
    """Return the step itself."""
    return step


def held_by(record: Record, step: Step, seen: Seen = as_recorded) -> list[Step]:
    """Return the steps that have to be back before `step` can go back, in order: those that need it, themselves
    or through steps that were skipped."""
    found: dict[int, Step] = {}
    passed, front = {step.id}, [step]
    while front:
        here = front.pop()
        for other in map(seen, record.steps_needing(here.machine, here.number)):
            if other.back or other.on_hold or other.id in passed:  # what is on hold never came off
                continue
            passed.add(other.id)
            if other.skipped:
                front.append(other)
            else:
                found[other.number] = other
    return [found[number] for number in sorted(found)]


def in_the_way(record: Record, step: Step) -> tuple[list[Step], list[Step]]:
    """Return what has to come off again before `step` can be worked on, in order; and what else is done anew.

    Those are the steps that it needed off and that are back, themselves or what they needed. A turn, a mark or a
    measure holds nothing: it stands in the second list.
    """
    found: dict[int, Step] = {}
    ticked: dict[int, Step] = {}
    passed, front = {step.number}, [step]
    while front:
        for number in front.pop().needs:
            need = record.step(step.machine, number)
            if need is None or number in passed:
                continue
            passed.add(number)
            if need.back:
                (ticked if holds_nothing(record, need) else found)[number] = need
                front.append(need)
            elif need.skipped:
                front.append(need)
    return [found[n] for n in sorted(found)], [ticked[n] for n in sorted(ticked)]


def holds_nothing(record: Record, step: Step) -> bool:
    """Tell whether a step that is back has nothing on the machine: a turn, a mark, a measure, a soak."""
    return step.do in NO_REVERSE and not record.things_of(step)
