"""Sets of small numbers as bits of one integer, and needs as such sets."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence

from putback.progress import teller

ENDLESS = 1 << 62
"""More steps than any search takes."""


class Work:
    """How much a search may do, counted in its own steps: no clock is read, so it ends alike everywhere.

    A step is about as much as trying one item next: some millionths of a second, whatever the search.
    """

    def __init__(self, allowed: int = ENDLESS) -> None:
        self.allowed = allowed
        """How many steps it may take."""
        self._taken = [0]
        self._tell = teller("search for an order", 0 if allowed >= ENDLESS else allowed)

    @property
    def taken(self) -> int:
        """The steps taken so far."""
        return self._taken[0]

    @property
    def left(self) -> int:
        """The steps that are left; 0 when it is used up."""
        return max(0, self.allowed - self._taken[0])

    def spend(self, steps: int = 1) -> bool:
        """Counts steps as taken; tells whether any are left."""
        self._taken[0] += steps
        if self._tell is not None:
            self._tell(self._taken[0])
        return self._taken[0] < self.allowed

    def part(self, share: float) -> Work:
        """The same work, but ending when `share` (0 to 1) of it is taken; what it takes counts for both."""
        part = Work(int(self.allowed * share))
        part._taken, part._tell = self._taken, self._tell
        return part


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
