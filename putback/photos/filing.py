"""A folder of camera files paired with steps and filed in the workshop. The files themselves are only read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any

from putback.errors import BadInput
from putback.photos.camera_clock import error_by_bags, error_by_clock_code, looked_at, with_codes
from putback.photos.codes_in_pictures import ENDINGS, opened, require_reader
from putback.photos.pairing import Paired, Shot, pair, read_shot
from putback.photos.step_times import step_times
from putback.progress import each
from putback.store.photos import keep_photo, photo_name
from putback.trade import commands as c
from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.trade.record.phrases import counted, cut
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.workshop import Workshop

UNREAD_ENDINGS = frozenset({".heic", ".heif", ".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf", ".orf", ".rw2"})
"""Endings of pictures that cannot be read here, and are said to be so."""
AT_ONCE = 500
"""Photos filed by one change; so many are taken back at once."""
LOOKED_THROUGH = 64
"""Pixels to which a picture is decoded to see that it is whole: a JPEG is read at an eighth of its size for it."""
LONGEST_PATH = 300
"""Characters of a file's name, or of why it was not read, that are told; on one line, whatever they hold."""
LABEL_LATE = timedelta(minutes=10)
"""How long after a bag was closed its label may still be photographed for the clock (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FiledPicture:
    """What became of one picture."""

    file: str
    """Its path inside the folder."""
    taken: str = ""
    """When it was taken, by a clock that goes right."""
    machine: str = ""
    """The machine it shows."""
    step: int | None = None
    """The number of the step it shows."""
    name: str = ""
    """What that step was about."""
    when: str = ""
    """before, during or after."""
    back: bool = False
    """Whether it shows the step being put back."""
    doubt: bool = False
    """Whether a person should look."""
    instead: int | None = None
    """The number of the other step it may show."""
    state: str = ""
    """filed, known, twin (of another in the folder), `no step`, clock or unread."""
    why: str = ""
    """Why it was not read."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "file": self.file,
            "state": self.state,
            "taken": self.taken or None,
            "machine": self.machine or None,
            "step": self.step,
            "when": self.when or None,
            "at_refit": self.back,
            "doubt": self.doubt,
            "instead": self.instead,
            "why": self.why or None,
        }


@dataclass(frozen=True, slots=True)
class Filing:
    """What became of a folder."""

    rows: tuple[FiledPicture, ...]
    """Each picture, by name."""
    ahead: float | None
    """Seconds that the camera's clock is ahead; None where that is not known and it was taken as right."""
    by: str
    """How that is known, in words."""

    def of(self, state: str) -> list[FiledPicture]:
        """The pictures of which that became."""
        return [row for row in self.rows if row.state == state]

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        states = ("filed", "known", "twin", "no step", "clock", "unread")
        counts = {state.replace(" ", "_"): len(self.of(state)) for state in states}
        return {**counts, "camera_ahead_s": self.ahead, "photos": [row.to_json() for row in self.rows]}

    @property
    def text(self) -> str:
        """What became of the folder as lines of text: what is in doubt or was left out is named."""
        filed = self.of("filed")
        doubtful = [row for row in (*filed, *self.of("known")) if row.doubt]
        known = self.of("known")
        twins = len(self.of("twin"))
        texts = [
            f"{len(filed)} filed",
            f"{len(known)} filed before" if known else "",
            f"{counted(twins, 'file')} of a picture that is in the folder twice" if twins else "",
        ]
        lines = [f"{', '.join(filter(None, texts))}; {self.by}"]
        steps: dict[tuple[str, int, str], int] = {}
        for row in filed:
            if row.step is not None:
                key = (row.machine, row.step, row.name)
                steps[key] = steps.get(key, 0) + 1
        for (machine, step, name), count in sorted(steps.items()):
            lines.append(f"  {machine}, step {step}, {name}: {count}")
        if doubtful:
            lines.append(f"{len(doubtful)} in doubt:")
            lines += [f"  {cut(row.file, LONGEST_PATH)}: {_guess(row)}" for row in doubtful]
        for state, words in (("no step", "near no step, left out"), ("clock", "of the clock code"), ("unread", "")):
            for row in self.of(state):
                lines.append(f"  {cut(row.file, LONGEST_PATH)}: {cut(row.why, LONGEST_PATH) or words}")
        return "\n".join(lines)


