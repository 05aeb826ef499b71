"""Which photo shows which step. Photos are paired by time, so the camera's clock error comes first.

The error is measured from a photo of a code that the screen shows (`clock_text`): it holds the true time
to the second. Pure but for `read_shot`, which opens a picture's header; nothing here copies or changes a
file.
"""

import re
import warnings
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from enum import Enum
from pathlib import Path
from statistics import median

from putback.errors import BadInput
from putback.scans.bag_code import check_character

CLOCK_PREFIX = "PC"
"""What a code with the time starts with."""
SETTLE = timedelta(seconds=45)
"""A photo this soon after a step's end may still show that step (common practice, no source)."""
FIRST_YEAR, LAST_YEAR = 1970, 2200
"""Years outside which a camera's date is nonsense; a clock that was never set often says 1970, 1980 or 2000."""
LINGER = timedelta(minutes=5)
"""How far outside any step a photo may lie and still belong to it (common practice, no source)."""


class When(Enum):
    """Where in its step a photo falls."""

    BEFORE = "before"
    DURING = "during"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class Shot:
    """One photo: when its camera says it was taken."""

    path: Path
    """Where its file lies."""
    taken: datetime
    """With a time zone."""
    from_exif: bool = True
    """False when only the file's own time was to be had, which copying may have changed."""
    bags: tuple[str, ...] = ()
    """Bag codes seen in it."""


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step was worked on."""

    number: int
    """The step's number on the machine."""
    start: datetime
    """When the step before it, or the break, ended."""
    first: datetime
    """Its first entry."""
    last: datetime
    """Its last entry."""
    end: datetime
    """When it was finished."""
    bags: tuple[str, ...] = ()
    """Codes of the bags it filled, or was put back out of."""
    back: bool = False
    """Whether it was put back then, and not taken off."""


@dataclass(frozen=True, slots=True)
class Paired:
    """A photo and its step."""

    shot: Shot
    """The photo."""
    step: int | None
    """The step, or None when none is near."""
    when: When | None
    """Where in the step it falls, before, during or after; None where no step is near."""
    sure: bool
    """Whether it need not be asked about."""
    instead: int | None = None
    """The other step it may belong to."""
    back: bool = False
    """Whether it shows the step being put back, and not taken off."""


def clock_text(at: datetime) -> str:
    """What the screen's code holds: `PC`, the time in UTC to the second, a check character.

    Raises ValueError for a time without a zone.
    """
    if at.tzinfo is None:
        raise ValueError("a clock code needs a time with its zone")
    body = CLOCK_PREFIX + at.astimezone(UTC).strftime("%Y%m%d%H%M%S")
    return body + check_character(body)


def clock_of(text: str) -> datetime | None:
    """The time in a clock code, in UTC; None when `text` is none."""
    if not re.fullmatch(CLOCK_PREFIX + r"[0-9]{14}[0-9A-Z*]", text) or check_character(text[:-1]) != text[-1]:
        return None
    try:
        return datetime.strptime(text[2:-1], "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None


def exif_time(stamp: str, offset: str = "", fraction: str = "") -> datetime | None:
    """A time from EXIF: `2024:10:06 19:10:00`, with its offset `+02:00` if the camera wrote one.

    Without an offset it has no zone. None for a blank, a nonsense or an impossible date (EXIF 2.32:
    DateTimeOriginal, OffsetTimeOriginal, SubSecTimeOriginal).
    """
    parts = re.fullmatch(r"\s*(\d{4})[:\-/](\d\d)[:\-/](\d\d)[ T](\d\d):(\d\d):(\d\d)\s*\0?", stamp, re.ASCII)
    if parts is None:
        return None
    try:
        taken = datetime(*(int(part) for part in parts.groups()))  # type: ignore[arg-type]  # six whole numbers
    except ValueError:
        return None
    if part := re.fullmatch(r"\s*(\d{1,6})\d*\s*\0?", fraction, re.ASCII):
        taken = taken.replace(microsecond=int(part[1].ljust(6, "0")))
    if ahead := re.fullmatch(r"\s*([+-])(\d\d):(\d\d)\s*\0?", offset, re.ASCII):
        minutes = int(ahead[2]) * 60 + int(ahead[3])
        if minutes < 24 * 60:
            sign = -1 if ahead[1] == "-" else 1
            return taken.replace(tzinfo=timezone(timedelta(minutes=sign * minutes)))
    return taken


def read_shot(path: Path, zone: tzinfo) -> Shot:
    """When a picture file was taken: by its EXIF, else by the file's own time.

    A camera that wrote no offset is taken to be set to `zone`. Raises BadInput when it cannot be read.
    """
    from PIL import ExifTags, Image, UnidentifiedImageError  # the picture library, only where there is a picture

    taken = None
    try:
        changed = datetime.fromtimestamp(path.stat().st_mtime, zone)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path) as picture:
                head = picture.getexif()
                shot = head.get_ifd(ExifTags.IFD.Exif)
        tags = ExifTags.Base
        taken = exif_time(
            str(shot.get(tags.DateTimeOriginal, "")),
            str(shot.get(tags.OffsetTimeOriginal, "")),
            str(shot.get(tags.SubsecTimeOriginal, "")),
        ) or exif_time(str(head.get(tags.DateTime, "")), str(shot.get(tags.OffsetTime, "")))
    except FileNotFoundError:
        raise BadInput(f"there is no file {path}") from None
    except UnidentifiedImageError:
        raise BadInput(f"{path.name} is not a picture") from None
    except Image.DecompressionBombError:
        raise BadInput(f"{path.name} is too large to be a photo") from None
    except (OSError, SyntaxError, ValueError, EOFError, OverflowError) as fault:
        raise BadInput(f"{path.name} could not be read: {fault}") from fault
    if taken is None or not FIRST_YEAR <= taken.year <= LAST_YEAR:
        return Shot(path, changed, from_exif=False)
    return Shot(path, taken if taken.tzinfo else taken.replace(tzinfo=zone))


