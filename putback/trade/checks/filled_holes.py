"""Every hole is conserved: what came out of it, or something in its place, is in it again at the end."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from putback.trade.record.fastener import Thing
from putback.trade.record.phrases import times
from putback.trade.record.place import FITTED, SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import kin_of, trouble_of


class Hole(Struct, frozen=True):
    """What is to be said of one hole, or one loose piece, of a step that is back."""

    step: Step
    """The step."""
    words: str
    """What is so, with the hole."""
    open: bool
    """Whether something is not in its place; else it is in it, and not as it was found."""


def stands_in(record: Record, thing: Thing) -> list[Thing]:
    """Return everything that came in the place of a thing, and in the place of that."""
    return kin_of(record, thing)[1:]


def holes_of(record: Record, step: Step) -> Iterator[Hole]:
    """Give what is to be said of the holes and pieces of a step that is back."""
    if not step.back:
        return
    for thing in record.things_of(step):
        if thing.replaces:
            continue
        at = f"hole {thing.spot}: " if thing.hole else ""
        new = stands_in(record, thing)
        if thing.found and not new:
            yield Hole(step, f"{at}empty, as found", False)
            continue
        explained = thing.found or any(one.trouble or one.goes_into or one.went_into for one in (thing, *new))
        trouble = trouble_of(record, thing) if explained else ""
        still_out = _still_out(record, thing, new, trouble)
        words = still_out or trouble or _not_as_found(thing, new)
        if words:
            yield Hole(step, at + words, bool(still_out))


def _still_out(record: Record, thing: Thing, new: list[Thing], trouble: str) -> str:
    """Return what of a thing, and of what came in its place, is not back, and where it lies; nothing where all is."""
    every = (thing, *new)
    missing = max(1, thing.count) - sum(record.standing(t.id).get(FITTED, 0) for t in every)
    if missing <= 0:
        return ""
    places = sorted({p for t in every for p in record.standing(t.id) if p not in (FITTED, SCRAPPED)})
    lies = f"; {', '.join(places)}" if places else ""
    not_there = "nothing is in its place" if thing.went_into and not new else "is not back"
    return f"{trouble or f'{times(missing, thing.called)} came out'}, and {not_there}{lies}"


def _not_as_found(thing: Thing, new: list[Thing]) -> str:
    """Return what is in the place of a thing, or should be."""
    if new:
        return _instead(thing, new[-1])
    return f"{thing.called} as found; it should be {thing.should_be}" if thing.should_be else ""


def _instead(thing: Thing, new: Thing) -> str:
    if thing.should_be and new.size == thing.should_be:
        return f"{new.called}, as it should be; {thing.called} was found"
    note = f" ({new.note})" if new.note else ""
    if new.called == thing.called:
        return f"{'another' if new.used else 'a new'} {new.called}{note}"
    return f"{new.called}{note}, where {thing.called} was found"


def holes_at_refit(record: Record, machine: int) -> list[Hole]:
    """Return what is to be said of every hole of the steps that are back, step by step."""
    return [hole for step in record.all(Step, machine) for hole in holes_of(record, step)]
