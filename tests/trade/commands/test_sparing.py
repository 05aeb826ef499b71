"""Spares belong to the workshop and balance by themselves; one of them goes in for what is lost."""

from __future__ import annotations

import pytest

from putback.reports.blocks import as_text
from putback.reports.spares import spare_blocks, spare_lines
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance, short_of
from putback.trade.record.fastener import Thing
from putback.trade.record.spare import Spare
from putback.trade.record.trouble_words import in_its_place
from tests.trade.hands import Hands


def test_a_lost_screw_is_found_among_the_spares() -> None:
    hands = Hands()
    hands.take_off("lid", "5", "7")
    hands.do(c.AddSpare(size="#8-32 UNC x 3/8", count=3, head="pan", origin="bought", place="drawer 3"))
    assert as_text(spare_blocks(spare_lines(hands.record))) == "3 x screw #8-32 UNC x 3/8, pan (bought; drawer 3)"
    hands.do(c.Trouble(what="lost", step=1, hole="5"))
    change = hands.do(c.TakeSpare(spare=1, thing=1, put="bag 1"))
    assert change.said == "step 1, hole 5: screw #8-32 UNC x 3/8 goes in, from the spares; 2 left"
    new = in_its_place(hands.record, hands.record.get(Thing, 1))
    assert (new.note, new.head, hands.record.standing(new.id)) == ("from the spares", "pan", {"bag 1": 1})
    assert not short_of(hands.record, hands.step(1))
    hands.put_back(1)
    assert "is back" in hands.refused(c.TakeSpare(spare=1, thing=2))


@pytest.mark.parametrize(
    ("typed", "size", "thread", "length"),
    [
        ("8-32 x 1/2", "#8-32 UNC x 1/2", "#8-32 UNC", "1/2"),
        ("832*1/2", "#8-32 UNC x 1/2", "#8-32 UNC", "1/2"),  # the pad has no x
        ("8*32*1*1/4", "#8-32 UNC x 1 1/4", "#8-32 UNC", "1 1/4"),
        ("m5 x 16", "M5x0.8 x 16 mm", "M5x0.8", "16 mm"),
        ("6-32", "#6-32 UNC", "#6-32 UNC", ""),
        ("of the left bracket", "of the left bracket", "", ""),
    ],
)
def test_a_size_is_read_as_all_sizes_are(typed: str, size: str, thread: str, length: str) -> None:
    hands = Hands(origin="us")
    hands.do(c.AddSpare(size=typed, count=2))
    spare = hands.record.get(Spare, 1)
    assert (spare.size, spare.thread, spare.length) == (size, thread, length)


def test_no_more_go_than_came() -> None:
    hands = Hands()
    hands.take_off("lid", "5")
    hands.do(c.AddSpare(size="felt ring", kind="", count=2, origin="left of a scrapped press"))
    hands.do(c.TakeSpare(spare=1, count=2))
    assert spare_lines(hands.record) == [] and hands.record.get(Spare, 1).left == 0
    assert "There are 0 of felt ring" in hands.refused(c.TakeSpare(spare=1))
    assert "is in its place" not in hands.refused(c.TakeSpare(spare=1, thing=1))
    for command in (c.AddSpare(size=""), c.AddSpare(size="x", count=0), c.AddSpare(size="x", kind="nail")):
        hands.refused(command)
    assert list(check_balance(hands.record)) == []