def clock_error(sightings: Sequence[tuple[datetime, datetime]]) -> timedelta:
    """How far the camera's clock is ahead, from (time it gave, time the code showed): their median.

    Raises BadInput when there is none, or when they contradict one another by more than a minute.
    """
    if not sightings:
        raise BadInput("no photo shows the clock code, so the camera's clock error is not known")
    errors = [(taken - shown).total_seconds() for taken, shown in sightings]
    if max(errors) - min(errors) > 60:
        raise BadInput("the photos of the clock code disagree: was the camera's clock set in between?")
    return timedelta(seconds=median(errors))


def pair(shots: Sequence[Shot], steps: Sequence[StepTime], error: timedelta = timedelta(0)) -> list[Paired]:
    """Each shot with its step, in the order of `shots`; `error` is how far the camera is ahead.

    Steps must not overlap. A photo in which a step's bag is seen goes to that step when time allows it.
    """
    ordered = sorted(steps, key=lambda step: step.start)
    starts = [step.start for step in ordered]
    return [_pair_one(shot, shot.taken - error, ordered, starts) for shot in shots]


def _pair_one(shot: Shot, at: datetime, steps: list[StepTime], starts: list[datetime]) -> Paired:
    here = bisect_right(starts, at) - 1
    current = steps[here] if here >= 0 else None
    following = steps[here + 1] if here + 1 < len(steps) else None
    if seen := _by_bag(shot, at, steps):
        return Paired(shot, seen.number, _when(at, seen), sure=True, back=seen.back)
    if current is None or at > current.end:
        return _in_gap(shot, at, current, following)
    when = _when(at, current)
    before = steps[here - 1] if here > 0 else None
    if when is When.BEFORE and before and at - before.end <= SETTLE and current.start - before.end <= SETTLE:
        # Just after a step's last stroke: does it show the step done, or the next one to do?
        nearer_next = current.first - at < at - before.end
        if nearer_next:
            return Paired(shot, current.number, When.BEFORE, False, before.number, current.back)
        return Paired(shot, before.number, When.AFTER, False, current.number, before.back)
    return Paired(shot, current.number, when, shot.from_exif, back=current.back)


def _by_bag(shot: Shot, at: datetime, steps: list[StepTime]) -> StepTime | None:
    """The step nearest in time among those whose bag is seen, if it is near at all."""
    mine = [step for step in steps if set(step.bags) & set(shot.bags)]
    nearest = min(mine, key=lambda step: _away(at, step), default=None)
    return nearest if nearest and _away(at, nearest) <= LINGER else None


def _away(at: datetime, step: StepTime) -> timedelta:
    return max(step.start - at, at - step.end, timedelta(0))


def _when(at: datetime, step: StepTime) -> When:
    return When.BEFORE if at < step.first else When.AFTER if at > step.last else When.DURING


def _in_gap(shot: Shot, at: datetime, before: StepTime | None, after: StepTime | None) -> Paired:
    """Between two steps with a break between them, or outside all."""
    left = before if before is not None and at - before.end <= LINGER else None
    right = after if after is not None and after.start - at <= LINGER else None
    if left is not None and (right is None or at - left.end <= right.start - at):
        sure = shot.from_exif and at - left.end <= SETTLE
        return Paired(shot, left.number, When.AFTER, sure, right.number if right else None, left.back)
    if right is not None:
        sure = shot.from_exif and right.start - at <= SETTLE
        return Paired(shot, right.number, When.BEFORE, sure, left.number if left else None, right.back)
    return Paired(shot, None, None, False)
