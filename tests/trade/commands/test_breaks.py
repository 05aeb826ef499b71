"""A break: tools counted back in, loose things hung with a tag, notes for the next time, soaks lifted out."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.checks.hang_tags import free_tag, loose_text, untagged
from putback.trade.checks.ledger import bench_check
from putback.trade.checks.tools_out import NONE_OUT, missing_tools, notes_for_return, tools_out, tools_text
from putback.trade.record.fastener import Thing
from putback.trade.record.step import Soak
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """One session, and a lid off with a driver and a hook."""
    made = Hands()
    made.do(c.StartSession())
    made.take_off("lid", "1", "3")
    made.do(c.Annotate(step=1, tools=("driver 1.0 x 5.5", "spring hook")))
    return made


def out(hands: Hands) -> list[str]:
    return [tool.tool for tool in tools_out(hands.record, 1)]


def test_a_tool_is_out_from_the_step_that_names_it_to_the_count(hands: Hands) -> None:
    assert out(hands) == ["driver 1.0 x 5.5", "spring hook"]
    assert hands.do(c.CountTools(tools=tuple(out(hands)))).said == "tools counted: all 2 there"
    assert out(hands) == []
    hands.do(c.Begin(name="cam"))
    hands.do(c.Annotate(tools=("Spring  Hook",)))
    assert out(hands) == ["Spring  Hook"], "a step begun since has it in the hand again"
    assert tools_out(hands.record, 1)[0].step == 2


def test_a_missing_tool_is_open_until_a_count_has_it(hands: Hands) -> None:
    found = hands.do(c.CountTools(tools=tuple(out(hands)), missing=("spring hook",))).said
    assert found.startswith("not there: spring hook")
    hands.do(c.EndSession())
    hands.do(c.StartSession())
    assert missing_tools(hands.record, 1) == ["spring hook"], "over sessions too"
    assert [(t.tool, t.step, t.missing) for t in tools_out(hands.record, 1)] == [("spring hook", 0, True)]
    assert hands.do(c.CountTools(tools=("spring hook",))).said == "spring hook is there"
    assert out(hands) == []


def test_only_what_was_counted_can_be_missing(hands: Hands) -> None:
    assert "not among the tools" in hands.refused(c.CountTools(tools=("driver",), missing=("magnet",)))


def test_a_count_is_taken_back_though_the_time_went_on(hands: Hands) -> None:
    change = hands.do(c.CountTools(tools=tuple(out(hands))))
    hands.do(c.Pause())
    hands.do(c.Resume())
    hands.record.absorb(change.reversed(number=1, said=""))
    assert out(hands) == ["driver 1.0 x 5.5", "spring hook"]


def test_a_note_is_shown_at_one_return(hands: Hands) -> None:
    hands.do(c.LeaveNote(note="oil the [latch]"))
    hands.do(c.Pause())
    assert notes_for_return(hands.record, 1) == ["oil the [latch]"]
    hands.do(c.Resume())
    assert notes_for_return(hands.record, 1) == ["oil the [latch]"], "until this stretch ends"
    hands.do(c.EndSession(note="bell next"))
    assert notes_for_return(hands.record, 1) == ["bell next"]
    assert hands.refused(c.LeaveNote(note=" ")) == "A note needs a word at least."


def test_what_lies_loose_gets_the_next_free_letter(hands: Hands) -> None:
    hands.take_off("jaw", "5", put="loose")
    hands.take_off("cam", put="loose")
    hands.do(c.Begin(name="clamp", do="loosen", tag="A"))
    hands.do(c.Finish())
    jaw, cam = (held.thing for held in bench_check(hands.record, 1))
    assert hands.do(c.HangTag(thing=jaw.id)).said == "tag B hangs on jaw"
    assert [held.thing.called for held in untagged(hands.record, 1)] == ["cam"]
    assert hands.refused(c.HangTag(thing=cam.id, tag="a")) == "Tag A hangs on clamp already."
    assert "one letter from A to Z" in hands.refused(c.HangTag(thing=cam.id, tag="7"))
    assert "does not lie loose" in hands.refused(c.HangTag(thing=1))
    assert loose_text(hands.record.get(Thing, jaw.id)) == "jaw (tag B)"
    hands.do(c.Carry(thing=jaw.id, count=1, source="loose", target="shelf"))
    assert free_tag(hands.record, 1) == "B", "its tag came off with it"


def test_a_soak_is_lifted_out_once(hands: Hands) -> None:
    hands.do(c.Begin(name="bush", do="soak"))
    hands.do(c.Annotate(soak=Soak("penetrant", 48.0)))
    hands.do(c.Finish(minutes=3))
    assert "Nothing was left to soak" in hands.refused(c.EndSoak(step=1))
    hands.do(c.EndSoak(step=2, minutes=4))
    step = hands.record.step(1, 2)
    assert step is not None and step.lifted == hands.at and step.minutes == 7
    assert hands.refused(c.EndSoak(step=2)) == "penetrant was lifted out already."


def test_that_tools_are_back_is_said_only_of_those_that_were_entered() -> None:
    hands = Hands()
    hands.do(c.StartSession())
    hands.take_off("lid", "1")
    assert tools_text(hands.record, 1) == NONE_OUT == "no tool was entered as out"
    assert "No tool was entered as out" in hands.refused(c.CountTools())
    hands.do(c.Annotate(step=1, tools=("hook",)))
    hands.do(c.CountTools(tools=("hook",)))
    assert out(hands) == [] and tools_text(hands.record, 1) == "every tool entered as out is back"
