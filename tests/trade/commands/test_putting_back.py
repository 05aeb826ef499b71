"""Refit: what comes before what, what is confirmed, and the end with nothing left over."""

from __future__ import annotations

import pytest

from putback.reports.summary import open_questions
from putback.trade import commands as c
from putback.trade.checks.ledger import left_over
from putback.trade.commands.putting_back import needed_by
from putback.trade.record.machine import Machine
from putback.trade.record.step import LAST_LOOK, Adjustment, Step
from putback.trade.refit.orientation import turn_first
from putback.trade.refit.way_back import chases, what_waits
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """Lid, cam and pin off, each needing the one before; a foot that could come off any time."""
    made = Hands()
    for name in ("lid", "cam", "pin"):
        made.take_off(name, "5")
    made.take_off("foot", "1", needs=())
    return made


def test_the_way_back_is_the_way_in_reversed(hands: Hands) -> None:
    text = hands.refused(c.PutBack(step=1))
    assert text == "Before step 1, lid, comes step 2 (cam)."
    assert hands.put_back(4).said == "step 4, foot, is back: 1 in"
    for number in (3, 2, 1):
        hands.put_back(number)
    assert hands.balance == {"fitted": 8} and left_over(hands.record, 1) == []
    assert hands.refused(c.PutBack(step=1)) == "Step 1, lid, is back already."


def test_all_that_must_come_first_is_named_newest_first(hands: Hands) -> None:
    for name in ("a", "b", "d", "e"):
        hands.take_off(name, needs=(1,))
    text = hands.refused(c.PutBack(step=1))
    assert text == "Before step 1, lid, comes step 8 (e), step 7 (d), step 6 (b) and 2 more."
    assert [s.number for s in needed_by(hands.record, hands.step(1))] == [2, 5, 6, 7, 8]


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.PutBack(step=0), "Say which step goes back."),
        (c.PutBack(step=9), "There is no step 9."),
        (c.Confirm(step=0, item="x"), "Say which step goes back."),
        (c.Confirm(step=4, item="oil"), "Step 4 has nothing like “oil” to confirm."),
    ],
)
def test_what_cannot_go_back_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert hands.refused(command) == message


def test_nothing_goes_back_while_something_comes_off(hands: Hands) -> None:
    hands.do(c.Begin(name="bell", needs=()))
    assert hands.refused(c.PutBack(step=5)) == "Step 5, bell, is still coming off."
    assert hands.refused(c.PutBack(step=4)) == "Step 5, bell, is still coming off; finish it first."


@pytest.mark.parametrize("place", ["away: plater", "missing", "borrowed: a bar", "scrapped"])
def test_a_step_waits_for_what_is_out_of_reach(hands: Hands, place: str) -> None:
    screw = hands.thing("screw", "1").id
    hands.do(c.Carry(thing=screw, count=1, source="bag 4", target=place))
    assert hands.refused(c.PutBack(step=4)) == f"Step 4, foot, waits for screw #8-32 UNC x 3/8 ({place})."
    if place != "scrapped":
        hands.do(c.Carry(thing=screw, count=1, source=place, target="loose"))
    else:
        hands.do(c.Replace(thing=screw))
    hands.put_back(4)


def test_cautions_work_and_settings_are_confirmed_first(hands: Hands) -> None:
    hands.do(c.Annotate(step=4, cautions=("heavy",), at_refit=("oil",), adjust=(Adjustment(what="stop", turns=2),)))
    for item in ("heavy", "oil", "stop: 2 turns"):
        assert hands.refused(c.PutBack(step=4)) == f"Step 4: confirm first: {item}."
        hands.do(c.Confirm(step=4, item=item))
        assert hands.refused(c.Confirm(step=4, item=item)) == f"Confirmed already: {item}."
    hands.do(c.PutBack(step=4))
    assert hands.refused(c.Confirm(step=4, item="oil")) == "Step 4, foot, is back already."


def test_a_closed_bag_is_opened_for_what_goes_back(hands: Hands) -> None:
    hands.do(c.CloseBag(number=4))
    hands.put_back(4)
    assert hands.bag(4).state == "open" and hands.record.total(1, "bag 4") == 0


