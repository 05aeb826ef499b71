"""Accounts: sums of what was posted."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from putback.trade.record.accounts import Accounts

POSTINGS = st.lists(st.tuples(st.integers(1, 8), st.sampled_from(["shelf", "bag 1", "fitted"]), st.integers(-3, 3)))


@given(POSTINGS)
def test_accounts_are_the_sums_of_their_postings(postings: list[tuple[int, str, int]]) -> None:
    accounts = Accounts()
    sums: Counter[tuple[int, str]] = Counter()
    for thing, place, count in postings:
        accounts.post(thing, place, count)
        sums[thing, place] += count
    rows = {at: n for at, n in sums.items() if n}
    assert accounts.places() == sorted({place for _, place in rows})
    for place in ("shelf", "bag 1", "fitted"):
        held = {t: n for (t, p), n in rows.items() if p == place}
        assert accounts.held(place) == held
        assert accounts.total(place) == sum(held.values())
    for thing in range(1, 9):
        assert accounts.standing(thing) == {p: n for (t, p), n in rows.items() if t == thing}


PLACES = st.sampled_from(["shelf", "bag 1", "fitted"])


@given(POSTINGS, st.lists(st.tuples(st.integers(1, 8), PLACES, PLACES, st.integers(-3, 3))))
def test_a_shift_is_two_postings(postings: list[tuple[int, str, int]], shifts: list[tuple[int, str, str, int]]) -> None:
    one, other = Accounts(), Accounts()
    for posting in postings:
        one.post(*posting)
        other.post(*posting)
    for thing, source, target, count in shifts:
        one.shift(thing, source, target, count)
        other.post(thing, source, -count)
        other.post(thing, target, count)
        assert vars(one) == vars(other)