def _guess(row: FiledPicture) -> str:
    other = f", or step {row.instead}" if row.instead is not None else ""
    refit = " at refit" if row.back else ""
    return f"{row.when or 'at'} step {row.step}, {row.name}{refit}{other}"


def file_folder(
    workshop: Workshop,
    folder: Path,
    machines: Sequence[Machine],
    into: Path,
    zone: tzinfo,
    *,
    clock: Path | None = None,
    codes: bool = False,
) -> Filing:
    """Pair the pictures of a folder with the steps of `machines` and file those that are near one.

    Their copies go to `into`. `zone` is where a camera that wrote no offset is set. `clock` is a photo of
    the clock code; with `codes` every picture is looked through for codes, else only those at either end
    of the folder, and none when the reader is not installed. Raises BadInput for a folder or a clock photo
    that cannot be used, StoreError when the workshop does not take it.
    """
    shots, rows = _shots(folder, zone, into)
    if clock is None and not shots and not rows:
        raise BadInput(f"{folder} holds no pictures")
    shots, clocks, unread = _look(shots, clock, zone, folder, everywhere=codes)
    rows += unread
    ahead, by = _error(workshop, shots, clocks)
    rows += [FiledPicture(_inside(shot.path, folder), state="clock") for shot, _ in clocks]
    times = step_times(workshop.record, machines, workshop.now())
    skipped = {shot.path.resolve() for shot, _ in clocks}
    pairs = pair([shot for shot in shots if shot.path.resolve() not in skipped], times, ahead or timedelta(0))
    rows += _file(workshop, pairs, ahead or timedelta(0), folder, into)
    return Filing(tuple(sorted(rows, key=lambda r: r.file)), None if ahead is None else ahead.total_seconds(), by)


