"""Settings as set on the way back, and what one would do differently: each kept, refused and taken back."""

from __future__ import annotations

import pytest

from putback.reports.last_page import last_page
from putback.trade import commands as c
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.machine import Machine
from putback.trade.record.step import Adjustment
from tests.trade.hands import START, Hands

STOP = Adjustment(what="end stop", turns=2.5)


@pytest.fixture
def hands() -> Hands:
    hands = Hands(name="press")
    hands.take_off("lid", "1")
    hands.do(c.Annotate(step=1, adjust=(STOP,)))
    hands.do(c.SayOfMachine(adjust=Adjustment(what="feet", turns=2)))
    return hands


def test_a_setting_as_set_is_confirmed_with_its_reading(hands: Hands) -> None:
    said = hands.do(c.SetAs(step=1, what="end stop", reading="2.25")).said
    assert said == "step 1: end stop set to 2.25, 0.25 turns less"
    assert hands.step(1).adjust[0].as_set == "2.25" and STOP.text in hands.step(1).confirmed
    hands.do(c.PutBack(step=1))
    page = last_page(hands.record, hands.record.get(Machine, 1), now=hands.at)
    [section] = [s for s in page.sections if s.title == "Settings as found and as set"]
    assert [(line.open, line.words) for line in section.lines] == [
        (True, "the machine: feet: 2 turns"),
        (False, "step 1, lid: end stop: 2.5 turns; as set: 2.25, 0.25 turns less"),
    ]
    assert "next time" not in hands.do(c.TakeOffAgain(step=1)).said
    assert hands.step(1).adjust == (STOP,), "it is to be set anew"


def test_what_is_far_off_is_asked_about_once(hands: Hands) -> None:
    far = c.SetAs(step=1, what=STOP.text, reading="4 turns")
    assert hands.refused(far).startswith("end stop: 4 turns is 1.5 turns more than 2.5 turns. Set it anew, or say why")
    hands.do(c.SetAs(step=1, what=STOP.text, reading="4 turns", why="the stop is new"))
    assert hands.step(1).adjust[0].why_so == "the stop is new"


def test_of_the_machine_itself(hands: Hands) -> None:
    hands.do(c.SetAs(what="feet", reading="as found"))
    assert hands.record.get(Machine, 1).adjust[0].as_set == "as found"
    assert "no setting" in hands.refused(c.SetAs(what="hands", reading="1"))
    assert hands.refused(c.SetAs(step=7, what="feet", reading="1")) == "There is no step 7."
    hands.do(c.Begin(name="lever"))
    assert "not off yet" in hands.refused(c.SetAs(step=2, what="feet", reading="1"))


def test_next_time_is_asked_once_and_stands_where_it_belongs(hands: Hands) -> None:
    hands.put_back(1)
    assert (
        "next time: take the clip off first (step 1, lid)"
        in hands.do(c.NextTime(step=1, words_said="take the clip off first")).said
    )
    assert hands.record.get(Machine, 1).looked_back
    assert hands.refused(c.NextTime()) == "Say what you would do differently."
    assert "said already" in hands.refused(c.NextTime(step=1, words_said="take the clip off first"))
    hands.do(c.NextTime(words_said="photograph the cables"))
    assert hands.record.get(Machine, 1).next_time == ("photograph the cables",)
    assert hands.do(c.TakeOffAgain(step=1)).said.endswith("next time: take the clip off first")
    page = last_page(hands.record, hands.record.get(Machine, 1), now=hands.at)
    [section] = [s for s in page.sections if s.title == "Next time"]
    assert [line.words for line in section.lines] == [
        "the machine: photograph the cables",
        "step 1, lid: take the clip off first",
    ]


def test_nothing_is_an_answer_too(hands: Hands) -> None:
    assert hands.do(c.NextTime()).said == "nothing would be done differently"
    assert hands.record.get(Machine, 1).looked_back


def test_a_session_file_says_both(hands: Hands) -> None:
    hands.do(c.SetAs(step=1, what="end stop", reading="2.25"))
    hands.do(c.Annotate(step=1, next_time=("warm it first",)))
    hands.do(c.MendMachine(next_time=("two people",)))
    back = written_back(hands.record, 1)
    again = Hands(name="press")
    for act in read_session_file(back.text, "it", now=START).acts[1:]:
        again.do(act.command)
    assert again.step(1).adjust[0].as_set == "2.25" and again.step(1).next_time == ("warm it first",)
    assert 'next_time = ["two people"]' in back.text
