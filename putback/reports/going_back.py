"""One step at refit, as it stands: what holds it up, what it asks, and the one thing to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from putback.reports.plan import Fetch, to_fetch
from putback.trade.asking_back import goes_in_new, looked_at, to_ask
from putback.trade.dangers import Called
from putback.trade.dangers_back import called_back
from putback.trade.jobs_open import jobs_first
from putback.trade.last_look import OpenEnd, last_look
from putback.trade.ledger import short_of
from putback.trade.lying import turn_first, turning_cautions
from putback.trade.place import bag_number
from putback.trade.putting_back import needed_by, ticks_itself_off
from putback.trade.record import Record
from putback.trade.refit import Waits
from putback.trade.skipping import in_the_way
from putback.trade.step import LAST_LOOK, Step
from putback.trade.wording import few

Next = Literal["waits", "first", "covered", "turn", "new", "clip", "look", "confirm", "put"]
"""What is to do next at a step: it waits for something, other steps come first or off again, the machine is turned,
a new piece is got, a clip looked at, the last look taken, something else confirmed, or it goes back."""


class Asked(Struct, frozen=True):
    """One thing that is confirmed before a step goes back."""

    words: str
    """What it is."""
    sort: str
    """caution, new, clip, look or adjustment."""
    done: bool
    """Whether it is confirmed."""


class Going(Struct, frozen=True):
    """A step at refit."""

    step: Step
    """The step."""
    waits: str
    """What it waits for, or nothing."""
    first: str
    """The steps that come before it, or nothing."""
    over: tuple[Step, ...]
    """What has to come off again before it, in order: it was skipped, and is covered."""
    turn: str
    """How the machine has to be turned for it, or nothing."""
    cautions: tuple[str, ...]
    """What was said to beware of at the machine's turns, where it is to be turned."""
    asked: tuple[Asked, ...]
    """All that has to be confirmed, in order."""
    look: tuple[OpenEnd, ...]
    """What the last look finds, where that is still to be taken."""
    fetch: tuple[Fetch, ...]
    """What goes in, and where it lies."""
    dangers: tuple[Called, ...] = ()
    """The usual cautions that it calls for; each is said once in a session."""

    @property
    def todo(self) -> Asked | None:
        """What is to be confirmed next, or None."""
        return next((asked for asked in self.asked if not asked.done), None)

    @property
    def next(self) -> Next:
        """What is to do next."""
        if self.waits:
            return "waits"
        if self.first:
            return "first"
        if self.over:
            return "covered"
        if self.turn:
            return "turn"
        todo = self.todo
        if todo is None:
            return "put"
        return {"new": "new", "clip": "clip", "look": "look"}.get(todo.sort, "confirm")  # type: ignore[return-value]

    @property
    def bags(self) -> tuple[int, ...]:
        """The numbers of the bags to open."""
        return tuple(dict.fromkeys(n for f in self.fetch if (n := bag_number(f.place)) is not None))

    @property
    def places(self) -> tuple[str, ...]:
        """Where what goes in lies, bags first."""
        found = dict.fromkeys(f.place for f in self.fetch)
        return tuple(sorted(found, key=lambda place: bag_number(place) is None))

    @property
    def line(self) -> str:
        """The one thing to do next, in words."""
        if self.next == "waits":
            return f"waits for {self.waits}"
        if self.next == "first":
            return self.first
        if self.next == "covered":
            return "off again first: " + few([f"{other.number} {other.name}" for other in self.over], 4)
        if self.next == "turn":
            return self.turn
        todo = self.todo
        return todo.words if todo is not None else "it is back"


def going_back(record: Record, step: Step, waits: Waits | None = None) -> Going:
    """Return how a step at refit stands; `waits` is what it waits for, where that was found already."""
    new, clips = goes_in_new(record, step), looked_at(record, step)
    sorts = {item: "caution" for item in step.cautions}
    sorts |= dict.fromkeys(new, "new") | dict.fromkeys(clips, "clip") | {LAST_LOOK: "look"}
    asked = tuple(
        Asked(item, sorts.get(item, "adjustment"), item in step.confirmed) for item in to_ask(record, step)
    )
    looking = any(a.sort == "look" and not a.done for a in asked)
    turn = turn_first(record, step)
    return Going(
        step=step,
        waits=waits.told if waits is not None else "",
        first=_first(record, step),
        over=tuple(in_the_way(record, step)[0]),
        turn=turn,
        cautions=turning_cautions(record, step.machine) if turn else (),
        asked=asked,
        look=tuple(last_look(record, step)) if looking else (),
        fetch=tuple(to_fetch(record, step)),
        dangers=tuple(called_back(record, step, turned=bool(turn))),
    )


def _first(record: Record, step: Step) -> str:
    before = needed_by(record, step)
    if before:
        return "first " + few([f"{other.number} {other.name}" for other in reversed(before)], 4)
    return ""


def ready(record: Record, off: Sequence[Step], waits: Sequence[Waits]) -> list[Step]:
    """Return which of the steps that are off can go on now, in their order.

    What ticks itself off, a turn or a soak that nothing waits for, is left out as long as there is anything else.
    """
    waiting = {w.step for w in waits}
    found = [s for s in off if s.number not in waiting and not s.skipped and not needed_by(record, s)]
    return [step for step in found if not ticks_itself_off(record, step)] or found


def next_step(record: Record, off: Sequence[Step], waits: Sequence[Waits]) -> Step | None:
    """Return the step to go on with: the first that can, else the first that waits for something itself.

    None where nothing is off.
    """
    found = ready(record, off, waits)
    stopped = (s for s in off if short_of(record, s) or jobs_first(record, s))
    return found[0] if found else next(stopped, off[0] if off else None)
