"""How many stretches some tasks fill at least, if nothing but their lengths mattered.

Every bound gives each length a weight such that no stretch can hold more than the weight 1; the sum of
the weights, rounded up, is then a lower bound (dual feasible functions). The families are those of
S. Fekete and J. Schepers, New classes of fast lower bounds for bin packing problems, Math. Program. 91
(2001) 11-31, cited from memory; the first three of them are known in line balancing as LB1 (the sum of
the times), LB2 (times over a half) and LB3 (over thirds): A. Scholl and C. Becker, Eur. J. Oper. Res.
168 (2006) 666-693, cited from memory. Lengths and limit are whole numbers of any one unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

FINEST = 20
"""The finest equal division of a stretch that is tried."""


def room_taken(lengths: Sequence[int], limit: int) -> list[int]:
    """Each length with the room beside it that no company among the others can fill.

    One length grows after the other, the longest first, each with the others as they are by then: so
    whatever fitted into one stretch still fits.
    """
    found = list(lengths)
    for item in sorted(range(len(found)), key=lambda item: -found[item]):
        room = limit - found[item]
        sums = 1
        for other, more in enumerate(found):
            if other != item and more <= room:
                sums |= sums << more
        sums &= (1 << room + 1) - 1
        found[item] += room - (sums.bit_length() - 1)
    return found


def weights(lengths: Sequence[int], limit: int) -> list[tuple[int, list[tuple[int, int]]]]:
    """The bounds as (what a stretch can hold, [(weight, mask of the tasks of that weight)])."""
    seen = set()
    found = []
    for whole, values in _families(lengths, limit):
        key = tuple(value * 55440 // whole for value in values)
        if key in seen:
            continue
        seen.add(key)
        by_value: dict[int, int] = {}
        for item, value in enumerate(values):
            if value:
                by_value[value] = by_value.get(value, 0) | 1 << item
        found.append((whole, list(by_value.items())))
    return found


def _families(lengths: Sequence[int], limit: int) -> Iterator[tuple[int, list[int]]]:
    yield limit, list(lengths)
    for parts in range(1, FINEST + 1):
        yield parts * limit, [_divided(length, parts, limit) for length in lengths]
    for small in sorted({length for length in lengths if 0 < 2 * length <= limit}):
        cut = [limit if length > limit - small else length if length >= small else 0 for length in lengths]
        yield limit, cut
        for parts in (1, 2, 3):
            yield parts * limit, [parts * limit if c == limit else _divided(c, parts, limit) for c in cut]
        most = limit // small
        yield (
            most,
            [most - (limit - length) // small if 2 * length > limit else int(length >= small) for length in lengths],
        )


def _divided(length: int, parts: int, limit: int) -> int:
    if length * (parts + 1) % limit == 0:
        return length * parts
    return length * (parts + 1) // limit * limit
