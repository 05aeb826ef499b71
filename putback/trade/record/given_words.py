"""Words that stand in where a person types none: a number for a loose piece, phrases for a note or a caution."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import chain, islice

from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

OFFERED = 9
"""How many phrases are offered: one for each figure of a pad."""

OWN = 4
"""How many of them are the person's own, at most; the common ones begin behind them."""

LONGEST = 40
"""Characters of a line that is worth offering again; a longer one is about one thing alone."""

LOOKED_BACK = 50
"""Steps that are gone back over for a person's own lines."""

NOTES = (
    "this side up",
    "mark to the front",
    "long leg to the left",
    "was bent",
    "was greased",
    "long leg to the right",
    "was loose",
    "was dry",
    "mark to the top",
)
"""What is often noted of a part as it comes off (common practice, no source)."""

SPRINGS = (
    "spring: pulls it back",
    "spring: pushes it out",
    "spring: holds it down",
    "spring: turns it back",
    "spring: takes up the play",
)
"""What a spring is for; offered before the common ones where one is in hand (common practice, no source)."""

CAUTIONS = (
    "spring under load",
    "sharp edge",
    "small pieces fall out",
    "breaks easily",
    "heavy, hold it before the last screw",
    "hold what is behind it",
    "do not bend",
    "comes off one way only",
    "do not turn it while it is open",
)
"""What one must often beware of (common practice, no source)."""

_SPRING = re.compile(r"\bsprings?\b", re.IGNORECASE)
_NUMBERED = re.compile(r"loose piece (\d+)")


def unnamed_piece(record: Record, machine: int) -> str:
    """Return the name of the next loose piece of a machine that nobody named: `loose piece 2`."""
    found = (_NUMBERED.fullmatch(thing.name) for thing in record.all(Thing, machine))
    return f"loose piece {1 + max((int(match[1]) for match in found if match), default=0)}"


def notes_offered(record: Record, machine: int, *, of_fastener: bool = False) -> tuple[str, ...]:
    """Return nine short notes: those last made on a machine, newest first, each once, then common ones.

    With `of_fastener` those made of fasteners and pieces come before those of steps. Where a spring is in hand, what it
    may be for stands before what is common.
    """
    common = (*SPRINGS, *NOTES)[:OFFERED] if _spring_in_hand(record, machine) else NOTES
    own = chain(_of_things(record, machine), _notes(record, machine)) if of_fastener else _notes(record, machine)
    return _offered(own, common)


def _spring_in_hand(record: Record, machine: int) -> bool:
    """Tell whether the last step, or what came out of it, is a spring by its name."""
    step = next(record.latest_steps(machine), None)
    names = [] if step is None else [step.name, *(t.name for t in record.things_of(step) if t.sort != "fastener")]
    return any(_SPRING.search(name) for name in names)


def cautions_offered(record: Record, machine: int) -> tuple[str, ...]:
    """Return nine short cautions: those last given on a machine, newest first, each once, then common ones."""
    return _offered(_cautions(record, machine), CAUTIONS)


def _offered(own: Iterator[str], common: tuple[str, ...]) -> tuple[str, ...]:
    known = {text.casefold() for text in common}
    short: dict[str, str] = {}
    for text in (" ".join(line.split()) for line in own):
        # A lone figure would read as the number of another line.
        if 1 < len(text) <= LONGEST and text.casefold() not in known:
            short.setdefault(text.casefold(), text)
        if len(short) == OWN:
            break
    return (*short.values(), *common)[:OFFERED]


def _notes(record: Record, machine: int) -> Iterator[str]:
    for step in islice(record.latest_steps(machine), LOOKED_BACK):
        yield from reversed(step.note.splitlines())
        for thing in reversed(record.things_of(step)):
            yield from reversed(thing.note.splitlines())
    yield from reversed(record.get(Machine, machine).notes)


def _of_things(record: Record, machine: int) -> Iterator[str]:
    for step in islice(record.latest_steps(machine), LOOKED_BACK):
        for thing in reversed(record.things_of(step)):
            yield from reversed(thing.note.splitlines())


def _cautions(record: Record, machine: int) -> Iterator[str]:
    for step in islice(record.latest_steps(machine), LOOKED_BACK):
        yield from reversed(step.cautions)
    yield from reversed(record.get(Machine, machine).cautions)