def _inside(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else str(path)


def _shots(folder: Path, zone: tzinfo, into: Path) -> tuple[list[Shot], list[FiledPicture]]:
    """Every picture below a folder by its header alone, and those that could not be read."""
    if not folder.is_dir():
        raise BadInput(f"{folder} is not a folder" if folder.exists() else f"there is no folder {folder}")
    shots, unread = [], []
    for path in each(list(_files(folder, into)), "pictures read"):
        ending = path.suffix.lower()
        try:
            if ending in UNREAD_ENDINGS:
                kind = ending[1:].upper()
                raise BadInput(f"{path.name} is a {kind} file, which is not read here; set the camera to JPEG")
            if ending in ENDINGS:
                shots.append(read_shot(path, zone))
        except BadInput as refusal:
            unread.append(FiledPicture(_inside(path, folder), state="unread", why=str(refusal)))
    return shots, unread


def _files(folder: Path, into: Path) -> Iterator[Path]:
    for path in sorted(folder.rglob("*")):
        hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
        if not hidden and path.is_file() and into not in path.parents:
            yield path


def _look(
    shots: list[Shot], clock: Path | None, zone: tzinfo, folder: Path, *, everywhere: bool
) -> tuple[list[Shot], list[tuple[Shot, datetime]], list[FiledPicture]]:
    """Look for codes where that was asked for; the shots, sightings of the clock code, what was damaged."""
    clocks: list[tuple[Shot, datetime]] = []
    if clock is not None:
        shot, shown = with_codes(read_shot(clock, zone))
        if shown is None:
            raise BadInput(f"{clock.name} shows no clock code; Z at the bench shows one to photograph")
        clocks.append((shot, shown))
    if everywhere:
        require_reader()
    elif clock is not None or not _reader_there():
        return shots, clocks, []
    looked, damaged = {shot.path: shot for shot in shots}, []
    for shot in each(shots if everywhere else looked_at(shots), "pictures looked through"):
        try:
            looked[shot.path], shown = with_codes(shot)
        except BadInput as refusal:
            # Its header was sound and told the time, but the picture is not: it would be filed for nothing.
            del looked[shot.path]
            damaged.append(FiledPicture(_inside(shot.path, folder), state="unread", why=str(refusal)))
            continue
        if shown is not None and clock is None:
            clocks.append((shot, shown))
    return list(looked.values()), clocks, damaged


def _reader_there() -> bool:
    try:
        require_reader()
    except BadInput:
        return False
    return True


def _error(workshop: Workshop, shots: list[Shot], clocks: list[tuple[Shot, datetime]]) -> tuple[timedelta | None, str]:
    """How far the camera is ahead, and how that is known."""
    if clocks:
        ahead = error_by_clock_code(clocks)
        return ahead, f"the camera's clock is {_ahead_text(ahead)}, by the clock code"
    sightings = [(shot.taken, *span) for shot in shots for span in _label_spans(workshop.record, shot)]
    if sightings:
        ahead = error_by_bags(sightings)
        return ahead, f"the camera's clock is {_ahead_text(ahead)}, by {len(sightings)} bag labels seen"
    return None, "the camera's clock was taken as right: no photo of the clock code (Z at the bench)"


def _label_spans(record: Record, shot: Shot) -> Iterator[tuple[datetime, datetime]]:
    """Between which times the closed bags seen in a shot can have been photographed at the bench."""
    for code in shot.bags:
        for bag in record.bags_by_code(code):
            if bag.opened and bag.closed:
                yield datetime.fromisoformat(bag.opened), datetime.fromisoformat(bag.closed) + LABEL_LATE


def _ahead_text(ahead: timedelta) -> str:
    seconds = round(abs(ahead.total_seconds()))
    if seconds == 0:
        return "right"
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    parts = [f"{n} {unit}" for n, unit in ((hours, "h"), (minutes, "min"), (rest, "s")) if n]
    return f"{' '.join(parts)} {'fast' if ahead > timedelta(0) else 'slow'}"


def _file(workshop: Workshop, pairs: list[Paired], ahead: timedelta, folder: Path, into: Path) -> list[FiledPicture]:
    """Copy and file what was paired; a row for each."""
    rows: list[FiledPicture] = []
    waiting: dict[int, list[c.FiledPhoto]] = {}
    record = workshop.record
    twice: set[tuple[int, str]] = set()
    filed = {(photo.machine, photo.name, photo.taken) for photo in record.all(Photo)}
    for paired in each(pairs, "pictures filed"):
        file = _inside(paired.shot.path, folder)
        taken = (paired.shot.taken - ahead).isoformat(timespec="seconds")
        if paired.step is None or paired.when is None:
            rows.append(FiledPicture(file, taken, state="no step"))
            continue
        step = record.get(Step, paired.step)
        other = record.find(Step, paired.instead or 0)
        instead = other.number if other is not None and other.machine == step.machine else None
        try:
            # A picture that seems to be filed is only read; one that is new is read and copied in one go, once it
            # has been looked through: a file cut short still tells its time, and would be filed for nothing.
            seems_known = (step.machine, paired.shot.path.name, taken) in filed
            if not seems_known:
                opened(paired.shot.path, within=LOOKED_THROUGH)
            name = photo_name(paired.shot.path) if seems_known else keep_photo(paired.shot.path, into)
            known = record.photo_of_file(step.machine, name)
            if seems_known and known is None:
                keep_photo(paired.shot.path, into)
        except BadInput as refusal:
            rows.append(FiledPicture(file, taken, state="unread", why=str(refusal)))
            continue
        if (step.machine, name) in twice:
            row = _row(file, taken, record, step, paired.when.value, not paired.sure, instead)
            rows.append(replace(row, back=paired.back, state="known" if known is not None else "twin"))
            continue
        twice.add((step.machine, name))
        if known is None:
            shown = c.FiledPhoto(
                file=name,
                name=paired.shot.path.name,
                taken=taken,
                step=step.number,
                when=paired.when.value,
                back=paired.back,
                doubt=not paired.sure,
                instead=instead or 0,
            )
            waiting.setdefault(step.machine, []).append(shown)
            row = replace(
                _row(file, taken, record, step, paired.when.value, not paired.sure, instead), back=paired.back
            )
        else:
            at = record.find(Step, known.step)
            row = FiledPicture(file, known.taken)
            if at is not None:
                number = _number(record, known.instead)
                row = replace(_row(file, known.taken, record, at, known.when, known.doubt, number), back=known.back)
            row = replace(row, state="known")
        rows.append(row)
    for machine, photos in waiting.items():
        for first in range(0, len(photos), AT_ONCE):
            workshop.do(c.FilePhotos(photos=tuple(photos[first : first + AT_ONCE])), machine)
    return rows


def _number(record: Record, step: int) -> int | None:
    found = record.find(Step, step)
    return found.number if found else None


def _row(
    file: str, taken: str, record: Record, step: Step, when: str, doubt: bool, instead: int | None
) -> FiledPicture:
    machine = record.get(Machine, step.machine).caption
    return FiledPicture(file, taken, machine, step.number, step.name, when, doubt=doubt, instead=instead, state="filed")
