"""Sessions against published line balancing instances and against every valid order by brute force."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.planning.masks import Work
from putback.planning.session_bounds import room_taken, weights
from putback.planning.session_plan import Stretches, fewest_sessions
from putback.planning.session_row import TaskRow
from putback.planning.session_search import SessionCount
from putback.planning.tasks import Task, is_valid_refit_order, strict_reverse
from putback.reports.planning import SESSION_STEPS
from tests.planning.graphs import every_order, machines, sample

BOOK: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "reference" / "line_balancing.json").read_text(encoding="utf-8")
)


def published(name: str) -> list[Task]:
    """A published instance as tasks: the last task of the line came off first, so it goes on last."""
    times: list[int] = BOOK[name]["times"]
    arrows = nx.DiGraph([tuple(arc) for arc in BOOK[name]["arcs"]])
    arrows.add_nodes_from(range(1, len(times) + 1))
    order = list(nx.topological_sort(arrows))
    number = {task: len(times) - k for k, task in enumerate(order)}
    return [
        Task(
            number=number[task],
            needs=frozenset(number[after] for after in arrows.successors(task)),
            minutes=times[task - 1],
        )
        for task in arrows
    ]


def checked(tasks: list[Task], limit: float, found: Stretches) -> None:
    """That the sessions are what they say: whole, in order, within the limit."""
    minutes = {task.number: task.minutes for task in tasks}
    assert is_valid_refit_order(found.order, tasks)
    assert all(found.sessions)
    for session, result in zip(found.sessions, found.minutes, strict=True):
        assert math.isclose(result, sum(minutes[number] for number in session), abs_tol=0.006)
        assert sum(round(minutes[number] * 100) for number in session) <= round(limit * 100)
    good = {task.number for task in tasks if task.good_stop}
    assert found.poor_stops == sum(session[-1] not in good for session in found.sessions[:-1])
    assert found.proved == (found.at_least == len(found.sessions))


CASES = [
    pytest.param(name, int(limit), fewest, marks=[pytest.mark.long] if number % 5 else [])
    for name, instance in BOOK.items()
    if name != "source"
    for number, (limit, fewest) in enumerate(instance["fewest"].items())
]
"""Every limit of every instance; of each, the first and every fifth after it are tried each time."""

UNPROVED = {("Lutz 1974 (2)", limit) for limit in (11, 12, 13, 14, 15)}
UNPROVED |= {("Tonge 1961", limit) for limit in (207, 220, 293)}
UNPROVED |= {("Wee and Magazine 1981", limit) for limit in (47, 54)}
"""Here the number is reached within the steps that a plan may take; the proof may need more."""


@pytest.mark.parametrize(("name", "limit", "fewest"), CASES)
def test_the_published_instances_are_counted(name: str, limit: int, fewest: int) -> None:
    tasks = published(name)
    order = strict_reverse(tasks)
    place = {number: k for k, number in enumerate(order)}
    first = [0] * len(tasks)
    for task in tasks:
        for need in task.needs:
            first[place[need]] |= 1 << place[task.number]
    minutes = {task.number: int(task.minutes) for task in tasks}
    row = TaskRow([minutes[number] for number in order], first, limit)
    # Where the proof needs more than a plan may take, a third of that reaches the number.
    count = SessionCount(row, Work(SESSION_STEPS // 3 if (name, limit) in UNPROVED else SESSION_STEPS))
    assert len(count.best) == fewest
    assert count.at_least == fewest or ((name, limit) in UNPROVED and count.at_least < fewest)


@pytest.mark.parametrize(
    ("name", "limit", "fewest"),
    [
        ("Jackson 1956", 7, 8),
        ("Hahn 1972", 2806, 6),
        ("Lutz 1974 (2)", 16, 31),
        ("Lutz 1974 (3)", 97, 18),
        ("Wee and Magazine 1981", 46, 34),
    ],
)
def test_the_published_instances_are_cut_into_sessions(name: str, limit: int, fewest: int) -> None:
    tasks = published(name)
    found = fewest_sessions(tasks, limit, Work(SESSION_STEPS))
    checked(tasks, limit, found)
    assert (len(found.sessions), found.proved) == (fewest, True)


def best_of_all(tasks: list[Task], limit: float) -> tuple[int, int]:
    """Fewest sessions, and then fewest poor stops, over every valid order and every way to cut it."""
    by = {task.number: task for task in tasks}
    best = (len(tasks) + 1, 0)
    for order in every_order(tasks):
        cuts: list[tuple[int, int]] = [(0, 0)]
        for end in range(1, len(order) + 1):
            ways = []
            minutes = 0.0
            for start in range(end - 1, -1, -1):
                minutes += by[order[start]].minutes
                if minutes > limit:
                    break
                poor = end < len(order) and not by[order[end - 1]].good_stop
                ways.append((cuts[start][0] + 1, cuts[start][1] + poor))
            cuts.append(min(ways))
        best = min(best, cuts[-1])
    return best


@given(machines(8), st.integers(1, 20))
@settings(max_examples=150, deadline=None)
def test_the_fewest_over_every_valid_order(tasks: list[Task], limit: int) -> None:
    assume(all(task.minutes <= limit for task in tasks))
    found = fewest_sessions(tasks, limit)
    checked(tasks, limit, found)
    assert found.proved
    assert (len(found.sessions), found.poor_stops) == best_of_all(tasks, limit)


@given(machines(9), st.integers(9, 20), st.integers(1, 12))
@settings(max_examples=60, deadline=None)
def test_a_count_cut_short_claims_nothing_it_has_not_proved(tasks: list[Task], limit: int, tries: int) -> None:
    found = fewest_sessions(tasks, limit, Work(tries))
    checked(tasks, limit, found)
    assert found.at_least <= len(fewest_sessions(tasks, limit).sessions) <= len(found.sessions)


@given(st.lists(st.integers(1, 30), min_size=1, max_size=7), st.integers(30, 45))
@settings(max_examples=100)
def test_no_bound_is_above_the_fewest_bins(lengths: list[int], limit: int) -> None:
    """Bounds against bin packing by trying every bin for every length."""

    def bins(rest: list[int], rooms: tuple[int, ...]) -> int:
        if not rest:
            return len(rooms)
        first, *others = rest
        ways = [bins(others, (*rooms, limit - first))]
        for k, room in enumerate(rooms):
            if first <= room:
                ways.append(bins(others, (*rooms[:k], room - first, *rooms[k + 1 :])))
        return min(ways)

    fewest = bins(lengths, ())
    taken = room_taken(lengths, limit)
    assert all(length <= more <= limit for length, more in zip(lengths, taken, strict=True))
    everything = (1 << len(lengths)) - 1
    for whole, values in weights(taken, limit):
        assert sum(value * (mask & everything).bit_count() for value, mask in values) <= fewest * whole


def test_when_the_strict_reverse_will_do_it_is_kept() -> None:
    """T's steps take 391 minutes by the record, so seven hours are the fewest, and no step need move."""
    press = sample("ticket_dating_press")
    found = fewest_sessions(press, 60, Work(20000))
    checked(press, 60, found)
    assert sum(task.minutes for task in press) == 391
    assert (len(found.sessions), found.proved) == (7, True)
    assert found.order == strict_reverse(press)


