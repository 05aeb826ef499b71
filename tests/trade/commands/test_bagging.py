"""Bags, moves by hand, stock-takes and replacements."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.checks.ledger import left_over, short_of
from putback.trade.commands.bagging import plain_name
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """A lid off with three screws in bag 1, and three balls in bag 2."""
    made = Hands()
    made.take_off("lid", "1", "3", "5")
    made.do(c.Begin(name="balls"))
    made.do(c.EnterPiece(name="ball", count=3))
    made.do(c.Finish())
    return made


# -- bags --------------------------------------------------------------------------------------------


def test_a_bag_is_opened_filled_closed_and_opened_again(hands: Hands) -> None:
    assert hands.bag(1).state == "open" and hands.bag(1).code == "PB0000001"
    assert hands.do(c.CloseBag(number=1)).said == "bag 1 closed with 3 in it"
    assert hands.refused(c.CloseBag(number=1)) == "Bag 1 is closed already."
    hands.do(c.ReopenBag(number=1))
    assert hands.refused(c.ReopenBag(number=1)) == "Bag 1 is open already."


@pytest.mark.parametrize(
    "command", [c.CloseBag(number=9), c.ReopenBag(number=9), c.StockTake(bag=9, thing=1, counted=1)]
)
def test_a_bag_that_is_not_there_is_refused(hands: Hands, command: c.Command) -> None:
    assert hands.refused(command) == "There is no bag 9 on this machine."


def test_nothing_goes_into_a_closed_bag(hands: Hands) -> None:
    hands.do(c.CloseBag(number=1))
    closed = "Bag 1 is closed; reopen it first, or take another."
    assert hands.refused(c.Begin(name="cam", bag=1)) == closed
    assert hands.refused(c.Carry(thing=5, count=1, source="bag 2", target="bag 1")) == closed
    hands.do(c.Begin(name="cam", bag=3))
    assert hands.refused(c.TakeBag(number=1)) == closed
    assert hands.refused(c.EnterPiece(name="key", put="bag 1")) == closed
    assert hands.refused(c.Finish(put="bag 1")) == closed
    hands.do(c.Enter(hole="1"))
    hands.do(c.CloseBag(number=3))
    assert hands.refused(c.Enter(hole="2")) == "Bag 3 is closed; reopen it first, or take another."
    hands.do(c.TakeBag())
    hands.do(c.Enter(hole="2"))
    assert hands.where("screw", "2") == {"bag 4": 1}


def test_things_may_be_taken_out_of_a_closed_bag(hands: Hands) -> None:
    hands.do(c.CloseBag(number=2))
    hands.do(c.Carry(thing=5, count=1, source="bag 2", target="missing"))
    assert hands.where("ball") == {"bag 2": 2, "missing": 1}


def test_a_new_bag_gets_the_next_number_and_a_label(hands: Hands) -> None:
    hands.do(c.Begin(name="cam"))
    assert hands.do(c.TakeBag(number=7)).said == "bag 7 is new"
    assert hands.refused(c.TakeBag(number=7)).startswith("Nothing to do")
    assert hands.do(c.TakeBag(number=1)).said == "bag 1 is taken"
    assert hands.do(c.TakeBag()).said == "bag 8 is new"
    assert hands.refused(c.TakeBag(number=-1)) == "A bag has a number from 1 to 99999; -1 was said."
    hands.do(c.TakeBag(number=99_999))
    assert hands.refused(c.TakeBag()) == "There is a bag 99999 already, and no number above it."
    hands.codes = iter(())
    assert hands.refused(c.TakeBag(number=9)) == "There is no label left for bag 9."


def test_bag_numbers_belong_to_a_machine(hands: Hands) -> None:
    hands.do(c.NewMachine(name="recorder"))
    hands.machine = 2
    assert hands.refused(c.CloseBag(number=1)) == "There is no bag 1 on this machine."
    assert (
        hands.refused(c.Carry(thing=5, count=1, source="bag 2", target="shelf"))
        == "There is no thing 5 on this machine."
    )
    hands.take_off("lid", "1")
    assert hands.bag(1).code not in ("", *(bag.code for bag in hands.record.all(Bag, 1)))


# -- moves -------------------------------------------------------------------------------------------


def test_a_bracket_goes_to_the_plater_and_comes_back(hands: Hands) -> None:
    lid = hands.thing("lid").id
    assert (
        hands.do(c.Carry(thing=lid, count=1, source="shelf", target="away: plater")).said
        == "lid: shelf to away (plater)"
    )
    assert hands.balance == {"bag": 6, "away": 1}
    hands.do(c.Carry(thing=lid, count=1, source="away: plater", target="box B", note="looked at"))
    assert hands.where("lid") == {"box B": 1}


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (c.Carry(thing=99, count=1, source="bag 1", target="shelf"), "There is no thing 99 on this machine."),
        (
            c.Carry(thing=5, count=4, source="bag 2", target="shelf"),
            "There is no 4 x ball at “bag 2”; there is 3 at “bag 2”.",
        ),
        (
            c.Carry(thing=5, count=1, source="box C", target="shelf"),
            "There is no ball at “box C”; there is 3 at “bag 2”.",
        ),
        (c.Carry(thing=5, count=0, source="bag 2", target="shelf"), "A move takes at least one; 0 was asked for."),
        (c.Carry(thing=5, count=1, source="bag 2", target="Bag 2"), "ball is at “bag 2” already."),
        (c.Carry(thing=5, count=1, source="bag 2", target="fitted"), "go back at refit."),
        (c.Carry(thing=5, count=1, source="fitted", target="bag 2"), "by a step"),
        (c.Carry(thing=5, count=1, source="bag 2", target="pocket"), "“pocket” is not a place"),
    ],
)
def test_a_move_that_cannot_be_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert message in hands.refused(command)


def named(what: str, count: int = 1, source: str = "bag 1", target: str = "missing", step: int = 1) -> c.CarryNamed:
    """A move by name."""
    return c.CarryNamed(what=what, step=step, count=count, source=source, target=target)


@pytest.mark.parametrize("what", ["screw", "screw 8-32 x 3/8", "Screw #8-32 UNC x 3/8"])
def test_things_are_moved_by_the_name_a_person_gives_them(hands: Hands, what: str) -> None:
    assert hands.do(named(what, 2)).said == "2 x screw #8-32 UNC x 3/8: bag 1 to missing"
    assert hands.balance == {"bag": 4, "shelf": 1, "missing": 2}


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (named("nut"), "Step 1 released no “nut”; it released screw #8-32 UNC x 3/8, lid."),
        (named("screw", step=9), "There is no step 9."),
        (named("screw", 4), "There is no 4 x screw of step 1 at “bag 1”; there is 1 at “bag 1”, 1 at"),
        (named("screw", 0), "There is no 0 x screw"),
        (named("screw", source="bag 2"), "There is no screw of step 1 at “bag 2”"),
        (named("screw", source="shelf"), "There is no screw of step 1 at “shelf”"),
        (named("screw", target="fitted"), "go back at refit"),
    ],
)
def test_a_named_move_that_cannot_be_is_refused(hands: Hands, command: c.Command, message: str) -> None:
    assert message in hands.refused(command)


def test_a_count_is_looked_for_in_every_bag_of_its_step() -> None:
    hands = Hands()
    hands.do(c.Begin(name="plate", bag=1))
    hands.do(c.EnterPiece(name="ball", count=3))
    hands.do(c.Finish(put="bag 2"))
    hands.do(named("ball", source="bag 2"))
    assert hands.where("ball") == {"bag 1": 2, "missing": 1}
    assert "There is no ball" in hands.refused(named("ball", source="bag 3"))


def test_two_spellings_of_a_name_compare() -> None:
    assert plain_name("Bolt 5/16-18 x 1") == plain_name("bolt  5/16-18 UNC x 1") == "bolt 5/16-18 x 1"
    assert plain_name("#8-32 NS") == "8-32"


# -- stock-take --------------------------------------------------------------------------------------


def test_what_a_count_is_short_of_is_missing(hands: Hands) -> None:
    assert hands.do(c.StockTake(bag=2, thing=5, counted=1)).said == "bag 2: 2 x ball missing"
    assert hands.where("ball") == {"bag 2": 1, "missing": 2}
    assert "waits for 2 x ball (missing)" in hands.refused(c.PutBack(step=2))


@pytest.mark.parametrize(
    ("command", "message"),
    [
        (
            c.StockTake(bag=2, thing=5, counted=4),
            "4 x ball counted in bag 2, 3 in the record: ask which bag is now short",
        ),
        (c.StockTake(bag=2, thing=5, counted=3), "Bag 2: 3 x ball, as the record says."),
        (c.StockTake(bag=2, thing=5, counted=-1), "A count must be 0 or more."),
        (c.StockTake(bag=1, thing=5, counted=1), "1 x ball counted in bag 1, 0 in the record"),
        (c.StockTake(bag=1, thing=99, counted=1), "There is no thing 99"),
    ],
)
def test_a_count_that_changes_nothing_is_said(hands: Hands, command: c.Command, message: str) -> None:
    assert message in hands.refused(command)


# -- replacements ------------------------------------------------------------------------------------


@pytest.mark.parametrize("place", ["missing", "scrapped", "away: plater", "borrowed: a bar"])
def test_something_new_stands_in_and_the_old_ends_as_scrapped(hands: Hands, place: str) -> None:
    lid = hands.thing("lid").id
    hands.do(c.Carry(thing=lid, count=1, source="shelf", target=place))
    assert [h.place for h in short_of(hands.record, hands.step(1))] == [place]
    hands.do(c.Replace(thing=lid, put="box B", note="cast anew"))
    new = hands.thing("lid")
    assert (new.replaces, new.note, hands.where("lid")) == (lid, "cast anew", {"box B": 1})
    assert hands.record.standing(lid) == {"scrapped": 1}
    assert short_of(hands.record, hands.step(1)) == []
    hands.put_back(2)
    hands.put_back(1)
    assert hands.balance == {"fitted": 7, "scrapped": 1} and left_over(hands.record, 1) == []


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"put": "fitted"}, "A replacement can lie only in a bag"),
        ({"put": "away: shop"}, "A replacement can lie only in a bag"),
        ({"count": 2}, "There is no 2 x ball to be replaced."),
        ({"count": 0}, "There is no 0 x ball to be replaced."),
        ({"source": "missing"}, "There is no ball at “missing” to be replaced."),
        ({"source": "bag 9"}, "There is no ball at “bag 9” to be replaced."),
        ({"source": "bag 2", "count": 99}, "There is no 99 x ball at “bag 2” to be replaced."),
        ({"thing": 1}, "to be replaced"),
        ({"thing": 99}, "There is no thing 99"),
    ],
)
def test_what_is_at_hand_is_not_replaced(hands: Hands, more: dict[str, object], message: str) -> None:
    hands.do(c.Carry(thing=5, count=1, source="bag 2", target="scrapped"))
    assert message in hands.refused(replace(c.Replace(thing=5), **more))


def test_what_is_at_hand_is_replaced_where_its_place_is_said(hands: Hands) -> None:
    before = hands.record.standing(5)["bag 2"]
    hands.do(c.Replace(thing=5, source="bag 2", put="bag 2"))
    assert hands.record.standing(5) == {"bag 2": before - 1, "scrapped": 1}
    assert hands.where("ball") == {"bag 2": 1} and hands.thing("ball").replaces == 5


def test_no_more_is_replaced_than_is_gone(hands: Hands) -> None:
    hands.do(c.Carry(thing=5, count=2, source="bag 2", target="missing"))
    hands.do(c.Replace(thing=5, count=1))
    hands.do(c.Replace(thing=5, count=1))
    assert "to be replaced" in hands.refused(c.Replace(thing=5, count=1))


def test_which_one_is_replaced_is_said_or_the_worst_first(hands: Hands) -> None:
    for place in ("away: shop", "missing", "scrapped"):
        hands.do(c.Carry(thing=5, count=1, source="bag 2", target=place))
    hands.do(c.Replace(thing=5, source="away: shop"))
    assert hands.record.standing(5) == {"missing": 1, "scrapped": 2}
    hands.do(c.Replace(thing=5))
    assert hands.record.standing(5) == {"missing": 1, "scrapped": 2}, "the scrapped one, not the missing one"
    hands.do(c.Replace(thing=5))
    assert hands.record.standing(5) == {"scrapped": 3}


def test_what_was_replaced_stays_scrapped_beside_its_replacement(hands: Hands) -> None:
    hands.do(c.Carry(thing=5, count=1, source="bag 2", target="missing"))
    hands.do(c.Replace(thing=5))
    text = "ball was replaced: it stays scrapped as long as something else is in its place."
    assert hands.refused(c.Carry(thing=5, count=1, source="scrapped", target="bag 2")) == text
    assert hands.refused(named("ball", source="scrapped", target="shelf", step=2)) == text
    hands.do(c.Carry(thing=5, count=1, source="bag 2", target="scrapped"))
    hands.do(c.Carry(thing=5, count=1, source="scrapped", target="bag 2"))


def test_a_replacement_can_be_lost_and_replaced_in_turn(hands: Hands) -> None:
    hands.do(c.Carry(thing=5, count=1, source="bag 2", target="missing"))
    hands.do(c.Replace(thing=5, put="shelf"))
    second = hands.thing("ball").id
    hands.do(c.Carry(thing=second, count=1, source="shelf", target="missing"))
    assert [(h.thing.id, h.place) for h in short_of(hands.record, hands.step(2))] == [(second, "missing")]
    hands.do(c.Replace(thing=second, put="shelf"))
    hands.put_back(2)
    assert hands.balance == {"fitted": 3, "bag": 3, "shelf": 1, "scrapped": 2}


def test_a_replacement_is_what_should_be_there_or_what_was_said() -> None:
    hands = Hands()
    hands.do(c.Begin(name="plate"))
    stranger = {"kind": "screw", "size": "M4x0.7 x 12 mm", "thread": "M4x0.7", "length": "12 mm", "head": "pan"}
    hands.do(replace(c.Enter(hole="7", should_be="#8-32 UNC x 1/2"), **stranger))
    hands.do(replace(c.Enter(hole="8"), **stranger))
    hands.do(c.Finish(put="shelf"))
    news: list[Thing] = []
    for thing, size in ((1, ""), (2, ""), (2, "M4x0.7 x 16 mm")):
        source = next(p for p in hands.record.standing(thing))
        if source != "scrapped":
            hands.do(c.Carry(thing=thing, count=1, source=source, target="scrapped"))
        else:
            hands.do(c.Carry(thing=news[-1].id, count=1, source="shelf", target="scrapped"))
            thing = news[-1].id
        hands.do(c.Replace(thing=thing, size=size))
        news.append(hands.thing("screw"))
    assert [(n.size, n.thread, n.length, n.hole, n.head) for n in news] == [
        ("#8-32 UNC x 1/2", "", "", "7", "pan"),
        ("M4x0.7 x 12 mm", "M4x0.7", "12 mm", "8", "pan"),
        ("M4x0.7 x 16 mm", "", "", "8", "pan"),
    ]
    assert hands.record.threads(1) == {"M4x0.7": 2}, "a replacement tells nothing of the machine"
