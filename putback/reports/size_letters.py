"""A letter for each size of a step, and how long each fastener is among its like: what a hole map shows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from putback.trade.fastener import Thing

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""Letters of sizes, in order of appearance."""


def size_letters(things: Sequence[Thing]) -> dict[str, str]:
    """Return a letter for each size among `things`, in order of appearance."""
    letters: dict[str, str] = {}
    for thing in things:
        if thing.sort == "fastener" and not thing.found and thing.called not in letters:
            letters[thing.called] = LETTERS[len(letters) % len(LETTERS)]
    return letters


def length_value(thing: Thing) -> float:
    """Return a thing's length for comparing within one step: the stocked one, else as read; 0 for none."""
    return _number(thing.length or thing.readings.get("length", ""))


@lru_cache(maxsize=1024)
def _number(text: str) -> float:
    found = re.search(r"(\d+ )?\d+/\d+|\d*\.?\d+", text)
    if not found:
        return 0.0
    return float(sum(Fraction(piece) for piece in found.group().split()))


def long_ranks(things: Sequence[Thing]) -> dict[int, int]:
    """Return how long each thing is among those of its thread: 0 for the shortest."""
    lengths: dict[str, set[float]] = {}
    for thing in things:
        lengths.setdefault(thing.thread, set()).add(length_value(thing))
    return {t.id: sorted(lengths[t.thread]).index(length_value(t)) for t in things}
