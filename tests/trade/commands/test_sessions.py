"""Sessions: sitting down, breaks, leaving, the walk-back."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.checks.walked import still_wrong, wrong_at
from putback.trade.record.session import Session
from tests.trade.hands import Hands


def test_a_session_has_segments_between_breaks() -> None:
    hands = Hands()
    hands.do(c.StartSession(title="outside", target=45, box="A", note="cold"))
    hands.do(c.Pause())
    assert hands.refused(c.Pause()) == "The session is paused already."
    hands.do(c.Resume())
    assert hands.refused(c.Resume()) == "The session is running already."
    hands.do(c.EndSession(note="bell next"))
    session = hands.record.get(Session, 1)
    assert len(session.segments) == 2 and all(segment.end for segment in session.segments)
    assert session.minutes(session.ended) == 3 and session.note == "cold\nbell next"


def test_a_session_that_is_paused_ends_at_its_pause() -> None:
    hands = Hands()
    hands.do(c.StartSession())
    hands.do(c.Pause())
    hands.do(c.EndSession())
    session = hands.record.get(Session, 1)
    assert session.minutes(session.ended) == 1 and session.ended != session.segments[-1].end


def test_one_session_at_a_time_on_a_machine() -> None:
    hands = Hands()
    for command in (c.Pause(), c.Resume(), c.EndSession()):
        assert hands.refused(command) == "No session is running; start one first."
    assert "There was no session yet" in hands.refused(c.WalkBack(step=1, answer="true"))
    hands.do(c.StartSession())
    assert hands.refused(c.StartSession()) == "A session is running already."
    hands.do(c.EndSession())
    hands.do(c.StartSession())
    assert [s.number for s in hands.record.all(Session, 1)] == [1, 2]


@pytest.mark.parametrize("target", [0.0, -1.0, 1441.0, float("nan"), float("inf")])
def test_a_segment_has_a_sensible_length(target: float) -> None:
    assert "from one minute to a day" in Hands().refused(c.StartSession(target=target))


def test_minutes_box_and_title_are_said_otherwise_while_the_session_goes_on() -> None:
    hands = Hands()
    assert "No session is running" in hands.refused(c.MendSession(target=50))
    hands.do(c.StartSession(title="lid", target=40, box="A"))
    change = hands.do(c.MendSession(target=50.0, box=""))
    assert change.said == "session 1: minutes to the bell: 50, box none"
    session = hands.record.get(Session, 1)
    assert (session.title, session.target, session.box) == ("lid", 50.0, "")
    assert "from one minute to a day" in hands.refused(c.MendSession(target=0.5))
    assert "as it was" in hands.refused(c.MendSession(title="lid"))
    hands.do(c.Pause())
    hands.do(c.MendSession(title="lid and drum"))
    assert hands.record.get(Session, 1).paused


def test_the_walk_back_keeps_its_answers() -> None:
    hands = Hands()
    hands.do(c.StartSession())
    hands.take_off("lid")
    for answer in ("true", "not so", "cannot see it now"):
        hands.do(c.WalkBack(step=1, answer=answer))
    assert [w.answer for w in hands.record.get(Session, 1).walked] == ["true", "not so", "cannot see it now"]
    hands.do(c.EndSession())
    hands.do(c.WalkBack(step=1, answer="true"))
    assert len(hands.record.get(Session, 1).walked) == 4, "looking begins no session: the last one keeps it"
    assert hands.do(c.WalkBack(step=1, answer="not so")).said == "walk-back of step 1: wrong"
    assert "answered with true, not so" in hands.refused(c.WalkBack(step=1, answer="maybe"))
    assert hands.refused(c.WalkBack(step=2, answer="true")) == "There is no step 2."


@pytest.mark.parametrize("closed", ["true", "put right", "right after all"])
def test_what_was_wrong_is_open_until_it_is_closed_and_again_when_it_is_said_again(closed: str) -> None:
    hands = Hands()
    hands.do(c.StartSession())
    hands.take_off("lid")
    hands.take_off("cam")
    for step, answer in ((2, "not so"), (1, "not so"), (1, "cannot see it now"), (2, closed)):
        hands.do(c.WalkBack(step=step, answer=answer))
    assert [walked.step for walked in still_wrong(hands.record, 1)] == [1]
    assert wrong_at(hands.record, hands.step(2)) is None
    hands.do(c.WalkBack(step=2, answer="not so"))
    assert wrong_at(hands.record, hands.step(2)) is not None


def test_bags_lie_in_the_box_of_the_session_that_began_them() -> None:
    hands = Hands()
    hands.take_off("foot", "1")
    hands.do(c.StartSession(box="C"))
    hands.take_off("lid", "1")
    assert (hands.bag(1).box, hands.bag(2).box) == ("", "C")
    assert [s.session for s in (hands.step(1), hands.step(2))] == [0, 1]
