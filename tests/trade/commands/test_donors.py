"""A donor: one of another machine goes in, and both ledgers say so, in one change that is taken back as one."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from putback.reports.account import WayBack
from putback.reports.fastener_sheet import fastener_rows
from putback.reports.to_get import donors_of, get_lines
from putback.reports.wanted import wanted_things
from putback.reports.whereabouts import whereabouts
from putback.trade import commands as c
from putback.trade.checks.filled_holes import holes_at_refit
from putback.trade.checks.ledger import check_balance, goes_without, on_without, short_of
from putback.trade.checks.open_jobs import not_in_its_place
from putback.trade.record.fastener import Thing
from putback.trade.record.trouble_words import in_its_place, troubles_of
from putback.trade.refit.way_back import chases
from putback.tui.draw.views import hole_views, size_views
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


def rows(hands: Hands, step: int) -> list[str]:
    account = WayBack(hands.record, 1).account(hands.step(step))
    return [block.words for block in account.of("fastener") if "from" in block.words]


def test_one_that_goes_into_a_hole_that_was_found_empty_is_not_new_either(hands: Hands) -> None:
    hands.do(c.Trouble(what="found again", step=1, hole="5"))
    hands.do(c.Begin(name="foot"))
    hands.do(c.Enter(hole="5", readings={"gauge": "832", "length": ".372"}, size="#8-32 UNC x 3/8"))
    hands.do(c.Enter(hole="9", found="empty"))
    hands.do(c.Finish())
    donor = next(t for t in hands.record.all(Thing, 2) if t.sort == "fastener")
    hands.do(c.FromDonor(thing=hands.thing("screw", "9").id, donor=donor.id))
    assert rows(hands, 2) == ["screw #8-32 UNC x 3/8; its hole was found empty; from panel 7, step 1"]


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
    assert rows(hands, 1) == ["screw #8-32 UNC x 3/8; from panel 7, step 1"], "an old one, not new"
    [gap] = wanted_things(hands.record, 2)
    assert (gap.hole, gap.why) == ("1", "went into press 12")
    assert next(row["place"] for row in fastener_rows(hands.record, 2)) == "went into press 12"
    hands.machine = 2
    assert [row.place for row in whereabouts(hands.record, "cover", 2)] == ["shelf"]
    assert chases(hands.record, 2)[0].text == "screw #8-32 UNC x 3/8 (went into press 12) holds up 1 step"
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


def test_a_part_goes_on_without_what_was_given_away_and_its_hole_stays_empty(hands: Hands) -> None:
    hands.machine = 2
    hands.take_off("plate", "3", "7", "9")
    [wanted] = wanted_things(hands.record, 1)
    given = hands.thing("screw", "7")
    hands.machine = 1
    hands.do(c.FromDonor(thing=wanted.thing, donor=given.id))
    hands.machine = 2
    [held] = short_of(hands.record, hands.step(2))
    hands.do(c.Confirm(step=2, item=on_without(held), anyway="the rest goes on"))
    said = [block.words for block in WayBack(hands.record, 2).account(hands.step(2)).of("order", "fastener")]
    assert said[0].startswith("start all 2 by hand") and not any("scrapped" in words for words in said)
    views = {view.place: view.state for view in hole_views(hands.record, hands.step(2), refit=True)}
    assert views == {"3": "empty", "7": "left_empty", "9": "empty"}
    assert [size.total for size in size_views(hands.record, hands.step(2), refit=True)] == [2]
    hands.put_back(2)
    hands.put_back(1)
    hands.machine = 1
    hands.put_back(1)
    assert [hole.words for hole in holes_at_refit(hands.record, 1)] == [
        "hole 5: #8-32 UNC x 3/8 lost; #8-32 UNC x 3/8 is in (from panel 7, step 2)"
    ]
    hands.machine = 2
    [open_one] = not_in_its_place(hands.record, 2)
    assert open_one == "hole 7: #8-32 UNC x 3/8 went into press 12, and nothing is in its place (step 2)"


def test_what_was_confirmed_in_the_words_of_earlier_versions_holds(hands: Hands) -> None:
    hands.machine = 2
    given = hands.thing("screw", "1")
    hands.machine = 1
    [wanted] = wanted_things(hands.record, 1)
    hands.do(c.FromDonor(thing=wanted.thing, donor=given.id))
    step = hands.record.step(2, 1)
    assert step is not None
    [held] = short_of(hands.record, step)
    assert goes_without(replace(step, confirmed=("on without screw #8-32 UNC x 3/8 (scrapped)",)), held)
    assert not goes_without(step, held)
