"""The list of fasteners in the book: one row a size, and what is easily mixed up, by size."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from putback.reports.alike import Mixed
from putback.trade.record.fastener import Thing
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Step


class SizeRow(Struct, frozen=True):
    """All fasteners of one size, head and drive."""

    called: str
    """What they are, with their size."""
    head: str
    """Their head; empty where not said."""
    drive: str
    """What turns them; empty where not said."""
    count: int
    """How many came off."""
    steps: tuple[int, ...]
    """The steps that took them out."""
    bags: tuple[int, ...]
    """The bags they lie in now."""


class MixedUp(Struct, frozen=True):
    """One size, and what is taken for it and is not."""

    size: str
    """The size."""
    others: tuple[str, ...]
    """Each other size with what comes of taking it: `#6-32 UNC x 1/2: same thread, 1/8 in longer`."""


def size_rows(record: Record, taken: Sequence[Thing]) -> tuple[SizeRow, ...]:
    """Return a row for each size of the fasteners that came off, most first."""
    groups: dict[tuple[str, str, str], list[Thing]] = {}
    for thing in taken:
        groups.setdefault((thing.called, thing.head, thing.drive), []).append(thing)
    rows = []
    for (called, head, drive), things in groups.items():
        steps = {record.get(Step, thing.step).number for thing in things}
        bags = {bag_number(place) for thing in things for place in record.standing(thing.id)}
        found = tuple(sorted(number for number in bags if number is not None))
        rows.append(SizeRow(called, head, drive, len(things), tuple(sorted(steps)), found))
    return tuple(sorted(rows, key=lambda row: (-row.count, row.called, row.head, row.drive)))


def mixed_up(pairs: Sequence[Mixed]) -> tuple[MixedUp, ...]:
    """Return pairs that are told by step as one row a size, each danger told once with all the sizes it holds for."""
    by_size: dict[str, dict[str, list[str]]] = {}
    for pair in pairs:
        one, other = _size(pair.one), _size(pair.other)
        others = by_size.setdefault(one, {}).setdefault(pair.why, [])
        if other not in others:
            others.append(other)
    return tuple(
        MixedUp(size, tuple(f"{', '.join(others)}: {why}" for why, others in dangers.items()))
        for size, dangers in by_size.items()
    )


def _size(words: str) -> str:
    """What a pair tells of, without the step it is of."""
    return words.rpartition(" (step ")[0] or words


def numbers(found: Sequence[int]) -> str:
    """Return numbers as a list is read: `3, 4, 23`."""
    return ", ".join(map(str, found))