def test_things_go_back_from_wherever_they_were_moved(hands: Hands) -> None:
    for target in ("box C", "bag 1", "kept with lid", "loose"):
        source = next(iter(hands.where("foot")))
        hands.do(c.Carry(thing=hands.thing("foot").id, count=1, source=source, target=target))
    hands.put_back(4)
    assert hands.where("foot") == {"fitted": 1}


def test_a_mark_is_ticked_off_and_turns_and_soaks_go_by_themselves() -> None:
    hands = Hands()
    for do in ("mark", "turn", "measure", "soak", "let down"):
        hands.do(c.Begin(do=do, name="lever"))
        hands.do(c.Finish())
    assert [hands.put_back(n).said for n in (5, 3, 1)] == [f"step {n}, lever, is back" for n in (5, 3, 1)]
    assert all(step.back for step in hands.record.all(Step, 1))
    assert hands.balance == {}


def test_the_machine_is_turned_exactly_when_the_next_step_needs_it() -> None:
    hands = Hands()
    for do, state in (("take off", ""), ("turn", "on its side"), ("take off", ""), ("turn", "upright")):
        hands.do(c.Begin(do=do, name=f"part {state or len(list(hands.record.all(Step, 1)))}", state=state))  # type: ignore[arg-type]
        hands.do(c.Finish(put="shelf" if do == "take off" else ""))
    refused = hands.refused(c.PutBack(step=3))
    assert "turn" in refused and "on its side" in refused
    hands.do(c.Confirm(step=3, item=turn_first(hands.record, hands.step(3))))
    hands.put_back(3)
    assert hands.record.get(Machine, 1).lies == "on its side"
    assert "upright" in turn_first(hands.record, hands.step(1))
    hands.do(c.Confirm(step=1, item=turn_first(hands.record, hands.step(1))))
    hands.put_back(1)
    assert all(step.back for step in hands.record.all(Step, 1))


def test_a_cover_asks_for_the_last_look() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Annotate(cover=True))
    hands.do(c.Finish(put="shelf"))
    assert LAST_LOOK in hands.refused(c.PutBack(step=1))
    hands.do(c.Confirm(step=1, item=LAST_LOOK))
    hands.put_back(1)


def test_a_part_goes_on_without_a_lost_screw_and_only_that_stays_open(hands: Hands) -> None:
    hands.put_back(4)
    lost = next(thing for thing in hands.record.things_of(hands.step(3)) if thing.hole)
    (place,) = hands.record.standing(lost.id)
    hands.do(c.Carry(thing=lost.id, count=1, source=place, target="missing"))
    assert [row.step for row in what_waits(hands.record, 1)] == [1, 2, 3], (
        "until something is said, all behind it waits"
    )
    item = "on without screw #8-32 UNC x 3/8 (missing)"
    assert "as it is" in hands.refused(c.Confirm(step=3, item=item))
    hands.do(c.Confirm(step=3, item=item, anyway="the rest goes on"))
    assert what_waits(hands.record, 1) == [] and chases(hands.record, 1) == []
    for number in (3, 2, 1):
        hands.put_back(number)
    assert hands.balance == {"fitted": 7, "missing": 1}
    assert [held.thing.id for held in left_over(hands.record, 1)] == [lost.id]
    questions = open_questions(hands.record, 1, now=hands.at)
    assert "missing: screw #8-32 UNC x 3/8" in questions and f"step 3, pin: {item}: the rest goes on" in questions
    hands.do(c.Trouble(what="found again", step=3, hole=lost.hole))
    assert hands.balance == {"fitted": 8} and left_over(hands.record, 1) == []


def test_no_part_goes_on_without_itself(hands: Hands) -> None:
    part = next(thing for thing in hands.record.things_of(hands.step(4)) if thing.sort == "part")
    hands.do(c.Carry(thing=part.id, count=1, source="shelf", target="away: plater"))
    said = hands.refused(c.Confirm(step=4, item="on without foot (away: plater)", anyway="the rest goes on"))
    assert "nothing like" in said
