"""What a refit order costs the hands, and the orders that cost least.

An order is walked from its first task to its last. At a task with bags, those that are not open are
opened, and then only its bags are open; a task without bags changes nothing. Tools, the assembly worked
in and the way the machine lies are counted in the same walk.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from heapq import heapify, heappop, heappush
from itertools import pairwise
from typing import Literal

from msgspec import Struct

from putback.planning.masks import Work, as_masks, bits, closures
from putback.planning.nearby import Nearby, distance, gathered
from putback.planning.openings import fewest_openings, price
from putback.planning.tangle import Kind
from putback.planning.tasks import Task, by_number, strict_reverse

Goal = Literal["bags", "tools", "turns"]
"""What an order should have the fewest of."""

GOALS: Mapping[Goal, tuple[str, ...]] = {
    "bags": ("bags", "tools", "turns", "areas"),
    "tools": ("tools", "bags", "turns", "areas"),
    "turns": ("turns", "bags", "tools", "areas"),
}
"""What is counted for each goal, the first before all, the others as tie-breaks in turn."""

WHOLE = 300
"""Tasks up to which all that is counted is searched together for the tie-breaks."""
TIES = 20_000
"""Steps of work for all the tie-breaks together: the first count, proved or not, does not wait long for them."""

TIES_QUICK = 100
"""States looked at by the plain search for the tie-breaks: of them no proof is asked."""


class Cost(Struct, frozen=True):
    """What one order costs."""

    bag_openings: int
    """Times a bag is opened."""
    tool_changes: int
    """Times a tool is taken up."""
    turns: int
    """Times the machine is turned over: each is a lift."""
    area_moves: int
    """Times work moves to another assembly."""


class Plan(Struct, frozen=True, kw_only=True):
    """A refit order with what it costs and what is proved of it."""

    order: tuple[int, ...]
    """Step numbers, each once, in the order they go on."""
    bag_openings: int
    """Times a bag is opened."""
    tool_changes: int
    """Times a tool is taken up."""
    turns: int
    """Times the machine is turned over."""
    area_moves: int
    """Times work moves to another assembly."""
    lower_bound: int
    """What every order costs at least in what was to be fewest; for the strict reverse, in bags, 0."""
    proved_best: bool | None
    """Whether no order costs less of what was to be fewest; None for the strict reverse."""


def openings(walk: Iterable[frozenset[int] | frozenset[str]]) -> int:
    """How often something is opened on a walk over sets.

    At a set that is not empty, what it has and the last such set had not is added; then it is open.
    An empty set changes nothing.
    """
    count = 0
    held: frozenset[int] | frozenset[str] = frozenset()
    for wanted in walk:
        if wanted:
            count += len(wanted - held)
            held = wanted
    return count


def turns(walk: Iterable[str | None], lying: str | None = None, at_last: str | None = None) -> int:
    """How often the machine is turned for tasks that want it lying so (None: no matter).

    `lying`: how it lies at the start, None when it lies right for the first task. `at_last`: how it
    has to lie in the end, None for no matter.
    """
    count = 0
    for wanted in [*walk, at_last]:
        if wanted is not None:
            count += lying is not None and wanted != lying
            lying = wanted
    return count


def cost(order: Sequence[int], tasks: Iterable[Task], lying: str | None = None, at_last: str | None = None) -> Cost:
    """What `order`, a valid refit order of the tasks, costs. `lying` and `at_last` as in `turns`."""
    found = by_number(tasks)
    walk = [found[number] for number in order]
    return Cost(
        bag_openings=openings(task.bags for task in walk),
        tool_changes=openings(task.tools for task in walk),
        turns=turns((task.lies for task in walk), lying, at_last),
        area_moves=openings(frozenset({task.area} if task.area else ()) for task in walk),
    )


def reverse_plan(tasks: Iterable[Task], lying: str | None = None, at_last: str | None = None) -> Plan:
    """The strict reverse with its costs. Raises `BadInput` on a circle or a need that is not there."""
    all_tasks = tuple(tasks)
    order = strict_reverse(all_tasks)
    return _plan(order, all_tasks, lying, at_last, 0, None)


def fewest(
    goal: Goal,
    tasks: Iterable[Task],
    work: Work | None = None,
    lying: str | None = None,
    at_last: str | None = None,
) -> Plan:
    """The valid refit order with the fewest bag openings, tool changes or turns.

    Ties go to the fewest of the others, and among equals to the order nearest the strict reverse (see
    `nearby.distance`). `proved_best` tells whether the first count is proved to be the fewest; the
    tie-breaks are the best that was found. `work`: how much may be
    done for it; what is left of that when the first count is proved is not used up. `lying`, `at_last`:
    how the machine lies at the start and has to lie in the end, None for no matter. Raises `BadInput` on
    a circle or a need that is not there.
    """
    work = work or Work()
    all_tasks = tuple(tasks)
    back = strict_reverse(all_tasks)
    board = Board(all_tasks, back, lying, at_last)
    counted = GOALS[goal]
    wanted = board.labels([counted[0]])
    found = fewest_openings(board.first, *wanted, work)
    fixed, at_least = board.fixed(counted[0]), found.at_least
    every = board.labels(counted)
    ties = Work(min(TIES, work.allowed))
    orders = [board.whole(()), gathered(board.whole(found.order), board.first, *every)]
    if len(all_tasks) <= WHOLE:
        orders.append(board.whole(fewest_openings(board.first, *every, ties.part(0.6), TIES_QUICK).order))
    before, _ = closures(board.first)
    better = [
        Nearby(order, before, *every).improve(ties.part(0.6 + 0.3 * (k + 1) / len(orders)))
        for k, order in enumerate(sorted(orders, key=lambda order: price(order, *every)))
    ]
    best = min(better, key=lambda order: (price(order, *every), distance(order)))
    proved = price(best, *wanted) <= at_least
    return _plan(board.numbers(best), all_tasks, lying, at_last, at_least - fixed, proved)


def _plan(
    order: tuple[int, ...],
    tasks: Sequence[Task],
    lying: str | None,
    at_last: str | None,
    lower_bound: int,
    proved_best: bool | None,
) -> Plan:
    paid = cost(order, tasks, lying, at_last)
    return Plan(
        order=order,
        bag_openings=paid.bag_openings,
        tool_changes=paid.tool_changes,
        turns=paid.turns,
        area_moves=paid.area_moves,
        lower_bound=lower_bound,
        proved_best=proved_best,
    )


class Board:
    """The tasks as numbered items, in strict reverse order, for the searches to work on.

    Where it matters how the machine lies at the start or in the end, an item of that lie stands ahead
    of all that mind, or after them.
    """

    def __init__(self, tasks: Sequence[Task], back: Sequence[int], lying: str | None, at_last: str | None) -> None:
        by = {task.number: task for task in tasks}
        self.tasks: list[Task | None] = [by[number] for number in back]
        self.lies: list[str | None] = [by[number].lies for number in back]
        if lying is not None:
            self.tasks.insert(0, None)
            self.lies.insert(0, lying)
        if at_last is not None:
            self.tasks.append(None)
            self.lies.append(at_last)
        place = {task.number: item for item, task in enumerate(self.tasks) if task is not None}
        self.first = [0] * len(self.tasks)
        """Per item, the mask of those that have to go on directly before it."""
        for item, task in enumerate(self.tasks):
            if task is not None:
                for need in task.needs:
                    self.first[place[need]] |= 1 << item
        minding = [item for item, lies in enumerate(self.lies) if lies is not None]
        for item in minding:
            if lying is not None and item != 0:
                self.first[item] |= 1
            if at_last is not None and item != len(self.tasks) - 1:
                self.first[-1] |= 1 << item

    def fixed(self, counted: str) -> int:
        """What is counted whatever the order: that the machine lies somehow at first is not a turn."""
        return int(counted == "turns" and any(lies is not None for lies in self.lies))

    def labels(self, counted: Sequence[str]) -> tuple[list[int], list[Kind]]:
        """The items' labels and the kinds of labels, each weighing more than all after it together."""
        marks: Mapping[str, Callable[[int], Iterable[Hashable]]] = {
            "bags": lambda item: self._of(item, "bags"),
            "tools": lambda item: self._of(item, "tools"),
            "turns": lambda item: () if self.lies[item] is None else (self.lies[item],),
            "areas": lambda item: self._of(item, "area"),
        }
        labels = [0] * len(self.tasks)
        kinds: list[Kind] = []
        weight, shift = 1, 0
        for name in reversed(counted):
            own = as_masks(marks[name](item) for item in range(len(self.tasks)))
            mask = 0
            for item, label in enumerate(own):
                labels[item] |= label << shift
                mask |= label << shift
            kinds.insert(0, Kind(mask, weight, mask))
            weight *= 1 + sum(label.bit_count() for label in own)
            shift = max(shift, mask.bit_length())
        return labels, kinds

    def _of(self, item: int, name: str) -> Iterable[Hashable]:
        task = self.tasks[item]
        if task is None:
            return ()
        if name == "bags":
            return task.bags
        if name == "tools":
            return task.tools
        return (task.area,) if task.area else ()

    def whole(self, order: Sequence[int]) -> list[int]:
        """All items, those of `order` in that order, the others as near the strict reverse as they go."""
        left = list(self.first)
        for one, other in pairwise(order):
            left[other] |= 1 << one
        after: list[list[int]] = [[] for _ in left]
        open_needs = [0] * len(left)
        for item, first in enumerate(left):
            for other in bits(first):
                after[other].append(item)
                open_needs[item] += 1
        ready = [item for item, count in enumerate(open_needs) if not count]
        heapify(ready)
        found = []
        while ready:
            item = heappop(ready)
            found.append(item)
            for other in after[item]:
                open_needs[other] -= 1
                if not open_needs[other]:
                    heappush(ready, other)
        return found

    def numbers(self, order: Sequence[int]) -> tuple[int, ...]:
        """The step numbers of an order of items."""
        return tuple(task.number for item in order if (task := self.tasks[item]) is not None)
