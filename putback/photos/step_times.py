"""When each step was worked on, as photos are paired with it: one stretch for each segment it runs through, and
one for the time when it was put back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from putback.photos.pairing import StepTime
from putback.trade.record.machine import Machine
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step


@dataclass(frozen=True, slots=True)
class _Work:
    """One step taken off, or put back."""

    step: Step
    began: datetime
    ended: datetime
    back: bool = False


def step_times(record: Record, machines: Iterable[Machine], now: str) -> list[StepTime]:
    """Return the stretches of all steps of these machines; `number` is the step's number in the workshop.

    A step that runs through a break has a stretch on either side; one that was put back has a further one, from
    what was done before it in that segment to the moment when it was back. `now` ends what still goes on.
    """
    return [one for machine in machines for one in _of(record, machine, datetime.fromisoformat(now))]


def _of(record: Record, machine: Machine, now: datetime) -> Iterator[StepTime]:
    known = list(record.all(Step, machine.id))
    work = [_Work(step, _at(step.began), _at(step.ended) if step.ended else now) for step in known if step.began]
    work += [_Work(step, _at(step.back), _at(step.back), back=True) for step in known if step.back]
    work.sort(key=lambda one: one.began)
    segments = sorted(
        (_at(segment.start), _at(segment.end) if segment.end else now)
        for session in record.all(Session, machine.id)
        for segment in session.segments
    )
    first = 0
    for start, end in segments:
        # Steps follow one another, so those that ended before this segment are of no more interest.
        while first < len(work) and work[first].ended < start:
            first += 1
        before = start
        for one in work[first:]:
            if one.began > end:
                break
            stretch = max(one.began, start), min(one.ended, end)
            if stretch[1] >= stretch[0]:
                yield _stretch(record, one, before, *stretch)
                before = max(before, stretch[1])


def _stretch(record: Record, work: _Work, before: datetime, began: datetime, ended: datetime) -> StepTime:
    step = work.step
    moves = record.moves_of(step.id)
    stamps = [at for move in moves if move.at and began <= (at := _at(move.at)) <= ended]
    places = [place for move in moves for place in (move.source, move.target)]
    numbers = {n for place in places if (n := bag_number(place)) is not None} | ({step.bag} - {0})
    bags = (record.bag(step.machine, number) for number in sorted(numbers))
    return StepTime(
        number=step.id,
        start=min(before, began),
        first=min(stamps, default=began),
        last=max(stamps, default=ended),
        end=ended,
        bags=tuple(bag.code for bag in bags if bag is not None),
        back=work.back,
    )


def _at(stamp: str) -> datetime:
    return datetime.fromisoformat(stamp)
