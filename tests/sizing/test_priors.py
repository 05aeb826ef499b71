"""Weights: origin ranks, what was seen lifts, both within bounds."""

import pytest

from putback.sizing import Origin, Prior
from putback.sizing.priors import MOST, base_weights, weigh
from putback.sizing.threads import all_threads, thread_named


@pytest.mark.parametrize("origin", ["us", "uk", "metric", "unknown"])
def test_no_origin_removes_a_thread(origin: Origin) -> None:
    weights = base_weights(origin)
    assert set(weights) == {t.name for t in all_threads()}
    assert min(weights.values()) > 0 and sum(weights.values()) == pytest.approx(1)


def test_what_was_seen_lifts_within_its_limit() -> None:
    thread = thread_named("#8-32 UNC")
    assert thread is not None
    fresh = weigh("us", Prior.empty()).of(thread)
    last = fresh
    for seen in (1, 2, 5, 14, 40, 1000):
        lifted = weigh("us", Prior.empty().with_seen(thread.name, seen)).of(thread)
        assert last < lifted < MOST * fresh
        last = lifted


def test_an_unknown_machine_learns_where_it_is_from() -> None:
    thread = thread_named("#10-32 UNF")
    assert thread is not None
    fresh, seen = weigh("unknown", Prior.empty()), weigh("unknown", Prior.empty().with_seen("#8-32 UNC", 10))
    assert seen.of(thread) > 2 * fresh.of(thread)
    found = weigh("uk", Prior.empty()).of(thread)
    assert weigh("uk", Prior.empty().with_seen("#8-32 UNC", 10)).of(thread) == found


def test_a_prior_is_a_value() -> None:
    empty = Prior.empty()
    once = empty.with_seen("2BA")
    assert empty.counts == {} and once.counts == {"2BA": 1} and once.with_seen("2BA", 2).counts == {"2BA": 3}
    assert weigh("us", once.with_seen("a home-made screw")) is not None
