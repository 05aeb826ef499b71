"""A donor: one of another machine goes in, and both ledgers say so, in one change that is taken back as one."""

from __future__ import annotations

import pytest

from putback.reports.to_get import donors_of, get_lines
from putback.reports.wanted import wanted_things
from putback.reports.whereabouts import whereabouts
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance, short_of
from putback.trade.record.fastener import Thing
from putback.trade.record.trouble_words import in_its_place, troubles_of
from tests.trade.hands import Hands


@pytest.fixture
def hands() -> Hands:
    """A press that has lost a screw of its lid, and a panel whose cover lies off with one like it."""
    made = Hands(serial="12")
    made.take_off("lid", "5", "7")
    made.do(c.Trouble(what="lost", step=1, hole="5"))
    made.do(c.NewMachine(name="panel", serial="7"))
    made.machine = 2
    made.take_off("cover", "1", bag=1)
    made.machine = 1
    return made


def ways(hands: Hands, machine: int) -> tuple[str, ...]:
    [line] = get_lines(hands.record, wanted_things(hands.record, machine))
    return line.ways


def test_its_gap_stands_on_the_donors_own_list_and_here_it_goes_in(hands: Hands) -> None:
    [line] = get_lines(hands.record, wanted_things(hands.record, 1))
    assert line.ways[0] == "donor: panel 7, step 1"
    [donor] = donors_of(hands.record, line.things)
    before = hands.documents()
    change = hands.do(c.FromDonor(thing=line.things[0].thing, donor=donor.thing.id, put="shelf"))
    assert change.said.startswith("step 1, hole 5: screw #8-32 UNC x 3/8 goes in, from panel 7, step 1")
    assert change.machine == 1 and {edit.new["machine"] for edit in change.edits if edit.new} == {1, 2}
    new = in_its_place(hands.record, hands.record.get(Thing, line.things[0].thing))
    assert (new.note, new.thread, hands.record.standing(new.id)) == ("from panel 7, step 1", "#8-32 UNC", {"shelf": 1})
    assert not short_of(hands.record, hands.step(1)) and not wanted_things(hands.record, 1)
    [gap] = wanted_things(hands.record, 2)
    assert (gap.hole, gap.why) == ("1", "went into press 12")
    hands.machine = 2
    assert [row.place for row in whereabouts(hands.record, "cover", 2)] == ["shelf"]
    assert [*troubles_of(hands.record, hands.step(1))] == ["hole 1: #8-32 UNC x 3/8 went into press 12"]
    hands.record.absorb(change.reversed(number=9, said="taken back"))
    assert hands.documents() == before and list(check_balance(hands.record)) == []


def test_a_machine_kept_as_found_is_asked_about_and_takes_an_old_one_before_a_new_one(hands: Hands) -> None:
    hands.do(c.AddSpare(size="#8-32 UNC x 3/8", place="drawer 3"))
    assert [way.split(":")[0] for way in ways(hands, 1)[:3]] == ["own spares", "donor", "buy"]
    hands.do(c.MendMachine(intent="keep as found"))
    assert [way.split(":")[0] for way in ways(hands, 1)[:3]] == ["donor", "own spares", "buy new"]
    hands.machine = 2
    hands.do(c.MendMachine(intent="keep as found"))
    hands.machine = 1
    [wanted] = wanted_things(hands.record, 1)
    screw = next(t for t in hands.record.all(Thing, 2) if t.sort == "fastener")
    taking = c.FromDonor(thing=wanted.thing, donor=screw.id)
    assert "panel 7 is kept as found: say why" in hands.refused(taking)
    hands.do(c.FromDonor(thing=wanted.thing, donor=screw.id, reason="it is for parts"))
    assert hands.record.get(Thing, screw.id).went_into == "press 12 (it is for parts)"


def test_only_what_lies_off_on_another_machine_is_a_donor(hands: Hands) -> None:
    [wanted] = wanted_things(hands.record, 1)
    own = hands.record.things_of(hands.step(1))
    assert "another machine" in hands.refused(c.FromDonor(thing=wanted.thing, donor=own[1].id))
    cover = next(t for t in hands.record.all(Thing, 2) if t.sort == "part")
    assert "cannot go in for" in hands.refused(c.FromDonor(thing=wanted.thing, donor=cover.id))
    screw = next(t for t in hands.record.all(Thing, 2) if t.sort == "fastener")
    hands.machine = 2
    hands.put_back(1)
    hands.machine = 1
    assert "is not at hand" in hands.refused(c.FromDonor(thing=wanted.thing, donor=screw.id))
    assert ways(hands, 1)[0] == "buy"
