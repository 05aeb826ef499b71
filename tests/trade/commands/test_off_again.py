"""Refit that does not go straight on: steps skipped, taken up, done late, and taken off again weeks later."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.checks.last_look import last_look
from putback.trade.checks.ledger import left_over
from putback.trade.commands.putting_back import needed_by
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.trade.refit.way_back import chases, reach, what_waits
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """A lid over a cam over a pin, and a foot that could come off any time."""
    made = Hands()
    for name in ("lid", "cam", "pin"):
        made.take_off(name, "5")
    made.take_off("foot", "1", needs=())
    return made


def test_a_skipped_step_holds_nothing_up_and_stays_open(hands: Hands) -> None:
    assert hands.refused(c.SkipStep(step=3, reason=" ")) == "Say why step 3, pin, is skipped."
    assert hands.do(c.SkipStep(step=3, reason="no pin yet")).said == "step 3, pin, skipped: no pin yet"
    assert hands.refused(c.SkipStep(step=3, reason="no pin yet")).startswith("Step 3, pin, is skipped already")
    hands.put_back(2)
    assert [end.words for end in last_look(hands.record, hands.step(1))] == ["step 3, pin: skipped (no pin yet)"]
    hands.put_back(1)
    assert {h.thing.name for h in left_over(hands.record, 1)} == {"pin", "screw", "foot"}
    assert not hands.step(3).back and hands.step(3).skipped == "no pin yet"


def test_done_late_it_says_what_has_to_come_off_again(hands: Hands) -> None:
    hands.do(c.SkipStep(step=3, reason="no pin yet"))
    hands.put_back(2)
    hands.put_back(1)
    text = "Before step 3, pin, {}, step 1 (lid), step 2 (cam) must come off again."
    assert hands.refused(c.PutBack(step=3)) == text.format("goes back")
    assert hands.refused(c.TakeUp(step=3)) == text.format("can be taken up")
    assert hands.refused(c.SetNeeds(step=4, needs=(3,))) == (
        "Step 3, pin, was skipped, and step 1 (lid) is on again over it."
    )
    assert hands.refused(c.TakeOffAgain(step=2)) == (
        "Before step 2, cam, comes off again, step 1 (lid) must come off again."
    )
    assert hands.do(c.TakeOffAgain(step=1)).said == "step 1, lid, is off again: 2 out"
    hands.do(c.TakeOffAgain(step=2))
    hands.put_back(3)
    assert hands.step(3).skipped == ""
    for number in (2, 1, 4):
        hands.put_back(number)
    assert left_over(hands.record, 1) == [] and hands.balance == {"fitted": 8}


def test_a_need_that_was_none_is_dropped_and_the_late_step_goes_on(hands: Hands) -> None:
    hands.do(c.SkipStep(step=3, reason="no pin yet"))
    hands.put_back(2)
    hands.do(c.SetNeeds(step=3, needs=()))
    hands.put_back(3)
    assert hands.step(3).back


def test_taken_up_it_holds_up_again_what_it_held_up(hands: Hands) -> None:
    hands.do(c.SkipStep(step=3, reason="no pin yet"))
    assert needed_by(hands.record, hands.step(2)) == []
    hands.do(c.TakeUp(step=3))
    assert [s.number for s in needed_by(hands.record, hands.step(2))] == [3]
    assert hands.refused(c.TakeUp(step=3)) == "Step 3, pin, was not skipped."


def test_what_waits_behind_a_skipped_step_still_counts(hands: Hands) -> None:
    hands.do(c.SkipStep(step=2, reason="not yet"))
    assert [s.number for s in needed_by(hands.record, hands.step(1))] == [3]


def test_nothing_else_waits_for_what_a_skipped_step_waits_for(hands: Hands) -> None:
    hands.do(c.Carry(thing=hands.thing("pin").id, count=1, source="shelf", target="away: plater"))
    assert [w.step for w in what_waits(hands.record, 1)] == [1, 2, 3]
    assert [(row.step, row.holds_up) for row in chases(hands.record, 1)] == [(3, 3)]
    hands.do(c.SkipStep(step=3, reason="at the plater"))
    assert [w.step for w in what_waits(hands.record, 1)] == [3]
    assert [(row.step, row.holds_up) for row in chases(hands.record, 1)] == [(3, 1)]


def test_off_again_weeks_later_everything_goes_where_it_came_from(hands: Hands) -> None:
    before = hands.documents()
    hands.put_back(4)
    hands.take_off("bell", "2", needs=())  # something else in between
    hands.do(c.TakeOffAgain(step=4))
    assert hands.where("foot") == {"shelf": 1} and hands.where("screw", "1") == {"bag 4": 1}
    assert hands.documents()["steps"][4] == before["steps"][4]
    hands.put_back(4)
    hands.do(c.CloseBag(number=5))
    assert hands.do(c.TakeOffAgain(step=4, put="bag 5")).said == "step 4, foot, is off again: 2 out"
    assert hands.where("foot") == {"bag 5": 1} and not hands.bag(5).closed


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.TakeOffAgain(step=0), "Say which step comes off again."),
        (c.TakeOffAgain(step=4), "Step 4, foot, is not back on."),
        (c.TakeOffAgain(step=9), "There is no step 9."),
        (c.SkipStep(step=9, reason="x"), "There is no step 9."),
    ],
)
def test_what_cannot_come_off_again_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert hands.refused(command) == message


def test_off_again_goes_nowhere_out_of_reach_and_not_while_something_comes_off(hands: Hands) -> None:
    hands.put_back(4)
    for put in ("fitted", "away: plater"):
        assert hands.refused(c.TakeOffAgain(step=4, put=put)).startswith("What comes off again goes into a bag")
    hands.do(c.Begin(name="foot", needs=()))
    assert hands.refused(c.TakeOffAgain(step=4)) == "Step 5, foot, is still coming off; finish it first."
    hands.do(c.Finish(put="shelf"))
    assert hands.refused(c.TakeOffAgain(step=4)) == "foot is off already, since step 5."
    hands.put_back(5)
    assert hands.refused(c.TakeOffAgain(step=4)) == "foot came off once more at step 5; take that one off again."


def test_turns_that_ticked_themselves_off_count_again() -> None:
    hands = Hands()
    hands.take_off("lid")
    hands.do(c.Begin(do="turn", name="press", state="on its side"))
    hands.do(c.Finish())
    hands.take_off("cam")
    for number in (3, 1):
        hands.put_back(number)
    assert all(s.back for s in hands.record.all(Step, 1))
    assert hands.record.get(Machine, 1).lies == "upright"
    hands.do(c.TakeOffAgain(step=1))
    assert hands.do(c.TakeOffAgain(step=3)).said == "step 3, cam, is off again: 1 out; press lies on its side"
    assert not hands.step(2).back
    for number in (3, 1):
        hands.put_back(number)
    assert all(s.back for s in hands.record.all(Step, 1))


def test_reach_in_a_half_refitted_machine_tells_the_way_back(hands: Hands) -> None:
    for number in (3, 2):
        hands.put_back(number)
    found = reach(hands.record, 1, "pin", now=True)
    assert (found.steps, found.way_back) == ((2, 3), (3, 2))
    whole = reach(hands.record, 1, "pin")
    assert (whole.steps, whole.way_back) == ((1, 2, 3), (3, 2, 1))


def test_a_measure_is_in_nobodys_way_and_is_made_again() -> None:
    hands = Hands()
    hands.do(c.Begin(do="measure", name="play"))
    hands.do(c.Finish())
    hands.take_off("lid")
    hands.take_off("pin")
    hands.do(c.SkipStep(step=3, reason="no pin"))
    hands.put_back(2)
    hands.put_back(1)
    hands.do(c.TakeOffAgain(step=2))
    assert [s.number for s in hands.record.all(Step, 1) if not s.back] == [1, 2, 3]
    for number in (3, 2, 1):
        hands.put_back(number)
