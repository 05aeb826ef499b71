"""The way back, computed from the record: what each step asks of the planner, and what waits for what."""

from __future__ import annotations

from msgspec import Struct

from putback.errors import BadInput
from putback.trade.bag import Move
from putback.trade.ledger import Holding, short_of
from putback.trade.machine import Part
from putback.trade.needs import Job, least_to_reach, waiting
from putback.trade.place import bag_number
from putback.trade.record import Record
from putback.trade.step import Step


class Waits(Struct, frozen=True):
    """A step that cannot go back yet, and the things it waits for."""

    step: int
    """The step's number."""
    things: tuple[Holding, ...]
    """What is away, borrowed, missing or scrapped, of this step or of one that must go back before it."""

    @property
    def told(self) -> str:
        """The things, in words."""
        return ", ".join(
            f"{f'{h.count} x ' if h.count > 1 else ''}{h.thing.called} ({h.place})" for h in self.things
        )


class Reach(Struct, frozen=True):
    """The least that must come off to get at a part."""

    steps: tuple[int, ...]
    """Step numbers, ascending."""
    fasteners: int
    """Fasteners taken out in them."""
    bags: tuple[int, ...]
    """Numbers of the bags they fill."""
    minutes: float
    """What they took, as far as known."""


def bags_of_steps(record: Record, machine: int) -> dict[int, frozenset[int]]:
    """Return, by step id, the numbers of the bags that the step's own moves filled."""
    filled: dict[int, set[int]] = {}
    for move in record.all(Move, machine):
        number = bag_number(move.target)
        if move.step and number is not None:
            filled.setdefault(move.step, set()).add(number)
    return {step: frozenset(numbers) for step, numbers in filled.items()}


def step_minutes(step: Step) -> float:
    """Return how long a step took: as said, else by its stamps; 0 while it is open."""
    from putback.trade.session import minutes_between

    if step.minutes is not None:
        return step.minutes
    return minutes_between(step.began, step.ended) if step.ended and step.began else 0.0


def jobs(record: Record, machine: int) -> list[Job]:
    """Return every finished step of a machine as the planner wants it, in order of number."""
    bags = bags_of_steps(record, machine)
    found = []
    for step in record.all(Step, machine):
        if step.is_open:
            continue
        found.append(
            Job(
                number=step.number,
                needs=frozenset(step.needs),
                bags=bags.get(step.id, frozenset()),
                tools=frozenset(step.tools),
                area=record.get(Part, step.area).name if step.area else "",
                minutes=step_minutes(step),
                state=step.state if step.do == "turn" else None,
                good_stop=step.do != "let down",
            )
        )
    return sorted(found, key=lambda job: job.number)


def what_waits(record: Record, machine: int) -> list[Waits]:
    """Return every step that cannot go back yet, ascending, each with what it waits for."""
    short = {
        step.number: tuple(short_of(record, step))
        for step in record.all(Step, machine)
        if not step.is_open and not step.back
    }
    blocked = {number for number, things in short.items() if things}
    held_up = waiting([job for job in jobs(record, machine)], blocked)
    found = []
    for number in sorted(held_up):
        step = record.step(machine, number)
        if step is None or step.back:
            continue
        things = [h for cause in sorted(held_up[number]) for h in short[cause]]
        found.append(Waits(number, tuple(things)))
    return found


def steps_off(record: Record, machine: int) -> list[Step]:
    """Return the steps that are done and not back, newest first: the strict reverse."""
    return [s for s in reversed(list(record.all(Step, machine))) if not s.is_open and not s.back]


def reach(record: Record, machine: int, part: str, *, now: bool = False) -> Reach:
    """Return the least that must come off to get at `part`, as if the machine were whole.

    With `now`, what is off already is left out. Raises BadInput for a part never taken off, with the
    nearest names.
    """
    from difflib import get_close_matches

    steps = [s for s in record.all(Step, machine) if not s.is_open]
    wanted = " ".join(part.split()).casefold()
    named = [s for s in steps if s.name.casefold() == wanted]
    off = [s for s in named if s.takes_off] or [s for s in named if s.part] or named
    if not off:
        names = {s.name.casefold(): s.name for s in steps if s.part}
        near = [names[n] for n in get_close_matches(wanted, names, n=3, cutoff=0.5)]
        hint = f"; did you mean {' or '.join(near)}?" if near else "."
        raise BadInput(f"No step took off “{part}”{hint}")
    if len({(s.area, s.name.casefold()) for s in off}) > 1:
        where = ", ".join(f"step {s.number} in {_area(record, s)}" for s in off)
        raise BadInput(f"There is more than one “{part}”: {where}. Rename one of them.")
    target = off[-1]
    gone = frozenset(s.number for s in steps if not s.back) if now else frozenset()
    numbers = least_to_reach(jobs(record, machine), target.number, already_off=gone)
    bags = bags_of_steps(record, machine)
    taken = [s for s in steps if s.number in set(numbers)]
    return Reach(
        steps=tuple(sorted(numbers)),
        fasteners=sum(
            t.count
            for s in taken
            for t in record.things_of(s)
            if t.sort == "fastener" and not t.replaces and not t.found and s.do != "loosen"
        ),
        bags=tuple(sorted({n for s in taken for n in bags.get(s.id, ())})),
        minutes=sum(step_minutes(s) for s in taken),
    )


def _area(record: Record, step: Step) -> str:
    return record.get(Part, step.area).name if step.area else "the machine"
