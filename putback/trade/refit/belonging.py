"""Where a fastener that is left over could belong: the holes that wait for one like it, best first."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from putback.trade.record.fastener import Thing
from putback.trade.record.place import FITTED, MISSING, out_of_reach
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import going_in

Why = Literal["missing", "waits", "empty", "back"]


class Home(Struct, frozen=True):
    """A hole where a fastener could belong."""

    step: Step
    """The step that has the hole."""
    thing: Thing
    """What was, or should be, in it."""
    why: Why
    """missing: one of that size is. waits: one of that thread is lost or scrapped. empty: it was found so.
    back: by the record one of that size is in it, and nobody has looked."""
    place: str = ""
    """Where what came out of it is by the record."""

    @property
    def text(self) -> str:
        """It in a line: `step 5, lid, hole 3: M5x0.8 x 16 mm is missing`."""
        end = {
            "missing": f"{self.thing.brief} is missing",
            "waits": f"{self.thing.brief} is {self.place}",
            "empty": "found empty",
            "back": f"by the record {self.thing.brief} is in it",
        }
        return f"step {self.step.number}, {self.step.name}, hole {self.thing.goes_in}: {end[self.why]}"


_ORDER: tuple[Why, ...] = ("missing", "waits", "empty", "back")


def homes_of(record: Record, machine: int, lone: Thing) -> list[Home]:
    """Return the holes where a fastener could belong, best first.

    First those that miss one of its size, then those that lost one of its thread or had it scrapped, then those that
    were found empty, last the ones of its size in steps that are back, what went on last first.
    """
    found = []
    for step in record.all(Step, machine):
        for thing in going_in(record, step):
            why = _why(record, lone, thing, step)
            if why:
                found.append(Home(step, thing, why, ", ".join(record.standing(thing.id))))

    def rank(home: Home) -> tuple[int, int]:
        number = home.step.number  # what came off first goes back last
        return _ORDER.index(home.why), number if home.why == "back" else -number

    return sorted(found, key=rank)


def _why(record: Record, lone: Thing, thing: Thing, step: Step) -> Why | None:
    if thing.found:
        size = thing.should_be
        return "empty" if thing.name == lone.name and size in ("", lone.size) else None
    if thing.name != lone.name:
        return None
    standing = record.standing(thing.id)
    alike = thing.size == lone.size and thing.hand == lone.hand
    if MISSING in standing and alike:
        return "missing"
    if any(map(out_of_reach, standing)):
        return "waits" if not lone.thread or not thing.thread or thing.thread == lone.thread else None
    if step.back and FITTED in standing and alike and _looks_alike(lone, thing):
        return "back"
    return None


def _looks_alike(one: Thing, other: Thing) -> bool:
    """Tell whether heads and drives, where both are known, are the same."""
    heads = not one.head or not other.head or one.head == other.head
    return heads and (not one.drive or not other.drive or one.drive == other.drive)
