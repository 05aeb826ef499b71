"""A beam through a tangle's orders: quick, always with an answer, without a proof."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from putback.planning.masks import Work, bits
from putback.planning.tangle import Tangle

HURRIED = 6
"""Ways on that are looked at from a state once the work is used up."""


class _Row(Struct, frozen=True):
    """A state in the beam: its cost so far, the bound on the rest, and how it was come by."""

    cost: int
    rest: int
    undone: int
    ready: int
    held: int
    last: _Row | None
    done: tuple[int, ...]


def beam(tangle: Tangle, width: int, work: Work) -> tuple[list[int], int]:
    """An order of everything and its cost, keeping the `width` most promising states at a time.

    Once the work is used up only the best state is followed, and in a few ways: there is always an answer.
    """
    large = 1 + len(tangle.labels) // 256
    start = tangle.everything
    rows = [_Row(0, tangle.bound(start), start, tangle.ready(start), 0, None, ())]
    best: _Row | None = None
    while rows:
        found: dict[tuple[int, int], _Row] = {}
        hurry = not work.left
        for row in rows[:1] if hurry else rows:
            for new in _onward(tangle, row, HURRIED if hurry else len(tangle.labels)):
                work.spend(large)
                if best is not None and new.cost + new.rest >= best.cost:
                    continue
                if not new.undone:
                    best = new
                    continue
                old = found.get((new.undone, new.held))
                if old is None or new.cost < old.cost:
                    found[new.undone, new.held] = new
        rows = sorted(found.values(), key=lambda row: (row.cost + row.rest, row.undone.bit_count()))
        del rows[width:]
    assert best is not None
    order: list[int] = []
    link: _Row | None = best
    while link is not None:
        order[:0] = link.done
        link = link.last
    return order, best.cost


def _onward(tangle: Tangle, row: _Row, most: int) -> Iterator[_Row]:
    undone, ready, held, ran = tangle.settled(row.undone, row.ready, row.held)
    if not undone:
        yield _Row(row.cost, 0, 0, 0, held, row, tuple(ran))
    seen: set[int] = set()
    for i in bits(ready):
        if not most:
            break
        opened, cost = tangle.step(held, tangle.labels[i])
        if opened in seen:
            continue
        seen.add(opened)
        after, then_ready, done = tangle.run_on(undone, ready, opened)
        if after and tangle.idle(done, after):
            continue
        most -= 1
        touched = opened | row.held
        for j in done:
            touched |= tangle.labels[j]
        for j in ran:
            touched |= tangle.labels[j]
        rest = row.rest - tangle.bound(row.undone, row.held, touched)
        rest += tangle.bound(after, opened, touched)
        yield _Row(row.cost + cost, rest, after, then_ready, opened, row, (*ran, *done))
