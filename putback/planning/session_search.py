"""The search for the fewest stretches: branch, bound and remember, a whole stretch at a time.

Tasks are numbered so that whatever comes before has the lower number. A state is the set of tasks left
after some stretches. The best state of each number of stretches is taken in turn (E. Sewell and S.
Jacobson, A branch, bound, and remember algorithm for the simple assembly line balancing problem,
INFORMS J. Comput. 24 (2012) 433-442, from memory), so that whole solutions come early and the search
still ends only when nothing is left. What is left out, with why it costs nothing:

- a stretch that could hold one more task that is ready;
- a stretch in which a task could be swapped for a longer one that is ready and that frees all that the
  first one frees (J. Jackson, A computing procedure for a line balancing problem, Management Sci. 2
  (1956) 261-271, from memory);
- a stretch only of tasks that free nothing, while tasks that free something are left: they can wait;
- a state that was reached before with as few stretches;
- a state whose rest needs more stretches than are left, by `stretch_bounds`, or whose tasks with much
  work behind them do not fit before that work (heads and tails).
"""

from __future__ import annotations

from heapq import heappop, heappush

from putback.planning.masks import Work, bits, mask_of
from putback.planning.session_row import TaskRow

MOST_LOADS = ((100, 3000), (300, 60), (1 << 62, 8))
"""For up to so many tasks: the ways to fill one stretch that are looked at, at first.

Where there are more, a search that ends without a way proves nothing, and is done again with more.
"""

FIRST_SLICE = 4000
"""Steps of work that each search has before the next one has its turn, at first."""

WAITING_COUNTS = 0.002
"""How much a task left counts against a state, in parts of the limit: large tasks first."""


class Search:
    """The search for a way with at most so many stretches; it can be stopped and taken up again."""

    def __init__(self, row: TaskRow, stretches: int, most_loads: int) -> None:
        self.row = row
        self.stretches = stretches
        self.most_loads = most_loads
        """Ways to fill one stretch that are looked at."""
        self.ended = False
        """Whether nothing is left to look at."""
        self.found: list[int] = []
        """The tasks of each stretch, once a way is found."""
        self._slack = stretches * row.limit - sum(row.lengths)
        self._open: list[list[tuple[float, int, int]]] = [[] for _ in range(stretches)]
        self._reached: dict[int, tuple[int, int, int]] = {row.everything: (0, 0, 0)}
        self._open[0].append((0.0, row.everything, 0))
        self._level = 0
        self._all_seen = True

    def run(self, steps: int, work: Work) -> bool | None:
        """True when a way is found, False when there is none, None when stopped before that is known.

        It stops after so many steps of the work, or when that is used up.
        """
        last = work.taken + steps
        empty = 0
        while empty < self.stretches:
            level = self._level
            self._level = (level + 1) % self.stretches
            open_ = self._open[level]
            while open_:
                _, left, idle = heappop(open_)
                if self._reached[left][0] == level:
                    break
            else:
                empty += 1
                continue
            empty = 0
            if self._spread(level, left, idle, work):
                return True
            if work.taken >= last or not work.left:
                return None
        self.ended = True
        return False if self._all_seen else None

    def _spread(self, level: int, left: int, idle: int, work: Work) -> bool:
        row = self.row
        loads, all_seen = row.full_stretches(left, self._slack - idle, self.most_loads, work)
        self._all_seen &= all_seen
        must_free = left & row.frees
        for load, length in loads:
            if must_free and not load & row.frees:
                continue
            rest = left & ~load
            known = self._reached.get(rest)
            if known is not None and known[0] <= level + 1:
                continue
            work.spend(row.fitting)
            if rest:
                ready = row.ready(rest)
                if not row.fits(rest, ready, self.stretches - level - 1):
                    continue
                idle_then = idle + row.limit - length
                worth = idle_then / (level + 1) - WAITING_COUNTS * row.limit * rest.bit_count()
                heappush(self._open[level + 1], (worth, rest, idle_then))
            self._reached[rest] = (level + 1, left, load)
            if not rest:
                while rest != row.everything:
                    _, rest, load = self._reached[rest]
                    self.found.insert(0, load)
                return True
        return False


class SessionCount:
    """The fewest stretches of a row, as far as the work allowed goes."""

    def __init__(self, row: TaskRow, work: Work) -> None:
        self.row = row
        self.at_least = row.at_least
        """No way has fewer stretches."""
        self.best = min(self._in_turn(), self._first_that_fits(), key=len)
        """The tasks of each stretch in the best way found."""
        self._most_loads = next(most for size, most in MOST_LOADS if len(row.lengths) <= size)
        self._searches: dict[int, list[Search]] = {}
        if len(self.best) > self.at_least and work.left:
            self.back = row.reversed()
            self.at_least = max(self.at_least, self.back.at_least)
            self._close(work)

    def _in_turn(self) -> list[int]:
        """The stretches that come of doing the tasks in turn."""
        found = [0]
        length = 0
        for item, more in enumerate(self.row.lengths):
            length += more
            if length > self.row.limit:
                found.append(0)
                length = more
            found[-1] |= 1 << item
        return found

    def _first_that_fits(self) -> list[int]:
        """The stretches that come of doing, each time, the first task that is ready and still fits."""
        row = self.row
        found = []
        left = row.everything
        ready = row.ready(left)
        while left:
            load = 0
            room = row.limit
            open_ = ready
            while open_:
                low = open_ & -open_
                open_ ^= low
                item = low.bit_length() - 1
                if row.lengths[item] <= room:
                    load |= low
                    left ^= low
                    ready ^= low
                    room -= row.lengths[item]
                    for other in bits(row.next[item]):
                        if not row.before[other] & left:
                            ready |= 1 << other
                            open_ |= 1 << other
            found.append(load)
        return found

    def _try(self, stretches: int, steps: int, work: Work) -> bool | None:
        """Looks for a way with at most so many stretches, from each end; as `Search.run`."""
        if stretches not in self._searches:
            self._searches[stretches] = [Search(row, stretches, self._most_loads) for row in (self.row, self.back)]
        for k, search in enumerate(self._searches[stretches]):
            answer = search.run(steps, work)
            if answer:
                self.best = search.found if search.row is self.row else self._turned(search.found)
            if answer is not None:
                return answer
            if search.ended:
                more = Search(search.row, stretches, 8 * search.most_loads)
                self._searches[stretches][k] = more
        return None

    def _turned(self, found: list[int]) -> list[int]:
        last = len(self.row.lengths) - 1
        return [mask_of(last - item for item in bits(load)) for load in reversed(found)]

    def _close(self, work: Work) -> None:
        """Searches for one stretch less than the best way has, and for the least number, each in its turn.

        A way, or the proof that there is none, gives the next numbers; otherwise the turns get longer.
        """
        steps = FIRST_SLICE
        while len(self.best) > self.at_least and work.left:
            for stretches in dict.fromkeys((len(self.best) - 1, self.at_least)):
                answer = self._try(stretches, steps, work)
                if answer is False:
                    self.at_least = stretches + 1
                if answer is not None:
                    break
            else:
                steps *= 2
