"""The needs graph against networkx, an independent graph library."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.planning import tasks as n
from putback.planning.tasks import Task
from tests.planning.graphs import machines, sample


def graph(tasks: list[Task]) -> nx.DiGraph:
    """An arrow from each task to what it needs."""
    found = nx.DiGraph()
    found.add_nodes_from(task.number for task in tasks)
    found.add_edges_from((task.number, need) for task in tasks for need in task.needs)
    return found


def task(number: int, *needs: int) -> Task:
    return Task(number=number, needs=frozenset(needs))


@st.composite
def tangles(draw: st.DrawFn) -> list[Task]:
    """Tasks that may need one another in any direction, circles and all."""
    size = draw(st.integers(1, 7))
    return [
        Task(number=k, needs=frozenset(draw(st.sets(st.integers(1, size), max_size=2)))) for k in range(1, size + 1)
    ]


@given(machines(12))
@settings(max_examples=60)
def test_what_hangs_on_what(tasks: list[Task]) -> None:
    arrows = graph(tasks)
    for one in tasks:
        assert n.ancestors(tasks, one.number) == nx.descendants(arrows, one.number)
        reach = n.least_to_reach(tasks, one.number)
        assert reach == tuple(sorted(nx.descendants(arrows, one.number) | {one.number}))
        assert n.least_to_reach(tasks, one.number, already_off=reach[:2]) == reach[2:]


@given(tangles())
@settings(max_examples=100)
def test_a_circle_is_found_just_where_there_is_one(tasks: list[Task]) -> None:
    circle = n.find_circle(tasks)
    arrows = graph(tasks)
    assert bool(circle) == (not nx.is_directed_acyclic_graph(arrows))
    if circle:
        assert all(arrows.has_edge(a, b) for a, b in zip(circle, (*circle[1:], circle[0]), strict=True))
        assert len(set(circle)) == len(circle)
        with pytest.raises(BadInput, match=r"circle|itself"):
            n.strict_reverse(tasks)
        with pytest.raises(BadInput, match=r"circle|itself"):
            n.checked_tasks(tasks)


@given(machines(9), st.data())
@settings(max_examples=60)
def test_the_circle_a_new_need_would_close(tasks: list[Task], data: st.DataObject) -> None:
    number = data.draw(st.integers(1, len(tasks)))
    need = data.draw(st.integers(1, len(tasks)))
    arrows = graph(tasks)
    arrows.add_edge(number, need)
    circle = n.circle_with(tasks, number, need)
    assert bool(circle) == (not nx.is_directed_acyclic_graph(arrows))
    if circle:
        assert circle[0] == number
        assert all(arrows.has_edge(a, b) for a, b in zip(circle, (*circle[1:], circle[0]), strict=True))


@given(machines(12))
@settings(max_examples=60)
def test_the_strict_reverse_is_the_record_backwards(tasks: list[Task]) -> None:
    order = n.strict_reverse(tasks)
    assert order == tuple(range(len(tasks), 0, -1))
    assert n.is_valid_refit_order(order, tasks)


@given(st.data(), machines(8))
@settings(max_examples=100)
def test_an_order_is_valid_just_when_it_is_a_topological_order(data: st.DataObject, tasks: list[Task]) -> None:
    order = data.draw(st.permutations([one.number for one in tasks]))
    arrows = graph(tasks)
    place = {number: k for k, number in enumerate(order)}
    assert n.is_valid_refit_order(order, tasks) == all(place[a] < place[b] for a, b in arrows.edges)
    assert not n.is_valid_refit_order(order[1:], tasks)
    assert not n.is_valid_refit_order([*order, order[0]], tasks)


@given(machines(12), st.data())
@settings(max_examples=60)
def test_refit_goes_as_far_as_the_blocked_steps_let_it(tasks: list[Task], data: st.DataObject) -> None:
    numbers = st.integers(1, len(tasks))
    blocked = data.draw(st.sets(numbers, max_size=3))
    arrows, undone = graph(tasks), set[int]()
    while free := [k for k in arrows if k not in blocked | undone and undone.issuperset(arrows.predecessors(k))]:
        undone.add(data.draw(st.sampled_from(free)))
    waits = n.waiting(tasks, blocked)
    assert list(waits) == sorted(set(range(1, len(tasks) + 1)) - undone)
    for number, for_what in waits.items():
        assert for_what == {b for b in blocked if number == b or number in nx.descendants(arrows, b)}
    for number, held, alone in n.chase_first(tasks, blocked):
        assert held == len(nx.descendants(arrows, number)) + 1
        others = n.waiting(tasks, blocked - {number})
        assert alone == len(set(waits) - set(others))


def test_a_need_written_in_later_still_gives_the_nearest_valid_order() -> None:
    assert n.strict_reverse([task(1, 3), task(2), task(3)]) == (2, 1, 3)


@pytest.mark.parametrize(
    ("tasks", "says"),
    [
        ([task(1), task(2, 7)], "Step 2 needs step 7, which is not there."),
        ([task(1), task(1)], "Step 1 is there twice."),
        ([task(2, 2)], "Step 2 needs itself."),
        ([task(1, 3), task(2, 1), task(3, 2)], "Step 1 needs 3, 3 needs 2 and 2 needs 1: a circle."),
    ],
)
def test_an_unsound_record_is_told_in_a_sentence(tasks: list[Task], says: str) -> None:
    with pytest.raises(BadInput) as caught:
        n.checked_tasks(tasks)
    assert str(caught.value) == says


def test_reach_for_a_step_that_is_not_there() -> None:
    with pytest.raises(BadInput, match="no step 9"):
        n.least_to_reach([task(1)], 9)


def test_the_press_with_its_dials_and_platen_away() -> None:
    """T's story: the dials (28-30) hold up the date block but not the bed; the platen (45) the hammer."""
    press = sample("ticket_dating_press")
    waits = n.waiting(press, {28, 29, 30, 45})
    assert waits[24] == {28, 29, 30, 45}
    assert waits[44] == {45}
    assert 57 not in waits and 40 not in waits and 54 not in waits
    assert {9, 10, 11, 56}.isdisjoint(waits)
    assert n.chase_first(press, {28, 29, 30, 45})[0][0] == 45
