"""The last page: what is back, what is open, what was changed."""

from __future__ import annotations

import pytest

from putback.reports.last_page import LastPage, last_page
from putback.trade import commands as c
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.step import Adjustment
from tests.trade.hands import Hands

NOW = "2025-07-01T09:00:00+00:00"


def page_of(hands: Hands) -> LastPage:
    return last_page(hands.record, hands.record.get(Machine, 1), now=NOW)


def lines(page: LastPage, title: str) -> list[tuple[bool, str]]:
    return [(line.open, line.words) for s in page.sections if s.title == title for line in s.lines]


@pytest.fixture
def hands() -> Hands:
    hands = Hands(name="press")
    hands.do(c.LookAt(sort="fault", what="the bell is dull"))
    hands.take_off("lid", "1", "3")
    hands.do(
        c.Annotate(
            step=1,
            adjust=(Adjustment(what="stop", turns=2.5, why="the mark was hidden"),),
            todo=(Job(do="do", what="clean it", when="no hurry"),),
        )
    )
    hands.take_off("lever", "5")
    return hands


def test_what_others_changed_stands_among_what_was_changed(hands: Hands) -> None:
    hands.do(c.SendOut(to="plater", what="nickel", named=((1, "lid"), (2, "lever"))))
    hands.do(c.CameBack(named=(1, "lid"), how="changed", note=".0003 a side"))
    hands.do(c.CameBack(named=(2, "lever"), how="as sent"))
    told = lines(page_of(hands), "What was changed, and what can be put back")
    assert told == [(False, "step 1, lid: changed by plater, nickel: lid, .0003 a side")]


def test_a_machine_kept_as_found_is_not_waited_for_to_run(hands: Hands) -> None:
    hands.do(c.MendMachine(intent="keep as found"))
    [(is_open, check)] = lines(page_of(hands), "First checks, should it ever run")
    assert not is_open and check.endswith("Local rules and licensed practice first.")


def test_before_the_way_back_all_of_it_is_open(hands: Hands) -> None:
    page = page_of(hands)
    assert (page.steps, page.back) == (2, 0)
    assert lines(page, "Not back, or left over") == [(True, "2 steps not back: 2 lever, 1 lid")]
    assert lines(page, "Settings as found and as set") == [(True, "step 1, lid: stop: 2.5 turns (the mark was hidden)")]
    assert lines(page, "As found, and now") == [(True, "fault: the bell is dull")]
    assert any("clean it" in words and is_open for is_open, words in lines(page, "Jobs"))


def test_at_the_end_what_was_answered_is_closed(hands: Hands) -> None:
    hands.put_back(2)
    hands.put_back(1)
    hands.do(c.WorkOn(step=1, what="clean it", state="done", result="washed"))
    hands.do(c.MendLook(sort="fault", what="the bell is dull", came_of="it rings"))
    page = page_of(hands)
    assert page.heading == "every step is back; 1 line still open", "turning it by hand stays to be done"
    assert lines(page, "Not back, or left over") == [(False, "every bag is empty, nothing is left over")]
    assert lines(page, "Settings as found and as set")[0][0] is False
    told = "of the steps that are back, every hole has what came out of it, or says why not"
    assert lines(page, "Every hole") == [(False, told)], "no other hole was named before it"
    assert lines(page, "As found, and now") == [(False, "fault: the bell is dull; now: it rings")]
    [(is_open, check)] = lines(page, "First checks, before it runs")
    assert is_open and check.endswith("Local rules and licensed practice first.")
