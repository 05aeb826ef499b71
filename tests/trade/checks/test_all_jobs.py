"""Every job of a machine, whatever it is of; work with a side is asked for at its step and stops nothing."""

from __future__ import annotations

import pytest

from putback.reports.blocks import as_text
from putback.reports.todo import to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.checks.all_jobs import all_jobs
from putback.trade.checks.open_jobs import jobs_first, still_open
from putback.trade.record.job import BEFORE_IT_IS_ON, WITH_IT_ON, Job
from putback.trade.record.machine import Machine
from putback.trade.record.step import Soak
from putback.trade.refit.confirmations import asks
from tests.trade.hands import Hands

RING = Job(do="test", what="bell rings", side=WITH_IT_ON)
OIL = Job(do="do", what="oil the pivot", side=BEFORE_IT_IS_ON)


@pytest.fixture
def hands() -> Hands:
    """A lid and a bell, off; the bell has work on both sides of its going on."""
    made = Hands()
    made.take_off("lid", "5")
    made.take_off("bell", "5")
    for job in (OIL, RING):
        made.do(c.SayJob(step=2, job=job))
    return made


def test_work_with_a_side_is_asked_for_at_its_step_and_stops_nothing(hands: Hands) -> None:
    assert jobs_first(hands.record, hands.step(2)) == []
    asked = [(ask.item, ask.after) for ask in asks(hands.record, hands.step(2)) if ask.sort == "work"]
    assert asked == [("oil the pivot", False), ("to test: bell rings", True)]
    assert "confirm first: oil the pivot" in hands.refused(c.PutBack(step=2))
    hands.put_back(2)
    assert [job.state for job in hands.step(2).todo] == ["done", "done"]
    assert still_open(hands.record, 1) == []


def test_it_is_asked_for_again_where_the_part_comes_off_again(hands: Hands) -> None:
    hands.put_back(2)
    hands.do(c.TakeOffAgain(step=2))
    assert [job.state for job in hands.step(2).todo] == ["to do", "to do"]
    assert "oil the pivot" in hands.refused(c.PutBack(step=2))


def test_a_job_done_before_its_time_is_not_asked_for(hands: Hands) -> None:
    hands.do(c.WorkOn(step=2, what="oil the pivot", state="done"))
    assert "confirm first: to test: bell rings" in hands.refused(c.PutBack(step=2))
    hands.do(c.Confirm(step=2, item="to test: bell rings"))
    hands.do(c.WorkOn(step=2, what="bell rings", state="to do"))
    assert "to test: bell rings" in hands.refused(c.PutBack(step=2)), "what is to do again is asked for again"


def test_a_bag_and_the_machine_have_jobs_of_their_own(hands: Hands) -> None:
    hands.do(c.SayJob(bag=1, job=Job(do="do", what="degrease", takes="a few minutes")))
    hands.do(c.SayJob(of_machine=True, job=Job(do="find out", what="which year")))
    hands.do(c.WorkOn(bag=1, what="degrease", state="done", result="white spirit"))
    hands.do(c.MendJob(of_machine=True, what="Which year", job=Job(do="find out", what="which year", takes="longer")))
    told = {one.where: one.text for one in all_jobs(hands.record, 1)}
    assert told["bag 1"] == "to do: degrease (done 1 Mar: white spirit, bag 1)"
    assert told["the machine"] == "to find out: which year (no hurry, longer, the machine)"
    assert still_open(hands.record, 1)[-1] == "to find out: which year (no hurry, longer, the machine)"
    assert hands.refused(c.SayJob(bag=9, job=RING)) == "There is no bag 9 on this machine."
    assert "Only a job of a step" in hands.refused(c.SayJob(bag=1, job=RING))
    assert "The machine has no job about “paint”" in hands.refused(
        c.WorkOn(of_machine=True, what="paint", state="done")
    )
    hands.do(c.MendJob(bag=1, what="degrease", job=None))
    assert not hands.bag(1).todo


def test_soaks_and_work_in_words_are_seen_as_jobs(hands: Hands) -> None:
    hands.do(c.Begin(do="soak", name="bush"))
    hands.do(c.Annotate(soak=Soak("acid, bush", 24), at_refit=("look at the bore",)))
    hands.do(c.Finish())
    found = {one.kept: one.job for one in all_jobs(hands.record, 1) if one.kept != "job"}
    assert found["soak"].state == "in hand" and found["words"].side == BEFORE_IT_IS_ON
    hands.do(c.EndSoak(step=3))
    assert {one.kept: one.job for one in all_jobs(hands.record, 1)}["soak"].state == "done"


def test_what_takes_a_few_minutes_comes_first_and_what_frees_most_is_named(hands: Hands) -> None:
    for number, what, takes in (
        (1, "paint the lid", "longer"),
        (2, "mend the hammer", ""),
        (2, "wipe", "a few minutes"),
    ):
        hands.do(c.SayJob(step=number, job=Job(do="do", what=what, takes=takes)))  # type: ignore[arg-type]
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert [row.job.what for row in found.here] == ["wipe", "paint the lid", "mend the hammer"]
    assert "First: to do: mend the hammer frees 1 of the 2 steps of the way back that it holds up." in as_text(
        todo_blocks([found])
    )
    assert {row.job.what for row in found.on_the_way} == {"oil the pivot", "bell rings"}


def test_a_job_on_what_is_away_is_stuck_until_it_is_back(hands: Hands) -> None:
    hands.do(c.SayJob(step=2, job=Job(do="do", what="polish")))
    hands.do(c.CarryNamed(what="bell", step=2, count=1, source="shelf", target="away: plater"))
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert [(row.job.what, row.stuck) for row in found.stuck] == [("polish", "bell (away: plater)")]
    assert [(one.to, [thing.text for thing in one.things], one.waits) for one in found.sent] == [
        ("plater", ["bell"], (1, 2)),
    ]


def test_a_part_too_long_in_acid_comes_before_what_is_longer_over(hands: Hands) -> None:
    for name, what, hours in (("bush", "penetrant, bush", 1), ("pawl", "derusting acid, pawl", 3)):
        hands.do(c.Begin(do="soak", name=name))
        hands.do(c.Annotate(soak=Soak(what, hours)))
        hands.do(c.Finish())
    found = to_do(hands.record, hands.record.get(Machine, 1), now="2025-03-03T10:00:00+00:00")
    assert [bath.what for bath in found.soaks] == ["derusting acid, pawl", "penetrant, bush"]
    assert found.soaks[0].stands.startswith("was due 1 Mar 13:")
