"""What had to come off first, and so what may go on next.

A task is one step seen as work: its number in the record and the tasks that had to be done before it
when taking off. Refit runs the same arrows backwards: a task is undone (goes on again) only when every
task that needs it has been undone. Arrows point from a task to what it needs, and a sound record has no
circle in them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from heapq import heapify, heappop, heappush

from msgspec import Struct

from putback.errors import BadInput


class Task(Struct, frozen=True):
    """One step as the planner sees it: a number, what it needs, and what it costs to put back."""

    number: int
    """The step's number in the record; higher numbers came off later."""
    needs: frozenset[int]
    """Numbers of the tasks that had to be done first when taking off."""
    bags: frozenset[int] = frozenset()
    """Bags that what it took off lies in."""
    tools: frozenset[str] = frozenset()
    """Tools it is done with."""
    area: str = ""
    """The assembly worked in; "" where none was named."""
    minutes: float = 0
    """How long it takes to put back."""
    good_stop: bool = True
    """In refit a session may end after this task: nothing loose, no step half done, no spring in hand."""
    lies: str | None = None
    """How the machine has to lie for this task; None when that does not matter."""


def by_number(tasks: Iterable[Task]) -> dict[int, Task]:
    """The tasks by their number. Raises `BadInput` when a number is there twice or a need is nowhere."""
    found: dict[int, Task] = {}
    for task in tasks:
        if task.number in found:
            raise BadInput(f"Step {task.number} is there twice.")
        found[task.number] = task
    for task in found.values():
        for need in sorted(task.needs):
            if need not in found:
                raise BadInput(f"Step {task.number} needs step {need}, which is not there.")
    return found


def checked_tasks(tasks: Iterable[Task]) -> dict[int, Task]:
    """The tasks by their number, proved to be without circles.

    Raises `BadInput` with the circle itself where there is one, else as `by_number`.
    """
    found = by_number(tasks)
    circle = find_circle(found.values())
    if circle:
        raise BadInput(f"{say_circle(circle)}.")
    return found


def find_circle(tasks: Iterable[Task]) -> tuple[int, ...]:
    """A circle in the needs as numbers, each needing the next and the last the first; () if none.

    It starts at its smallest number. Needs that are not among the tasks are passed over.
    """
    needs = {task.number: sorted(task.needs) for task in tasks}
    finished: set[int] = set()
    for start in sorted(needs):
        if start in finished:
            continue
        path: list[int] = [start]
        on_path = {start}
        rest = [iter(needs[start])]
        while path:
            for need in rest[-1]:
                if need in on_path:
                    circle = path[path.index(need) :]
                    least = circle.index(min(circle))
                    return tuple(circle[least:] + circle[:least])
                if need in needs and need not in finished:
                    path.append(need)
                    on_path.add(need)
                    rest.append(iter(needs[need]))
                    break
            else:
                done = path.pop()
                on_path.discard(done)
                finished.add(done)
                rest.pop()
    return ()


def say_circle(circle: Sequence[int], names: Mapping[int, str] | None = None) -> str:
    """The circle in words, as "Step 2 needs 5, 5 needs 4 and 4 needs 2: a circle"; with the steps' names, if given."""
    if len(circle) == 1:
        return f"Step {circle[0]} needs itself"
    called = {number: f"{number} ({names[number]})" if names else str(number) for number in circle}
    links = [
        f"{called[a] if a == circle[0] else a} needs {called[b] if b != circle[0] else b}"
        for a, b in zip(circle, [*circle[1:], circle[0]], strict=True)
    ]
    return f"Step {', '.join(links[:-1])} and {links[-1]}: a circle"


def circle_with(tasks: Iterable[Task], number: int, need: int) -> tuple[int, ...]:
    """The circle that would close if task `number` also needed `need`; () if none would.

    It starts at `number`, then `need`, and each number needs the one after it.
    """
    if number == need:
        return (number,)
    needs = {task.number: task.needs for task in tasks}
    came_from: dict[int, int] = {need: number}
    front = [need]
    while front:
        here = front.pop()
        for further in sorted(needs.get(here, ())):
            if further == number:
                back = [here]
                while back[-1] != need:
                    back.append(came_from[back[-1]])
                return (number, *reversed(back))
            if further not in came_from:
                came_from[further] = here
                front.append(further)
    return ()


