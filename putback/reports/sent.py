"""What of a machine is out of the house: to whom it went, since when, and what waits for it."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.job import day_text
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, few, times
from putback.trade.record.place import sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
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

    @property
    def to(self) -> str:
        """Who has it."""
        return self.place.removeprefix(AWAY)

    @property
    def text(self) -> str:
        """It in a line: `plater, 3 things since 3 Nov: dial, pointer; 4 steps wait for it`."""
        count = counted(sum(one.count for one in self.things), "thing")
        since = f" since {day_text(self.since)}" if self.since else ""
        waits = f"; {counted(len(self.waits), 'step')} wait{'s' if len(self.waits) == 1 else ''}" if self.waits else ""
        return f"{self.to}, {count}{since}: {few([one.text for one in self.things], 6)}{waits}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "machine": self.machine,
            "to": self.to,
            "since": self.since or None,
            "things": [{"count": one.count, "what": one.what, "step": one.step} for one in self.things],
            "waits": list(self.waits),
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
    found = []
    for place in places:
        things = []
        for number, count in sorted(record.account(machine, place).items()):
            thing = record.get(Thing, number)
            things.append(SentThing(number, count, thing.called, record.get(Step, thing.step).number))
        since = min((went[one.thing, place] for one in things if (one.thing, place) in went), default="")
        steps = tuple(w.step for w in held if any(h.place == place for h in w.things))
        found.append(SentOut(caption, place, since, tuple(things), steps))
    return found


def sent_text(found: list[SentOut]) -> str:
    """Return it as lines of text, by machine."""
    if not found:
        return "Nothing is sent out."
    out: list[str] = []
    for machine in dict.fromkeys(one.machine for one in found):
        out += ["", machine] if out else [machine]
        out += [f"  {one.text}" for one in found if one.machine == machine]
    return "\n".join(out)
