"""The needs graph against networkx, an independent graph library."""

from __future__ import annotations

import networkx as nx
import pytest
from graphs import machines, sample
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.trade import needs as n
from putback.trade.needs import Job


def graph(jobs: list[Job]) -> nx.DiGraph:
    """An arrow from each job to what it needs."""
    found = nx.DiGraph()
    found.add_nodes_from(job.number for job in jobs)
    found.add_edges_from((job.number, need) for job in jobs for need in job.needs)
    return found


def job(number: int, *needs: int) -> Job:
    return Job(number=number, needs=frozenset(needs))


@st.composite
def tangles(draw: st.DrawFn) -> list[Job]:
    """Jobs that may need one another in any direction, circles and all."""
    size = draw(st.integers(1, 7))
    return [
        Job(number=k, needs=frozenset(draw(st.sets(st.integers(1, size), max_size=2))))
        for k in range(1, size + 1)
    ]


@given(machines(12))
@settings(max_examples=60)
def test_what_hangs_on_what(jobs: list[Job]) -> None:
    arrows = graph(jobs)
    for one in jobs:
        assert n.ancestors(jobs, one.number) == nx.descendants(arrows, one.number)
        assert n.descendants(jobs, one.number) == nx.ancestors(arrows, one.number)
        reach = n.least_to_reach(jobs, one.number)
        assert reach == tuple(sorted(nx.descendants(arrows, one.number) | {one.number}))
        assert n.least_to_reach(jobs, one.number, already_off=reach[:2]) == reach[2:]


@given(machines(12))
@settings(max_examples=60)
def test_the_needs_that_do_not_follow_from_others(jobs: list[Job]) -> None:
    least = nx.transitive_reduction(graph(jobs))
    assert n.reduced(jobs) == {k: frozenset(least.successors(k)) for k in least}


@given(tangles())
@settings(max_examples=100)
def test_a_circle_is_found_just_where_there_is_one(jobs: list[Job]) -> None:
    circle = n.find_circle(jobs)
    arrows = graph(jobs)
    assert bool(circle) == (not nx.is_directed_acyclic_graph(arrows))
    if circle:
        assert all(arrows.has_edge(a, b) for a, b in zip(circle, (*circle[1:], circle[0]), strict=True))
        assert len(set(circle)) == len(circle)
        with pytest.raises(BadInput, match=r"circle|itself"):
            n.strict_reverse(jobs)
        with pytest.raises(BadInput, match=r"circle|itself"):
            n.sound(jobs)


@given(machines(9), st.data())
@settings(max_examples=60)
def test_the_circle_a_new_need_would_close(jobs: list[Job], data: st.DataObject) -> None:
    number = data.draw(st.integers(1, len(jobs)))
    need = data.draw(st.integers(1, len(jobs)))
    arrows = graph(jobs)
    arrows.add_edge(number, need)
    circle = n.circle_with(jobs, number, need)
    assert bool(circle) == (not nx.is_directed_acyclic_graph(arrows))
    if circle:
        assert circle[0] == number
        assert all(arrows.has_edge(a, b) for a, b in zip(circle, (*circle[1:], circle[0]), strict=True))


@given(machines(12))
@settings(max_examples=60)
def test_the_strict_reverse_is_the_record_backwards(jobs: list[Job]) -> None:
    order = n.strict_reverse(jobs)
    assert order == tuple(range(len(jobs), 0, -1))
    assert n.is_valid_refit_order(order, jobs)


@given(st.data(), machines(8))
@settings(max_examples=100)
def test_an_order_is_valid_just_when_it_is_a_topological_order(data: st.DataObject, jobs: list[Job]) -> None:
    order = data.draw(st.permutations([one.number for one in jobs]))
    arrows = graph(jobs)
    place = {number: k for k, number in enumerate(order)}
    assert n.is_valid_refit_order(order, jobs) == all(place[a] < place[b] for a, b in arrows.edges)
    assert not n.is_valid_refit_order(order[1:], jobs)
    assert not n.is_valid_refit_order([*order, order[0]], jobs)


@given(machines(12), st.data())
@settings(max_examples=60)
def test_refit_goes_as_far_as_the_blocked_steps_let_it(jobs: list[Job], data: st.DataObject) -> None:
    numbers = st.integers(1, len(jobs))
    blocked = data.draw(st.sets(numbers, max_size=3))
    undone: set[int] = set()
    while free := n.can_go_on_now(jobs, undone, blocked):
        assert list(free) == sorted(free, reverse=True)
        undone.add(data.draw(st.sampled_from(free)))
    arrows = graph(jobs)
    waits = n.waiting(jobs, blocked)
    assert list(waits) == sorted(set(range(1, len(jobs) + 1)) - undone)
    for number, for_what in waits.items():
        assert for_what == {b for b in blocked if number == b or number in nx.descendants(arrows, b)}
    for number, held, alone in n.chase_first(jobs, blocked):
        assert held == len(nx.descendants(arrows, number)) + 1
        others = n.waiting(jobs, blocked - {number})
        assert alone == len(set(waits) - set(others))


def test_a_need_written_in_later_still_gives_the_nearest_valid_order() -> None:
    assert n.strict_reverse([job(1, 3), job(2), job(3)]) == (2, 1, 3)


@pytest.mark.parametrize(
    ("jobs", "says"),
    [
        ([job(1), job(2, 7)], "Step 2 needs step 7, which is not there."),
        ([job(1), job(1)], "Step 1 is there twice."),
        ([job(2, 2)], "Step 2 needs itself."),
        ([job(1, 3), job(2, 1), job(3, 2)], "Step 1 needs 3, 3 needs 2 and 2 needs 1: a circle."),
    ],
)
def test_an_unsound_record_is_told_in_a_sentence(jobs: list[Job], says: str) -> None:
    with pytest.raises(BadInput) as caught:
        n.sound(jobs)
    assert str(caught.value) == says


def test_reach_for_a_step_that_is_not_there() -> None:
    with pytest.raises(BadInput, match="no step 9"):
        n.least_to_reach([job(1)], 9)


def test_the_press_with_its_dials_and_platen_away() -> None:
    """T's story: the dials (28-30) hold up the carriage but not the bed; the platen (45) the hammer."""
    press = sample("ticket_dating_press")
    waits = n.waiting(press, {28, 29, 30, 45})
    assert waits[24] == {28, 29, 30, 45}
    assert waits[44] == {45}
    assert 57 not in waits and 40 not in waits and 54 not in waits
    assert {9, 10, 11, 56}.isdisjoint(waits)
    assert n.chase_first(press, {28, 29, 30, 45})[0][0] == 45
