"""Where things are: what some words name, and nothing that only stands in what is said of a machine."""

from __future__ import annotations

from putback.reports.whereabouts import whereabouts
from putback.trade import commands as c
from tests.trade.hands import Hands


def test_what_came_off_is_told_with_its_place_and_what_is_only_said_of_the_machine_is_not() -> None:
    hands = Hands(name="press")
    hands.take_off("lid", "1", "3")
    hands.do(c.LookAt(sort="missing", what="crumb tray"))
    assert [row.place for row in whereabouts(hands.record, "lid")] == ["shelf"]
    [screws] = whereabouts(hands.record, "#8-32")
    assert (screws.count, screws.place, screws.holes) == (2, "bag 1", ("1", "3"))
    assert whereabouts(hands.record, "crumb") == []


def test_a_part_that_is_back_is_one_line_whatever_part_of_its_name_was_typed() -> None:
    hands = Hands(name="press")
    hands.take_off("crank arm")
    for back in (False, True):
        if back:
            hands.put_back(1)
        for words in ("crank", "crank arm", "arm"):
            [row] = whereabouts(hands.record, words)
            assert (row.what, row.place, row.count) == ("crank arm", "on the machine" if back else "shelf", 1)
