"""A letter for each size of a step, and how long each fastener is among its like: what a hole map shows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from math import floor

from putback.reports.fastener_sheet import length_of
from putback.trade.record.fastener import Thing
from putback.trade.record.length_groups import GroupedLength, grouped_length, measured
from putback.trade.record.record import Record

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""Letters of sizes, in order of appearance."""

Looks = tuple[str, str, str, str]
"""By what hands tell two fasteners apart: name with size, head, drive, hand."""


def looks_of(thing: Thing) -> Looks:
    """Return by what hands tell a fastener from another: thread and length in its name, then head, drive and hand."""
    return thing.called, thing.head, thing.drive, thing.hand


def size_letters(things: Sequence[Thing]) -> dict[Looks, str]:
    """Return a letter for each sort of fastener among `things`, by `looks_of`, in order of appearance."""
    letters: dict[Looks, str] = {}
    for thing in things:
        if thing.sort == "fastener" and not thing.found and looks_of(thing) not in letters:
            letters[looks_of(thing)] = LETTERS[len(letters) % len(LETTERS)]
    return letters


def distinct_names(things: Sequence[Thing]) -> dict[Looks, str]:
    """Return how each sort of fastener is named among `things`, by `looks_of`.

    Where two differ by head, drive or hand alone, each name says them: `screw #6-32 UNC x 1/4, pan, cross`.
    """
    sorts = {looks_of(thing): thing for thing in things if thing.sort == "fastener"}
    many: dict[str, int] = {}
    for called, *_ in sorts:
        many[called] = many.get(called, 0) + 1
    found = {}
    for key, thing in sorts.items():
        texts = [thing.head, thing.drive, f"{thing.hand}-hand" if thing.hand else ""] if many[key[0]] > 1 else []
        found[key] = ", ".join([thing.called, *filter(None, texts)])
    return found


def names_on(record: Record, machine: int) -> dict[Looks, str]:
    """Return how each sort of fastener of a machine is named, so that no two are named alike, by `looks_of`."""
    return distinct_names([t for t in record.all(Thing, machine) if t.sort == "fastener" and not t.found])


def named(thing: Thing, names: dict[Looks, str]) -> str:
    """Return what a thing is called; of a fastener as `names` has it, so that it is told from others like it."""
    return names.get(looks_of(thing), thing.called) if thing.sort == "fastener" and not thing.found else thing.called


def length_value(thing: Thing) -> float:
    """Return a thing's length for comparing within one step: the stocked one, else as read; 0 for none."""
    return _number(thing.length or thing.readings.get("length", ""))


@lru_cache(maxsize=1024)
def _number(text: str) -> float:
    found = re.search(r"(\d+ )?\d+/\d+|\d*\.?\d+", text)
    if not found:
        return 0.0
    return float(sum(Fraction(piece) for piece in found.group().split()))


def eighths(thing: Thing, unit: str) -> int:
    """Return how long a fastener is in eighths of an inch (3 mm), at least 1; 0 where nothing is known of that.

    A stocked length goes before what was read; `unit` is that of a bare number on its machine.
    """
    return _eighths(thing.length) or _read_eighths(grouped_length(thing), unit)


@lru_cache(maxsize=1024)
def _eighths(name: str) -> int:
    found = length_of(name)
    return max(1, floor(found * 8 + Fraction(1, 2))) if found else 0


@lru_cache(maxsize=1024)
def _read_eighths(read: GroupedLength | None, unit: str) -> int:
    found = measured(read, unit) if read is not None else None
    return 0 if found is None else max(1, floor(Fraction(found[0].mm) / Fraction(127, 40) + Fraction(1, 2)))
