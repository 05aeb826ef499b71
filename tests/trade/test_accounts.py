"""Accounts: sums of what was posted."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from putback.trade.accounts import Accounts

POSTINGS = st.lists(
    st.tuples(st.integers(1, 2), st.integers(1, 4), st.sampled_from(["shelf", "bag 1", "fitted"]), st.integers(-3, 3))
)


@given(POSTINGS)
def test_accounts_are_the_sums_of_their_postings(postings: list[tuple[int, int, str, int]]) -> None:
    accounts = Accounts()
    sums: Counter[tuple[int, int, str]] = Counter()
    for machine, thing, place, count in postings:
        thing = thing * 10 + machine  # a thing belongs to one machine
        accounts.post(machine, thing, place, count)
        sums[machine, thing, place] += count
    for machine in (1, 2):
        rows = {(t, p): n for (m, t, p), n in sums.items() if m == machine and n}
        assert accounts.places(machine) == sorted({place for _, place in rows})
        for place in ("shelf", "bag 1", "fitted"):
            held = {t: n for (t, p), n in rows.items() if p == place}
            assert accounts.held(machine, place) == held
            assert accounts.total(machine, place) == sum(held.values())
        for thing in {t for t, _ in rows}:
            assert accounts.standing(thing) == {p: n for (t, p), n in rows.items() if t == thing}
