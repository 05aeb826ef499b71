"""The search for the fewest openings, each of its stages, against a table over all that may be done."""

from __future__ import annotations

from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.planning import openings
from putback.planning.masks import ENDLESS, Work, bits, closures
from putback.planning.nearby import Nearby, distance, gathered
from putback.planning.opening_beam import beam
from putback.planning.openings import fewest_openings, price
from putback.planning.tangle import Kind, Tangle
from putback.planning.tangle_proof import CostProof


class Items(NamedTuple):
    """Items, those directly before each as masks, their labels, and the kinds."""

    first: list[int]
    labels: list[int]
    kinds: list[Kind]

    def costs_from(self) -> dict[tuple[int, int], int]:
        """The least cost of every state: undone items and what is open, worked out from the end."""
        before, _ = closures(self.first)
        known: dict[tuple[int, int], int] = {}

        def least(undone: int, held: int) -> int:
            if not undone:
                return 0
            if (undone, held) not in known:
                ways = []
                for item in bits(undone):
                    if not before[item] & undone:
                        cost = price([item], self.labels, self.kinds, held)
                        then = held
                        for kind in self.kinds:
                            if self.labels[item] & kind.labels:
                                then = then & ~kind.labels | self.labels[item] & kind.labels
                        ways.append(cost + least(undone & ~(1 << item), then))
                known[undone, held] = min(ways)
            return known[undone, held]

        least((1 << len(self.labels)) - 1, 0)
        return known

    def is_valid(self, order: list[int]) -> bool:
        """Whether each item of the order comes after all that has to come before it."""
        before, _ = closures(self.first)
        seen = 0
        for item in order:
            if before[item] & ~seen:
                return False
            seen |= 1 << item
        return len(set(order)) == len(order) == len(self.labels)


@st.composite
def items(draw: st.DrawFn, largest: int = 9, all_labelled: bool = False) -> Items:
    """Up to `largest` items with labels of one to three kinds."""
    size = draw(st.integers(2, largest))
    first = [sum(1 << k for k in draw(st.sets(st.integers(0, i - 1), max_size=2))) if i else 0 for i in range(size)]
    labels = [0] * size
    kinds = []
    shift = 0
    for weight in draw(st.sampled_from([[1], [20, 1], [400, 20, 1]])):
        width = draw(st.integers(1, 4))
        mask = (1 << width) - 1 << shift
        kinds.append(Kind(mask, weight, mask))
        for i in range(size):
            few = 1 if all_labelled and len(kinds) == 1 else 0
            chosen = draw(st.sets(st.integers(0, width - 1), min_size=few, max_size=2))
            labels[i] |= sum(1 << shift + k for k in chosen)
        shift += width
    return Items(first, labels, kinds)


@pytest.mark.parametrize("quick", [1500, 3, 0])
@given(given_items=items())
@settings(max_examples=80, deadline=None)
def test_the_fewest_by_every_stage_of_the_search(quick: int, given_items: Items) -> None:
    """With few states for the first search, or none, the table and the search that goes on have to prove it."""
    first, labels, kinds = given_items
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(openings, "QUICK", quick)
        found = fewest_openings(first, labels, kinds)
    best = given_items.costs_from()[(1 << len(labels)) - 1, 0]
    assert found.cost == found.at_least == best == price(found.order, labels, kinds)
    labelled = [i for i, mask in enumerate(labels) if mask]
    assert sorted(found.order) == labelled
    before, _ = closures(first)
    for k, item in enumerate(found.order):
        assert not any(before[item] >> later & 1 for later in found.order[k + 1 :])


@given(given_items=items(), tries=st.integers(1, 60))
@settings(max_examples=60, deadline=None)
def test_cut_short_it_claims_nothing_it_has_not_proved(given_items: Items, tries: int) -> None:
    first, labels, kinds = given_items
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(openings, "QUICK", 2)
        found = fewest_openings(first, labels, kinds, Work(tries))
    best = given_items.costs_from()[(1 << len(labels)) - 1, 0]
    assert found.at_least <= best <= found.cost


@given(given_items=items(8, all_labelled=True))
@settings(max_examples=60, deadline=None)
def test_no_bound_is_above_the_least_cost_of_any_state(given_items: Items) -> None:
    first, labels, kinds = given_items
    before, after = closures(first)
    tangle = Tangle(before, after, labels, kinds)
    for (undone, held), least in given_items.costs_from().items():
        assert tangle.bound(undone, held) <= least


@given(given_items=items(8, all_labelled=True))
@settings(max_examples=60, deadline=None)
def test_the_search_proves_the_least_from_either_end(given_items: Items) -> None:
    first, labels, kinds = given_items
    tangle = Tangle(*closures(first), labels, kinds)
    best = given_items.costs_from()[tangle.everything, 0]
    proof = CostProof(tangle)
    assert proof.floor <= best
    assert proof.prove(ENDLESS, Work()) == (best, True)
    assert given_items.is_valid(proof.trace(tangle.everything))
    back = CostProof(tangle.mirrored())
    assert back.prove(ENDLESS, Work()) == (best, True)


@given(given_items=items(all_labelled=True), width=st.integers(1, 30), tries=st.integers(1, 30))
@settings(max_examples=60, deadline=None)
def test_a_beam_always_has_an_answer(given_items: Items, width: int, tries: int) -> None:
    first, labels, kinds = given_items
    tangle = Tangle(*closures(first), labels, kinds)
    order, cost = beam(tangle, width, Work(tries))
    assert given_items.is_valid(order)
    assert cost == price(order, labels, kinds)


@given(given_items=items())
@settings(max_examples=60, deadline=None)
def test_swaps_make_an_order_better_and_keep_it_valid(given_items: Items) -> None:
    first, labels, kinds = given_items
    before, _ = closures(first)
    start = sorted(range(len(labels)), key=lambda i: (before[i].bit_count(), -i))
    assert given_items.is_valid(start)
    better = Nearby(start, before, labels, kinds).improve(Work())
    assert given_items.is_valid(better)
    ahead = (price(better, labels, kinds), distance(better))
    assert ahead <= (price(start, labels, kinds), distance(start))
    assert given_items.costs_from()[(1 << len(labels)) - 1, 0] <= ahead[0]


@given(given_items=items(), data=st.data())
@settings(max_examples=80, deadline=None)
def test_what_a_swap_saves(given_items: Items, data: st.DataObject) -> None:
    first, labels, kinds = given_items
    order = data.draw(st.permutations(range(len(labels))))
    i, j, k = sorted(data.draw(st.sets(st.integers(0, len(order)), min_size=3, max_size=3)))
    swapped = [*order[:i], *order[j:k], *order[i:j], *order[k:]]
    saved, nearer = Nearby(order, closures(first)[0], labels, kinds).gain(i, j, k)
    assert saved == price(order, labels, kinds) - price(swapped, labels, kinds)
    assert saved < 0 or nearer == distance(order) - distance(swapped)


@given(given_items=items())
@settings(max_examples=60, deadline=None)
def test_gathering_costs_no_more_of_the_first_kind(given_items: Items) -> None:
    first, labels, kinds = given_items
    order = list(range(len(labels)))
    found = gathered(order, first, labels, kinds)
    assert given_items.is_valid(found)
    assert price(found, labels, kinds[:1]) <= price(order, labels, kinds[:1])


@given(st.permutations(range(7)))
def test_the_distance_counts_pairs_turned_round(order: list[int]) -> None:
    assert distance(order) == sum(a > b for k, a in enumerate(order) for b in order[k + 1 :])
