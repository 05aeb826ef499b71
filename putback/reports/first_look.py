"""The card of a machine: what is said of it, what was seen before anything came off, and what became of that."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from msgspec import Struct, to_builtins

from putback.reports.blocks import Block
from putback.sizing.units import Unit
from putback.trade.record.first_look import ONE, SORTS, Seen, still_open
from putback.trade.record.machine import PLATE, Machine
from putback.trade.refit.as_set import as_set_words

ORIGINS = {"us": "American", "uk": "British", "metric": "metric"}
"""Whose threads a machine has, in a word."""


class FirstLook(Struct, frozen=True):
    """A machine as it came."""

    machine: str
    """Name and serial."""
    plate: tuple[tuple[str, str], ...]
    """What is known of it, each with the word for it."""
    cautions: tuple[str, ...]
    """What one must beware of at it."""
    notes: tuple[str, ...]
    """What was noted of it."""
    settings: tuple[str, ...]
    """Its own settings as found and, once they were read, as set."""
    next_time: tuple[str, ...]
    """What one would do differently another time."""
    seen: tuple[Seen, ...]
    """What was seen, by its sort and in the order it was said."""

    @property
    def unanswered(self) -> int:
        """How many faults, tests and missing things nobody has said the end of."""
        return len(still_open(self.seen))

    def facts(self) -> Iterator[tuple[Literal["caution", "note"], str]]:
        """Give what is said of it, each with its sort."""
        yield from (("note", f"{word}: {value}") for word, value in self.plate)
        yield from (("caution", caution) for caution in self.cautions)
        yield from (("note", seen.text) for seen in self.seen)
        yield from (("note", f"noted: {note}") for note in self.notes)
        yield from (("note", f"as found: {setting}") for setting in self.settings)
        yield from (("note", f"next time: {words}") for words in self.next_time)

    def lines(self) -> Iterator[str]:
        """Give it in lines."""
        yield from (f"caution: {words}" if sort == "caution" else words for sort, words in self.facts())
        if not self.seen:
            yield "nothing was written down of the first look yet"
        elif self.unanswered:
            yield f"to be looked at again at the end: {self.unanswered}"

    def blocks(self) -> Iterator[Block]:
        """Give it under the machine's name."""
        yield Block(self.machine, "title")
        yield from (Block(line, inset=2) for line in self.lines())

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            **dict(self.plate),
            "cautions": list(self.cautions),
            "notes": list(self.notes),
            "settings": list(self.settings),
            "next_time": list(self.next_time),
            "seen": [{**to_builtins(seen), "came_of": seen.came_of or None} for seen in self.seen],
            "unanswered": self.unanswered,
        }


def plate(machine: Machine) -> Iterator[tuple[str, str]]:
    """Give what is known of a machine itself, each with the word for it."""
    said = {field.called or field.name: field.says(getattr(machine, field.name)) for field in PLATE}
    said |= {"serial": machine.serial, "threads": ORIGINS.get(machine.origin, ""), "lies": machine.lies}
    first = ("maker", "model", "serial", "threads")
    yield from ((word, said[word]) for word in dict.fromkeys((*first, *said)) if said[word])
    if "?" in machine.serial:
        yield "in the serial", "the figure after each ? is doubtful"


def first_look(machine: Machine) -> FirstLook:
    """Return a machine as it came, with what became of it."""
    order = list(SORTS)
    seen = sorted(machine.first_look, key=lambda one: (one.sort not in ONE, order.index(one.sort)))
    unit: Unit = "mm" if machine.unit == "mm" else "in"
    settings = tuple("; ".join(filter(None, (one.text, as_set_words(one, unit)))) for one in machine.adjust)
    return FirstLook(
        machine.caption,
        tuple(plate(machine)),
        machine.cautions,
        machine.notes,
        settings,
        machine.next_time,
        tuple(seen),
    )
