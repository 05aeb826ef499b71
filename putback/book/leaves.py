"""One step in the book, as it was taken off: what is known of it, as plain data."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

from msgspec import Struct

from putback.book.faces import PrintedFace, faces_of
from putback.dates import day, day_and_time
from putback.errors import BadInput
from putback.reports.account.step_words import setting_words
from putback.reports.fastener_sheet import length_of
from putback.reports.size_letters import Looks, distinct_names, looks_of, size_letters
from putback.trade.record.fastener import Thing, came_out_words, said_words
from putback.trade.record.holes import faces_words, spots_named, spots_text
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.phrases import times
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import trouble_of
from putback.trade.sizes.just_like import measured

MOST_PHOTOS = 6
"""Photos shown of one step; how many more there are is said."""

Look = Callable[[str], Path]
"""Gives the small copy of a photo by its name in the workshop; raises BadInput where it cannot."""


class Size(Struct, frozen=True):
    """The fasteners of one size in a step."""

    letter: str
    """Its letter on the face."""
    called: str
    """What they are."""
    count: int
    """How many."""
    holes: str
    """Where they sat."""
    at: str
    """The same with the word before it: `hole 5, right`, `holes 1 3`."""
    length: float | None
    """Their length in millimetres, where a stocked one was found."""
    remarks: tuple[str, ...]
    """How unsure the size is, a left-hand thread, what ought to be there, the person's words."""


class BookPhoto(Struct, frozen=True):
    """One photo."""

    path: Path | None
    """Its small copy; None where it cannot be shown."""
    text: str
    """Where in the step it falls, when it was taken, or why it is not shown."""


class Leaf(Struct, frozen=True, kw_only=True):
    """One step, as taken off."""

    number: int
    """The step's number on the machine."""
    text: str
    """What was done."""
    where: str
    """Face, assembly, day, minutes."""
    state: str
    """`back on`, `coming off`, or nothing for one that is off."""
    cautions: tuple[str, ...]
    """What to beware of, as was said at the step, one a text."""
    needs: tuple[tuple[int, str], ...]
    """What had to come off first: the number of each step, and what was done at it."""
    faces: tuple[PrintedFace, ...]
    """Its faces with their holes, for their pictures; none where no hole is known."""
    sizes: tuple[Size, ...]
    """What came out of them, by size."""
    pieces: tuple[str, ...]
    """Loose pieces that came out."""
    bags: tuple[int, ...]
    """Numbers of the bags that it filled."""
    put: str
    """Where the part went."""
    tools: tuple[str, ...]
    """Tools that it takes, by their names."""
    settings: tuple[str, ...]
    """Settings as found and as they should be, one a text."""
    at_refit: tuple[str, ...]
    """Work on the way back, before it goes on."""
    todo: tuple[str, ...]
    """Its jobs and how each stands, one a text."""
    notes: tuple[str, ...]
    """The person's own words, one note a text."""
    photos: tuple[BookPhoto, ...]
    """Its photos, in the order of the work."""
    more_photos: int
    """Photos that are not shown."""


def leaf_of(record: Record, step: Step, look: Look | None) -> Leaf:
    """Return a step as the book has it; without `look` photos are told and not shown."""
    things = record.things_of(step)
    area = record.get(Part, step.area).name if step.area else ""
    took = "" if step.minutes is None else f"{step.minutes:g} min"
    where = (faces_words(record, step), area and f"inside {area}", day(step.began), took)
    needed = (record.step(step.machine, number) for number in step.needs)
    soak = [f"soak, {step.soak.what}: {step.soak.hours:g} h"] if step.soak else []
    photos = in_order(record.photos_of(step))
    return Leaf(
        number=step.number,
        text=step.text,
        where=", ".join(filter(None, where)),
        state="on hold" if step.on_hold else "coming off" if step.is_open else "back on" if step.back else "",
        cautions=step.cautions,
        needs=tuple((n.number, n.text) for n in needed if n is not None),
        faces=faces_of(record, step),
        sizes=tuple(_sizes(record, things)),
        pieces=tuple(times(t.count, t.name) for t in things if t.sort == "piece"),
        bags=tuple(sorted(record.bags_filled_by(step.id))),
        put=step.put,
        tools=step.tools,
        settings=tuple(setting_words(setting, record.get(Machine, step.machine)) for setting in step.adjust),
        at_refit=step.at_refit,
        todo=tuple(job.text for job in step.todo),
        notes=(*filter(None, step.note.split("\n")), *soak, *(f"next time: {words}" for words in step.next_time)),
        photos=tuple(_shown(photo, look) for photo in photos[:MOST_PHOTOS]),
        more_photos=max(0, len(photos) - MOST_PHOTOS),
    )


def _sizes(record: Record, things: list[Thing]) -> Iterator[Size]:
    letters = size_letters([t for t in things if t.hole and not t.replaces])
    names = distinct_names(things)
    groups: dict[tuple[Looks, str, bool], list[Thing]] = {}
    for thing in things:
        if thing.sort == "fastener":
            groups.setdefault((looks_of(thing), thing.found, bool(thing.replaces)), []).append(thing)
    for (looks, found, stands_in), mine in groups.items():
        called = names[looks]
        remarks = dict.fromkeys(remark for thing in mine for remark in _remarks(thing))
        seen = [thing.spot for thing in mine if measured(record, thing) is not None]
        if seen:
            remarks["not measured" if len(seen) == len(mine) else f"not measured: {spots_text(seen)}"] = None
        troubles = ((thing.spot, trouble_of(record, thing)) for thing in mine)
        came = ((thing.spot, came_out_words(thing)) for thing in mine)
        remarks |= {f"hole {hole}: {words}": None for hole, words in came if words}
        remarks |= {f"* hole {hole}: {trouble}": None for hole, trouble in troubles if trouble}
        if stands_in:
            remarks["a replacement"] = None
        yield Size(
            letter="" if found else letters.get(looks, ""),
            called=f"{called}: found empty" if found else called,
            count=0 if found else sum(thing.count for thing in mine),
            holes=spots_text(thing.spot for thing in mine if thing.hole),
            at=spots_named([thing.spot for thing in mine if thing.hole]),
            length=None if found else length_mm(mine[0].length),
            remarks=tuple(remarks),
        )


def _remarks(thing: Thing) -> Iterator[str]:
    if thing.verdict and thing.verdict != "sure":
        yield {"likely": "likely", "either": "either of these", "none": "no standard size"}.get(thing.verdict, "")
    if thing.hand == "left":
        yield "LEFT-HAND thread"
    yield from said_words(thing, "book")


def length_mm(name: str) -> float | None:
    """Return a stocked length, such as `3/8`, `1 1/4` or `12 mm`, in millimetres; None for no such name."""
    value = length_of(name)
    return None if value is None else float(value * Fraction(127, 5))


def _shown(photo: Photo, look: Look | None) -> BookPhoto:
    when = photo.falls or "photo"
    if photo.taken:
        when += f", {day_and_time(photo.taken)}"
    if photo.doubt:
        when += ", in doubt"
    if look is None:
        return BookPhoto(None, when)
    try:
        return BookPhoto(look(photo.file), when)
    except BadInput as fault:
        return BookPhoto(None, f"{when}: {str(fault).replace(photo.file, photo.name or photo.file)}")
