"""What is sent out as one trip, and how each thing comes back."""

from __future__ import annotations

import pytest

from putback.reports.blocks import as_text
from putback.reports.sent import parcel_blocks, sent_out
from putback.trade import commands as c
from putback.trade.commands.trips import still_out
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.fastener import Thing
from putback.trade.record.trip import Sent
from putback.tui.dialogs.sending import due_from
from tests.trade.hands import START, Hands

DIALS = ("day dial", "month dial", "year dial")


@pytest.fixture
def hands() -> Hands:
    """Three dials off, each with a screw in bag 1, sent to the plater together."""
    made = Hands()
    for name in DIALS:
        made.take_off(name, "5", bag=1)
    named = tuple((number, name) for number, name in enumerate(DIALS, 1))
    change = made.do(c.SendOut(to="plater", what="nickel", due="2025-03-20", named=named))
    assert change.said == "sent out to plater: 3 things, day dial, month dial, year dial, due 2025-03-20"
    return made


def test_three_dials_go_as_one_trip_and_one_comes_back_damaged(hands: Hands) -> None:
    out = sent_out(hands.record, 1)
    assert len(out) == 1 and [one.what for one in out[0].things] == list(DIALS)
    assert out[0].text.startswith("plater, 3 things since 1 Mar, due 20 Mar, for nickel: day dial, month dial, year")
    assert out[0].due_text("2025-03-20T08:00:00+00:00") == "due today: plater, 3 things"
    assert out[0].due_text("2025-03-22T08:00:00+00:00") == "2 days over: plater, 3 things"
    assert out[0].due_text("2025-03-19T23:00:00+00:00") == ""
    assert "[ ] day dial" in as_text(parcel_blocks(out)) and "3 things in all" in as_text(parcel_blocks(out))
    hands.do(c.CameBack(named=(1, "day dial"), how="as sent"))
    hands.do(c.CameBack(named=(2, "month dial"), how="changed", note="plated, .0003 a side"))
    assert "Say what is damaged" in hands.refused(c.CameBack(named=(3, "year dial"), how="damaged"))
    hands.do(c.CameBack(named=(3, "year dial"), how="damaged", note="chipped at the 4"))
    assert not still_out(hands.record, 1) and not sent_out(hands.record, 1)
    assert [sent.how for sent in hands.record.all(Sent, 1)] == ["as sent", "changed", "damaged"]
    job = hands.step(3).todo[-1]
    assert job.first and job.what == "year dial, back damaged: chipped at the 4"
    assert "back damaged" in hands.refused(c.PutBack(step=3)), "the way back asks about it first"
    assert "not sent out" in hands.refused(c.CameBack(named=(3, "year dial"), how="as sent"))


def test_what_is_not_there_is_missing_and_may_be_found_again(hands: Hands) -> None:
    hands.do(c.CameBack(named=(1, "day dial"), how="not there"))
    dial = next(t for t in hands.record.all(Thing, 1) if t.name == "day dial")
    assert hands.record.standing(dial.id) == {"missing": 1}
    assert [one.what for one in sent_out(hands.record, 1)[0].things] == list(DIALS[1:])


def test_a_whole_bag_goes_and_comes_back_into_it_though_it_was_closed() -> None:
    hands = Hands()
    hands.take_off("lid", "1", "3", bag=1)
    hands.do(c.CloseBag(number=1))
    hands.do(c.SendOut(to="degreaser", bags=(1,)))
    assert hands.record.total(1, "bag 1") == 0
    for sent in still_out(hands.record, 1):
        hands.do(c.CameBack(sent=sent.id, how="as sent"))
    assert hands.record.total(1, "bag 1") == 2 and not hands.bag(1).closed
    assert not any(sent.mixed for sent in hands.record.all(Sent, 1))
    assert hands.refused(c.SendOut(to="degreaser")) == "Say what is sent."
    assert "is not a day" in hands.refused(c.SendOut(to="plater", bags=(1,), due="soon"))


def test_what_was_moved_back_by_hand_is_not_out_any_more(hands: Hands) -> None:
    dial = next(t for t in hands.record.all(Thing, 1) if t.name == "day dial")
    hands.do(c.Carry(thing=dial.id, count=1, source="away: plater", target="shelf"))
    assert len(still_out(hands.record, 1)) == 2
    assert "not sent out" in hands.refused(c.CameBack(named=(1, "day dial"), how="as sent"))


def test_what_went_without_a_trip_is_looked_at_when_it_is_back() -> None:
    hands = Hands()
    hands.take_off("platen", "5", put="away: machinist")
    hands.do(c.CameBack(named=(1, "platen"), how="damaged", note="a scratch"))
    assert hands.record.total(1, "shelf") == 1 and "a scratch" in hands.step(1).todo[0].what
    assert [(sent.to, sent.how) for sent in hands.record.all(Sent, 1)] == [("machinist", "damaged")]


def test_a_day_is_typed_as_a_number_of_days_or_as_a_date() -> None:
    assert due_from("14", START.date()) == "2025-03-15"
    assert due_from("2025-04-01", START.date()) == "2025-04-01" and due_from("", START.date()) == ""


def test_what_was_sent_as_it_came_off_went_then_and_not_when_it_came_back() -> None:
    hands = Hands()
    hands.take_off("lid", "1", put="away: plater")
    went = hands.step(1).ended
    hands.take_off("bell", "2")
    hands.do(c.CameBack(how="as sent", named=(1, "lid")))
    [sent] = hands.record.all(Sent, 1)
    assert (sent.at, sent.back) == (went, hands.at)


def test_what_went_out_and_was_carried_back_can_be_written_as_a_session_file(hands: Hands) -> None:
    dial = next(t for t in hands.record.all(Thing, 1) if t.name == "day dial")
    hands.do(c.Carry(thing=dial.id, count=1, source="away: plater", target="shelf"))
    back = written_back(hands.record, 1)
    again = rehearse(read_session_file(back.text, "it", now=START)).record
    places = sorted(place for thing in again.all(Thing) if "dial" in thing.name for place in again.standing(thing.id))
    assert places == ["away: plater", "away: plater", "shelf"]
