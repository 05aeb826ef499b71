"""Tasks in a row to be cut into stretches: the bounds and the swaps known beforehand, and how to fill one.

Tasks are numbered so that whatever comes before has the lower number.
"""

from __future__ import annotations

from collections.abc import Sequence

from putback.planning.masks import Work, bits, closures
from putback.planning.session_bounds import room_taken, weights

LARGE = 300
"""Tasks from which on the dearer bounds and the swaps are left out."""

TIGHTEST = 12
"""Bounds by length that are asked of every state; all of them are asked of each task's place in the row."""


class TaskRow:
    """Tasks to be cut into stretches of at most `limit`, and what is known of them beforehand."""

    def __init__(self, lengths: Sequence[int], first: Sequence[int], limit: int) -> None:
        self.lengths = list(lengths)
        self.limit = limit
        self.first = list(first)
        self.before, self.after = closures(first)
        self.everything = (1 << len(lengths)) - 1
        self.next = [self._directly(mask) for mask in self.after]
        self.frees = 0
        for item, mask in enumerate(self.after):
            if mask:
                self.frees |= 1 << item
        self._sums = {0: 0}
        self._bounds()
        self._swaps()

    def reversed(self) -> TaskRow:
        """The same tasks to be cut from the other end; task i is the last but i here."""
        last = len(self.lengths) - 1
        first = [0] * (last + 1)
        for item, mask in enumerate(self.first):
            for other in bits(mask):
                first[last - other] |= 1 << last - item
        return TaskRow(self.lengths[::-1], first, self.limit)

    def _directly(self, rest: int) -> int:
        found = 0
        while rest:
            low = rest & -rest
            found |= low
            rest &= ~(self.after[low.bit_length() - 1] | low)
        return found

    def _bounds(self) -> None:
        large = len(self.lengths) > LARGE
        taken = self.lengths if large else room_taken(self.lengths, self.limit)
        self.weights = weights(taken, self.limit)
        if large:
            self.weights = self.weights[:4]
        tightest = sorted(self.weights, key=lambda weight: -self._total(weight) / weight[0])
        self.tightest = tightest[:TIGHTEST]
        """The bounds that say most of all the tasks: those that are asked of every state."""
        self.fitting = 1 + (len(self.lengths) + sum(len(values) for _, values in self.tightest)) // 25
        """Steps of work that it takes to see whether some tasks can fit."""
        self.tail = [0] * len(self.lengths)
        """Stretches from a task's own to the last, at least."""
        for item in range(len(self.lengths) - 1, -1, -1):
            self.tail[item] = self._tail(1 << item, self.after[item])
        by_tail = sorted(range(len(self.lengths)), key=lambda item: -self.tail[item])
        self.tails = [(1 << item, taken[item], self.tail[item]) for item in by_tail]
        self.at_least = self._tail(0, self.everything)
        """Stretches that all the tasks fill at least."""

    def _total(self, weight: tuple[int, list[tuple[int, int]]]) -> int:
        return sum(value * mask.bit_count() for value, mask in weight[1])

    def _tail(self, own: int, later: int) -> int:
        """Stretches of the tasks `own` and `later` at least: those of a long tail come before it."""
        best = self.filled(own | later)
        by_tail: dict[int, int] = {}
        for item in bits(later):
            by_tail[self.tail[item]] = by_tail.get(self.tail[item], 0) | 1 << item
        for tail in sorted(by_tail, reverse=True):
            own |= by_tail[tail]
            best = max(best, self.filled(own) + tail - 1)
        return best

    def filled(self, tasks: int) -> int:
        """Stretches the tasks fill at least by their lengths alone."""
        best = 0
        for whole, values in self.weights:
            total = sum(value * (tasks & mask).bit_count() for value, mask in values)
            best = max(best, -(-total // whole))
        return best

    def fits(self, left: int, ready: int, stretches: int) -> bool:
        """Whether no bound forbids the tasks left to fit into so many stretches."""
        for item in bits(ready):
            if self.tail[item] > stretches:
                return False
        total = 0
        room = (stretches + 1) * self.limit
        for bit, taken, tail in self.tails:
            if left & bit:
                total += taken
                if total + tail * self.limit > room:
                    return False
        for whole, values in self.tightest:
            total = 0
            for value, mask in values:
                total += value * (left & mask).bit_count()
            if total > stretches * whole:
                return False
        return True

    def _swaps(self) -> None:
        size = len(self.lengths)
        self.longer = [0] * size
        """Longer tasks that free all that a task frees, and may stand in its place."""
        self.same = [0] * size
        """Tasks as long that do; of two that free the same, the one of lower number."""
        self.shorter = [0] * size
        self.as_short = [0] * size
        for item in range(size if size <= LARGE else 0):
            apart = ~(self.before[item] | self.after[item] | 1 << item)
            for other in range(size):
                if not apart >> other & 1 or self.after[item] & ~self.after[other]:
                    continue
                if self.lengths[other] > self.lengths[item]:
                    self.longer[item] |= 1 << other
                    self.shorter[other] |= 1 << item
                elif self.lengths[other] == self.lengths[item] and (
                    other < item or self.after[item] != self.after[other]
                ):
                    self.same[item] |= 1 << other
                    self.as_short[other] |= 1 << item

    def ready(self, left: int) -> int:
        """The tasks left that may be done next."""
        found = 0
        rest = left
        while rest:
            low = rest & -rest
            rest ^= low
            item = low.bit_length() - 1
            if not self.before[item] & left:
                found |= low
            rest &= ~self.after[item]
        return found

    def length(self, tasks: int) -> int:
        """The lengths of the tasks together."""
        total = self._sums.get(tasks)
        if total is None:
            total = sum(self.lengths[item] for item in bits(tasks))
            self._sums[tasks] = total
        return total

    def near(self, left: int, ready: int) -> int:
        """The tasks left that could be done in the next stretch at all."""
        near = 0
        front = ready
        while front:
            low = front & -front
            front ^= low
            item = low.bit_length() - 1
            length = self.lengths[item]
            for other in bits(self.before[item] & left):
                length += self.lengths[other]
                if length > self.limit:
                    break
            else:
                near |= low
                for other in bits(self.next[item]):
                    if not self.before[other] & left & ~near:
                        front |= 1 << other
        return near

    def full_stretches(self, left: int, idle: int, most_loads: int, work: Work) -> tuple[list[tuple[int, int]], bool]:
        """Ways to fill the next stretch as (tasks, length together), and whether these are all.

        Only full ones that no swap betters, with at most `idle` left empty, and not more than asked for.
        """
        looked_at, most_looks = 0, work.left
        lengths, before, next_, after = self.lengths, self.before, self.next, self.after
        found: list[tuple[int, int]] = []
        ready = self.ready(left)
        near = self.near(left, ready)
        # in it, room, ready and undecided, left out though it fitted, left, may still come, most idle
        todo = [(0, self.limit, ready, 0, left, near, idle)]
        while todo:
            load, room, open_, out, rest, may, most = todo.pop()
            looked_at += 1
            if looked_at > most_looks:
                work.spend(looked_at)
                return found, False
            low = item = 0
            while open_:
                low = open_ & -open_
                item = low.bit_length() - 1
                if lengths[item] <= room:
                    break
                open_ ^= low
                may &= ~(low | after[item])
            if not open_:
                if room <= most and load and not self._betters(load, room, rest, out):
                    if len(found) == most_loads:
                        work.spend(looked_at)
                        return found, False
                    found.append((load, self.limit - room))
                continue
            if room - self.length(may) > most:
                continue
            own = lengths[item]
            if own and not self.as_short[item] & load:
                idle_then = min(most, own - 1)
                for other in bits(self.shorter[item] & load):
                    idle_then = min(idle_then, own - lengths[other] - 1)
                may_then = may & ~(low | after[item])
                if room - self.length(may_then) <= idle_then:
                    todo.append((load, room, open_ ^ low, out | low, rest, may_then, idle_then))
            if not self.same[item] & out:
                idle_then = most
                for other in bits(self.longer[item] & out):
                    idle_then = min(idle_then, lengths[other] - own - 1)
                rest ^= low
                open_ ^= low
                for other in bits(next_[item] & near):
                    if not before[other] & rest:
                        open_ |= 1 << other
                todo.append((load | low, room - own, open_, out, rest, may ^ low, idle_then))
        work.spend(looked_at)
        return found, True

    def _betters(self, load: int, room: int, rest: int, out: int) -> bool:
        """Whether a task that was left out for want of room could be swapped in for a shorter one."""
        for item in bits(load):
            swaps = self.longer[item] & rest & ~out
            if swaps:
                without = rest | 1 << item
                for other in bits(swaps):
                    if self.lengths[other] - self.lengths[item] <= room and not self.before[other] & without:
                        return True
        return False
