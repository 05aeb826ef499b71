"""The sheet that is taken to the lathe: each measure in large figures with its limits, the photo, a squared field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from putback.labels.drawing import INCH, Drawing, Mark, Picture, Rectangle, Words
from putback.labels.layout import steel_rule
from putback.labels.lettering import CAP_HEIGHT, measure, printable
from putback.labels.paper import PAPERS
from putback.labels.wording import set_lines
from putback.photos.thumbnails import Thumbnails
from putback.sheets.photos_shown import photo_file, photo_named
from putback.sheets.ticked import LINE, SIDE, TOP
from putback.sheets.writing import Printed
from putback.trade.cautions.dangers import cautions_told
from putback.trade.checks.all_jobs import JobAt, jobs_kept
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

_PHOTO = (72.0, 54.0)
_SQUARED = 62.0
_FIGURES = (10.0, 8.5, 7.0, 6.0, 5.0, 4.2)
_AS_MADE = 30.0


@dataclass(frozen=True, slots=True)
class ToMake:
    """One thing to be made."""

    what: str
    """What it is."""
    count: int
    """How many."""
    material: str
    """Of what; empty where that was not said."""
    whose: str
    """Machine and step."""
    measures: tuple[tuple[str, str, str], ...]
    """What each measure is of, the measure itself, and its limits, empty where there are none."""
    drawing: str = ""
    """The name of its drawing or photo."""
    inches: bool = False
    """Whether its field is squared in parts of an inch."""
    cautions: tuple[str, ...] = ()
    """The usual cautions that the work calls up."""
    photo: Path | None = None
    """A picture of it."""


def to_make(record: Record, machines: list[Machine], photos: Thumbnails | None = None) -> list[ToMake]:
    """Return what is to be made and not made yet, machine by machine."""
    rows = [one for machine in machines for one in jobs_kept(record, machine.id)]
    return [to_be_made(record, one, photos) for one in rows if one.job.do == "make" and one.job.open]


def to_be_made(record: Record, one: JobAt, photos: Thumbnails | None = None) -> ToMake:
    """Return one job to make something as it stands on its sheet."""
    job, machine = one.job, record.get(Machine, one.machine)
    return ToMake(
        what=job.what,
        count=job.count,
        material=job.material,
        whose=f"{machine.caption}, {one.where}" + (f", {job.at_hole}" if job.hole else ""),
        measures=tuple((dim.of, dim.measure, dim.read.limits) for dim in job.measures),
        drawing=job.drawing,
        inches=machine.unit == "in",
        cautions=cautions_told((job.what, job.material)),
        photo=photo_file(photo_named(record, one.machine, one.step, job.drawing), photos),
    )


def made_of(things: Sequence[ToMake]) -> Printed:
    """Return a page for each thing to be made."""
    return Printed("make", "Nothing is to be made.", lambda paper, day: [make_page(one, paper, day) for one in things])


def make_page(facts: ToMake, paper: str, day: str) -> Drawing:
    """Return the page of one thing: its measures as large as they all fit, and a squared field under them."""
    wide, high = PAPERS[paper]
    marks: list[Mark] = []
    room = wide - 2 * SIDE
    y = TOP
    if facts.photo is not None:
        marks.append(Picture(wide - SIDE - _PHOTO[0], y, *_PHOTO, facts.photo))
        room -= _PHOTO[0] + 5

    def put(text: str, size: float, bold: bool = False) -> None:
        nonlocal y
        for line in set_lines(printable(text), room, size, bold, 8) if text else ():
            marks.append(Words(SIDE, y + size * CAP_HEIGHT, line, size, bold))
            y += size * LINE

    put(f"make {facts.count}: {facts.what}", 8.0, True)
    put(f"of {facts.material}" if facts.material else "", 5.4)
    put(facts.whose, 3.8)
    put(f"drawing: {facts.drawing}" if facts.drawing else "", 3.8)
    put(day, 3.0)
    y = max(y, TOP + _PHOTO[1]) if facts.photo is not None else y
    y += 4
    foot = [line for words in facts.cautions for line in set_lines(printable(words), wide - 2 * SIDE, 2.8, False, 6)]
    rule = 5.0
    bottom = high - TOP - rule
    for at, line in enumerate(foot):
        marks.append(Words(SIDE, bottom - (len(foot) - at - 1) * 2.8 * LINE, line, 2.8))
    bottom -= len(foot) * 2.8 * LINE + 4
    size = _largest(facts, wide - 2 * SIDE, bottom - _SQUARED - y)
    for of, figures, limits in facts.measures:
        y = _measure(marks, y, size, wide, of, figures, limits)
    marks += squared(SIDE, y + 2, wide - 2 * SIDE, bottom - y - 2, inches=facts.inches)
    scale = steel_rule(wide - 2 * SIDE, rule, rule, facts.inches)
    marks += [_moved(mark, SIDE, high - TOP - rule + 3) for mark in scale]
    return Drawing(wide, high, tuple(marks))


def _moved(mark: Mark, right: float, down: float) -> Mark:
    if isinstance(mark, Words):
        return Words(mark.x + right, mark.y + down, mark.text, mark.size, mark.bold, mark.align, mark.white)
    assert isinstance(mark, Rectangle)
    return Rectangle(mark.x + right, mark.y + down, mark.width, mark.height)


def _largest(facts: ToMake, room: float, tall: float) -> float:
    """Return the largest letters at which every measure has its line and all of them have room."""

    def fits(size: float) -> bool:
        widest = max((measure(printable(row[1]), size, True) for row in facts.measures), default=0.0)
        return widest <= room - _AS_MADE and len(facts.measures) * _tall(size) <= tall

    return next((size for size in _FIGURES if fits(size)), _FIGURES[-1])


def _tall(size: float) -> float:
    return size * LINE + size * 0.5 * LINE + 1.5


def _measure(marks: list[Mark], y: float, size: float, wide: float, of: str, figures: str, limits: str) -> float:
    """Set one measure: what it is of over its figures, its limits beside that, and a line for what it came to."""
    small = size * 0.5
    marks.append(Words(SIDE, y + small * CAP_HEIGHT, printable(of), small))
    if limits:
        marks.append(Words(wide - SIDE - _AS_MADE - 4, y + small * CAP_HEIGHT, printable(limits), small, align="right"))
    marks.append(Words(wide - SIDE - _AS_MADE, y + small * CAP_HEIGHT, "as made", small * 0.8))
    y += small * LINE
    for line in set_lines(printable(figures), wide - 2 * SIDE - _AS_MADE, size, True, 4):
        marks.append(Words(SIDE, y + size * CAP_HEIGHT, line, size, True))
        y += size * LINE
    marks.append(Rectangle(wide - SIDE - _AS_MADE, y - size * 0.3, _AS_MADE, 0.2))
    return y + 1.5


def squared(x: float, y: float, wide: float, high: float, *, inches: bool) -> list[Mark]:
    """Return a field to draw in: squares of 5 mm, or of a quarter of an inch."""
    step = INCH / 4 if inches else 5.0
    columns, rows = int(wide / step), int(max(0.0, high) / step)
    if rows < 2:
        return []
    lines: list[Mark] = [Rectangle(x + n * step, y, 0.08, rows * step) for n in range(columns + 1)]
    lines += [Rectangle(x, y + n * step, columns * step, 0.08) for n in range(rows + 1)]
    return lines
