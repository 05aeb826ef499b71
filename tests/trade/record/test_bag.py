"""A bag's state."""

from __future__ import annotations

from putback.trade.record.bag import Bag


def test_a_bag_is_open_until_it_is_closed() -> None:
    assert Bag(id=1, machine=1, number=1, code="X").state == "open"
    assert Bag(id=1, machine=1, number=1, code="X", closed="2025-03-01T10:00:00+01:00").state == "closed"