def test_another_order_may_be_stayed_near_to() -> None:
    tasks = [Task(number=k, needs=frozenset(), minutes=5) for k in range(1, 5)]
    assert fewest_sessions(tasks, 10, like=(2, 1, 4, 3)).sessions == ((2, 1), (4, 3))
    with pytest.raises(BadInput, match="cannot go on in that order"):
        fewest_sessions(tasks, 10, like=(1, 2, 3))


def test_minutes_with_fractions_are_counted_exactly() -> None:
    """Ten times 0.1 is 1, though not in floating point; three times 0.34 is more than 1."""
    tenths = [Task(number=k, needs=frozenset(), minutes=0.1) for k in range(1, 11)]
    assert len(fewest_sessions(tenths, 1).sessions) == 1
    thirds = [Task(number=k, needs=frozenset(), minutes=0.34) for k in range(1, 4)]
    assert len(fewest_sessions(thirds, 1).sessions) == 2


def test_work_of_no_length_takes_part() -> None:
    tasks = [
        Task(number=1, needs=frozenset(), minutes=4),
        Task(number=2, needs=frozenset({1}), minutes=0),
        Task(number=3, needs=frozenset({2}), minutes=4),
        Task(number=4, needs=frozenset({3}), minutes=0),
    ]
    found = fewest_sessions(tasks, 4)
    assert found.order == (4, 3, 2, 1) and len(found.sessions) == 2
    assert fewest_sessions([], 30).sessions == ()


@pytest.mark.parametrize(
    ("minutes", "limit", "says"),
    [
        ([14, 3], 10, "Step 1 takes 14 minutes, longer than a session of 10."),
        ([12, 14.5], 10, "Step 2 takes 14.5 minutes, longer than a session of 10 (also too long: 1)."),
        ([1], 0, "A session of 0 minutes is too short for any work."),
        ([1], math.nan, "A session of nan minutes is too short for any work."),
        ([-1], 5, "Step 1 cannot take -1 minutes."),
    ],
)
def test_what_cannot_be_planned_is_told_in_a_sentence(minutes: list[float], limit: float, says: str) -> None:
    tasks = [Task(number=k, needs=frozenset(), minutes=m) for k, m in enumerate(minutes, 1)]
    with pytest.raises(BadInput) as caught:
        fewest_sessions(tasks, limit)
    assert str(caught.value) == says
