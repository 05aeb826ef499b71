"""The list of what to get: no line twice, the size of an empty hole from its fellows, what can be done in order."""

from __future__ import annotations

import csv
import io
from typing import Any

from putback.reports.blocks import as_text
from putback.reports.to_get import get_blocks, get_csv, get_lines
from putback.reports.todo import to_do
from putback.reports.wanted import wanted_things
from putback.trade import commands as c
from putback.trade.checks.ledger import short_of
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands

BOLT: dict[str, Any] = {"kind": "bolt", "size": "1/4-20 UNC x 1", "thread": "1/4-20 UNC", "head": "hex"}


def lid(*, found: str = "9") -> Hands:
    """A lid with three equal bolts, one of them lost, and a hole found empty."""
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    for hole in "137":
        hands.do(c.Enter(hole=hole, **BOLT))
    hands.do(c.Enter(hole=found, found="empty"))
    hands.do(c.Finish(put="shelf"))
    hands.do(c.Trouble(what="lost", step=1, hole="3", kind="bolt"))
    return hands


def test_one_line_for_what_is_lost_and_for_the_empty_hole_beside_it() -> None:
    hands = lid()
    lines = get_lines(hands.record, wanted_things(hands.record, 1))
    assert len(lines) == 1 and lines[0].needed == 2
    assert lines[0].text == "1/4-20 UNC x 1 hex bolt: 4 (2 needed, 2 extra); as the three beside it: likely"
    assert lines[0].ways[:2] == ("buy", "make")
    assert "for press, step 1, hole 9: found empty, as the three beside it: likely" in as_text(get_blocks(lines))
    assert "\r" not in get_csv(lines), "a terminal would be shown it as a sign"
    rows = list(csv.DictReader(io.StringIO(get_csv(lines))))
    assert rows[0]["what"] == "1/4-20 UNC x 1 hex bolt" and rows[0]["needed"] == "2"


def test_fellows_of_two_sizes_tell_nothing() -> None:
    hands = Hands()
    hands.do(c.Begin(name="lid"))
    hands.do(c.Enter(hole="1", **BOLT))
    hands.do(c.Enter(hole="3", size="#8-32 UNC x 3/8"))
    hands.do(c.Enter(hole="9", found="empty"))
    hands.do(c.Finish(put="shelf"))
    assert [one.likely for one in wanted_things(hands.record, 1)] == [""]


def test_ordered_here_and_in_the_drawer() -> None:
    hands = lid()
    lost, empty = (one.thing for one in wanted_things(hands.record, 1))
    for thing in (lost, empty):
        hands.do(c.Getting(thing=thing, state="ordered"))
    (line,) = get_lines(hands.record, wanted_things(hands.record, 1))
    assert line.state == "ordered" and line.text.endswith("; ordered")
    hands.do(c.Getting(thing=lost, state="here", what="bolt 1/4-20 UNC x 1"))
    assert not short_of(hands.record, hands.step(1)), "the new one goes in"
    hands.do(c.Getting(thing=empty, state="in the drawer"))
    assert get_lines(hands.record, wanted_things(hands.record, 1)) == []
    found = to_do(hands.record, hands.record.get(Machine, 1), now=hands.at)
    assert not found.shopping and not found.to_get
    assert any("have one in the drawer" in row.text for row in found.done_jobs)
    hands.do(c.Getting(thing=empty, state="to get"))
    assert len(get_lines(hands.record, wanted_things(hands.record, 1))) == 1
    assert "to get already" in hands.refused(c.Getting(thing=empty, state="to get"))
    assert "cannot go in there" in hands.refused(c.Getting(thing=lost, state="here"))
    hands.refused(c.Getting(thing=empty, state="lost"))


def test_what_came_may_go_into_the_empty_hole() -> None:
    hands = lid()
    empty = wanted_things(hands.record, 1)[1]
    hands.do(c.Getting(thing=empty.thing, state="here", what=empty.called))
    new = hands.record.stand_ins(empty.thing)[0]
    assert (new.hole, hands.record.standing(new.id)) == ("9", {"shelf": 1})
    assert len(wanted_things(hands.record, 1)) == 1


def test_own_spares_come_first_and_then_a_machine_that_has_one_lying() -> None:
    hands = lid()
    hands.do(c.AddSpare(size="1/4-20 x 1", kind="bolt", count=1, place="drawer 3"))
    hands.do(c.NewMachine(name="winder"))
    hands.machine = 2
    hands.do(c.Begin(name="base"))
    hands.do(c.Enter(hole="1", **BOLT))
    hands.do(c.Finish(put="shelf"))
    (line,) = get_lines(hands.record, wanted_things(hands.record, 1))
    assert line.ways[:4] == ("own spares: bolt 1/4-20 x 1 (drawer 3)", "donor: winder, step 1", "buy", "make")
    hands.machine = 1
    hands.do(c.TakeSpare(spare=line.spares[0], thing=line.things[0].thing, put="shelf"))
    (line,) = get_lines(hands.record, wanted_things(hands.record, 1))
    assert line.needed == 1 and not line.spares
    assert hands.record.get(Thing, line.things[0].thing).found
