"""When each step was worked on, as photos are paired with it: one stretch for each segment it runs through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from putback.codes.photos import StepTime
from putback.trade.machine import Machine
from putback.trade.place import bag_number
from putback.trade.record import Record
from putback.trade.session import Session
from putback.trade.step import Step


def step_times(record: Record, machines: Iterable[Machine], now: str) -> list[StepTime]:
    """Return the stretches of all steps of these machines; `number` is the step's number in the workshop.

    A step that runs through a break has a stretch on either side. `now` ends what still goes on.
    """
    return [one for machine in machines for one in _of(record, machine, datetime.fromisoformat(now))]


def _of(record: Record, machine: Machine, now: datetime) -> Iterator[StepTime]:
    steps = [step for step in record.all(Step, machine.id) if step.began]
    spans = [(_at(step.began), _at(step.ended) if step.ended else now) for step in steps]
    segments = sorted(
        (_at(segment.start), _at(segment.end) if segment.end else now)
        for session in record.all(Session, machine.id)
        for segment in session.segments
    )
    first = 0
    for start, end in segments:
        # Steps follow one another, so those that ended before this segment are of no more interest.
        while first < len(steps) and spans[first][1] < start:
            first += 1
        before = start
        for place in range(first, len(steps)):
            began, ended = spans[place]
            if began > end:
                break
            stretch = max(began, start), min(ended, end)
            if stretch[1] >= stretch[0]:
                yield _stretch(record, steps[place], before, *stretch)
                before = max(before, stretch[1])


def _stretch(record: Record, step: Step, before: datetime, began: datetime, ended: datetime) -> StepTime:
    moves = record.moves_of(step.id)
    stamps = [at for move in moves if move.at and began <= (at := _at(move.at)) <= ended]
    numbers = {n for move in moves if (n := bag_number(move.target)) is not None} | ({step.bag} - {0})
    bags = (record.bag(step.machine, number) for number in sorted(numbers))
    return StepTime(
        number=step.id,
        start=min(before, began),
        first=min(stamps, default=began),
        last=max(stamps, default=ended),
        end=ended,
        bags=tuple(bag.code for bag in bags if bag is not None),
    )


def _at(stamp: str) -> datetime:
    return datetime.fromisoformat(stamp)
