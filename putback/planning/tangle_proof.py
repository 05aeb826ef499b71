"""The exact search through a tangle's orders.

It deepens from the bound to the next cost that is possible and remembers what it proved of each state
(iterative deepening with memory), so that stopped at any time it still knows a lower bound.
"""

from __future__ import annotations

from putback.planning.masks import ENDLESS, Work, bits, mask_of
from putback.planning.tangle import Tangle


class Stopped(Exception):
    """The work, or the states allowed, ran out in mid-search."""


Way = tuple[int, ...] | None
"""How a state is best left: the items done next, or None where it falls into parts."""


class CostProof:
    """What is proved of the least cost of a tangle's states."""

    def __init__(self, tangle: Tangle) -> None:
        self.tangle = tangle
        self.floor = tangle.bound(tangle.everything)
        """What every order of everything costs at least, as far as it is proved."""
        self.known: dict[tuple[int, int], tuple[int, bool, Way]] = {}
        """Per state, (undone, held): a lower bound, whether it is the least cost, and the way to it."""
        self.looked_at = 0
        """States looked at since the search began."""
        self.allowed = ENDLESS
        self.work = Work()

    def least(self, undone: int, ready: int, held: int, limit: int) -> int:
        """The least cost of the undone items if that is at most `limit`; else a lower bound above it.

        Raises `Stopped` when the work or the states allowed run out.
        """
        undone, ready, held, _ = self.tangle.settled(undone, ready, held)
        if not undone:
            return 0
        key = (undone, held)
        low = self.low(key)
        known = self.known.get(key)
        if low > limit or (known is not None and known[1]):
            return low
        self.looked_at += 1
        if self.looked_at > self.allowed or not self.work.spend():
            raise Stopped
        parts = self.tangle.first_parts(undone, held)
        if parts != [undone]:
            return self._least_of_parts(key, parts, low, limit)
        return self._least_of_moves(key, ready, low, limit)

    def low(self, key: tuple[int, int]) -> int:
        """What is known of a state's least cost from below."""
        known = self.known.get(key)
        return known[0] if known is not None else self.tangle.bound(*key)

    def _least_of_parts(self, key: tuple[int, int], parts: list[int], low: int, limit: int) -> int:
        states = [self.tangle.settled(part, self.tangle.ready(part), key[1]) for part in parts]
        lows = [self.low((undone, held)) if undone else 0 for undone, _, held, _ in states]
        total = sum(lows)
        for (undone, ready, held, _), least in zip(states, lows, strict=True):
            if total > limit:
                break
            total += self.least(undone, ready, held, limit - total + least) - least
        total = max(total, low)
        self.known[key] = (total, total <= limit, None)
        return total

    def _least_of_moves(self, key: tuple[int, int], ready: int, low: int, limit: int) -> int:
        undone, held = key
        moves: list[tuple[int, int, int, int, int, int, list[int]]] = []
        seen = set()
        for i in bits(ready):
            opened, cost = self.tangle.step(held, self.tangle.labels[i])
            if opened in seen:
                continue
            seen.add(opened)
            after, then_ready, done = self.tangle.run_on(undone, ready, opened)
            if not self.tangle.idle(done, after):
                least = cost + self.tangle.bound(after, opened)
                moves.append((least, len(moves), cost, opened, after, then_ready, done))
        self.work.spend(len(seen))
        best = -1
        way: Way = None
        bar = limit
        for least, _, cost, opened, after, then_ready, done in sorted(moves):
            if least <= bar:
                least = cost + self.least(after, then_ready, opened, bar - cost)
            if best < 0 or least < best:
                best, way = least, tuple(done)
            if least <= bar:
                bar = least - 1
                if best <= low:
                    break
        best = max(best, low)
        self.known[key] = (best, best <= limit, way)
        return best

    def prove(self, allowed: int, work: Work) -> tuple[int, bool]:
        """The least cost of everything and True; or a lower bound and False when the search was stopped."""
        self.looked_at, self.allowed, self.work = 0, allowed, work
        value = self.floor
        try:
            while True:
                found = self.least(self.tangle.everything, self.tangle.ready(self.tangle.everything), 0, value)
                if found <= value:
                    self.floor = found
                    return found, True
                self.floor = value = found
        except Stopped:
            return self.floor, False

    def trace(self, undone: int, held: int = 0) -> list[int]:
        """The order that a proved search found for the undone items."""
        undone, _, held, order = self.tangle.settled(undone, self.tangle.ready(undone), held)
        if not undone:
            return order
        way = self.known[undone, held][2]
        if way is None:
            for part in self.tangle.first_parts(undone, held):
                order += self.trace(part, held)
            return order
        for i in way:
            held, _ = self.tangle.step(held, self.tangle.labels[i])
        return [*order, *way, *self.trace(undone & ~mask_of(way), held)]
