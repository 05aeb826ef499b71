"""How far a camera's clock is ahead: from photos of the clock code, else from photos of bag labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from putback.errors import BadInput
from putback.photos.codes_in_pictures import squares_in
from putback.photos.pairing import Shot, clock_error, clock_of

ENDS = 6
"""Pictures at either end of a folder that are looked at for the clock code when nothing else is said."""
_HALF_HOUR = timedelta(minutes=30)


def looked_at(shots: Sequence[Shot]) -> list[Shot]:
    """The first and last pictures of a folder by time: the clock code is photographed before or after the work."""
    ordered = sorted(shots, key=lambda shot: shot.taken)
    return ordered if len(ordered) <= 2 * ENDS else [*ordered[:ENDS], *ordered[-ENDS:]]


def with_codes(shot: Shot) -> tuple[Shot, datetime | None]:
    """A shot with the bag codes that its picture shows, and the time of a clock code in it.

    Opens the whole picture, which takes some tenths of a second. Raises BadInput as `squares_in`.
    """
    found = squares_in(shot.path)
    clocks = [at for one in found if (at := clock_of(one.text)) is not None]
    bags = dict.fromkeys(one.code for one in found if one.code)
    return replace(shot, bags=tuple(bags)), clocks[0] if clocks else None


def error_by_clock_code(sightings: Sequence[tuple[Shot, datetime]]) -> timedelta:
    """How far the camera is ahead, from shots and the times their clock codes show.

    Raises BadInput when there is none, or when they contradict one another.
    """
    return clock_error([(shot.taken, shown) for shot, shown in sightings])


def error_by_bags(sightings: Sequence[tuple[datetime, datetime, datetime]]) -> timedelta:
    """How far the camera is ahead, from (time it gave, earliest and latest time it can have been).

    All sightings leave a range. If the clock can be right it is taken as right; else, as clocks are most
    often off by a zone or summer time, the least whole or half hour of the range; else its end nearest to
    right (common practice, no source). Raises BadInput when there is none or when they contradict one another.
    """
    if not sightings:
        raise BadInput("no photo shows a bag label, so the camera's clock error is not known")
    low = max(taken - latest for taken, _, latest in sightings)
    high = min(taken - earliest for taken, earliest, _ in sightings)
    if low > high:
        raise BadInput("the photos of bag labels disagree: was the camera's clock set in between?")
    if low <= timedelta(0) <= high:
        return timedelta(0)
    nearest = low if low > timedelta(0) else high
    hours = nearest // _HALF_HOUR * _HALF_HOUR
    for whole in (hours, hours + _HALF_HOUR) if nearest > timedelta(0) else (hours + _HALF_HOUR, hours):
        if low <= whole <= high:
            return whole
    return nearest
