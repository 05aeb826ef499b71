"""What of a machine is out of the house: to whom it went, since when, and what waits for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import Any

from msgspec import Struct

from putback.dates import day_in_words
from putback.reports.blocks import Block
from putback.trade.cautions.dangers import cautions_told
from putback.trade.commands.trips import still_out
from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import spots_named
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, few, times
from putback.trade.record.place import sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trip import Sent
from putback.trade.refit.way_back import Waits, what_waits

AWAY = "away: "
"""How a place out of the house begins."""

ON_ORDER = "away: on order"
"""What is on order was not sent: it is to come, and stands among what is to get."""


class SentThing(Struct, frozen=True):
    """One thing that is out of the house."""

    thing: int
    """Its number in the workshop."""
    count: int
    """How many of it."""
    what: str
    """What it is."""
    step: int
    """The number of the step that released it."""
    sent: int = 0
    """Its number among what was sent as a trip; 0 where it was only moved there."""
    source: str = ""
    """Where it lay before; empty where that is not known."""
    marks: str = ""
    """By what it is known in the parcel: its hang-tag, its hole, the names of its photos."""

    @property
    def text(self) -> str:
        """It with its count: `3 x dial`."""
        return times(self.count, self.what)


class SentOut(Struct, frozen=True):
    """What one person has of a machine."""

    machine: str
    """Name and serial."""
    place: str
    """The place where it is, as `away: plater`."""
    since: str
    """When the first of it went, as a stamp; empty where that is not known."""
    things: tuple[SentThing, ...]
    """What went and is not back."""
    waits: tuple[int, ...]
    """The numbers of the steps that wait for any of it."""
    what: str = ""
    """What for."""
    due: str = ""
    """The day on which it is due; empty where that is not known."""

    @property
    def to(self) -> str:
        """Who has it."""
        return self.place.removeprefix(AWAY)

    def days_left(self, now: str) -> int | None:
        """Return the days until it is due, below 0 where it is over; None where no day was said."""
        if not self.due:
            return None
        return (date.fromisoformat(self.due) - datetime.fromisoformat(now).date()).days

    def due_text(self, now: str) -> str:
        """Return that it is due, as it is said at opening: `due today: plater, 3 things`; empty while it is not."""
        left = self.days_left(now)
        if left is None or left > 0:
            return ""
        count = counted(sum(one.count for one in self.things), "thing")
        when = f"{counted(-left, 'day')} over" if left else "due today"
        return f"{when}: {self.to}, {count}"

    @property
    def text(self) -> str:
        """It in a line: `plater, 3 things since 3 Nov: dial, pointer; 4 steps wait`."""
        return f"{self.head}: {few([one.text for one in self.things], 6)}{self._waiting}"

    @property
    def title(self) -> str:
        """It without its things, where they stand below: `plater, 3 things since 3 Nov; 4 steps wait`."""
        return f"{self.head}{self._waiting}"

    @property
    def _waiting(self) -> str:
        """How many steps wait for it: `; 4 steps wait`."""
        return f"; {counted(len(self.waits), 'step')} wait{'s' if len(self.waits) == 1 else ''}" if self.waits else ""

    @property
    def head(self) -> str:
        """Who has how many things, since when and for what: `plater, 3 things since 3 Nov, for nickel`."""
        count = counted(sum(one.count for one in self.things), "thing")
        since = f" since {day_in_words(self.since)}" if self.since else ""
        since += f", due {day_in_words(self.due)}" if self.due else ""
        since += f", for {self.what}" if self.what else ""
        return f"{self.to}, {count}{since}"

    @property
    def cautions(self) -> tuple[str, ...]:
        """The usual cautions for what is in the parcel and for what is done to it; last whose rules come first."""
        return cautions_told((self.what, *(one.what for one in self.things)))

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "to": self.to,
            "for": self.what,
            "since": self.since or None,
            "due": self.due or None,
            "things": [{"count": one.count, "what": one.what, "step": one.step} for one in self.things],
            "waits": list(self.waits),
            "cautions": list(self.cautions),
        }


def sent_out(record: Record, machine: int, waits: list[Waits] | None = None) -> list[SentOut]:
    """Return what is out of the house, by who has it; `waits` is what `what_waits` gave, where that was asked."""
    places = [place for place in record.places(machine) if sort_of(place) == "away" and place != ON_ORDER]
    if not places:
        return []
    held = what_waits(record, machine) if waits is None else waits
    went: dict[tuple[int, str], str] = {}
    for move in record.all(Move, machine):
        if move.target in places:
            went.setdefault((move.thing, move.target), move.at)
    caption = record.get(Machine, machine).caption
    trips: dict[tuple[str, str], list[Sent]] = {}
    for one in still_out(record, machine):
        trips.setdefault((f"{AWAY}{one.to}", one.at), []).append(one)
    found = []
    for place in places:
        steps = tuple(w.step for w in held if any(h.place == place for h in w.things))
        left = record.account(machine, place)
        for (_, at), sent in ((key, sent) for key, sent in trips.items() if key[0] == place):
            things = tuple(_thing(record, one.thing, one.count, one) for one in sent)
            for one in sent:
                left[one.thing] -= one.count
            found.append(SentOut(caption, place, at, things, steps, sent[0].what, sent[0].due))
        strays = tuple(_thing(record, number, count) for number, count in sorted(left.items()) if count > 0)
        if strays:
            since = min((went[one.thing, place] for one in strays if (one.thing, place) in went), default="")
            found.append(SentOut(caption, place, since, strays, steps))
    return found


def _thing(record: Record, number: int, count: int, sent: Sent | None = None) -> SentThing:
    thing = record.get(Thing, number)
    step = record.get(Step, thing.step)
    photos = [photo.name for photo in record.photos_of(step) if photo.name]
    marks = (
        f"hang-tag {thing.tag}" if thing.tag else "",
        f"hole {thing.hole}" if thing.hole else "",
        f"photo {', '.join(photos[:3])}" if photos else "",
    )
    return SentThing(
        number,
        count,
        thing.called,
        step.number,
        sent.id if sent is not None else 0,
        sent.source if sent is not None else "",
        ", ".join(filter(None, marks)),
    )


def parcel_blocks(found: list[SentOut]) -> Iterator[Block]:
    """Give the lists that go in the parcels, one for each trip: each thing with its count and marks."""
    for at, one in enumerate(found):
        yield Block(f"To {one.to}, from {one.machine}", "heading", apart=at > 0)
        yield from (Block(words) for words in (one.what and f"For: {one.what}", one.due and f"Due: {one.due}"))
        for thing in one.things:
            yield Block(thing.text + (f"  ({thing.marks})" if thing.marks else ""), "open", inset=2)
        yield Block(f"{counted(sum(thing.count for thing in one.things), 'thing')} in all", inset=2)
        yield from (Block(words, "caution", inset=2) for words in one.cautions)
    if not found:
        yield Block("Nothing is sent out.")


def sent_blocks(found: list[SentOut]) -> Iterator[Block]:
    """Give it by machine."""
    for at, machine in enumerate(dict.fromkeys(one.machine for one in found)):
        yield Block(machine, "heading", apart=at > 0)
        yield from (Block(one.text, inset=2) for one in found if one.machine == machine)
    if not found:
        yield Block("Nothing is sent out.")


def told_apart(record: Record, one: SentThing, things: Sequence[SentThing]) -> str:
    """Return a thing that was sent, with its hole and step where another of them is called the same."""
    if sum(other.text == one.text for other in things) < 2:
        return one.text
    thing = record.get(Thing, one.thing)
    where = spots_named([thing.spot]) if thing.hole else ""
    return ", ".join(filter(None, (one.text, where, f"step {one.step}")))
