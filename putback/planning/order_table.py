"""The very best order of a small machine: a table over all that may be done, item by item.

Where the states are few enough this settles everything at once, the nearness to the strict reverse
included; `nearby` does it by swaps where they are not.
"""

from __future__ import annotations

from collections.abc import Sequence

from putback.planning.masks import Work, bits
from putback.planning.tangle import Kind, Tangle

MOST_STATES = 6000
"""States of the table, over all numbers of items done, beyond which it is given up."""

Row = tuple[int, int, "Row | None", int]
"""Cost, pairs turned round, the row it came from, and the item done last."""


def best_order(
    before: Sequence[int],
    after: Sequence[int],
    labels: Sequence[int],
    kinds: Sequence[Kind],
    at_most: tuple[int, int],
    work: Work,
) -> list[int] | None:
    """The order of least cost, and among those the one with fewest pairs turned round.

    `before` and `after`: closed masks. `at_most`: cost and pairs turned of an order that is known. None
    where the table grows too large or the work is used up before its end.
    """
    tangle = Tangle(before, after, labels, kinds)
    rows: dict[tuple[int, int], Row] = {(tangle.everything, 0): (0, 0, None, -1)}
    seen = 0
    for _ in labels:
        found: dict[tuple[int, int], Row] = {}
        for (undone, held), row in rows.items():
            for item in bits(tangle.ready(undone)):
                work.spend()
                then, cost = tangle.step(held, labels[item])
                left = undone & ~(1 << item)
                then = tangle.useful(left, then)
                cost += row[0]
                turned = row[1] + (left & (1 << item) - 1).bit_count()
                old = found.get((left, then))
                if old is not None and (old[0], old[1]) <= (cost, turned):
                    continue
                if (cost + tangle.bound(left, then), turned) <= at_most:
                    found[left, then] = (cost, turned, row, item)
        seen += len(found)
        if seen > MOST_STATES or not work.left:
            return None
        rows = found
    order: list[int] = []
    link: Row | None = min(rows.values(), key=lambda row: row[:2])
    while link is not None and link[2] is not None:
        order.insert(0, link[3])
        link = link[2]
    return order
