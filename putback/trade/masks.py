"""Sets of small numbers as bits of one integer, and needs as such sets."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence

Budget = Callable[[], float]
"""Tells what share of the time allowed is used up: 0 at first, 1 or more when it is gone."""


def unlimited() -> float:
    """A budget that never ends."""
    return 0.0


class Tries:
    """A budget counted in questions asked of it, so that it ends alike on every machine."""

    def __init__(self, allowed: int) -> None:
        self.allowed = allowed
        """How many questions use it up."""
        self.asked = 0
        """How many were asked so far."""

    def __call__(self) -> float:
        """The share used up; each call uses up a little more."""
        self.asked += 1
        return self.asked / self.allowed


def part_of(budget: Budget, share: float) -> Budget:
    """A budget that ends when `budget` stands at `share` (0 to 1)."""
    return lambda: budget() / share


def bits(mask: int) -> Iterator[int]:
    """The bits set in `mask`, ascending."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def mask_of(numbers: Iterable[int]) -> int:
    """The mask with the bits `numbers`."""
    mask = 0
    for number in numbers:
        mask |= 1 << number
    return mask


def as_masks(sets: Iterable[Iterable[Hashable]]) -> list[int]:
    """Sets of anything as masks: a bit for each different member, in order of appearance."""
    bit: dict[Hashable, int] = {}
    return [mask_of(bit.setdefault(member, len(bit)) for member in sorted(s, key=str)) for s in sets]


def closures(first: Sequence[int]) -> tuple[list[int], list[int]]:
    """All that comes before and all that comes after each item, from masks of what comes directly before.

    Items must be numbered so that whatever comes before has the lower number.
    """
    before: list[int] = []
    for direct in first:
        mask = direct
        for item in bits(direct):
            mask |= before[item]
        before.append(mask)
    after = [0] * len(before)
    for item in range(len(before) - 1, -1, -1):
        mask = after[item] | 1 << item
        for other in bits(first[item]):
            after[other] |= mask
    return before, after


def picked(mask: int, place: dict[int, int]) -> int:
    """The mask over the items of `place` (old number to new), others left out."""
    found = 0
    for item in bits(mask):
        if item in place:
            found |= 1 << place[item]
    return found
