"""Holes, and what a thing is called."""

from __future__ import annotations

import pytest

from putback.errors import BadInput
from putback.trade.record.fastener import Thing, read_hole


@pytest.mark.parametrize(("message", "hole"), [("5", "5"), (" 9 ", "9"), ("5A", "5a"), ("1z", "1z")])
def test_a_hole_is_a_place_and_a_letter(message: str, hole: str) -> None:
    assert read_hole(message) == hole


@pytest.mark.parametrize("message", ["", "0", "10", "a", "5aa", "5-", "½", "\u0665", "5 a", "x" * 9999])
def test_what_is_no_hole_is_said_so(message: str) -> None:
    with pytest.raises(BadInput, match="is not a hole; say a place from 1 to 9") as refusal:
        read_hole(message)
    assert len(str(refusal.value)) < 200


def test_a_thing_is_called_by_kind_and_size() -> None:
    screw = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", size="#8-32 UNC x 3/8")
    assert screw.called == "screw #8-32 UNC x 3/8" and screw.alone
    nut = Thing(id=1, machine=1, step=1, sort="fastener", name="nut", size="nut 2BA")
    assert nut.called == "nut 2BA" and not nut.alone
    unread = Thing(id=1, machine=1, step=1, sort="fastener", name="key")
    assert unread.called == "key"
    ball = Thing(id=1, machine=1, step=1, sort="piece", name="ball", size="1/8")
    assert ball.called == "ball" and not ball.alone
    empty = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", found="empty", count=0)
    assert not empty.alone
