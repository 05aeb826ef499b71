"""The fewest openings of a small tangle by a table over all that may be done (Held and Karp 1962, from memory).

A row of the table is a set of undone items; in it stands, for everything that may be open then, the least it took
to come there. Where items hardly need one another and bear many labels each, the bounds say little and this is
quicker than any search. A table that was filled to its end is a proof.
"""

from __future__ import annotations

from putback.planning.masks import Work, bits
from putback.planning.tangle import Tangle

LARGEST = 18
"""Items up to which a table is begun; it is given up where its share of the work does not suffice."""

QUICKER = 8
"""Ways looked at in a step of work where there is but one kind of labels."""

Row = dict[int, tuple[int, int, int]]
"""Per what is open: the least cost, what was open before, and the item done last."""


def by_table(tangle: Tangle, work: Work) -> tuple[list[int], int] | None:
    """The order of least cost and that cost; None where the tangle is too large or the work is used up."""
    if len(tangle.labels) > LARGEST:
        return None
    step, labels = tangle.step, tangle.labels
    one = tangle.kinds[0] if len(tangle.kinds) == 1 else None  # then what is open is what the last item bears
    rows: dict[int, Row] = {tangle.everything: {0: (0, 0, -1)}}
    done: list[dict[int, Row]] = []
    for _ in labels:
        found: dict[int, Row] = {}
        for undone, row in rows.items():
            ready = tangle.ready(undone)
            if not work.spend(1 + ready.bit_count() * len(row) // (QUICKER if one is not None else 1)):
                return None
            for item in bits(ready):
                own = labels[item]
                there = found.setdefault(undone & ~(1 << item), {})
                if one is not None:
                    priced = own & one.counted
                    ways = ((paid[0] + (priced & ~held).bit_count() * one.weight, held) for held, paid in row.items())
                    cost, before = min(ways)
                    old = there.get(own)
                    if old is None or cost < old[0]:
                        there[own] = (cost, before, item)
                    continue
                for held, (paid_so_far, _, _) in row.items():
                    opened, more = step(held, own)
                    old = there.get(opened)
                    if old is None or paid_so_far + more < old[0]:
                        there[opened] = (paid_so_far + more, held, item)
        done.append(rows)
        rows = found
    held, (cost, before, item) = min(rows[0].items(), key=lambda entry: (entry[1][0], entry[0]))
    order: list[int] = []
    undone = 0
    for row_before in reversed(done):
        order.append(item)
        undone |= 1 << item
        held = before
        _, before, item = row_before[undone][held]
    order.reverse()
    return order, cost
