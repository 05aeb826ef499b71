"""Soaks that run: until they are lifted out, they are named wherever one looks."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from putback.reports.account.made import WayBack
from putback.reports.last_page import last_page
from putback.reports.soaking import soaks
from putback.reports.todo import to_do
from putback.trade import commands as c
from putback.trade.checks.open_jobs import still_open
from putback.trade.checks.soaks import in_soak, lift_first
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.job import NOW, Job
from putback.trade.record.machine import Machine
from putback.trade.record.step import Soak, Step
from tests.trade.hands import START, Hands

BATH = "gearbox bearing in diesel"


@pytest.fixture
def hands() -> Hands:
    """A bearing that is off and soaks for twelve hours; commands come a minute apart."""
    hands = Hands()
    hands.take_off("cover", "1")
    hands.take_off("bearing", "2")
    hands.do(c.Annotate(step=2, soak=Soak(BATH, 12)))
    return hands


def named(hands: Hands) -> list[bool]:
    """Whether the soak is told in what is to do, at the end, and on the last page."""
    machine = hands.record.get(Machine, 1)
    page = last_page(hands.record, machine, now=hands.at)
    return [
        any(bath.what == BATH for bath in to_do(hands.record, machine, now=hands.at).soaks),
        any(BATH in words for words in still_open(hands.record, 1)),
        any(BATH in line.words and line.open for section in page.sections for line in section.lines),
    ]


def test_the_way_back_asks_for_what_soaks_to_be_lifted_out_first(hands: Hands) -> None:
    asked = "gearbox bearing in diesel still in soak until 1 Mar 22:07: lift it out first"
    account = WayBack(hands.record, 1).account(hands.step(2))
    assert [(b.kind, b.sort) for b in account.blocks if b.words == asked] == [("question", "caution")]
    assert not [b for b in account.blocks if b.sort == "soak"], "it was not soaked yet"
    assert asked in hands.refused(c.PutBack(step=2))
    assert hands.do(c.Confirm(step=2, item=asked)).said == "step 2: gearbox bearing in diesel lifted out"
    assert hands.step(2).lifted == hands.at and named(hands) == [False] * 3
    hands.do(c.PutBack(step=2))
    assert hands.step(2).back


def test_what_was_lifted_out_is_not_asked_for(hands: Hands) -> None:
    hands.do(c.EndSoak(step=2))
    hands.do(c.PutBack(step=2))
    assert hands.step(2).back and named(hands) == [False] * 3


def test_a_soak_that_runs_is_named_until_it_is_lifted_out_though_its_part_is_back(hands: Hands) -> None:
    hands.do(c.EndSoak(step=2))
    hands.put_back(2)
    hands.do(c.Annotate(step=2, soak=Soak(BATH, 12)))
    assert in_soak(hands.record, hands.step(2)) and named(hands) == [True] * 3
    hands.put_back(1)
    assert named(hands) == [True] * 3
    hands.do(c.EndSoak(step=2))
    assert named(hands) == [False] * 3


def test_a_soak_step_that_ticks_itself_off_while_it_runs_stays_named() -> None:
    hands = Hands()
    hands.take_off("cover", "1")
    hands.do(c.Begin(do="soak", name="bearing"))
    hands.do(c.Annotate(soak=Soak(BATH, 12)))
    hands.do(c.Finish())
    hands.put_back(1)
    assert hands.step(2).back and named(hands) == [True] * 3


def test_a_soak_is_counted_from_when_it_was_noted(hands: Hands) -> None:
    for _ in range(60):
        hands.do(c.Annotate(step=1, note="an hour goes by"))
    hands.do(c.Annotate(step=1, soak=Soak("cover in oil", 1)))
    assert {b.what: b.text for b in soaks(hands.record, 1, now=hands.at)}["cover in oil"] == "60 min to go"
    assert lift_first(hands.step(1)).endswith("until 1 Mar 12:08: lift it out first")


@pytest.mark.parametrize("of", [{"bag": 1}, {"of_machine": True}, {"step": 1}])
def test_a_soak_of_a_bag_or_the_machine_is_named_as_due_and_lifted_out(of: dict[str, Any]) -> None:
    hands = Hands()
    hands.take_off("cover", "1", bag=1)
    job = Job(do="soak", what="all of it in paraffin", hours=0.05, since=NOW)
    hands.do(c.SayJob(job=job, **of))
    machine = hands.record.get(Machine, 1)
    later = (START + timedelta(days=2)).isoformat()
    [bath] = to_do(hands.record, machine, now=later).soaks
    assert bath.stands.startswith("was due 1 Mar") and bath.hours_left < 0 and hands.record.machines_soaked() == {1}
    assert not to_do(hands.record, machine, now=later).here, "it is told once"
    assert any("paraffin" in words for words in still_open(hands.record, 1))
    hands.do(c.WorkOn(what=job.what, state="done", **of))
    assert not soaks(hands.record, 1, now=later) and not hands.record.machines_soaked()


def test_when_something_went_in_is_kept_by_a_session_file(hands: Hands) -> None:
    hands.do(c.SayJob(of_machine=True, job=Job(do="soak", what="base in paraffin", hours=48, since=NOW)))
    back = written_back(hands.record, 1)
    assert not any("soak" in words for words in back.unsaid), back.unsaid
    again = rehearse(read_session_file(back.text, "it", now=START)).record
    assert again.get(Step, 2).soak == hands.step(2).soak and hands.step(2).soak is not None
    assert again.get(Machine, 1).todo == hands.record.get(Machine, 1).todo