def _reached(start: int, arrows: Mapping[int, Iterable[int]]) -> frozenset[int]:
    found: set[int] = set()
    front = [start]
    while front:
        for number in arrows.get(front.pop(), ()):
            if number not in found:
                found.add(number)
                front.append(number)
    return frozenset(found)


def _needed_by(tasks: Iterable[Task]) -> dict[int, list[int]]:
    arrows: dict[int, list[int]] = {}
    for task in tasks:
        arrows.setdefault(task.number, [])
        for need in task.needs:
            arrows.setdefault(need, []).append(task.number)
    return arrows


def ancestors(tasks: Iterable[Task], number: int) -> frozenset[int]:
    """Every task that had to be done, sooner or later, before `number` could come off; not itself."""
    return _reached(number, {task.number: task.needs for task in tasks})


def strict_reverse(tasks: Iterable[Task]) -> tuple[int, ...]:
    """The tasks from the last to the first, which is always a valid refit order.

    Where a need points to a higher number (a step written in later), the highest task that may go on
    is taken each time. Raises `BadInput` as `checked_tasks`.
    """
    found = by_number(tasks)
    open_needs = {number: 0 for number in found}
    for task in found.values():
        for need in task.needs:
            open_needs[need] += 1
    ready = [-number for number, count in open_needs.items() if count == 0]
    heapify(ready)
    order: list[int] = []
    while ready:
        number = -heappop(ready)
        order.append(number)
        for need in found[number].needs:
            open_needs[need] -= 1
            if open_needs[need] == 0:
                heappush(ready, -need)
    if len(order) < len(found):
        raise BadInput(f"{say_circle(find_circle(found.values()))}.")
    return tuple(order)


def is_valid_refit_order(order: Sequence[int], tasks: Iterable[Task]) -> bool:
    """Whether `order` holds each task once, and none goes on before a task that needs it."""
    found = {task.number: task for task in tasks}
    if len(order) != len(found) or set(order) != set(found):
        return False
    place = {number: index for index, number in enumerate(order)}
    return all(place[need] > place[task.number] for task in found.values() for need in task.needs if need in place)


def waiting(tasks: Iterable[Task], blocked: Collection[int]) -> dict[int, frozenset[int]]:
    """The tasks that cannot go on while the `blocked` ones wait for their pieces, and for which.

    A blocked task waits for itself, and all its ancestors wait for it. Keys ascending. Everything that
    is not among the keys can be undone: that is how far refit can go.
    """
    needs = {task.number: task.needs for task in tasks}
    waits: dict[int, set[int]] = {}
    for block in blocked:
        for number in {block} | _reached(block, needs):
            waits.setdefault(number, set()).add(block)
    return {number: frozenset(waits[number]) for number in sorted(waits)}


def chase_first(tasks: Iterable[Task], blocked: Collection[int]) -> tuple[tuple[int, int, int], ...]:
    """The blocked tasks, the one that holds up most first.

    Each as (number, how many tasks it holds up, how many of them wait for it alone); itself counts.
    Most held alone first, then most held, then the highest number.
    """
    waits = waiting(tasks, blocked)
    rows = [
        (
            block,
            sum(block in waited for waited in waits.values()),
            sum(waited == {block} for waited in waits.values()),
        )
        for block in blocked
    ]
    return tuple(sorted(rows, key=lambda row: (-row[2], -row[1], -row[0])))


def least_to_reach(tasks: Iterable[Task], number: int, already_off: Collection[int] = ()) -> tuple[int, ...]:
    """The least that must come off to reach what task `number` took off: it and its ancestors, ascending.

    `already_off`: tasks that stand undone on the machine as it is now, and need not be done again.
    Raises `BadInput` when there is no such task.
    """
    all_tasks = list(tasks)
    if all(task.number != number for task in all_tasks):
        raise BadInput(f"There is no step {number}.")
    return tuple(sorted((ancestors(all_tasks, number) | {number}) - set(already_off)))
