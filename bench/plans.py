"""How long plans take and how often they are proved: `python -m bench.plans`.

Machines are made up from a seed, in three sorts: `recorded` is like a session written down (most steps
need the one before, or one or two a little earlier; a bag lasts a few steps, a tool comes back);
`loose` has nearly all needs dropped; `tangled` has needs and bags at random and two bags at every third
step, which no real machine has, to find where the proof ends. Sessions are tried on the first sort and
on the published line balancing instances that the tests bring.
"""

from __future__ import annotations

import json
import random
import time
from collections.abc import Callable
from pathlib import Path

from putback.planning.masks import Work
from putback.planning.openings import fewest_openings
from putback.planning.orders import Board, Goal, fewest, reverse_plan
from putback.planning.session_plan import fewest_sessions
from putback.planning.session_row import TaskRow
from putback.planning.session_search import SessionCount
from putback.planning.tasks import Task, strict_reverse
from putback.reports.planning import ORDER_STEPS, SESSION_STEPS

PUBLISHED = Path(__file__).parents[1] / "tests" / "reference" / "line_balancing.json"


def recorded(size: int, seed: int) -> list[Task]:
    """A machine as it is written down, session by session."""
    dice = random.Random(seed)
    tasks = []
    bag, tool, area = 1, 0, 0
    for number in range(1, size + 1):
        luck = dice.random()
        needs: set[int] = set()
        if number > 1 and luck < 0.35:
            needs = {number - 1}
        elif number > 1 and luck < 0.85:
            needs = {dice.randint(max(1, number - 12), number - 1) for _ in range(dice.randint(1, 2))}
        elif number > 1 and luck < 0.95:
            needs = {dice.randint(1, number - 1)}
        bag += dice.random() < 0.55
        bags = set()
        if dice.random() < 0.85:
            bags.add(bag if dice.random() < 0.8 else dice.randint(max(1, bag - 5), bag))
        if dice.random() < 0.2:
            bags.add(dice.randint(max(1, bag - 1), bag))
        if dice.random() < 0.6:
            tool = int(dice.paretovariate(1)) % 25
        if dice.random() < 0.2:
            area = dice.randrange(max(2, size // 10))
        tasks.append(
            Task(
                number=number,
                needs=frozenset(needs),
                bags=frozenset(bags),
                tools=frozenset({f"tool {tool}"} if dice.random() < 0.85 else ()),
                area=f"assembly {area}",
                minutes=dice.randint(1, 12),
                good_stop=dice.random() < 0.9,
            )
        )
    return tasks


def loose(size: int, seed: int) -> list[Task]:
    """The same with only every tenth step's needs kept."""
    dice = random.Random(seed + 1)
    return [
        Task(
            number=task.number,
            needs=task.needs if dice.random() < 0.1 else frozenset(),
            bags=task.bags,
            tools=task.tools,
            area=task.area,
            minutes=task.minutes,
        )
        for task in recorded(size, seed)
    ]


def tangled(size: int, seed: int) -> list[Task]:
    """Needs and bags at random."""
    dice = random.Random(seed)
    tasks = []
    for number in range(1, size + 1):
        bags = {dice.randint(1, size // 3)} if dice.random() < 0.9 else set()
        if dice.random() < 0.33:
            bags.add(dice.randint(1, size // 3))
        needs = {other for other in range(1, number) if dice.random() < 3 / size}
        tasks.append(
            Task(
                number=number,
                needs=frozenset(needs),
                bags=frozenset(bags),
                tools=frozenset({f"tool {dice.randrange(8)}"}),
            )
        )
    return tasks


def plans(tries: int) -> None:
    """Prints how the plans fare."""
    print("machine, steps, goal: openings reverse -> found (at least) | proved | count alone, plan in s")
    for make in (recorded, loose, tangled):
        for size in (55, 200, 1000):
            for goal in ("bags", "tools"):
                _plans(make, size, goal, tries)


def _plans(make: Callable[[int, int], list[Task]], size: int, goal: Goal, tries: int) -> None:
    totals = [0, 0, 0]
    proved = 0
    alone, whole = [], []
    for seed in range(tries):
        tasks = make(size, seed)
        back = reverse_plan(tasks)
        board = Board(tasks, back.order, None, None)
        start = time.process_time()
        fewest_openings(board.first, *board.labels([goal]), Work(ORDER_STEPS))
        alone.append(time.process_time() - start)
        start = time.process_time()
        plan = fewest(goal, tasks, Work(ORDER_STEPS))
        whole.append(time.process_time() - start)
        proved += plan.proved_best is True
        bags = goal == "bags"
        totals[0] += back.bag_openings if bags else back.tool_changes
        totals[1] += plan.bag_openings if bags else plan.tool_changes
        totals[2] += plan.lower_bound
    alone.sort()
    means = [total / tries for total in totals]
    print(
        f"{make.__name__:9} {size:5} {goal:5}: {means[0]:6.1f} -> {means[1]:6.1f} ({means[2]:6.1f})"
        f" | {proved:2} of {tries} | median {alone[len(alone) // 2]:.3f}, worst {alone[-1]:.3f};"
        f" plan worst {max(whole):.2f}",
        flush=True,
    )


def sessions(tries: int) -> None:
    """Prints how the counts of sessions fare."""
    for size in (55, 200, 1000):
        for limit in (20, 45, 120):
            found = []
            for seed in range(tries):
                start = time.process_time()
                plan = fewest_sessions(recorded(size, seed), limit, Work(SESSION_STEPS))
                found.append((len(plan.sessions), plan.at_least, time.process_time() - start))
            proved = sum(count == low for count, low, _ in found)
            print(
                f"{size} steps, {limit} min: {sum(f[0] for f in found) / tries:.1f} sessions, "
                f"at least {sum(f[1] for f in found) / tries:.1f}; proved {proved} of {tries}; "
                f"worst {max(f[2] for f in found):.2f} s",
                flush=True,
            )
    book = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    for name, instance in book.items():
        if name == "source":
            continue
        times, arcs = instance["times"], instance["arcs"]
        reached = proved = 0
        worst = 0.0
        for limit, fewest_known in instance["fewest"].items():
            first = [0] * len(times)
            for one, other in arcs:
                first[other - 1] |= 1 << one - 1
            start = time.process_time()
            count = SessionCount(TaskRow(times, first, int(limit)), Work(SESSION_STEPS))
            worst = max(worst, time.process_time() - start)
            reached += len(count.best) == fewest_known
            proved += len(count.best) == count.at_least
        cases = len(instance["fewest"])
        print(f"{name}, {len(times)} tasks: reached {reached}, proved {proved} of {cases}; {worst:.2f} s")


if __name__ == "__main__":
    assert strict_reverse(recorded(55, 0)) == tuple(range(55, 0, -1))
    plans(3)
    sessions(4)
